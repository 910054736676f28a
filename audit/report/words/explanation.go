package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
)

// Together is what all lines say, and what the parts that they are on say.
func (v Audit) Together() string {
	parts := v.parts()
	switch v.Result.Diagnosis.Slip {
	case diagnosis.RingSlipped, diagnosis.Apart:
		return parts
	}
	return strings.TrimSpace(v.shift() + " " + parts)
}

// shift says what the lines tell together.
func (v Audit) shift() string {
	s := v.Result.Diagnosis.Together
	var b strings.Builder
	say := func(format string, args ...any) {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, format, args...)
	}
	if v.Result.Checks.SetupsDiffer {
		return "The two setups disagree, so what the lines say together must wait for a third."
	}
	one := len(s.Lines) == 1
	switch s.Finding {
	case lines.Unknown:
		switch {
		case v.Result.Checks.Moved:
			say("The readout moved, so what the lines say together means nothing.")
		case !one:
			say("Whether the lines are off together cannot be told: the readings hold too little scatter to judge by.")
		}
	case lines.None:
		switch {
		case one:
			say("%s shows no offset that its own doubt does not cover.", Clean(s.Lines[0]))
		case v.anyOutside():
			say("Taken together the lines show no common shift, and they differ no more than their doubts allow; a line that is outside stands on its own reading.")
		default:
			say("The lines agree and show no common shift: no sign of %s. A shift under %s could hide.", v.slip(), v.hides())
		}
	case lines.Common:
		say("All lines are off alike, by %s.", Offset(s.Common))
		if s.Small {
			say("Real, but below a quarter of the tolerance.")
			break
		}
		say("Do not scribe %d new lines. Check, cheapest first: %s.", len(s.Lines), v.suspects())
		say("%s", v.MoveOne())
	case lines.SingleMark:
		name := Clean(s.StandsOut[0])
		switch {
		case v.Result.Diagnosis.Act:
			say("%s stands out; the other lines are shifted alike, by %s. Settle that first. Check, cheapest first: %s.", name, Offset(s.Common), v.suspects())
			say("%s", v.MoveOne())
		case s.Shifted && s.Common != nil:
			say("%s stands out; the other lines are shifted alike, by %s.", name, Offset(s.Common))
		case v.spoilt(s.StandsOut[0]):
			say("%s stands out, but lost motion may be all that it is; the other lines agree.", name)
		default:
			say("%s stands out; the other lines agree.", name)
		}
	case lines.Individual:
		switch {
		case one:
			say("%s is off by %s.", Clean(s.Lines[0]), Offset(s.Common))
		case v.Result.Diagnosis.Act:
			say("All lines are off the same way, each by a little more or less: about %s. So it looks like %s, with a part that runs out of true. Scribe nothing yet; check, cheapest first: %s.", Offset(s.Common), v.slip(), v.suspects())
		case len(s.Lines) == 2:
			say("The two lines are not off alike: %s alone does not explain them.", v.slip())
		default:
			say("The lines are off each in its own way: no single line and no common shift explains them.")
		}
		if s.Small {
			say("Real, but below a quarter of the tolerance.")
		}
	}
	if one {
		say("One mark cannot tell %s from a wrong line: read a second one.", v.slip())
	}
	if len(s.LeftOut) > 0 {
		names := make([]string, len(s.LeftOut))
		for i, n := range s.LeftOut {
			names[i] = Clean(n)
		}
		say("Not compared, for they were read in other setups: %s.", strings.Join(names, ", "))
	}
	return b.String()
}

// spoilt reports whether lost motion that the sheet does not state may explain a
// line's offset.
func (v Audit) spoilt(name string) bool {
	return slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool {
		return m.Name == name && m.Scribe.Withheld == diagnosis.WithheldLostMotion
	})
}

func (v Audit) anyOutside() bool {
	return slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return m.Verdict == uncertainty.Outside })
}

// slip is what shifts all lines without any of them being wrong.
func (v Audit) slip() string {
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "a shifted scale or a slipped part"
	}
	return "a slipped ring or a bent engine pointer"
}

// suspects are what shifts all lines alike, the cheapest to check first.
// Common practice, no source.
func (v Audit) suspects() string {
	if v.Result.Diagnosis.Slip == diagnosis.Together {
		return "the readout moved (take a closing pair); the engine pointer or its tab is bent or loose; parts of another engine; the key"
	}
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "the readout moved (take a closing pair); the scale is bent, loose or fitted wrong; the part with the turning line slipped; parts of another engine; the key"
	}
	return "the readout moved (take a closing pair); the engine pointer or its tab is bent or loose; the outer ring slipped on its rubber; parts of another engine; the key"
}

// hides is the largest common shift that the interval still allows.
func (v Audit) hides() string {
	c := v.Result.Diagnosis.Together.Common
	return rounding.Degrees(c.Value.Abs()+c.Expanded, rounding.Places(c.Expanded.Degrees()))
}

const witness = "paint a witness line: one thin straight stroke of paint across hub, rubber and ring; when it is broken, the ring has moved"

// parts tells a part that has moved against another from a bent pointer.
func (v Audit) parts() string {
	r := v.Result
	switch r.Diagnosis.Slip {
	case diagnosis.RingSlipped:
		d := v.differs(r.Diagnosis.Between)
		return fmt.Sprintf("THE OUTER RING HAS SLIPPED on its rubber: %s. It is not re-marked: what has slipped once slips again, and a loose ring can come off. Fit a new pulley, prove its lines, and on it %s. Until then set the engine by a line on the hub, or find TDC with the stop.", d, witness)
	case diagnosis.Apart:
		text := "One part has moved against another, or its pointer has: " + v.differs(r.Diagnosis.Between) + "."
		for _, g := range r.Diagnosis.Groups {
			if g.Finding == lines.Common && !g.Small {
				text += fmt.Sprintf(" All lines on the %s are off alike, by %s: look at that part and its pointer before any line on it.", Clean(g.Name), Offset(g.Common))
			}
		}
		return text
	case diagnosis.Together:
		text := "The parts agree: " + v.differs(r.Diagnosis.Between) + "."
		if r.Diagnosis.Act && r.Diagnosis.Together.Finding == lines.Common {
			text += " So no part has moved against another; what moved is the engine pointer, or the whole, with its key."
		}
		return text
	case diagnosis.Untold:
		if r.Checks.Moved || r.Checks.SetupsDiffer {
			return ""
		}
		if r.Sheet.Part.BondedRing {
			return "Whether the outer ring has slipped on its rubber can't be told: only lines on one part were read, or too few readings. Read a line on the hub, such as the middle of the keyway, in the same setups; and " + witness + "."
		}
	}
	return ""
}

// differs lists how far the parts' lines are from each other.
func (v Audit) differs(all []diagnosis.Between) string {
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
func TheyAre(g diagnosis.Group) string {
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
func (v Audit) Withheld(w diagnosis.Withheld) string {
	switch w {
	case diagnosis.WithheldSuspect:
		return "one mistake on the sheet would explain the offsets; settle that first"
	case diagnosis.WithheldMoved:
		return "the closing pair says that the readout moved; take contacts and marks again"
	case diagnosis.WithheldSetups:
		return "the two setups disagree; take a third first"
	case diagnosis.WithheldDwell:
		return "the stop sat where the piston hardly moves, and nothing covers what that does; fit it deeper and take everything again"
	case diagnosis.WithheldLostMotion:
		return "lines read from both sides show lost motion that the sheet does not state, and this line, read from one side, carries half of it; put lost_motion right on the sheet, or read the line from both sides"
	case diagnosis.WithheldCommon:
		return "the lines are off together; settle first what shifts them, then read this line again"
	case diagnosis.WithheldRing:
		return "the outer ring has slipped; it is replaced, not re-marked"
	case diagnosis.WithheldRingUntold:
		return "these lines are on a ring bonded to rubber, and no line on the hub tells whether it slipped; a slipped ring is replaced, not re-marked"
	case diagnosis.WithheldGroup:
		return "the lines on this part are off alike and those on another are not; look at the part and its pointer first"
	}
	return ""
}

// mistake says what may have been written wrongly.
func mistake(s warning.Suspicion) string {
	lines := make([]string, len(s.Lines))
	for i, n := range s.Lines {
		lines[i] = Clean(n)
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
	return "another cylinder, another line's readings or a zero pressed in between, for no line is scribed " + rounding.Fixed(s.Angle.Degrees(), 0) + " degrees off"
}
