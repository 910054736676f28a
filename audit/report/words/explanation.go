package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// Together is what all lines say, and what the parts that they are on say. It is
// empty where the lines are not as measured.
func Together(v Audit) string {
	if v.Result.Diagnosis.Refuted {
		return ""
	}
	parts := partsCompared(v)
	switch v.Result.Slip() {
	case audit.RingSlipped, audit.Apart:
		return parts
	}
	return strings.TrimSpace(sharedShift(v) + " " + parts)
}

// sharedShift says what the lines tell together.
func sharedShift(v Audit) string {
	s := v.Result.Together
	var b strings.Builder
	say := func(format string, args ...any) {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, format, args...)
	}
	if len(s.Lines) == 0 {
		return ""
	}
	one := len(s.Lines) == 1
	switch s.Finding {
	case lines.Unknown:
		if !one {
			say("Whether the lines are off together cannot be told: the readings show too little scatter to judge by.")
		}
	case lines.None:
		switch {
		case one:
			say("%s is off by no more than its own ±.", lineBegins(s.Lines[0]))
		case anyOutside(v):
			say("Taken together the lines show no common shift, and they differ by no more than their ±. A line that is outside is so by its own readings.")
		default:
			say("The lines agree and show no common shift. There is no sign of %s. A shift under %s could hide.", whatSlips(v), couldHide(v))
		}
	case lines.Common:
		say("All lines are off alike, by %s.", Offset(s.Common))
	case lines.SingleMark:
		name := lineBegins(s.StandsOut[0])
		switch {
		case s.Shifted && s.Common != nil:
			say("%s stands out. The other lines are shifted alike, by %s.", name, Offset(s.Common))
		case spoiltByLostMotion(v, s.StandsOut[0]):
			say("%s stands out, but that may be lost motion alone. The other lines agree.", name)
		default:
			say("%s stands out. The other lines agree.", name)
		}
	case lines.Individual:
		switch {
		case one:
			say("%s is off by %s.", Clean(s.Lines[0]), Offset(s.Common))
		case v.Result.OffTogether() && v.Result.Diagnosis.Story.Kind == diagnosis.AllAlike:
			say("All lines are off the same way, each by a little more or less: about %s. That looks like %s.", Offset(v.Result.Advice.Shared), whatSlips(v))
		case len(s.Lines) == 2:
			say("The two lines are not off alike: %s alone does not explain them.", whatSlips(v))
		default:
			say("The lines are off each in its own way. No single line and no common shift explains them.")
		}
	}
	if s.Small && s.Finding != lines.None && s.Finding != lines.Unknown {
		say("That is real, but less than a quarter of the tolerance.")
	}
	if one {
		say("One line alone cannot tell %s from a wrong line. Read a second one.", whatSlips(v))
	}
	if len(s.LeftOut) > 0 {
		say("Not compared, because they were read in other setups: %s.", quotedAll(s.LeftOut))
	}
	return b.String()
}

// TogetherInFull is what the lines say together, with the one order that follows.
func TogetherInFull(v Audit) string {
	text := Together(v)
	for _, more := range []string{partSteps(v), MoveStep(v)} {
		if more != "" {
			text = strings.TrimSpace(text + " " + more)
		}
		if !v.Result.OffTogether() {
			break
		}
	}
	return text
}

// spoiltByLostMotion reports whether lost motion that the sheet does not state may explain
// a line's offset.
func spoiltByLostMotion(v Audit, name string) bool {
	return slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool {
		return m.Name == name && m.Scribe.Withheld == advise.WithheldLostMotion
	})
}

func anyOutside(v Audit) bool {
	return slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Verdict == diagnosis.Outside })
}

// whatSlips is what shifts all lines without any of them being wrong.
func whatSlips(v Audit) string {
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "a shifted scale or a slipped part"
	}
	return "a slipped ring or a bent engine pointer"
}

// shiftSuspects are what shifts all lines alike, the cheapest to check first.
// Common practice, no source.
func shiftSuspects(v Audit) string {
	if v.Result.Slip() == audit.Together {
		return "whether the engine pointer or its tab is bent or loose, parts are of another engine, or the key is sheared"
	}
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "whether the scale is bent, loose or fitted wrong, the part with the turning line slipped, parts are of another engine, or the key is sheared"
	}
	return "whether the engine pointer or its tab is bent or loose, the outer ring slipped on its rubber, parts are of another engine, or the key is sheared"
}

// couldHide is the largest common shift that the interval still allows.
func couldHide(v Audit) string {
	c := v.Result.Together.Common
	return rounding.Degrees(c.Value.Abs()+c.Expanded, rounding.Places(c.Expanded.Degrees()))
}

const witness = "paint a witness line: one thin straight stroke of paint across hub, rubber and ring. When it is broken, the ring has moved"

// partsCompared tells a part that has moved against another from a bent pointer.
func partsCompared(v Audit) string {
	r := v.Result
	switch r.Slip() {
	case audit.RingSlipped:
		return fmt.Sprintf("THE OUTER RING HAS SLIPPED on its rubber: %s. Do not re-mark it: what has slipped once slips again, and a loose ring can come off.", partsDiffer(v, r.Together.Between))
	case audit.Perhaps:
		return fmt.Sprintf("The ring's lines may have shifted by %s against the hub. Lines as their maker leaves them can differ as much.", rounding.Degrees(r.Diagnosis.Shift.Abs(), rounding.Unsure))
	case audit.Apart:
		text := "One part has moved against another, or its pointer has: " + partsDiffer(v, r.Together.Between) + "."
		for _, g := range r.Together.Groups {
			if g.Finding == lines.Common && !g.Small {
				text += fmt.Sprintf(" All lines on the %s are off alike, by %s.", Clean(g.Name), Offset(g.Common))
			}
		}
		return text
	case audit.Together:
		text := "The parts agree: " + partsDiffer(v, r.Together.Between) + "."
		if ring := r.Sheet.Part.BondedRing; ring && slices.ContainsFunc(r.Together.Between, func(b lines.Between) bool { return b.Differ }) {
			text = "No sign that the ring has slipped: " + partsDiffer(v, r.Together.Between) + ", no more than makers' lines differ."
		}
		if r.OffTogether() && r.Together.Finding == lines.Common {
			text += " No part has moved against another. What moved is the engine pointer, or the whole part with its key."
		}
		return text
	case audit.Untold:
		if r.Sheet.Part.BondedRing {
			return "Whether the outer ring has slipped on its rubber cannot be told. Only lines on one part were read, or too few readings were taken."
		}
	}
	return ""
}

// partsDiffer lists how far the parts' lines are from each other.
func partsDiffer(v Audit, all []lines.Between) string {
	texts := make([]string, len(all))
	for i, b := range all {
		e := b.Difference
		n := rounding.Places(e.Expanded.Degrees())
		way := "later"
		if e.Value < 0 {
			way = "earlier"
		}
		texts[i] = fmt.Sprintf("lines on the %s come %s %s than those on the %s, ± %s",
			Clean(b.To), rounding.Degrees(e.Value.Abs(), n), way, Clean(b.From), rounding.TwoDigits(e.Expanded))
	}
	return strings.Join(texts, "; ")
}

// TheyAre says how the lines of a part are off, to follow "they are".
func TheyAre(g lines.Group) string {
	switch g.Finding {
	case lines.None:
		return "where they belong"
	case lines.Common:
		return "off alike"
	case lines.SingleMark:
		return "alike but for one, " + Clean(g.StandsOut[0])
	case lines.Individual:
		if len(g.Lines) == 1 {
			return "off"
		}
		return "off each in its own way"
	}
	return "not repeated enough to tell"
}

// Withheld says why an instruction is not given.
func Withheld(v Audit, w advise.Withheld) string {
	switch w {
	case advise.WithheldSuspect:
		return "one mistake on the sheet would explain the offsets: settle that first"
	case advise.WithheldMoved:
		return "the readout moved, or TDC was not found where it is: take contacts and lines again"
	case advise.WithheldUnproven:
		if way, without := byIndicator(v); without {
			return "nothing shows that the readout stayed where it was: take the " + way + " once more, a second setup, or a distance with dividers"
		}
		return "nothing shows that the readout stayed where it was: take a closing pair, a second setup, or a distance with dividers"
	case advise.WithheldSetups:
		return "the setups contradict each other: take another first"
	case advise.WithheldReading:
		return "one reading stands out: take it again first"
	case advise.WithheldDistances:
		return "a distance measured on the part contradicts the readings: settle first which is right"
	case advise.WithheldDwell:
		return "the stop sat where the piston hardly moves, and no ± covers that: fit it deeper and take everything again"
	case advise.WithheldLostMotion:
		return "it was read from one side, and carries half of a lost motion that the sheet does not state: put lost_motion right on the sheet, or read the line from both sides"
	case advise.WithheldCommon:
		return "the lines are off together: settle first what shifts them, then read this line again"
	case advise.WithheldGroup:
		return "the lines on this part are off alike and those on another are not: look at the part and its pointer first"
	case advise.WithheldRing:
		return "the outer ring has slipped: replace it, do not re-mark it"
	case advise.WithheldRingUntold:
		return "it is on a ring bonded to rubber that may have slipped: a slipped ring is replaced, not re-marked"
	case advise.WithheldHub:
		return "a keyway or another line on the hub is never scribed anew: read it again"
	case advise.WithheldEyeCheck:
		return "the check by eye did not come out as said, and the sheet is wrong somewhere: put it right first"
	}
	return ""
}

// mistake says what may have been written wrongly.
func mistake(s warning.Suspicion) string {
	lines := make([]string, len(s.Lines))
	for i, n := range s.Lines {
		lines[i] = Quoted(n)
	}
	switch s.Mistake {
	case warning.LettersSwapped:
		return "BTDC and ATDC swapped for " + strings.Join(lines, ", ")
	case warning.AllLettersSwapped:
		return "BTDC and ATDC swapped for every line"
	case warning.NamesSwapped:
		return "the names " + strings.Join(lines, " and ") + " swapped"
	case warning.CountsMirrored:
		return "readout.counts the wrong way round"
	case warning.OtherCylinder:
		return "the stop in another cylinder, " + rounding.Fixed(s.Angle.Degrees(), 0) + " degrees away"
	}
	return "another cylinder, another line's readings, or a zero pressed in between (a line that is scribed " + rounding.Fixed(s.Angle.Degrees(), 0) + " degrees off is rarer)"
}
