package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Doubt is a warning as a sentence or more.
type Doubt struct {
	Text string
	Code warning.Code
}

// Warnings is every warning as a sentence, but for those that were the first thing
// to do. Lines whose uncertainty is too large for them are named together, and
// not where they are outside all the same.
func Warnings(v Audit) []string {
	var out []string
	for _, d := range Doubts(v) {
		out = append(out, d.Text)
	}
	return out
}

// Doubts is [Warnings] with the code of each.
func Doubts(v Audit) []Doubt {
	var out []Doubt
	var large []string
	for _, w := range v.Result.Warnings {
		switch {
		case toDoFirst(w.Code), w.Code == warning.LineOrder && orderExplained(v), w.Code == warning.ScattersDiffer && oneReadingOdd(v, w.Mark):
		case w.Code == warning.UAboveTolerance:
			if !slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Name == w.Mark && m.Verdict == diagnosis.Outside }) {
				large = append(large, Quoted(w.Mark))
			}
		default:
			out = append(out, Doubt{Dot(Warning(v, w)), w.Code})
		}
	}
	if len(large) > 0 {
		text := ofLines(large) + ": the ± is larger than the tolerance. This measurement cannot show such a line to be within."
		out = slices.Insert(out, 0, Doubt{text, warning.UAboveTolerance})
	}
	return out
}

// orderExplained reports whether what explains the evidence best is an entry that puts
// lines into another order: the order is then a finding, and not a doubt of its own.
func orderExplained(v Audit) bool {
	d := v.Result.Diagnosis
	if !d.Refuted {
		return false
	}
	c := d.Best().Code
	return c == diagnosis.Letters || c == diagnosis.Names || c == diagnosis.Counts
}

// oneReadingOdd reports whether a reading of a line is said to stand out: its scatter is then
// that reading, and no second doubt.
func oneReadingOdd(v Audit, line string) bool {
	return slices.ContainsFunc(v.Result.Warnings, func(w warning.Warning) bool { return w.Code == warning.StandsOut && w.Mark == line })
}

// toDoFirst reports whether a doubt is the first thing to do, and so not repeated
// among the doubts.
func toDoFirst(c warning.Code) bool {
	return c == warning.DeclarationSuspect || c == warning.ReadoutMoved || c == warning.StopInDwell || c == warning.EyeCheckFailed
}

// Warning says one doubt, and what to do about it: one sentence or more, the last without
// its full stop.
func Warning(v Audit, w warning.Warning) string {
	text := doubt(v, w)
	for _, name := range w.Names { // a key, or a name of the sheet, stays as it is written
		if name != "" && strings.HasPrefix(text, Clean(name)) {
			return text
		}
	}
	if w.Code == warning.SameDiameters { // begins with a key
		return text
	}
	return capital(text)
}

// doubt is the same before its first letter is made a capital.
func doubt(v Audit, w warning.Warning) string {
	val := func(i int) string { return rounding.Degrees(geometry.Angle(math.Abs(w.Values[i])), rounding.Unsure) }
	in := ""
	if w.Setup != "" {
		in = "setup " + Clean(w.Setup) + ": "
	}
	name := TheLine(w.Mark)
	names := make([]string, len(w.Names))
	for i, n := range w.Names {
		names[i] = Clean(n)
	}
	if text := dialWarning(v, w, in); text != "" {
		return text
	}
	switch w.Code {
	case warning.StopInDwell:
		return in + "the stop blocks only " + val(0) + ". The piston hardly moves there, and a hair of height is a degree. Screw it deeper, to a half arc of 20 to 35°"
	case warning.HalfArcCreeps:
		return in + "the half arc creeps, by " + val(0) + " from first pair to last. The stop is working loose. Lock it and take the pairs again"
	case warning.HalfArcJumps:
		return in + "the half arc jumps, by " + val(0) + " in all, more than the middles scatter. The stop or the touch changed between pairs. The middles hold only if both contacts of each pair were taken alike"
	case warning.OneTrial:
		return "only one " + pairOfTDC(v) + " was taken in any setup, and no ± can be given. Take two more pairs"
	case warning.TwoTrials:
		return "only two " + pairsOfTDC(v) + " repeat each other. Take a third: it divides their share of every ± by about three"
	case warning.NoPair:
		return in + "it has no usable " + pairOfTDC(v) + ", and its readings of lines are not used. Take the pairs again"
	case warning.NoRemounting:
		return "the readout was not taken off and refitted often enough to show what that adds. Take three setups, or state limits.remount"
	case warning.SetupsDiffer:
		which, more := "the two setups differ", "Take a third setup"
		if len(v.Result.TDC.Mountings) > 2 {
			which, more = "the setups differ", "Take another setup"
		}
		return which + " by " + val(0) + ", more than their own scatter explains. Something changed when the readout was refitted. " + more
	case warning.SetupCopied:
		return in + "every reading is that of an earlier setup. Look whether it was written down twice. The ± counts it as if it were not"
	case warning.RemountExceeded:
		return "the setups scatter by " + val(0) + ", more than limits.remount allows (standard uncertainty " + val(1) + "). The scatter that was seen is counted. Put limits.remount right"
	case warning.StandsOut:
		return readingStandsOut(v, w, in, name, names)
	case warning.MiddlesDrift:
		return in + "the middles of the pairs creep, by " + val(0) + " from first to last. The readout or the pointer is moving. Make it fast, and take contacts and lines again"
	case warning.ScattersDiffer:
		return name + ": its readings scatter by " + val(0) + ", those of the other lines by " + val(1) + ". Look for a blurred line or a changed light, and read it more often"
	case warning.StepCoarse:
		return "the step of " + v.step() + " is coarser than the scatter. Readings that round alike look surer than they are, and the step is counted in full. Read finer, or " + v.otherStart() + " before each new setup (or use readout.history)"
	case warning.LostMotionSeen:
		if w.Values[0] < 0 {
			return "lines read from both sides differ by " + val(0) + ", the wrong way round for lost motion. Check which readings were approached forward"
		}
		return fmt.Sprintf("lines read from both sides show lost motion of %s. If it is the readout's, state it as lost motion of the readout, `lost_motion: %s ± %s`. Without it, lines read from one side are off by half of it",
			val(0), rounding.Fixed(w.Values[0], rounding.Unsure), rounding.NotNothing(w.Values[1], rounding.Unsure))
	case warning.LostMotionDiffers:
		return "lines read from both sides show lost motion of " + val(0) + ", the sheet says " + val(1) + ". Measure it again"
	case warning.SightingMissing, warning.RockMissing, warning.CentringMissing, warning.LostMotionMissing:
		return gaps[w.Code]
	case warning.UAboveTolerance:
		return name + ": ± " + val(0) + " is larger than the tolerance of " + rounding.Plain(w.Values[1]) + "°. This measurement cannot show the line to be within"
	case warning.NotRead:
		return name + ": it is on the sheet, but was not read. Read it three times"
	case warning.NoPartner:
		if len(names) > 0 {
			return in + "the closing contact has no partner, and shows nothing. Take the other side too"
		}
		return in + "a stop contact has no partner, and its pair is not used. Take the other side, or strike it with a reason"
	case warning.ReadOnce:
		return name + ": it was read once, and no other line lends its scatter. No ± can be given. Read it twice more"
	case warning.ReadTwice:
		return name + ": it was read twice. Read it once more: that divides its ± by about three"
	case warning.SameDiameters:
		return "part.diameter and readout.diameter are both " + v.Fine().Of(geometry.Length(w.Values[0])) + ". Check that one was not written for the other"
	case warning.OddDiameter:
		return names[0] + " is " + v.Fine().Of(geometry.Length(w.Values[0])) + ", out of the usual range. Check number and unit"
	case warning.DirectionUnchecked:
		return whyUnchecked(w) + ". Give readout.quarter_turn"
	case warning.SideUnchecked:
		before := ""
		if slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return strings.Contains(m.At.Crank(rounding.Unsure), "BTDC") }) {
			before = "Give part.btdc_lines, or make"
		} else { // there is no BTDC line to tell it by
			before = "Make"
		}
		return "nothing on the sheet confirms engine.turns and part.marks_on, and no reading can. " + before + " the check before scribing"
	case warning.DeclarationSuspect:
		mistakes := make([]string, len(w.Suspicions))
		for i, m := range w.Suspicions {
			mistakes[i] = mistake(m)
		}
		return "one mistake on the sheet would explain the offsets: " + strings.Join(mistakes, "; or ") + ". Scribe no line before that is settled"
	case warning.ReadoutMoved:
		return in + "the closing pair puts TDC " + val(0) + " from where the contacts had it. The readout moved, and that looks just like a slipped ring. Nothing is decided until contacts and lines are taken again"
	case warning.LineOrder:
		return "the lines " + Quoted(w.Names[0]) + " and " + Quoted(w.Names[1]) + " come up in the wrong order. Check their names and readout.counts"
	}
	if text := caseWarning(v, w, in, name, names); text != "" {
		return text
	}
	return string(w.Code)
}

// sideLetters are those of the side on which a dial's line was said to lie, in brackets.
func sideLetters(v Audit, name string) string {
	for _, m := range v.Result.ByLine() {
		if m.Name == name && m.ByDial != nil {
			return map[geometry.Letters]string{geometry.BTDC: " (BTDC)", geometry.ATDC: " (ATDC)"}[m.ByDial.Side]
		}
	}
	return ""
}

// whyUnchecked says why the lines do not show which way the readout counts.
func whyUnchecked(w warning.Warning) string {
	if len(w.Values) > 0 {
		return "These lines do not rule out that the readout counts the other way"
	}
	return "All lines stand at 0 or 180. A readout that counts the other way, or an engine turned the other way, would look the same"
}

// readingStandsOut names the reading that does not fit those beside it.
func readingStandsOut(v Audit, w warning.Warning, in, name string, names []string) string {
	what, where, again := "reading", "", "Take it again"
	switch {
	case w.Mark != "":
		in += name + ": "
		if len(names) > 0 {
			what = names[0] + " reading"
		}
	case len(names) > 1:
		in += "drop " + names[1] + ": "
		where = map[string]string{"forward": " before TDC", "backward": " after TDC"}[names[0]]
		again = "Take both sides of it again"
	case v.onDial():
		what = "reading of the top"
	default:
		what, again = names[0]+" contact", "Look whether it is typed wrong, else take that pair again"
	}
	shown := v.Shows(geometry.Angle(w.Values[0]), v.StepDecimals())
	if len(w.Values) > 3 {
		return fmt.Sprintf("%s%ss %.0f and %.0f%s are %s and %s, and one of them stands out. Both were used. Take both again. If you know which is wrong and why, strike it with that reason",
			in, what, w.Values[2], w.Values[3], where, shown, v.Shows(geometry.Angle(w.Values[1]), v.StepDecimals()))
	}
	return fmt.Sprintf("%s%s %.0f%s, %s, stands out: the others have %s on average. It was used. %s. If you know why, strike it with that reason",
		in, what, w.Values[2], where, shown, v.dial(w.Values[1]), again)
}

// oddReading names the reading that stands out, with its number where that is said
// among the doubts.
func oddReading(v Audit) string {
	i := slices.IndexFunc(v.Result.Warnings, func(w warning.Warning) bool { return w.Code == warning.StandsOut })
	if i < 0 || len(v.Result.Warnings[i].Values) > 3 {
		return "one reading"
	}
	w := v.Result.Warnings[i]
	text := fmt.Sprintf("reading %.0f of ", w.Values[2])
	switch {
	case w.Mark != "":
		text += TheLine(w.Mark)
	case len(w.Names) > 1:
		text += "drop " + w.Names[1] + map[string]string{"forward": " before TDC", "backward": " after TDC"}[w.Names[0]]
	case v.onDial():
		text += "the top"
	default:
		text = fmt.Sprintf("%s contact %.0f", w.Names[0], w.Values[2])
	}
	return text + ", " + v.Shows(geometry.Angle(w.Values[0]), v.StepDecimals()) + ","
}

// caseWarning says the doubts that only these engines raise; empty for others.
func caseWarning(v Audit, w warning.Warning, in, name string, names []string) string {
	deg := func(i int) string { return rounding.Degrees(geometry.Angle(math.Abs(w.Values[i])), rounding.Unsure) }
	mm := func(i, n int) string { return rounding.Fixed(math.Abs(w.Values[i]), n) + " mm" }
	switch w.Code {
	case warning.ArcsDiffer:
		return "fitting " + names[0] + ": the stop was left alone, but the arc that it blocks differs from setup to setup, by " + deg(0) + ". The wheel sits off centre or is unevenly graduated, or the stop moved after all. Look which"
	case warning.OffCentreExceeded:
		return "fitting " + names[0] + ": the wheel reads wrong by up to " + deg(0) + " as it sits, more than the " + deg(1) + " of readout.off_centre. Centre the wheel, or state more"
	case warning.CorrectionUndated:
		return "the readout's correction or this measurement has no date, and the age of the correction is not known. Date both"
	case warning.CorrectionUnknown:
		return "the readout's correction does not tell what table and reference it came from. Save it again, `markaudit wheel --write`"
	case warning.ReferenceOverdue:
		name := "the reference"
		if w.Names[0] != "" {
			name = Clean(w.Names[0])
		}
		return "the readout's correction was made against " + name + ". Its certificate ended on " + Clean(w.Names[1]) + ", before this measurement. Have it checked"
	case warning.CorrectionOld:
		return "the readout's correction is " + rounding.Fixed(math.Abs(w.Values[0]), 0) + " days away from this measurement, more than a year. Check the readout again"
	case warning.HistoryNotUsed:
		return historyNotUsed(v, w, name, in)
	case warning.HistoryOutOfControl:
		return historyOutOfControl(v, w)
	case warning.HistoryOld:
		if w.Values[0] == 0 {
			return "a date is missing, and the age of the readout's history is not known. Date this sheet and those behind the history"
		}
		return "the newest sheet of the readout's history is " + rounding.Fixed(w.Values[0], 0) + " days older than this measurement, more than two years. Gather a new history"
	case warning.DropMismatch:
		return in + "a drop of " + mm(0, 2) + " was stated, but its half arc belongs to one of " + mm(1, 2) + ". Check stroke, rod, the indicator's zero at the very top and readout.probe_angle"
	case warning.DropsTrend:
		return in + "the middle follows the half arc, by " + deg(0) + " from the smallest drop to the largest. The indicator is tilted, or stroke, rod or an offset is wrong. Check them: the ± does not include this"
	case warning.DropsDisagree:
		return in + "the drops put TDC " + deg(0) + " apart, more than they scatter. Something moved between them. Take them again"
	case warning.SweepNoTop:
		return in + "the points do not go over a top, and its readings of lines are not used. Take points well before TDC and well after it"
	case warning.SweepOneSided:
		return fmt.Sprintf("%sthere are %s points before TDC and %s after it. In such a sweep a wrong stroke or rod moves TDC. Take as many on either side", in, rounding.Fixed(w.Values[0], 0), rounding.Fixed(w.Values[1], 0))
	case warning.LimbsDiffer:
		return in + "the rising and the falling side lie " + mm(0, 3) + " further apart in height than the crank explains. Slack was taken up at the top, or the indicator hung. Take both sides with the piston rising"
	case warning.SweepMisfit:
		return fmt.Sprintf("%sthe sweep's curve is %s %% off the shape of this crank. Check stroke and rod, and that the indicator stands along the cylinder", in, rounding.Fixed(math.Abs(w.Values[0]), 1))
	case warning.DialErrorMissing:
		return gaps[w.Code] + ofCertificate(v)
	case warning.SlackMissing, warning.ProbeMissing:
		return gaps[w.Code]
	case warning.SideNotProven:
		return name + ": nothing but what was written behind its readings" + sideLetters(v, w.Mark) + " says on which side of TDC it lies. To prove it, read the dial at the line, turn a few degrees further the way the engine runs and read it there too, `further: [at the line, further on]`. " + mustGo(v, w.Mark)
	case warning.ApproachUnsaid:
		return in + "how its heights were approached is not stated. Lost motion and bearing slack count in full. State approach, rising or forward"
	case warning.RockSeen:
		return "the deep stop puts TDC " + deg(0) + " from where the shallow one has it. Piston rock of " + mm(1, 3) + " ± " + mm(2, 3) + " between the contacts does this"
	case warning.BankDiffers:
		return "cylinder " + names[1] + " comes " + deg(0) + " after cylinder " + names[0] + ", the sheet says " + deg(1) + ". Correct engine.cylinders, or ask in which cylinder the stop sat"
	case warning.BankNotFound:
		return name + ": TDC of cylinder " + names[0] + " was not found in the same mounting. The sheet's " + rounding.Fixed(w.Values[0], rounding.Unsure) + "° from cylinder " + names[1] + " is taken for it. Fit the stop there too to prove it"
	case warning.MethodsDiffer:
		return "by " + methodNamed(names[1]) + " TDC is " + rounding.Later(geometry.Angle(w.Values[0]), rounding.Unsure) + " than by " + methodNamed(names[0]) + ", more than the ± of the difference, " + deg(1) + ". One of them is wrong. Look at the doubts about each before you trust the mean"
	case warning.SpacingDiffers:
		unit := " mm"
		for _, s := range v.Result.Checks.Spacings {
			if s.From == w.Names[0] && s.To == w.Names[1] && s.Teeth > 0 {
				unit = " teeth"
			}
		}
		return fmt.Sprintf("from %s to %s the sheet has %s%s, the readings %s, ± %s. A wrong reading, a wrong name or a wrong diameter does this. Measure both again", Quoted(w.Names[0]), Quoted(w.Names[1]),
			rounding.Fixed(w.Values[0], 2), unit, rounding.Fixed(w.Values[1], 2), rounding.Fixed(w.Values[2], 2))
	}
	return ofPaperwork(w.Code, names)
}

var gaps = map[warning.Code]string{ // only looked up
	warning.SightingMissing:   "sighting is not included. State part.sighting",
	warning.RockMissing:       "piston rock is not included. State limits.contact, with stroke and rod",
	warning.LostMotionMissing: "what the encoder loses when the engine is reversed is not included. State readout.lost_motion",
	warning.SlackMissing:      "bearing slack is not included, and heights taken in one turning direction do not cancel it. State limits.slack",
	warning.DialErrorMissing:  "how far the dial itself may be off is not included. State it from the dial's certificate",
	warning.ProbeMissing:      "how closely the dial's slant is known is not included. State it with readout.probe_angle",
	warning.CentringMissing:   "how far the wheel sits off centre is not included. State readout.off_centre",
}

// NotIncluded says what the uncertainty of a line does not include; never nil.
func NotIncluded(v Audit, m audit.LineResult) []string {
	out := []string{}
	for _, c := range m.NotIncluded {
		if text, ok := dialGaps[c]; ok && v.onDial() {
			out = append(out, text)
			continue
		}
		out = append(out, gaps[c])
	}
	return out
}

// Short says a doubt in at most 28 letters, for a paper on which there is room for no
// more; the sentence stands in the report. It is empty for a code that there is not.
func Short(c warning.Code) string { return shortWarnings[c] }

// Only looked up.
var shortWarnings = map[warning.Code]string{
	warning.StopInDwell:         "stop near the top",
	warning.HalfArcCreeps:       "stop was working loose",
	warning.HalfArcJumps:        "touch of the stop changed",
	warning.MiddlesDrift:        "readout creeps",
	warning.OneTrial:            "one pair of contacts only",
	warning.TwoTrials:           "two pairs of contacts only",
	warning.NoPair:              "a setup without a pair",
	warning.NoRemounting:        "remounting not covered",
	warning.SetupCopied:         "a setup written twice",
	warning.SetupsDiffer:        "setups differ",
	warning.RemountExceeded:     "setups scatter more",
	warning.StandsOut:           "a reading stands out",
	warning.ScattersDiffer:      "its readings scatter more",
	warning.StepCoarse:          "step coarser than scatter",
	warning.LostMotionSeen:      "lost motion seen",
	warning.LostMotionDiffers:   "lost motion not as stated",
	warning.SightingMissing:     "sighting not included",
	warning.RockMissing:         "piston rock not included",
	warning.CentringMissing:     "centring not included",
	warning.LostMotionMissing:   "lost motion not included",
	warning.UAboveTolerance:     "not sure to its tolerance",
	warning.NotRead:             "not read",
	warning.NoPartner:           "a contact without partner",
	warning.ReadOnce:            "read once only",
	warning.ReadTwice:           "read twice only",
	warning.SameDiameters:       "two diameters alike",
	warning.OddDiameter:         "diameter out of range",
	warning.DirectionUnchecked:  "counting not confirmed",
	warning.SideUnchecked:       "running way not confirmed",
	warning.DeclarationSuspect:  "sheet may hold a mistake",
	warning.ReadoutMoved:        "readout moved",
	warning.LineOrder:           "lines in wrong order",
	warning.ArcsDiffer:          "wheel off centre",
	warning.OffCentreExceeded:   "wheel more off centre",
	warning.CorrectionOld:       "correction is old",
	warning.CorrectionUndated:   "correction without a date",
	warning.CorrectionUnknown:   "correction of unknown source",
	warning.ReferenceOverdue:    "reference overdue",
	warning.DropMismatch:        "drop does not fit the arc",
	warning.DropsTrend:          "middle follows the drop",
	warning.DropsDisagree:       "drops disagree",
	warning.SweepNoTop:          "a sweep without a top",
	warning.SweepOneSided:       "sweep leans on one side",
	warning.LimbsDiffer:         "both sides differ in height",
	warning.SweepMisfit:         "sweep does not fit the crank",
	warning.SlackMissing:        "bearing slack not included",
	warning.SideNotProven:       "side of TDC not proven",
	warning.DialErrorMissing:    "dial's doubt not included",
	warning.ProbeMissing:        "slant not included",
	warning.ApproachUnsaid:      "approach not stated",
	warning.RockSeen:            "piston rock seen",
	warning.BankDiffers:         "bank angle not as stated",
	warning.BankNotFound:        "bank angle not proven",
	warning.MethodsDiffer:       "two ways to TDC differ",
	warning.HistoryNotUsed:      "history not used",
	warning.HistoryOld:          "history is old",
	warning.HistoryOutOfControl: "history out of control",
	warning.SpacingDiffers:      "a measured spacing differs",
	warning.EyeCheckFailed:      "the check by eye failed",
	warning.InstrumentOverdue:   "an instrument is overdue",
	warning.PhotoChanged:        "a photo has changed",
	warning.PhotoMissing:        "a photo is missing",
}

// ShortWithheld says in at most 32 letters why a new line is not asked for.
func ShortWithheld(w advise.Withheld) string { return shortWithheld[w] }

// Only looked up.
var shortWithheld = map[advise.Withheld]string{
	advise.WithheldSuspect:    "sheet may hold a mistake",
	advise.WithheldMoved:      "the readout moved",
	advise.WithheldUnproven:   "the readout may have moved",
	advise.WithheldSetups:     "the setups differ",
	advise.WithheldReading:    "a reading stands out",
	advise.WithheldDistances:  "distances contradict it",
	advise.WithheldDwell:      "the stop sat near the top",
	advise.WithheldLostMotion: "lost motion not settled",
	advise.WithheldCommon:     "all lines are off alike",
	advise.WithheldGroup:      "the lines of its part are alike",
	advise.WithheldRing:       "the ring has slipped: replace it",
	advise.WithheldRingUntold: "the ring may have slipped",
	advise.WithheldHub:        "a line on the hub: look first",
	advise.WithheldEyeCheck:   "the check by eye failed",
}
