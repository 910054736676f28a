package export

import (
	"io"
	"math"
	"strings"

	"markaudit/audit/compare"
	"markaudit/audit/jobrecord"
	"markaudit/audit/qualify"
	"markaudit/audit/repeatability"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// CSV is how tables for scripts are written.
type CSV struct {
	DecimalComma bool // semicolons, and a comma in numbers, as some spreadsheets want
	NoHeader     bool // another table of the same kind stands before this one
}

// of begins a table whose last columns are those of the record.
func (c CSV) of(header ...string) *table {
	t := newTable(append(header, "study_sha256", "software")...)
	t.CSV = c
	return t
}

// decimal is a number with the sign that spreadsheets expect between its digits.
func (c CSV) decimal(number string) string {
	if c.DecimalComma {
		return strings.Replace(number, ".", ",", 1)
	}
	return number
}

// recorded are the last columns.
func recorded(r jobrecord.Record) []any {
	digests := make([]string, len(r.Files))
	for i, f := range r.Files {
		digests[i] = f.Digest
	}
	return []any{strings.Join(digests, " "), r.Software}
}

// Qualify writes the comparison of two stops as one row.
func (c CSV) Qualify(w io.Writer, r qualify.Result, stop, against string, rec jobrecord.Record) error {
	t := c.of("stop", "against", "verdict", "reasons", "bias_deg", "low_deg", "high_deg", "allowed_deg", "p_lower", "p_upper", "ratio_upper", "creep_fitting_deg", "h_deg")
	reasons := make([]string, len(r.Reasons))
	for i, reason := range r.Reasons {
		reasons[i] = string(reason)
	}
	var bias, low, high, pLower, pUpper *float64
	if b := r.Bias; b != nil {
		bias = known(b.Value.Degrees())
		low, high = when(b.Known, b.Low.Degrees()), when(b.Known, b.High.Degrees())
		pLower, pUpper = when(b.Known, b.PLower), when(b.Known, b.PUpper)
	}
	t.row(append([]any{
		stop, against, r.Verdict.String(), strings.Join(reasons, " "), bias, low, high, r.AllowedBias.Degrees(), pLower, pUpper,
		when(r.Ratio.Shown, math.Sqrt(r.Ratio.Upper)), when(r.CreepFitting.Known, r.CreepFitting.Change.Degrees()), r.Hidden.Degrees(),
	}, recorded(rec)...)...)
	return t.write(w)
}

// Wheel writes the curve of a readout, every 15 degrees.
func (c CSV) Wheel(w io.Writer, r wheel.Result, rec jobrecord.Record) error {
	t := c.of("reading_deg", "error_deg", "expanded_uncertainty_deg")
	for at := geometry.Angle(0); at < 360; at += 15 {
		t.row(append([]any{at.Degrees(), r.ErrorAt(at).Degrees(), when(r.CurveKnown(), r.Expanded(at).Degrees())}, recorded(rec)...)...)
	}
	return t.write(w)
}

// Repeat writes a study of people, a row each.
func (c CSV) Repeat(w io.Writer, r repeatability.Result, rec jobrecord.Record) error {
	t := c.of("by", "values", "deviation_deg", "sd_deg", "low_deg", "high_deg", "h", "k", "flags")
	for _, p := range r.People {
		var flags []string
		for _, f := range r.Flags {
			if f.By == p.By {
				flags = append(flags, string(f.Code))
			}
		}
		t.row(append([]any{
			p.By, p.N, estimate(p.Deviation), estimate(p.SD), when(p.SD.Bounded, p.SD.Low), when(p.SD.Bounded, p.SD.High),
			estimate(p.H), estimate(p.K), strings.Join(flags, " "),
		}, recorded(rec)...)...)
	}
	return t.write(w)
}

// Comparison writes what changed, a row for each line from each audit to the next,
// and one for each part, whose mark is empty; audits are their places in the order of
// their dates, from 0.
func (c CSV) Comparison(w io.Writer, r compare.Comparison, rec jobrecord.Record) error {
	t := c.of("from", "to", "mark", "change_deg", "expanded_uncertainty_deg", "differs", "cause", "on")
	yes := func(known, so bool) string {
		switch {
		case !known:
			return ""
		case so:
			return "yes"
		}
		return "no"
	}
	row := func(cells ...any) { t.row(append(cells, recorded(rec)...)...) }
	for _, ch := range r.Changes {
		e, cause := ch.Difference, "" // of the step from one audit to the next
		for _, s := range r.Steps {
			if s.From == ch.From && s.To == ch.To {
				cause = s.Cause.String()
			}
		}
		on := ""
		for _, l := range r.Audits[ch.To].Lines {
			if l.Name == ch.Mark {
				on = l.On
			}
		}
		row(ch.From, ch.To, ch.Mark, e.Value.Degrees(), when(e.Known, e.Expanded.Degrees()), yes(e.Known, ch.Differs), cause, on)
	}
	for _, s := range r.Steps {
		for _, p := range s.Parts {
			e := p.Change
			row(s.From, s.To, "", when(e.Known, e.Value.Degrees()), when(e.Known, e.Expanded.Degrees()), yes(e.Known, p.Moved), s.Cause.String(), p.On)
		}
	}
	return t.write(w)
}
