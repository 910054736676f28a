package words

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/plan"
	"markaudit/audit/qualify"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Plan says a plan in sentences.
type Plan struct {
	Result plan.Plan
	Sheet  sheet.Sheet
	rounding.Lengths
}

// Title names what is to be audited.
func (v Plan) Title() string {
	return "Plan for an audit" + strings.TrimSuffix(", "+Clean(v.Sheet.Title), ", ")
}

// AboutDepths says what speaks for a shallow stop and what for a deep one, and which
// rock they are compared by.
func (v Plan) AboutDepths() string {
	text := "A shallow stop turns a hair of height into degrees. A deep one depends more on pin and bore offset, meets valves sooner, and needs a long tool."
	if v.Result.Usually {
		text += fmt.Sprintf(" Compared with rock of ± %s, which is usual. State your own by --contact, or as limits.contact on the sheet: it counts in every ± below too.", v.Of(v.Result.Rock))
	}
	return text
}

// Worst says of which line the uncertainties of a plan are.
func (v Plan) Worst() string {
	return "± of " + Quoted(v.Result.Worst.Name) + ", the line that is known worst, on average:"
}

// PlusMinus prints a ±, with its millimetres on the rim where the diameter is known.
func (v Plan) PlusMinus(u geometry.Angle) string {
	if math.IsInf(u.Degrees(), 0) {
		return "± ?"
	}
	text := "± " + rounding.TwoDigits(u)
	if d := v.Sheet.Part.Diameter; d > 0 {
		if v.Sheet.Part.HalfSpeed {
			u /= 2
		}
		text += " (" + v.Of(geometry.Rim{Diameter: d}.Arc(u)) + " on the rim)"
	}
	return text
}

// Steps says where to set the stop and how much to read, and what that will tell.
func (v Plan) Steps() []string {
	best := v.Result.Best
	var out []string
	if best.Drop > 0 {
		out = append(out, fmt.Sprintf("Set the stop for a half arc of %s. Bring the piston to %s below its top, before TDC and on its way up. Screw the stop in until it touches, and lock it there.",
			rounding.Degrees(best.HalfArc, 0), v.Of(best.Drop)))
	} else {
		out = append(out, fmt.Sprintf("Set the stop for a half arc of about %s. Depths cannot be compared without stroke and rod. Give them to have it in millimetres of piston.", rounding.Degrees(best.HalfArc, 0)))
	}
	if l := v.Result.Least; l != nil {
		text := fmt.Sprintf("Take %s, each with %s of stop contacts and %s of every line", rounding.Count(l.Setups, "setup", "setups"), rounding.Count(l.Trials, "pair", "pairs"), rounding.Count(l.Readings, "reading", "readings"))
		if l.Setups > 1 {
			text += ", the readout off and on again in between"
		}
		out = append(out, text+fmt.Sprintf(". That is the least that is likely to give %s. Asked for was %s.", v.PlusMinus(l.U), v.PlusMinus(v.Result.Wanted)))
	} else {
		out = append(out, fmt.Sprintf("Nothing up to 6 setups with 10 pairs and 6 readings is likely to give %s. See below what would make it better.", v.PlusMinus(v.Result.Wanted)))
	}
	out = append(out, fmt.Sprintf("With that an offset of %s from its place is found outside ±%s° four times in five.", strings.TrimPrefix(v.PlusMinus(v.Result.Outside), "± "), rounding.Plain(rounding.Trimmed(v.Result.Worst.Tolerance.Degrees()))))
	if v.Result.Hides {
		out = append(out, fmt.Sprintf("The step of %s° hides what the readings scatter by. Read finer, or begin each setup with the readout at another start (or use readout.history).", rounding.Plain(rounding.Trimmed(v.Sheet.Readout.Step.Degrees()))))
	}
	if u := v.Result.Best.U; u > v.Result.Worst.Tolerance {
		out = append(out, "Measure more surely than that: the ± is larger than the tolerance, and such an audit can never show this line to be within.")
	}
	return out
}

// Better names a means that would make an audit surer.
func Better(m plan.Means) string { return betterMeans[m] }

var betterMeans = map[plan.Means]string{ // only looked up
	plan.FinerStep:     "a readout with a fifth of the step",
	plan.CentredWheel:  "the wheel centred four times as closely",
	plan.BothSides:     "lines read from both sides, so that lost motion drops out",
	plan.FinerSighting: "lines sighted twice as finely",
	plan.LessRock:      "half the rock: a stop nearer the pin's axis",
}

// Granted says what a plan rests on, and what of it was guessed.
func (v Plan) Granted(g plan.Guess, guessed []string) string {
	text := fmt.Sprintf("Standard deviation of one middle of two contacts %s°, of one reading of a line %s°, of remounting %s°; step %s°.",
		rounding.Plain(rounding.Trimmed(g.Middle.Degrees())), rounding.Plain(rounding.Trimmed(g.Reading.Degrees())), rounding.Plain(rounding.Trimmed(g.Remount.Degrees())), rounding.Plain(rounding.Trimmed(v.Sheet.Readout.Step.Degrees())))
	if len(guessed) > 0 {
		text += " Guessed, as is usual for such a readout: " + strings.Join(guessed, ", ") + ". Take them from an earlier audit with --like, or measure five pairs and see."
	}
	if min(g.Middle, g.Reading, g.Remount) < geometry.Tie {
		text += " 0° stands for a scatter that the step hides. A finer readout shows it, and gains less than is said here."
	}
	return text + " What comes out scatters about what is planned. The audit itself goes by what was read."
}

// StopStudy says how large a study of two stops should be.
func StopStudy(p qualify.Planned) string {
	if p.Least == nil {
		return "No study of up to ten setups of eight pairs qualifies such a stop four times in five. The step hides too much, the stop scatters too much, or its bias lies too near to what is allowed. Take a finer readout, or allow more."
	}
	return fmt.Sprintf("Take %d setups of %d pairs of each stop, in the order reference, new, new, reference: the fewest that qualify a stop as good as this with %s.",
		p.Least.Setups, p.Least.Pairs, rounding.Percent(p.Least.Qualified))
}

// AboutStopStudy says what the chances are of.
func AboutStopStudy(p qualify.Planned) string {
	show := func(a geometry.Angle) string { return rounding.Plain(rounding.Trimmed(a.Degrees())) + "°" }
	return fmt.Sprintf("Of a stop whose bias is %s with ±%s allowed, middles of either stop to %s, fittings to %s, a step of %s (standard deviations; 4,000 studies drawn).",
		show(p.Bias), show(p.AllowedBias), show(p.Scatter), show(p.Fitting), show(p.Step))
}
