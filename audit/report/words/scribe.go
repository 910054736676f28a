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
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// outside says what to do about a line that is outside.
func (v Audit) outside(m audit.LineResult) string {
	name, s := lineBegins(m.Name), m.Scribe
	switch {
	case s.Worthwhile:
		return v.Scribe(m)
	case s.Withheld != advise.NotWithheld:
		return name + ": do not scribe it anew. " + Sentence(Withheld(v, s.Withheld))
	case s.HasLengths && m.Offset.Expanded < m.Offset.Value.Abs():
		return fmt.Sprintf("%s: do not scribe yet. Placed within %s, a new line would be known only to ± %s, no better than the old one is wrong. Find a way to place it more closely, and state that in limits.placement.",
			name, v.placement(), rounding.TwoDigits(s.Then(v.Result.Sheet)))
	}
	return fmt.Sprintf("%s: do not scribe yet. A new line would be known only to ± %s, no better than the old one is wrong. Measure more surely first.",
		name, rounding.TwoDigits(m.Offset.Expanded))
}

// Scribe is the instruction for one line. It says first towards which line the new
// one goes, for that is true from whichever side one looks.
func (v Audit) Scribe(m audit.LineResult) string {
	if m.ByDial != nil {
		return scribeByDial(v, m)
	}
	return v.scribe(m, ": ") + oldOne(v, m) + fmt.Sprintf(" Until then, setting to it gives %s.", ComesUp(m))
}

// ScribeOnSheet is [Audit.Scribe] for a sheet that has where the line comes up in a table, and
// which line is the old one in a step of its own.
func (v Audit) ScribeOnSheet(m audit.LineResult) string {
	if m.ByDial != nil {
		return scribeByDial(v, m)
	}
	return v.scribe(m, ". That is ")
}

// scribe is the instruction; then stands between the way round and what it is to the
// engine.
func (v Audit) scribe(m audit.LineResult, then string) string {
	s, e := m.Scribe, m.Offset
	what := lineBegins(m.Name) + ": scribe a new line"
	if s.Angle > farOff {
		what = lineBegins(m.Name) + ": read the line once more first, because it is far off. Then scribe a new line"
	}
	if s.Move == advise.MoveScale {
		what += " on the fixed scale,"
	}
	seen := v.seenAs(s, " of the old one", then)
	var b strings.Builder
	if s.HasLengths {
		fmt.Fprintf(&b, "%s %s %s, along the rim, %s. %s", what, v.Of(s.Arc), v.Goes(s), v.edges(), seen)
		if s.HasTeeth {
			fmt.Fprintf(&b, " It is %s teeth.", rounding.Fixed(s.Teeth, 2))
		}
		b.WriteString(v.across(s) + v.then(s, " That includes placing it within "+v.placement()+"."))
	} else {
		fmt.Fprintf(&b, "%s %s %s. %s Add part.diameter to the sheet to have it in millimetres.",
			what, rounding.SureDegrees(s.Angle, e.Expanded), v.Goes(s), seen)
	}
	return b.String()
}

// ScribeAll is what several instructions have in common, and each of them as
// [Audit.Scribe] has it; nothing where there is only one, or one has more to say than
// [Audit.ScribeInShort].
func (v Audit) ScribeAll() (lead string, each []string) {
	for _, m := range v.Result.ByLine() {
		s := m.Scribe
		if !s.Worthwhile {
			continue
		}
		if m.ByDial != nil || !s.HasLengths || s.HasTeeth || s.Angle > farOff || s.Move == advise.MoveScale || v.across(s) != "" {
			return "", nil
		}
		each = append(each, v.Scribe(m))
	}
	if len(each) < 2 {
		return "", nil
	}
	return fmt.Sprintf("Scribe new lines, along the rim, %s. %s:", v.edges(), strings.TrimSuffix(Sentence(v.viewpoint()), ".")), each
}

// ScribeInShort is the instruction for one of several lines.
func (v Audit) ScribeInShort(m audit.LineResult) string {
	s := m.Scribe
	way := strings.ToUpper(s.Rotation.String())
	if side := v.InWindow(s.Along); side != "" {
		way += ", " + strings.ToUpper(side) + " in the window"
	}
	return fmt.Sprintf("%s: %s %s, %s; then known to ± %s, placing it included%s.", lineBegins(m.Name), v.Of(s.Arc), v.Goes(s), way, rounding.TwoDigits(s.Then(v.Result.Sheet)), fittedOnce(v))
}

// placement is how closely a new line is laid.
func (v Audit) placement() string {
	return v.asWritten("limits.placement", v.Of(v.Result.Sheet.Limits.Placement))
}

// farOff is an offset that is more often a slip of the pen than a wrong line.
// Common practice, no source.
const farOff geometry.Angle = 5

func (v Audit) edges() string {
	switch at := v.Result.Sheet.Part.ReadAt; at {
	case "leading edge", "trailing edge":
		return at + " of the old line to " + at + " of the new"
	}
	return "centre of the old line to centre of the new"
}

// What reports say of engines that are more than one pulley, one wheel and one
// stop.

// Goes says where an instruction goes, true from any side: towards a line, or the
// way the engine runs or against it.
func (v Audit) Goes(s advise.Scribe) string {
	switch {
	case s.Towards == "" && s.Along == advise.Running:
		return strings.Replace(v.along(s.Along), "ahead", "AHEAD", 1)
	case s.Towards == "":
		return strings.Replace(v.along(s.Along), "back", "BACK", 1)
	case s.Past:
		return "TOWARDS " + TheLine(s.Towards) + " and past it"
	}
	return "TOWARDS " + TheLine(s.Towards)
}

// TheLine names a line within a sentence. One that is called "line 4" is not called so
// twice.
func TheLine(name string) string {
	if strings.HasPrefix(strings.ToLower(Clean(name)), "line ") {
		return Quoted(name)
	}
	return "line " + Quoted(name)
}

// lineBegins is [TheLine] at the beginning of a sentence.
func lineBegins(name string) string { return capital(TheLine(name)) }

// seen says the same way as one sees it, and along the rim where that was not said.
func (v Audit) seen(s advise.Scribe, of string) string { return v.seenAs(s, of, ": ") }

func (v Audit) seenAs(s advise.Scribe, of, then string) string {
	text := v.viewpoint() + ", that is " + strings.ToUpper(s.Rotation.String()) + of
	if s.Towards != "" {
		text += then + v.along(s.Along)
	}
	if side := v.InWindow(s.Along); side != "" {
		text += ", " + strings.ToUpper(side) + " in the window"
	}
	return Sentence(text)
}

// across is the way of an instruction as dividers check it, where they tell it
// from the way along the rim: in every unit that is printed.
func (v Audit) across(s advise.Scribe) string {
	mm := rounding.Lengths{ByDividers: v.ByDividers}
	in := func(x geometry.Length) string { return rounding.Fixed(x.In(geometry.Inch), v.InchPlaces()) }
	if mm.Of(s.Chord) == mm.Of(s.Arc) || v.Unit.Imperial() && in(s.Chord) == in(s.Arc) {
		return ""
	}
	return " To check it: dividers span " + v.Of(s.Chord) + " from the old line to the new. That is less because they go straight across."
}

// then says how well the new line would be known. Included is a sentence on
// what the ± holds besides measuring.
func (v Audit) then(s advise.Scribe, included string) string {
	part, then := v.Result.Sheet.Part, s.Then(v.Result.Sheet)
	onRim := geometry.Rim{Diameter: part.Diameter}.Arc(part.Turned(then))
	return fmt.Sprintf(" The new line is then known to ± %s, %s on the rim%s.%s", rounding.TwoDigits(then), v.Of(onRim), fittedOnce(v), included)
}

// along says a direction in words of the engine.
func (v Audit) along(a advise.Along) string {
	runs := "the engine runs"
	if v.Result.Sheet.Part.HalfSpeed {
		runs = "this part runs"
	}
	words := "ahead, the way " + runs
	if a != advise.Running {
		words = "back, against the way " + strings.Replace(runs, "the engine", "it", 1)
	}
	return words
}

// InWindow is the way that something goes as seen in a window.
func (v Audit) InWindow(a advise.Along) string {
	moves := v.Result.Sheet.Part.Moves
	if moves == "" || a == advise.Running {
		return moves
	}
	return map[string]string{"left": "right", "right": "left", "up": "down", "down": "up"}[moves]
}

// MoveOne is the one instruction for a common shift.
func (v Audit) MoveOne() string {
	s, e := v.Result.Advice.Together, v.Result.Advice.Shared
	if s.Withheld != advise.NotWithheld {
		return "Move nothing yet. " + Sentence(Withheld(v, s.Withheld))
	}
	if s.Along == advise.NoWay {
		return ""
	}
	if !s.Worthwhile {
		return "Move nothing yet. No line is shown to be outside, or the move would be known no better than the lines are wrong."
	}
	how := rounding.SureDegrees(s.Angle, e.Expanded)
	if s.HasLengths {
		how = v.Of(s.Arc) + " along the rim"
	}
	how += " " + v.Goes(s)
	seen := v.seen(s, "")
	if s.Move != advise.MoveLine {
		return fmt.Sprintf("If it is the pointer, move it %s. %s Then read the lines again.", how, seen)
	}
	if s.HasLengths {
		how += ", " + v.edges()
		seen += v.across(s) + v.then(s, v.better(s))
	}
	return fmt.Sprintf("If it is the turning line, scribe it anew %s. %s Or move the whole scale as far the other way, %s. Then read the lines again.",
		how, seen, s.Rotation.Opposite())
}

// better says why a new line for all lines together may be known better than any of
// them: their shift is the mean of them all.
func (v Audit) better(s advise.Scribe) string {
	then := s.Then(v.Result.Sheet)
	for _, m := range v.Result.ByLine() {
		if m.Offset != nil && m.Offset.Known && m.Offset.Expanded <= then {
			return ""
		}
	}
	return " That is less than the ± of each line, because all of them together tell it."
}

// Scribes reports whether any instruction is given.
func (v Audit) Scribes() bool {
	for _, s := range v.Result.Advice.Lines {
		if s.Worthwhile {
			return true
		}
	}
	return v.Result.Advice.Together.Worthwhile
}

// Unseen reports whether verdicts hang on what nothing on the sheet confirms: which way
// the engine runs, and what carries the lines. An eye has to, and did not yet.
func (v Audit) Unseen() bool {
	told := v.Result.Sheet.After
	return v.Result.Advice.Check.Rotation != 0 && (told == nil || told.EyeCheck == sheet.EyeUnsaid || told.EyeCheck == sheet.EyeNotDone) &&
		slices.ContainsFunc(v.Result.Warnings, func(w warning.Warning) bool { return w.Code == warning.SideUnchecked }) &&
		slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool {
			return m.Verdict == diagnosis.Within || m.Verdict == diagnosis.Outside
		})
}

// ToSeeFirst reports whether there is something to see by eye before all else is done.
func (v Audit) ToSeeFirst() bool { return v.Scribes() || v.Unseen() }

// Check is what to look at before the scriber touches the metal.
func (v Audit) Check() string {
	if v.Result.Advice.Check.Round == 0 {
		return v.ToSee() + ". If not, stop: the sheet is wrong"
	}
	return v.ToSee() + ". If either is not so, stop: the sheet is wrong"
}

// ToSee is [Audit.Check] without what to do where it is not so.
func (v Audit) ToSee() string {
	c := v.Result.Advice.Check
	if c.Round == 0 {
		return v.Look()
	}
	tape := ". A tape once round the rim shows "
	if v.Result.Sheet.Part.Moves != "" { // behind a window it may not go round
		tape = ". Where a tape can be laid once round the rim, it shows "
	}
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine { // nothing goes round a fixed scale
		tape = strings.Replace(tape, "the rim", "the part with the turning line", 1)
	}
	return v.Look() + tape + v.Round()
}

// roughly is how closely a tape has to agree with a diameter whose own ± the sheet does not
// state: a radius, or a wrong rim, is much further off. Common practice, no source.
const roughly = 0.03

// tapeThick is what a steel tape may add to the diameter that it is laid round, half its
// thickness on either side; one of cloth adds more. Common practice, no source.
const tapeThick geometry.Length = 0.2

// Round is what a tape once round the rim has to show, with a ± in any case: somebody
// stops by it.
func (v Audit) Round() string {
	c := v.Result.Advice.Check
	if c.RoundLimit.Half > 0 {
		return v.ByTape(c.Round, c.RoundLimit.Half+geometry.Rim{Diameter: tapeThick}.Arc(360))
	}
	whole := func(x geometry.Length) string { return rounding.Fixed(x.Millimetres(), 0) }
	if v.Unit.Imperial() {
		whole = func(x geometry.Length) string { return rounding.Fixed(x.In(geometry.Inch), 1) }
	}
	unit := " mm"
	if v.Unit.Imperial() {
		unit = " in"
	}
	return whole(c.Round) + " ± " + whole(c.Round*roughly) + unit + " (the diameter has no ±)"
}

// AboutDiameter says what the ± of a distance between lines leaves out; empty where the
// sheet states how well the diameter is known, which is then in that ±.
func (v Audit) AboutDiameter() string {
	if p := v.Result.Sheet.Part; p.Diameter == 0 || p.DiameterLimit.Half > 0 {
		return ""
	}
	return "allow " + rounding.Fixed(roughly*100, 0) + " % more: the diameter has no ±"
}

// Look is the part of [Audit.Check] that tells which way round the lines lie.
func (v Audit) Look() string {
	c, part := v.Result.Advice.Check, v.Result.Sheet.Part
	moving := c.Rotation.String()
	if c.From != "" {
		return fmt.Sprintf("%s, the shorter way round from %s to %s goes %s", v.viewpoint(), TheLine(c.From), TheLine(c.To), moving)
	}
	if part.Moves != "" {
		moving += ", " + part.Moves + " in the window"
	}
	if part.MarksOn == sheet.OnEngine {
		return fmt.Sprintf("%s, turn the engine the way it runs: the turning line passes the scale moving %s, and the scale stands still", v.viewpoint(), moving)
	}
	return fmt.Sprintf("%s, turn the engine the way it runs: %s passes the pointer moving %s, and the pointer stands still", v.viewpoint(), TheLine(c.Passes), moving)
}

// AboutDistances says what distances between lines are good for: the second check
// before scribing, and one of the readings in any case. Lead is its heading. Where
// dividers tell nothing and nothing is to be scribed there is no text.
func (v Audit) AboutDistances() (lead, text string) {
	chord := func(d advise.Distance) bool { return d.NowRound == 0 }
	chords := slices.ContainsFunc(v.Distances(), chord)
	lead, text = "DIVIDERS", "Straight across from line to line, as the readings have it. A distance that disagrees by more than its ± means a wrong reading or a wrong sheet."
	switch {
	case v.Scribed && chords:
	case v.Scribed:
		return lead, ""
	case v.Scribes() && !chords:
		return "CHECK BEFORE YOU SCRIBE", "By eye, as said above."
	case !chords:
		return lead, ""
	case v.Scribes():
		lead, text = "CHECK BEFORE YOU SCRIBE", "By eye, as said above. Then with dividers, straight across from line to line. A distance that disagrees by more than its ± means a wrong reading or a wrong sheet."
	}
	if slices.ContainsFunc(v.Distances(), func(d advise.Distance) bool { return chord(d) && d.U == 0 }) {
		text += " One without ± cannot be judged so: its lines were not read in the same setups, or not often enough."
	}
	return lead, text
}

// AboutRound says what the lengths round the rim are good for.
const AboutRound = "By a tape along the rim, the shorter way, between lines so far apart that dividers would tell the diameter and not the angle. A length that disagrees by more than its ± means a wrong reading or a wrong sheet."

// Distance says one distance, as the lines are and once the instructions are
// carried out.
func (v Audit) Distance(d advise.Distance) (now, after string) {
	switch {
	case d.NowRound > 0:
		return v.ByTape(d.NowRound, d.RoundU), v.ByTape(d.AfterRound, 0)
	case d.U > 0:
		return v.Sure(d.Now, d.U), v.Of(d.After)
	}
	return v.Of(d.Now), v.Of(d.After)
}
