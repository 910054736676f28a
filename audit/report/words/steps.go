package words

import (
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Steps is what to do, in the order in which it is done: what is wrong at the
// contacts, what to read again, the observation that settles what happened, the
// check by eye, metal, and more readings for lines that nothing else holds up. They
// are things to do; what was found is in [Findings].
func Steps(v Audit) []string {
	out := contactSteps(v)
	add := func(texts ...string) {
		for _, text := range texts {
			if text != "" {
				out = append(out, text)
			}
		}
	}
	r := v.Result
	for _, o := range r.Diagnosis.Ask {
		add(Ask(v, o))
	}
	switch {
	case v.Scribes() && v.Scribed:
		add(proveStep(v))
	case v.Scribes():
		add(directionSteps(v)...)
		add(EyeStep(v) + closeFirst(v))
	}
	before := len(out)
	add(metalSteps(v)...)
	add(undecidedSteps(v)...)
	if len(r.Lines) == 0 {
		for _, c := range r.Checks.Arcs {
			found, slide := wheelOffCentre(v, c)
			add(strings.TrimSpace(slide + " " + found))
		}
	}
	something := len(out) > 0
	if v.Unseen() && !v.Scribes() {
		out = slices.Insert(out, before, EyeStep(v))
	}
	switch {
	case something:
	case len(r.Lines) == 0:
		add("Nothing can be judged: no line is declared.")
	case anyOutside(v):
		add("Nothing is scribed: see what was found.")
	default:
		add(allWithin(v))
	}
	return out
}

// allWithin says that nothing is to be scribed, and no more surely than the sheet is.
func allWithin(v Audit) string {
	text := "Nothing is to be scribed: every line is within."
	if v.Unseen() {
		text = "If that is so, nothing is to be scribed: every line is within."
	}
	var onWord []string
	letters := ""
	for _, w := range v.Result.Warnings {
		switch {
		case w.Code == warning.SideNotProven:
			onWord = append(onWord, Quoted(w.Mark))
			letters = sideLetters(v, w.Mark)
		case w.Code == warning.DirectionUnchecked && len(w.Values) > 0:
			text += " That holds only if the readout counts as the sheet says: see the doubts."
		}
	}
	switch len(onWord) {
	case 0:
		return text
	case 1:
		return text + " " + ofLines(onWord) + " is so only if it lies on the side of TDC that its readings say" + letters + ". Prove that side, as said in the doubts."
	}
	return text + " " + ofLines(onWord) + " are so only if they lie on the side of TDC that their readings say, BTDC or ATDC. Prove that side, as said in the doubts."
}

// contactSteps is what is wrong at the contacts, or with the sheet as the eye has it.
func contactSteps(v Audit) []string {
	var out []string
	for _, w := range v.Result.Warnings {
		switch w.Code {
		case warning.EyeCheckFailed:
			out = append(out, sheetWrong+" The check by eye did not come out as said.")
		case warning.StopInDwell:
			out = append(out, "Screw the stop deeper"+ofSetup(v, " in", w)+", to a half arc of 20 to 35°, and take everything again. It blocks only "+
				rounding.Degrees(geometry.Angle(w.Values[0]).Abs(), rounding.Unsure)+": the piston hardly moves there, and a hair of height is a degree.")
		case warning.HalfArcCreeps:
			out = append(out, "Lock the stop and take the pairs again. The half arc creeps"+ofSetup(v, " in", w)+": the stop is working loose.")
		case warning.SetupCopied:
			out = append(out, "Look whether"+ofSetup(v, "", w)+" was written down twice. Every reading in it is that of an earlier setup. If it was, strike them with the reason, and take another setup.")
		}
	}
	return out
}

// directionSteps asks for the way in which the readout counts where nothing shows it.
func directionSteps(v Audit) []string {
	var out []string
	for _, w := range v.Result.Warnings {
		if w.Code == warning.DirectionUnchecked {
			out = append(out, "Settle which way the readout counts: give readout.quarter_turn. "+whyUnchecked(w)+".")
		}
	}
	return out
}

// metalSteps is what is to be scribed, moved or looked at on the part; it may hold
// empty texts.
func metalSteps(v Audit) []string {
	r := v.Result
	out := []string{partSteps(v)}
	if r.OffTogether() && !(v.Scribed && r.Advice.Together.Worthwhile) {
		out = append(out, MoveStep(v))
	}
	for i, m := range r.ByLine() {
		if v.Scribed && m.Scribe.Worthwhile {
			continue
		}
		if c := r.Diagnosis.Decisions[i]; c.IfRight == diagnosis.Outside && (c.Scribe || m.Scribe.Withheld == advise.WithheldDwell || m.Scribe.Withheld == advise.WithheldLostMotion) {
			out = append(out, v.outside(m))
		}
	}
	return out
}

// proveStep follows an order that is carried out: to scribe again by it would make a
// third line.
func proveStep(v Audit) string {
	text := "What was ordered is done: " + whatWasOrdered(v) + ". Do not do it a second time. Prove it: read "
	if v.Result.Advice.Together.Worthwhile {
		text += "all lines anew, on a new sheet of the same engine and lines"
	} else {
		text += "the new line like any other, not the one that is struck through, on a new sheet of the same engine and lines"
	}
	text += ". Until then set nothing by it. The offsets here were measured before that."
	if foundDisagrees(v) {
		text += " First look at what does not agree, after scribing."
	}
	return text
}

// whatWasOrdered is what was to be scribed or moved, in a few words.
func whatWasOrdered(v Audit) string {
	var out []string
	r := v.Result
	if s := r.Advice.Together; s.Worthwhile {
		out = append(out, moved(s)+", "+wayOrdered(v, s))
	}
	for _, m := range r.ByLine() {
		if s := m.Scribe; s.Worthwhile {
			out = append(out, TheLine(m.Name)+" scribed anew, "+wayOrdered(v, s))
		}
	}
	return strings.Join(out, "; ")
}

// wayOrdered is how far and which way an order went.
func wayOrdered(v Audit, s advise.Scribe) string {
	how := rounding.Degrees(s.Angle, rounding.Unsure)
	if s.HasLengths {
		how = v.Of(s.Arc)
	}
	return strings.TrimSuffix(how+" "+v.Goes(s), ",")
}

// moved says what one move for all lines did.
func moved(s advise.Scribe) string {
	if s.Move == advise.MovePointer {
		return "the pointer moved"
	}
	return "the line that turns scribed anew"
}

// foundDisagrees reports whether something that was found after scribing is not as it was
// ordered.
func foundDisagrees(v Audit) bool {
	s, found := v.Result.Sheet, v.Result.After
	if found == nil {
		return false
	}
	return slices.ContainsFunc(found.Dividers, func(d audit.DistanceFound) bool { return d.Computed && d.U > 0 && !d.Agrees }) ||
		slices.ContainsFunc(found.Again, func(l audit.LineAgain) bool { return l.Ordered && !l.AsOrdered }) ||
		s.After.TimingLight != nil && !s.After.TimingLight.Agrees
}

// EyeStep is the step of the check by eye, before metal is touched.
func EyeStep(v Audit) string {
	if !v.Scribes() {
		return "Before any verdict is gone by, check by eye: " + Dot(v.Check())
	}
	return "Before anything is scribed or moved, check by eye: " + Dot(v.Check())
}

// ofSetup names the setup of a warning behind a word; empty where there is one.
func ofSetup(v Audit, word string, w warning.Warning) string {
	if w.Setup == "" {
		return ""
	}
	return word + " setup " + Clean(w.Setup)
}

// closeFirst follows the check by eye where nothing but setups that agree shows
// that the readout has not moved: a habit may move it alike in all of them.
func closeFirst(v Audit) string {
	o := v.Result.Diagnosis.CloseFirst
	if o == nil {
		return ""
	}
	if v.onDial() {
		return " If the dial is still in, read the top once more first: it must show " + mustShowAgain(v, *o, 0) + ". If not, it moved: read top and lines again."
	}
	if way, without := byIndicator(v); without {
		return " If the readout is still on, take the " + way + " once more first: TDC must come at " + mustShowAgain(v, *o, v.StepDecimals()+1) + ". If not, the readout moved: take all of it again."
	}
	return " If the readout is still on, take one closing pair first: the middle of its two contacts must be " + mustShowAgain(v, *o, v.StepDecimals()+1) + ". If not, the readout moved: take contacts and lines again."
}

// mustShowAgain is what the readout must show once more, and how closely.
func mustShowAgain(v Audit, o diagnosis.Observation, n int) string {
	within := ""
	switch s := v.Result.Sheet; {
	case o.Within == 0:
	case v.onDial():
		within = " ± " + v.Fine().Of(geometry.Length(o.Within))
	case s.Readout.Kind == sheet.Rim:
		within = " ± " + v.Fine().Of(geometry.Rim{Diameter: s.Part.Diameter}.Arc(s.Part.Turned(o.Within)))
	default:
		within = " ± " + rounding.TwoDigits(o.Within)
		if !v.lettered {
			return v.Shows(o.Expect, n) + "°" + within + " again"
		}
	}
	return v.Shows(o.Expect, n) + within + " again"
}

// partSteps is what to do about a part that has moved, or may have.
func partSteps(v Audit) string {
	switch v.Result.Slip() {
	case audit.RingSlipped:
		return "Fit a new pulley and prove its lines. On it, " + Dot(witness) + " Until then set the engine by a line on the hub, or find TDC with the stop."
	case audit.Perhaps:
		return Sentence(witness) + " Read the line on the hub twice more. Look again after some hours of running."
	case audit.Untold:
		if v.Result.Sheet.Part.BondedRing && !v.Result.Diagnosis.Refuted {
			return "Read a line on the hub, such as the middle of the keyway, in the same setups as the lines on the ring. Only that tells whether the ring has slipped. " + Sentence(witness)
		}
	}
	return ""
}

// MoveStep is the one step for lines that are off together.
func MoveStep(v Audit) string {
	r := v.Result
	if r.Diagnosis.Story.Kind == diagnosis.PartAlike {
		on := Clean(r.Diagnosis.Story.On)
		return "Look at the " + on + " and its pointer before any line on it. Is it loose? Is the pointer bent? Scribe nothing on the " + on + " yet."
	}
	s := r.Advice.Together
	if s.Withheld != advise.NotWithheld {
		return "" // the step that settles it says what is held back
	}
	text := "Scribe none of the " + rounding.Count(len(r.Diagnosis.Sharing), "line", "lines") + " anew. Look first, in this order: " + shiftSuspects(v) + "."
	if move := v.MoveOne(); move != "" {
		text += " " + move
	}
	return text
}
