package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// What a sheet to sign says apart from the report, where a person works down the page
// with greasy hands: one thing a sentence.

// GoesOn reports whether an order is carried out in spite of a doubt: its ± has room for
// it, or the audit judged without it. Which way the engine runs, and the readout counts,
// is looked at first.
func GoesOn(c warning.Code) bool {
	return c != warning.SideUnchecked && c != warning.DirectionUnchecked
}

// ForTheOrder says what a doubt means for the order; for a sheet that has none, or on which
// it is carried out, only what comes first.
func ForTheOrder(v Audit, c warning.Code) string {
	switch {
	case c == warning.SideUnchecked && v.ToSeeFirst():
		return "Do this first: step 1."
	case !GoesOn(c):
		return "Do this first."
	case !v.Scribes() || v.Scribed:
		return ""
	case c == warning.NoRemounting:
		more := rounding.Count(max(uncertainty.EnoughSetups-len(v.Result.TDC.Mountings), 1), "more setup", "more setups")
		return "The order holds for the readout as it was fitted. If it must also hold after fitting it again, take " + more + " first, the readout off and on in between."
	}
	return "The order holds."
}

// IsSeen reports whether a doubt is settled by something that its text says has to be seen.
func IsSeen(c warning.Code) bool { return c == warning.SideNotProven }

// DoubtOnSheet is a doubt as a sheet has it, which says behind it what it means for the
// order: what is said there is not said twice.
func DoubtOnSheet(v Audit, d Doubt) string {
	text := InPlainWords(Sentence(d.Text))
	if d.Code == warning.NoRemounting && ForTheOrder(v, d.Code) != "" {
		text, _, _ = strings.Cut(text, " Take three setups")
	}
	return text
}

// MeasureNow is the step between looking and scribing, where the table has something to
// measure then.
func MeasureNow(v Audit) string {
	text := "Measure NOW, in the table below. One off by more than its ±: STOP, scribe nothing."
	if v.Result.Advice.Together.Worthwhile {
		text = strings.Replace(text, "scribe nothing", "scribe and move nothing", 1)
	}
	return text
}

// CloseFirst is what follows the check by eye on a sheet, where one more closing pair can
// show that the readout has not moved; empty where nothing of that is asked.
func CloseFirst(v Audit) string {
	o := v.Result.Diagnosis.CloseFirst
	if _, without := byIndicator(v); o == nil || v.onDial() || without {
		return strings.TrimSpace(closeFirst(v))
	}
	return "Readout off: skip this. Still on: take one closing pair. Its middle must be " + mustShowAgain(v, *o, v.StepDecimals()+1) + ". If not, take all anew."
}

// SetAnew says what follows from a line or a pointer that was put right, which changes no
// timing by itself; empty where nothing is. How the timing is set is the engine maker's
// to say.
func SetAnew(v Audit) string {
	n := 0
	for _, m := range v.Result.ByLine() {
		if m.Scribe.Worthwhile {
			n++
		}
	}
	switch {
	case n == 1:
		return "set the timing anew to the new line, by the engine maker's data"
	case n > 1:
		return "set the timing anew to the new lines, by the engine maker's data"
	case v.Result.Advice.Together.Worthwhile:
		return "set the timing anew, by the engine maker's data"
	}
	return ""
}

// MoveOnSheet is [MoveStep] finding by finding: what to look at, and what follows from
// each thing that may be found. It is nil where nothing is to be moved.
func MoveOnSheet(v Audit) []string {
	r := v.Result
	s, e := r.Advice.Together, r.Advice.Shared
	if !s.Worthwhile || r.Diagnosis.Story.Kind == diagnosis.PartAlike {
		return nil
	}
	n, all := len(r.Diagnosis.Sharing), len(r.ByLine())
	share := fmt.Sprintf("what %d of the %d lines share", n, all)
	if n == all {
		share = fmt.Sprintf("what all %d lines share", n)
	}
	far := rounding.SureDegrees(s.Angle, e.Expanded)
	how := far + ", " + share
	if s.HasLengths {
		far = v.Of(s.Arc)
		how = far + " along the rim (" + how + ")"
	}
	of := ""
	if r.Sheet.Part.MarksOn == sheet.OnEngine {
		of = " of the scale"
	}
	out := []string{"Scribe none of the " + rounding.Count(n, "line", "lines") + of + " anew. Look first, in this order, " + shiftSuspects(v) + "."}
	if s.Move == advise.MovePointer {
		out = append(out, "The pointer or its tab: mark where its tip stands. Move it "+how+", "+v.Goes(s)+". "+v.seen(s, ""))
		if r.Slip() != audit.Together {
			out = append(out, "The outer ring: replace it. A ring that has slipped is not marked anew.")
		}
	} else {
		way, back := strings.ToUpper(s.Rotation.Opposite().String()), advise.Running
		if s.Along == advise.Running {
			back = advise.Against
		}
		if side := v.InWindow(back); side != "" {
			way += ", " + strings.ToUpper(side) + " in the window"
		}
		out = append(out,
			"The scale: move the whole scale "+how+", "+way+".",
			"The turning line alone: scribe it anew "+far+" the other way, "+v.Goes(s)+". "+v.seen(s, "")+thenInShort(v, s)+" A part that has slipped is refitted, not marked.",
		)
	}
	return append(out, "Anything else, or nothing found: scribe nothing and move nothing. Ask, or measure again.")
}

// SharedInShort says before all else what lines have in common that are off alike, and
// what to suspect first; empty where the audit does not say so.
func SharedInShort(v Audit) string {
	if MoveOnSheet(v) == nil {
		return ""
	}
	s, e := v.Result.Advice.Together, v.Result.Advice.Shared
	n, all := len(v.Result.Diagnosis.Sharing), len(v.Result.ByLine())
	which := fmt.Sprintf("%d of %d", n, all)
	if n == all {
		which = fmt.Sprintf("All %d", n)
	}
	if n == all && n == 2 {
		which = "Both"
	}
	way, suspect := "late", "scale or turning line, not lines"
	if e.Value < 0 {
		way = "early"
	}
	if s.Move == advise.MovePointer {
		suspect = "pointer or ring, not lines"
		if v.Result.Slip() == audit.Together {
			suspect = "the pointer, not lines"
		}
	}
	return which + " share " + rounding.Degrees(e.Value.Abs(), rounding.Places(e.Expanded.Degrees())) + " " + way + ": suspect " + suspect + "."
}

// thenInShort says how well a line is known once it is scribed.
func thenInShort(v Audit, s advise.Scribe) string {
	if u := s.Then(v.Result.Sheet); u > 0 {
		return " It is then known to ± " + rounding.TwoDigits(u) + ", placing it included" + fittedOnce(v) + "."
	}
	return ""
}

// fittedOnce follows a ± that was never seen to hold once the readout is fitted again.
func fittedOnce(v Audit) string {
	if slices.ContainsFunc(v.Result.ByLine(), AsFitted) {
		return ", as fitted"
	}
	return ""
}

// besideAnother is nearer than two lines on metal are told apart at a glance. Common
// practice, no source.
const besideAnother geometry.Length = 1

// nearOld is an old line that nearly stands on one that stays.
type nearOld struct {
	old, stays string
	apart      geometry.Length
	told       bool // the readings tell which of them is which
	onItsWay   bool // the old one is the one further the way its new line goes
}

// standsBeside finds the line that stays and on which an old line nearly stands; false
// where there is none.
func standsBeside(v Audit, m audit.LineResult) (near nearOld, ok bool) {
	r, part := v.Result, v.Result.Sheet.Part
	if part.Diameter == 0 || !m.Scribe.Worthwhile {
		return near, false
	}
	near.apart = besideAnother
	for _, other := range r.ByLine() {
		if other.Name == m.Name || other.On != m.On || !other.Read() || other.Scribe.Worthwhile {
			continue
		}
		later, u := advise.AlongRim(r.Sheet, r.TDC, m.Line, other.Line)
		apart := (geometry.Rim{Diameter: part.Diameter}).Arc(part.Turned(later).Abs())
		if apart < near.apart {
			// A line that is late goes on to those that come up before it, and so away
			// from one that comes up after it.
			near = nearOld{old: m.Name, stays: other.Name, apart: apart, told: u > 0 && apart > u, onItsWay: (later > 0) == (m.Offset.Value > 0)}
		}
	}
	return near, near.stays != ""
}

// oldOne says which of two lines that nearly stand on each other is the old one; with a
// space before it.
func oldOne(v Audit, m audit.LineResult) string {
	near, ok := standsBeside(v, m)
	if !ok {
		return ""
	}
	s := m.Scribe
	side := "further " + s.Rotation.String()
	switch {
	case !near.onItsWay:
		side = "further " + s.Rotation.Opposite().String()
	case s.Towards != "" && s.Towards != near.stays:
		side = "towards " + TheLine(s.Towards)
	}
	text := fmt.Sprintf(" It stands %s beside %s: the old one is the one %s.", v.Of(near.apart), TheLine(near.stays), side)
	return text + near.strike()
}

func (n nearOld) strike() string {
	if !n.told {
		return " If you cannot tell the two apart: STOP, scribe nothing for that line. Else strike the old one only."
	}
	return " Strike that one only."
}

// OldOnes says for several lines in a few sentences which of two that nearly stand on each
// other is the old one; empty where none does.
func OldOnes(v Audit) string {
	var said []string
	all := nearOld{told: true, onItsWay: true}
	apart := ""
	for _, m := range v.Result.ByLine() {
		near, ok := standsBeside(v, m)
		if !ok {
			continue
		}
		if !near.onItsWay {
			apart += " " + Quoted(m.Name) + ":" + oldOne(v, m)
			continue
		}
		all.told = all.told && near.told
		said = append(said, fmt.Sprintf("%s stands %s beside %s", lineBegins(near.old), v.Of(near.apart), TheLine(near.stays)))
	}
	if len(said) == 0 {
		return strings.TrimSpace(apart)
	}
	return strings.Join(said, ", ") + ". Of " + map[bool]string{true: "the", false: "each"}[len(said) == 1] + " two the old line is the one nearer to its new line." + all.strike() + apart
}

// Cautions returns what every person at an engine is told, each a sentence of
// its own, the most dangerous first. They are common practice, no source; the
// README, the blank sheet and docs/bench.md say the same. They stand in full where
// work begins: before the first fit, on the form, and in the annex of a record.
func Cautions() []string {
	return []string{
		"Turn by hand only, never with the starter while a stop is fitted.",
		"Take all plugs or injectors out.",
		"Disconnect the battery; earth a magneto.",
		"Shut fuel, gas and air start, and put the engine out of gear.",
		"Fit the stop with the piston well down and feel for the contact.",
		"On a four-stroke one of the two contacts falls at overlap, where both valves are open: make sure that stop and piston clear them.",
		"A heavy flywheel cannot be felt against a stop: bar it over.",
		"If the maker forbids turning backward, do not: belts, chains and tensioners can jump.",
		"Turning back can loosen a crank bolt: check it afterwards.",
		"Head off: hold the liner down, and keep hands from the deck.",
		"Take the stop out before you pass TDC.",
		"At the end stop or dial comes out: look into the hole.",
		"The maker's data, local rules and licensed practice come first.",
	}
}

// Caution is the one line that stands wherever work does not begin.
const Caution = "Turn by hand only. Take the stop out before you pass TDC."

// CautionOnSheet is the caution of a sheet to sign, for what sits in the plug hole there.
func CautionOnSheet(v Audit) string {
	if v.onDial() {
		return "Turn by hand only, never with the starter. At the end the dial comes out: look into the hole."
	}
	return "Stop out before TDC is passed. Turn by hand only, never with the starter while a stop is fitted."
}
