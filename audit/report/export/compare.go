package export

import (
	"io"
	"time"

	"markaudit/audit/compare"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
)

// Comparison writes audits of one part compared, whose sheets are at paths, as one object and a newline.
func Comparison(w io.Writer, c compare.Comparison, paths []string, o document.Options) error {
	v := words.Comparison{Result: c, Paths: paths}
	out := jsonComparison{
		Format: 1, Software: o.Software, Audits: []jsonAudited{}, Steps: []jsonStep{}, Changes: []jsonChange{},
		Trends: []jsonTrend{}, LeftOut: append([]string{}, c.LeftOut...),
	}
	for i, r := range c.Audits {
		a := jsonAudited{Sheet: paths[c.Order[i]], Title: r.Sheet.Title, Digest: r.Sheet.Digest}
		if !c.Taken[i].IsZero() {
			a.Date = textOrNull(c.Taken[i].Format(time.DateOnly))
		}
		out.Audits = append(out.Audits, a)
	}
	for _, s := range c.Steps {
		step := jsonStep{
			From: s.From, To: s.To, Marks: append([]string{}, s.Lines...), Homogeneity: s.Homogeneity,
			Finding: s.Finding.String(), StandsOut: append([]string{}, s.StandsOut...), Cause: s.Cause.String(), Text: v.Step(s), Groups: []jsonPart{},
		}
		for _, p := range s.Parts {
			e := p.Change
			step.Groups = append(step.Groups, jsonPart{textOrNull(p.On), append([]string{}, p.Lines...), when(e.Known, e.Value.Degrees()), when(e.Known, e.Expanded.Degrees()), told(e.Known, p.Moved)})
		}
		if s.Common != nil {
			step.Offset, step.Expanded = known(s.Common.Value.Degrees()), known(s.Common.Expanded.Degrees())
		}
		out.Steps = append(out.Steps, step)
	}
	for _, ch := range c.Changes {
		e := ch.Difference
		out.Changes = append(out.Changes, jsonChange{
			Mark: ch.Mark, From: ch.From, To: ch.To, Offset: e.Value.Degrees(), Expanded: when(e.Known, e.Expanded.Degrees()), P: ch.P,
			Differs: told(e.Known, ch.Differs), Meant: when(ch.Scribed, ch.Meant.Degrees()), AsMeant: told(ch.Scribed && e.Known, ch.AsMeant),
		})
	}
	for _, t := range c.Trends {
		e := t.PerYear
		out.Trends = append(out.Trends, jsonTrend{Mark: textOrNull(t.Mark), PerYear: e.Value.Degrees(), Expanded: when(e.Known, e.Expanded.Degrees()), Rising: told(e.Known, t.Rising)})
	}
	return indented(w, out)
}

type jsonComparison struct {
	Format   int           `json:"format"`
	Software string        `json:"software"`
	Audits   []jsonAudited `json:"audits"`
	Steps    []jsonStep    `json:"steps"`
	Changes  []jsonChange  `json:"changes"`
	Trends   []jsonTrend   `json:"trends"`
	LeftOut  []string      `json:"left_out"`
}

type jsonAudited struct {
	Sheet  string  `json:"sheet"`
	Title  string  `json:"title"`
	Date   *string `json:"date"`
	Digest string  `json:"digest"`
}

type jsonStep struct {
	From        int      `json:"from"`
	To          int      `json:"to"`
	Marks       []string `json:"marks"`
	Offset      *float64 `json:"offset_deg"`
	Expanded    *float64 `json:"expanded_uncertainty_deg"`
	Homogeneity *float64 `json:"homogeneity_p"`
	Finding     string   `json:"finding"`
	StandsOut   []string `json:"stands_out"`
	Cause       string   `json:"cause"`
	Text        string   `json:"text"`

	Groups []jsonPart `json:"groups"`
}

type jsonPart struct {
	On       *string  `json:"on"`
	Marks    []string `json:"marks"`
	Offset   *float64 `json:"offset_deg"`
	Expanded *float64 `json:"expanded_uncertainty_deg"`
	Moved    *bool    `json:"moved"`
}

type jsonChange struct {
	Mark     string   `json:"mark"`
	From     int      `json:"from"`
	To       int      `json:"to"`
	Offset   float64  `json:"offset_deg"`
	Expanded *float64 `json:"expanded_uncertainty_deg"`
	P        *float64 `json:"p"`
	Differs  *bool    `json:"differs"`
	Meant    *float64 `json:"meant_deg"`
	AsMeant  *bool    `json:"as_meant"`
}

type jsonTrend struct {
	Mark     *string  `json:"mark"`
	PerYear  float64  `json:"deg_per_year"`
	Expanded *float64 `json:"expanded_uncertainty_deg_per_year"`
	Rising   *bool    `json:"seen"`
}
