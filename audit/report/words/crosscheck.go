package words

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/crosscheck"
	"markaudit/audit/report/rounding"
)

// BetweenCylinders says how far the cylinders' TDCs lie apart; empty where that was
// not found.
func BetweenCylinders(v Audit) string {
	var texts []string
	for _, b := range v.Result.Checks.Cylinders {
		e := b.Angle
		value := rounding.SureDegrees(e.Value, e.Expanded)
		if !e.Known {
			value = rounding.Degrees(e.Value, rounding.Unsure) + " ± ?"
		}
		text := fmt.Sprintf("TDC of cylinder %s comes %s after that of cylinder %s, from %s that saw both. The sheet says %s°",
			Clean(b.To), value, Clean(b.From), rounding.Count(b.Mountings, "mounting", "mountings"), rounding.Plain(b.Declared.Degrees()))
		switch {
		case !e.Known:
			text += ". Too little was repeated to show whether that agrees."
		case b.Differs:
			text += ", which differs. The lines of each cylinder were counted from its own TDC, and not by the sheet's angle."
		default:
			text += ", which agrees."
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, " ")
}

// MethodsCompared compares the ways of finding TDC; empty where there is one.
func MethodsCompared(v Audit) string {
	var texts []string
	for _, c := range v.Result.Checks.Ways {
		e := c.Difference
		if !e.Known {
			texts = append(texts, fmt.Sprintf("By %s TDC is %s than by %s. How sure that is cannot be told: what remounting adds is not known.", byMethod(c.Second), rounding.Later(e.Value, rounding.Unsure), byMethod(c.First)))
			continue
		}
		n := rounding.Places(e.Expanded.Degrees())
		where := "with the readout left alone"
		if !c.Together {
			where = "over the lines, the readout remounted in between"
		}
		verdict := "they agree"
		if c.Differ {
			verdict = "they do not agree"
		}
		texts = append(texts, fmt.Sprintf("By %s TDC is %s than by %s, ± %s, %s: %s.", byMethod(c.Second), rounding.Later(e.Value, n), byMethod(c.First), rounding.TwoDigits(e.Expanded), where, verdict))
	}
	return strings.Join(texts, " ")
}

// StopDepths says what two stop depths showed; empty where there was one.
func StopDepths(v Audit) string {
	r := v.Result.TDC.Rock
	if r == nil {
		return ""
	}
	text := fmt.Sprintf("Setups %s put the stop at two clearly different depths. ", strings.Join(CleanAll(r.Setups), ", "))
	size, u := rounding.Fixed(math.Abs(r.Height.Millimetres()), 3), rounding.Fixed(r.U.Millimetres(), 3)
	switch {
	case !r.Seen:
		text += fmt.Sprintf("No piston rock is seen: the contacts differ in height by %s ± %s mm.", size, u)
	case r.Used:
		text += fmt.Sprintf("TDC depends on the depth: piston rock of %s ± %s mm between the contacts does this. That is more than limits.contact allows, and %s mm was used in its place.", size, u, rounding.Fixed(r.Limit.Millimetres(), 3))
	default:
		text += fmt.Sprintf("TDC depends on the depth: piston rock of %s ± %s mm between the contacts does this. limits.contact covers it.", size, u)
	}
	return text
}

// BlockedArcs says what stops left in their place showed of the wheel, one text
// for each fitting of the stop.
func BlockedArcs(v Audit) []string {
	var out []string
	for _, c := range v.Result.Checks.Arcs {
		text := fmt.Sprintf("Setups %s were taken with the stop left alone (fitting %s). It blocks one angle in all of them. ", strings.Join(CleanAll(c.Setups), ", "), Clean(c.Fitting))
		read := fmt.Sprintf("The readout shows it by values up to %s apart", rounding.Degrees(c.Range, 2))
		switch {
		case c.Varies:
			text += read + ", more than the contacts scatter. "
		default:
			text += read + ", no more than the contacts scatter. "
		}
		if len(v.Result.ByLine()) > 0 { // else it is the answer, and said first
			found, slide := wheelOffCentre(v, c)
			text += strings.TrimSpace(found + " " + slide)
		}
		out = append(out, text)
	}
	return out
}

// wheelOffCentre says how far off centre the wheel was seen to sit by one fitting of the
// stop, and how to slide it.
func wheelOffCentre(v Audit, c crosscheck.Centring) (found, slide string) {
	if !c.Fitted {
		return "", "Take four setups or more, with the wheel turned on its shaft in steps round the circle. They show how far it sits off centre."
	}
	size := rounding.SureDegrees(c.Amplitude, c.U)
	mm := ""
	if c.OffCentre > 0 {
		mm = v.Fine().Sure(c.OffCentre, c.OffU)
	}
	toward := rounding.Fixed(c.Toward.Degrees(), 0)
	opposite := rounding.Round(c.Toward+180, 0)
	if !c.Seen {
		if mm != "" {
			mm = ", " + mm + " at its centre"
		}
		return "The wheel is not seen to sit off centre: " + size + mm + ".", ""
	}
	if mm == "" {
		return fmt.Sprintf("The wheel reads wrong by up to %s: its centre sits off the shaft, towards its %s graduation.", size, toward), "Add readout.diameter to have it in millimetres."
	}
	return fmt.Sprintf("The wheel reads wrong by up to %s: its centre sits %s off the shaft, towards its %s graduation. Higher harmonics, and an error that repeats every half turn, are not seen here.", size, mm, toward),
		fmt.Sprintf("Slide the wheel until its %s graduation has moved %s away from the shaft's centre.", opposite, v.Fine().Of(c.OffCentre))
}

// AboutSpacings says what measured distances are good for.
const AboutSpacings = "As the sheet states them. The ± is that of the difference. They do not depend on readout and stop. Where they agree with the readings and not with where the lines belong, a line is off."
