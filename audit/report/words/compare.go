package words

import (
	"fmt"
	"strings"
	"time"

	"markaudit/audit/compare"
	"markaudit/audit/lines"
	"markaudit/audit/report/rounding"
)

// Comparison says a comparison in sentences.
type Comparison struct {
	Result compare.Comparison
	Paths  []string
}

// Title names the part, and how many audits there are of it.
func (v Comparison) Title() string {
	last := v.Result.Audits[len(v.Result.Audits)-1].Sheet
	title := last.Title
	if title == "" {
		title = last.Part.Name
	}
	return strings.TrimPrefix(Clean(title)+", ", ", ") + rounding.Count(len(v.Result.Audits), "audit", "audits")
}

// Name is how an audit is called: by its day, else by its sheet.
func (v Comparison) Name(i int) string {
	if t := v.Result.Taken[i]; !t.IsZero() {
		day := t.Format(time.DateOnly)
		for j, other := range v.Result.Taken {
			if j != i && other.Equal(t) { // twice on one day
				return day + " (" + Clean(v.Paths[v.Result.Order[i]]) + ")"
			}
		}
		return day
	}
	return Clean(v.Paths[v.Result.Order[i]])
}

// Label is an audit's day, or its number where it has none.
func (v Comparison) Label(i int) string {
	if t := v.Result.Taken[i]; !t.IsZero() {
		return t.Format(time.DateOnly)
	}
	return fmt.Sprint(i + 1)
}

// Steps is what changed, most important first: what the lines did together, and
// whether lines that were to be scribed anew came up as meant.
func (v Comparison) Steps() []string {
	var out []string
	for _, s := range v.Result.Steps {
		out = append(out, v.Step(s))
	}
	for _, ch := range v.Result.Changes {
		if !ch.Scribed {
			continue
		}
		e := ch.Difference
		text := fmt.Sprintf("%s was to be scribed anew after %s, to come up %s", Clean(ch.Mark), v.Name(ch.From), rounding.Later(ch.Meant, rounding.Places(e.Expanded.Degrees())))
		switch {
		case ch.Moved:
			text += ". Whether it does cannot be told: a readout moved during one of the two audits."
		case !e.Known:
			text += fmt.Sprintf("; it comes up %s now, and nothing shows how sure that is.", rounding.Later(e.Value, rounding.Unsure))
		case ch.AsMeant:
			text += fmt.Sprintf(", and comes up %s: as meant.", rounding.LaterSure(e.Value, e.Expanded))
		default:
			text += fmt.Sprintf(", but comes up %s: NOT as meant.", rounding.LaterSure(e.Value, e.Expanded))
		}
		out = append(out, text)
	}
	return out
}

// Step says what the lines did together.
func (v Comparison) Step(s compare.Step) string {
	between := "From " + v.Name(s.From) + " to " + v.Name(s.To) + ": "
	moved := func() string {
		e := s.Common
		return rounding.LaterSure(e.Value, e.Expanded)
	}
	switch s.Finding {
	case lines.Common:
		return between + fmt.Sprintf("all lines moved together and come up %s. So no line moved: the outer ring slipped on its rubber, the engine pointer was bent or moved, or parts were changed. Look at these; a ring that slips is replaced.", moved())
	case lines.None:
		e := s.Common
		return between + fmt.Sprintf("no change that all lines share; one under %s could hide.", rounding.Degrees(e.Value.Abs()+e.Expanded, rounding.Places(e.Expanded.Degrees())))
	case lines.SingleMark:
		text := between + fmt.Sprintf("%s moved against the others", Clean(s.StandsOut[0]))
		if s.Common != nil && s.Shifted {
			return text + "; these moved together and come up " + moved() + "."
		}
		return text + ", which stayed."
	case lines.Individual:
		if len(s.Lines) == 1 {
			return between + fmt.Sprintf("%s comes up %s. One line cannot tell a slipped ring from a line that was changed.", Clean(s.Lines[0]), moved())
		}
		return between + "the lines moved, each in its own way: no slipped ring or bent pointer alone does that. Check names and readings."
	}
	if len(s.Lines) == 0 {
		return between + "no line can be compared that was not to be scribed anew in between."
	}
	return between + "what the lines did together cannot be told: a readout moved, or too little was repeated."
}

// Trends says how fast the lines move from year to year.
func (v Comparison) Trends() []string {
	var out []string
	for _, t := range v.Result.Trends {
		e, who := t.PerYear, "All lines together"
		if t.Mark != "" {
			who = Clean(t.Mark)
		}
		switch {
		case !e.Known:
			out = append(out, who+": no trend can be judged, for too little was repeated.")
		case t.Rising:
			n := rounding.Places(e.Expanded.Degrees())
			out = append(out, fmt.Sprintf("%s: %s a year, ± %s.", who, rounding.Later(e.Value, n), rounding.TwoDigits(e.Expanded)))
		default:
			n := rounding.Places(e.Expanded.Degrees())
			out = append(out, fmt.Sprintf("%s: no trend beyond its doubt, %s a year, ± %s.", who, rounding.Later(e.Value, n), rounding.TwoDigits(e.Expanded)))
		}
	}
	for _, s := range v.Result.Steps {
		if s.Finding == lines.Common && len(out) > 0 {
			return append(out, "All lines moved together at one time, as said above, and that alone makes such a slope.")
		}
	}
	return out
}

// Meaning says what ± and CHANGED stand for, and what was left out.
func (v Comparison) Meaning() string {
	limits := v.Result.Audits[len(v.Result.Audits)-1].Sheet.Limits
	text := fmt.Sprintf("± holds the true change in %s of cases. CHANGED: so large a change would come up in fewer than 5 %% of comparisons if no line had moved. What audits share, one readout's lost motion or correction, one crank, does not count twice; remounting, stated by one figure for all, counts end to end. Later: the line comes up after where it did; earlier: before.", rounding.Confidence(limits.Confidence))
	for i := range v.Result.Audits {
		if v.Result.Taken[i].IsZero() {
			text += " Not all sheets have a date, so they stand in the order given."
			break
		}
	}
	if len(v.Result.LeftOut) > 0 {
		text += " Not compared, for the sheets do not agree where they belong: " + strings.Join(CleanAll(v.Result.LeftOut), ", ") + "."
	}
	return text
}
