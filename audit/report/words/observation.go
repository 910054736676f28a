package words

import (
	"slices"
	"strings"

	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
)

// Ask says an observation that tells explanations apart: what to do, why, and what
// is held back until then.
func Ask(v Audit, o diagnosis.Observation) string {
	text := askFirst(v, o)
	if held := heldBack(v, o); held != "" {
		text += " " + held
	}
	return text
}

// askFirst is the same without what is held back until then.
func askFirst(v Audit, o diagnosis.Observation) string {
	text := observe(v, o)
	if anew(o) && slices.ContainsFunc(v.Next, func(n advise.Next) bool { return n.Way == advise.Repeat }) {
		text += " Strike the " + toStrike(v) + " of the setup that moved, with the reason."
	}
	rivals := rivalsOf(v, o)
	var why []string
	for _, e := range rivals {
		if clause := mayHaveHappened(v, e); !slices.Contains(why, clause) && len(why) < mostReasons {
			why = append(why, clause)
		}
	}
	if len(why) > 0 {
		text += " The reason: " + strings.Join(why, "; or ") + "."
	}
	return text
}

// toStrike is what TDC was found by, as something to strike.
func toStrike(v Audit) string {
	if v.onDial() {
		return "readings"
	}
	return "contacts"
}

// mostReasons is the number of explanations that a person reads at once.
const mostReasons = 3

// observe says what to look at or to measure.
func observe(v Audit, o diagnosis.Observation) string {
	of := lineNames(v, o.Lines)
	n := v.StepDecimals() + 1
	if text := observeDial(v, o); text != "" {
		return text
	}
	if text := observeIndicator(v, o); text != "" {
		return text
	}
	switch o.Kind {
	case diagnosis.Look:
		return lookAt(v, o)
	case diagnosis.ReadAgain:
		switch {
		case o.On != "":
			return "Read a line on the " + Clean(o.On) + " again, three times, or better a second line on it."
		case len(o.Lines) > 0:
			return "Read " + strings.Replace(of, ", ", " and ", 1) + " again, three times, approached forward."
		}
		of := max(o.Mounting, 0)
		if of < len(v.Result.TDC.Mountings)-1 { // the readout has been off since
			return "Take another setup in place of " + mountingName(v, of) + ": readout off and on again, contacts, lines, and a closing pair. Until the contacts agree, TDC is not known better than they differ."
		}
		return "Take the contacts of " + mountingName(v, of) + " again, without touching the readout. If it has been off since, take another setup instead. Until they agree, TDC is not known better than they differ."
	case diagnosis.QuarterTurn:
		return "Turn the engine a quarter turn the way it runs, with the stop out, and look whether the readout grows. Write what it showed before and after as readout.quarter_turn."
	case diagnosis.Dividers, diagnosis.TapeRound:
		with := "straight across with dividers"
		if o.Kind == diagnosis.TapeRound {
			with = "round the rim with a tape"
		}
		text := "Measure from " + strings.Replace(of, ", ", " to ", 1) + ", " + with + ". It is " + v.Of(o.ExpectLength) + " if the lines are as measured"
		if o.InsteadLength > 0 {
			text += ", " + v.Of(o.InsteadLength) + " if not"
		}
		return text + ". Write it under part.spacings."
	case diagnosis.ClosingPair:
		text := "Put the stop back in and take one closing pair. The middle of its two contacts must be " + mustShowAgain(v, o, n)
		if o.Instead != o.Expect {
			text += ". " + v.Shows(o.Instead, n) + " would mean that the readout moved"
		}
		return text + ". If the readout was taken off or touched since, take a second setup instead, closed by a pair."
	case diagnosis.OtherBankContacts:
		return "Find TDC of cylinder " + Clean(o.Cylinder) + " too, with the stop in it and the readout untouched."
	case diagnosis.SecondSetup:
		return "Take another setup: readout off and on again, contacts, lines, and a closing pair."
	}
	return ""
}

// lookAt says what to look at, by what may be wrong.
func lookAt(v Audit, o diagnosis.Observation) string {
	var parts []string
	for _, e := range rivalsOf(v, o) {
		of := lineNames(v, e.Lines)
		text := ""
		switch e.Code {
		case diagnosis.Letters:
			text = "look at the lines on the part, whether those marked BTDC come before TDC as it runs"
			if of != "" {
				text = "look at " + of + " on the part, whether it comes up before TDC or after it"
			}
		case diagnosis.Names:
			text = "look which line is " + strings.Replace(of, ", ", " and which is ", 1)
		case diagnosis.StopCylinder:
			text = "look in whose plug hole the stop sat"
		case diagnosis.MarkCylinder:
			text = "look to which cylinder " + of + " belongs"
		case diagnosis.BankAngleDiffers, diagnosis.BankAngle:
			text = "look up the maker's angle between the cylinders"
		case diagnosis.Kind:
			text = "look up what kind of value the maker gives: of the rim or of the piston, from the throw or from the piston, tape or chord, and to which side an offset goes"
		}
		if text != "" && !slices.Contains(parts, text) {
			parts = append(parts, text)
		}
	}
	if len(parts) == 0 {
		parts = append(parts, "look at "+lineNames(v, o.Lines)+" on the part and at its entry on the sheet")
	}
	for i, p := range parts {
		parts[i] = Sentence(p)
	}
	return strings.Join(parts, " ") + " Correct the sheet, or write under checked that you looked."
}

// rivalsOf are the explanations that an observation is to tell from the lines as
// measured, each once.
func rivalsOf(v Audit, o diagnosis.Observation) []diagnosis.Explanation {
	d := v.Result.Diagnosis
	if d.Refuted {
		if best := d.Best(); best.Code != diagnosis.AsMeasured {
			return []diagnosis.Explanation{best}
		}
		return nil
	}
	var out []diagnosis.Explanation
	for _, c := range d.Decisions {
		if !sameObservation(c.Ask, o) {
			continue
		}
		for _, i := range c.Against {
			e := d.Standing[i]
			if !slices.ContainsFunc(out, func(x diagnosis.Explanation) bool { return x.Code == e.Code && slices.Equal(x.Lines, e.Lines) }) {
				out = append(out, e)
			}
		}
	}
	return out
}

func sameObservation(a, b diagnosis.Observation) bool {
	return a.Kind == b.Kind && a.Mounting == b.Mounting && a.Cylinder == b.Cylinder && a.On == b.On && slices.Equal(a.Lines, b.Lines)
}

// heldBack says which instructions an observation holds back.
func heldBack(v Audit, o diagnosis.Observation) string {
	r := v.Result
	var parts []string
	for i, c := range r.Diagnosis.Decisions {
		if !c.Held || !sameObservation(c.Ask, o) {
			continue
		}
		switch {
		case i < len(r.Lines):
			if s := r.Advice.Forced[i]; s.Worthwhile {
				parts = append(parts, "a new line for "+lineName(v, i)+", "+scribeInShort(v, s))
			}
		case c.Line == diagnosis.Pointer && r.Advice.TogetherHeld.Worthwhile:
			what := "the pointer moved "
			if r.Advice.TogetherHeld.Move == advise.MoveLine {
				what = "the turning line scribed anew "
			}
			parts = append(parts, what+scribeInShort(v, r.Advice.TogetherHeld))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "Held back until then: " + strings.Join(parts, "; ") + "."
}

// scribeInShort is an instruction in a few words: how far, and which way.
func scribeInShort(v Audit, s advise.Scribe) string {
	how := rounding.Degrees(s.Angle, rounding.Unsure)
	if s.HasLengths {
		how = v.Of(s.Arc)
	}
	return how + " " + v.Goes(s) + ", that is " + strings.ToUpper(s.Rotation.String())
}
