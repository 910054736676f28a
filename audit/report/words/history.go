package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/history"
	"markaudit/audit/past"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// History says the history of a readout in sentences. Names are the sheets by their
// paths, as they were given; none where a history file was.
type History struct {
	Result sheet.History
	Left   []history.Left
	Names  []string
	Line   string // whose offsets are shown, empty for none
}

// Title names the readout.
func (v History) Title() string { return "History of " + Clean(v.Result.Readout) }

// Says is what the history comes to.
func (v History) Says() string {
	h := v.Result
	hands := ""
	if len(h.By) > 0 {
		names := make([]string, len(h.By))
		for i, n := range h.By {
			names[i] = Clean(n)
		}
		hands = ", in the hands of " + strings.Join(names, ", ")
	}
	parts := []string{fmt.Sprintf("%s with a step of %s°%s.", rounding.Count(len(h.Sheets), "sheet", "sheets"), rounding.Plain(rounding.Trimmed(h.Step.Degrees())), hands)}
	for _, p := range []struct {
		what string
		past sheet.Past
		more string
	}{
		{"Middles of two contacts scatter by", h.Middle(), ""},
		{"Readings of a line scatter by", h.Reading(), ""},
		{"Remounting changes a line by", h.Mounting(), fmt.Sprintf(", rounding, stop and readings in it, with %s pairs and %s readings a setup", inTenths(h.Mounting().Pairs), inTenths(h.Mounting().Readings))},
	} {
		switch {
		case p.past.DOF == 0:
			parts = append(parts, p.what+": not seen.")
		default:
			by := Spread(p.past.SD)
			if p.past.SD == 0 {
				by = "less than the step lets see"
			}
			text := fmt.Sprintf("%s %s (standard deviation, %s degrees of freedom, %s)%s.", p.what, by, rounding.Fixed(p.past.DOF, 0), rounding.Count(p.past.Sheets, "sheet", "sheets"), p.more)
			if p.past.DOF < past.EnoughDOF {
				text += fmt.Sprintf(" That is too little to be used: %d degrees of freedom are wanted.", past.EnoughDOF)
			}
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, " ")
}

// inTenths is a mean of whole numbers.
func inTenths(x float64) string { return rounding.Plain(rounding.Trimmed(float64(int(10*x+0.5)) / 10)) }

// Spread is a standard deviation with two digits.
func Spread(a geometry.Angle) string { return rounding.TwoDigits(a) }

// InControl is what to do about the chart.
func (v History) InControl() []string {
	var out []string
	outside := past.Outside(v.Result)
	for _, i := range outside {
		out = append(out, v.Sheet(i)+": scatters more than the sheets before it let one expect.")
	}
	for _, x := range past.Values(v.Result, v.Line) {
		if x.Outside {
			out = append(out, fmt.Sprintf("%s: %s comes up %s, away from the sheets before it.", v.Sheet(x.Sheet), TheLine(v.Line), rounding.OffBy(x.Offset, rounding.Unsure)))
		}
	}
	if len(out) == 0 {
		return v.tooLittle()
	}
	out = append(out, "Stop. Look at pointer, stop and wheel. Take the history anew from here.")
	if len(outside) > 0 {
		out = append(out, "Until then a sheet that names this history does not use it. What lies outside stays in it unless it is struck with --without and its digest.")
	}
	return out
}

// tooLittle says what to do where no sheet lies outside: nothing, unless part of the
// history is not known well enough to be used, or no sheet had any before it.
func (v History) tooLittle() []string {
	var unknown []string
	limits, several := false, false
	for _, k := range past.Kinds() {
		if [...]sheet.Past{v.Result.Middle(), v.Result.Reading(), v.Result.Mounting()}[k].DOF < past.EnoughDOF {
			unknown = append(unknown, k.String())
		}
		points := past.Chart(v.Result, k)
		limits = limits || slices.ContainsFunc(points, func(p past.Point) bool { return p.Limit > 0 })
		several = several || len(points) > 1
	}
	none := "No sheet lies outside."
	switch {
	case !limits && several:
		none = "Whether a sheet lies outside cannot be told. Those before it show no scatter to compare it with."
	case !limits:
		none = "Whether a sheet lies outside cannot be told yet. There is none before it to compare it with."
	case len(unknown) == 0:
		return []string{"Nothing: no sheet lies outside."}
	}
	if len(unknown) == 0 {
		return []string{none}
	}
	return []string{none, "Gather it anew when there are further sheets of this readout. Too little is known of " + strings.Join(unknown, " and ") + ", and a later sheet cannot use it."}
}

// Sheet names one sheet of the history: its day and its digest.
func (v History) Sheet(i int) string {
	s := v.Result.Sheets[i]
	if s.Date == "" {
		return fmt.Sprintf("undated (%.12s)", s.Digest)
	}
	return fmt.Sprintf("%s (%.12s)", s.Date, s.Digest)
}

// LeftOut says what is not in the history, and why.
func (v History) LeftOut() []string {
	var out []string
	for _, l := range v.Left {
		name := ""
		if l.Result < len(v.Names) {
			name = Clean(v.Names[l.Result]) + ": "
		}
		out = append(out, name+leftOut(l)+".")
	}
	return out
}

func leftOut(l history.Left) string {
	switch l.Reason {
	case history.Twice:
		return "the same readings once more, counted once"
	case history.OtherHands:
		return "left out, because other hands took a setup of it"
	case history.Moved:
		return "left out, because the readout moved"
	case history.Drifted:
		return "left out, because its middles creep"
	case history.InDwell:
		return "left out, because the stop sat where the piston hardly moves"
	case history.Suspect:
		return "left out, because one mistake on it would explain its offsets"
	case history.NoTDC:
		return "left out, because it has no TDC"
	case history.Without:
		return "struck with --without"
	case history.ZeroedAlike:
		return "its remounting is left out, because its setups were zeroed alike and round alike"
	case history.Swept:
		return "its remounting is left out, because TDC was found without a stop"
	}
	return "without its " + rounding.Count(l.Count, "struck reading", "struck readings")
}

// AboutChart says how the chart is to be read.
const AboutChart = "Standard deviations in degrees. In brackets is the limit that the sheets before give: one honest sheet in 200 lies above it. A star is outside it, or the fourth in a row in the upper tenth."

// AboutValues says how the chart of a line is to be read.
const AboutValues = "its offsets, with the mean of the sheets before and how far from it one may lie, from the fifth on. It is for a line that is read again and again on a part that does not change."
