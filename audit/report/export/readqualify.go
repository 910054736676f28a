package export

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/jobrecord"
	"markaudit/audit/qualify"
	"markaudit/geometry"
)

// jsonLink is one study of a chain of stops.
type jsonLink struct {
	Stop          *string  `json:"stop"`
	Against       *string  `json:"against"`
	Digest        *string  `json:"sha256"` // of the study; null where the bias was stated without one
	Bias          float64  `json:"bias_deg"`
	Expanded      float64  `json:"expanded_uncertainty_deg"`
	StandardError float64  `json:"standard_error_deg"`
	DOF           *float64 `json:"dof"`       // null: normal
	Limit         float64  `json:"limit_deg"` // of step and offset
}

func chainJSON(trusted *qualify.Stated) []jsonLink {
	out := []jsonLink{}
	if trusted == nil {
		return out
	}
	for _, l := range trusted.Chain {
		out = append(out, jsonLink{
			textOrNull(l.Stop), textOrNull(l.Against), textOrNull(l.Digest), l.Bias.Degrees(), l.Expanded().Degrees(), l.StandardError.Degrees(), when(l.DOF > 0, l.DOF), l.Limit.Degrees(),
		})
	}
	return out
}

// earlierStudy is what is read of an earlier result.
type earlierStudy struct {
	Verdict       *string     `json:"verdict"`
	Bias          *float64    `json:"bias_deg"`
	OfTrusted     *float64    `json:"bias_against_trusted_deg"`
	Trusted       *jsonStated `json:"trusted"`
	Chain         []jsonLink  `json:"chain"`
	StandardError *float64    `json:"bias_standard_error_deg"`
	DOF           *float64    `json:"bias_dof"`
	Hidden        *float64    `json:"h_deg"`
	Open          *float64    `json:"bias_open_deg"`
	Scatter       *float64    `json:"allowed_scatter"`
	Record        jsonRecord  `json:"job_record"`
}

const notEarlier = "found no result of a study of two stops, expected what `markaudit qualify --format json` wrote of one study"

// ReadQualify reads back the comparison that [Qualify] wrote of the stop that is the
// trusted one now, and returns its bias with all that stands behind it. trusted is
// the name that stop goes by now; empty: not said. The errors say what is no such
// result, one that did not qualify its stop, or one of another stop.
func ReadQualify(data []byte, trusted string) (qualify.Stated, error) {
	if strings.HasPrefix(strings.TrimSpace(string(data)), "[") {
		return qualify.Stated{}, errors.New("found several results in one file, expected one: qualify the trusted stop in a call of its own")
	}
	var in earlierStudy
	if err := json.Unmarshal(data, &in); err != nil || in.Verdict == nil || in.Scatter == nil {
		return qualify.Stated{}, errors.New(notEarlier)
	}
	if *in.Verdict != qualify.Qualified.String() {
		return qualify.Stated{}, fmt.Errorf("found the verdict %s, expected qualified: a stop that is not qualified cannot be trusted", inputerror.Visible(*in.Verdict))
	}
	of := map[string]string{} // only looked up
	for _, i := range in.Record.Instruments {
		if i.Name != nil {
			of[i.Role] = *i.Name
		}
	}
	stop := of["new stop"]
	switch {
	case stop == "":
		return qualify.Stated{}, errors.New("found no name of the stop that was qualified, expected one: run that study again with --name")
	case trusted != "" && trusted != stop:
		return qualify.Stated{}, fmt.Errorf("found a study that qualified %s, expected one of %s, which is the trusted stop here", inputerror.Visible(stop), inputerror.Visible(trusted))
	case in.Bias == nil || in.StandardError == nil || in.DOF == nil || in.Hidden == nil || in.Open == nil || len(in.Record.Files) == 0:
		return qualify.Stated{}, errors.New("found a result without bias_standard_error_deg or what else a chain needs, expected one of this version: run that study again")
	}
	own := jsonLink{
		Stop: &stop, Digest: &in.Record.Files[0].Digest, Bias: *in.Bias, StandardError: *in.StandardError, DOF: in.DOF, Limit: *in.Hidden + *in.Open,
	}
	if in.OfTrusted != nil {
		own.Bias = *in.OfTrusted
	}
	against := of["trusted stop"]
	own.Against = textOrNull(against)
	links := append([]jsonLink{own}, in.Chain...)
	if in.Trusted != nil && len(in.Chain) == 0 {
		if against == "" {
			against = "the stop before it"
		}
		links = append(links, jsonLink{Stop: &against, Bias: in.Trusted.Bias, StandardError: in.Trusted.Expanded / 2})
	}
	var chain []qualify.Link
	for _, l := range links {
		if l.Stop == nil || !(math.Abs(l.Bias) <= 90 && 0 <= l.StandardError && l.StandardError <= 90 && 0 <= l.Limit && l.Limit <= 90) || l.DOF != nil && !(*l.DOF >= 1) {
			return qualify.Stated{}, errors.New("found numbers in the result that no study gives, expected the file as it was written: run that study again")
		}
		link := qualify.Link{Stop: *l.Stop, Bias: geometry.Angle(l.Bias), StandardError: geometry.Angle(l.StandardError), Limit: geometry.Angle(l.Limit)}
		if l.Against != nil {
			link.Against = *l.Against
		}
		if l.Digest != nil {
			link.Digest = *l.Digest
		}
		if l.DOF != nil {
			link.DOF = *l.DOF
		}
		chain = append(chain, link)
	}
	return qualify.Chained(chain)
}

// StopOf is the stop that a result of [Qualify] is about, as its record has it.
func StopOf(data []byte) (stop jobrecord.Instrument) {
	var in earlierStudy
	if err := json.Unmarshal(data, &in); err != nil {
		return stop
	}
	said := func(s *string) string {
		if s == nil {
			return ""
		}
		return *s
	}
	for _, i := range in.Record.Instruments {
		if i.Role == "new stop" {
			stop = jobrecord.Instrument{Role: i.Role, Name: said(i.Name), Number: said(i.Number), Certificate: said(i.Certificate), Due: said(i.Due)}
		}
	}
	return stop
}
