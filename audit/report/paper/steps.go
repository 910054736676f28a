package paper

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// What to do with a strip, step by step, in words of the bench.

const before = "At rest, fuel and ignition off, blocked except to LOOK and READ, metal clean. At hand: rule, caliper or tape measure, scissors, tape, scriber, square, dividers, felt pen 0.5 mm, readout (TDC found)."

// before is what must be at rest, and at hand: on a slope two dots make a square needless.
func (s stripper) before() string {
	if s.o.Slope != 0 {
		return strings.NewReplacer(" square,", "", " (TDC found)", "").Replace(before)
	}
	return before
}

// lineSteps are the steps for a new line. What would have to be struck through again is
// checked before anything is scribed.
func (s stripper) lineSteps(m audit.LineResult, proofs []proofLine, name string) []step {
	given := m.Forced
	carried := []string{"the old line"}
	for _, p := range proofs {
		carried = append(carried, "“"+p.name+"”")
	}
	steps := append(s.firstSteps(s.lineNamed(name)+" (now at "+words.ComesUp(m)+")", carried...), s.bring(s.edgeOf("the old line “"+name+"”")))
	rules := ": the FOOT rules."
	if s.tight() {
		rules = "."
	}
	if len(proofs) > 0 {
		var names []string
		for _, p := range proofs {
			names = append(names, "“"+p.name+"”")
		}
		show := "Line " + names[0] + " must show between its posts."
		if len(names) > 1 {
			show = "Lines " + strings.Join(names, " and ") + " must each show between their own posts."
		}
		steps = append(steps, step{word: "PROVE", text: show + " If not, STOP. Never push the " + s.surface().noun() + rules, picture: proofShows}, s.dots(proofs[0].name))
	} else {
		steps = append(steps, step{word: "TRY", picture: s.dotsPicture(), text: s.felt() + " Read it on the engine. Only if it comes up at " + s.letters(words.Clean(m.AtText)) + " " + s.nearer(m) + ", go on."})
	}
	from := "the new dot"
	if len(proofs) == 0 {
		from = "the felt line"
	}
	belongs := s.letters(words.Clean(m.AtText)) + " " + s.within(m)
	if !s.tight() {
		belongs += " (its tolerance)"
	}
	steps = append(steps, step{word: "CHECK", text: s.checkNew(given, proofs, from)})
	if len(proofs) > 0 { // else it was read where it was tried
		steps = append(steps, step{word: "READ", text: s.proven() + belongs + ". If not, find TDC anew; still not, STOP."})
	}
	again := "CHECK and READ again."
	if len(proofs) == 0 {
		again = "CHECK and read again."
	}
	return append(steps, step{word: "SCRIBE", text: s.surface().across(from) + "."},
		step{word: "MARK", text: again + " Good: cross the OLD line out, mark the new one “" + name + "”. If not, cross out both, ask."})
}

// proven is how the new dot is read before its line is scribed.
func (s stripper) proven() string {
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "Turning line at the new dot: from true TDC the readout must show "
	}
	if s.o.Slope != 0 {
		return "Rule over both new dots to the pointer: from TDC the readout must show "
	}
	return "New dot at the pointer: from true TDC the readout must show "
}

// fromTDC says from where is read, where there is room.
func (s stripper) fromTDC() string {
	if s.tight() {
		return ""
	}
	return ", from true TDC"
}

// dots is where the metal is touched while the piece lies. On a slope a second dot
// at the outer edge gives the new line its direction, and a dot on each line at the
// edge of the paper is where the dividers are set: lines fan out there.
func (s stripper) dots(proof string) step {
	if s.o.Slope != 0 {
		return step{word: "DOT", picture: dotsMarked, text: "Fine felt dots at the paper's edge: on the old line, on “" + proof + "”, at the black FOOT (new); one on the outer edge, in the MIDDLE of the gap. Template off."}
	}
	return step{word: "DOT", text: "A fine felt dot at the FOOT of the black flagstaff. Take the strip off."}
}

// dotsPicture shows the dots that a piece on a slope asks for.
func (s stripper) dotsPicture() picture {
	if s.o.Slope != 0 {
		return dotsMarked
	}
	return noPicture
}

// felt is how the new line is drawn for a try, where no other line proves the piece.
func (s stripper) felt() string {
	first := "No other line proves it. "
	if s.tight() { // the piece says so
		first = ""
	}
	if s.o.Slope != 0 {
		return first + "Fine felt dots at the paper's edge: on the old line, at the black FOOT; one on the outer edge, in the MIDDLE of the gap. Template off; felt line through the new two."
	}
	return first + "From the FOOT of the black flagstaff draw the new line towards you in felt pen. Strip off."
}

// nearer says how close a felt line must come to where it belongs: within its tolerance,
// and nearer than to the old line, which a small move would else leave within as well.
func (s stripper) nearer(m audit.LineResult) string {
	half := m.Forced.Angle.Abs() / 2
	if early, late := m.Allowed(); half >= min(early, late) {
		return "within " + s.within(m)
	}
	return "and not at " + words.ComesUp(m) + ", as the old one does: within " + rounding.TwoDigits(half)
}

// firstSteps are those until the piece lies on the part, where it is for what is said.
func (s stripper) firstSteps(what string, carried ...string) []step {
	look := s.look(what)
	look += onlyIf(s)
	var all []step
	if slices.ContainsFunc(s.Result.Warnings, func(w warning.Warning) bool { return w.Code == warning.SideUnchecked }) {
		text := "Nobody has yet seen which way it runs. Ask who has, or STOP."
		if !s.tight() {
			text = "Nobody has yet seen which way it runs. Ask who has. Or readout off, stop out, all plugs out, fuel and ignition off, flywheel free, hands clear; then see the starter turn it, and find TDC anew. Paper for the wrong way looks just as right."
		}
		all = append(all, step{word: "STOP", aside: true, text: text})
	}
	all = append(all, step{word: "LOOK", text: look})
	measure := step{word: "MEASURE", text: s.measure()}
	if s.o.Slope != 0 {
		measure.note = s.ifShort()
	}
	cut := step{word: "CUT", text: s.cut()}
	if !s.tight() && s.Result.Sheet.Part.Moves == "" && len(s.o.Tape) == 0 && !s.o.Full {
		cut.note = "Too long for its place: then cut the ends off. Flags, outlined arrow and any posts stay."
	}
	all = append(all, measure, cut)
	numbered := 0
	for _, one := range all {
		if !one.aside {
			numbered++
		}
	}
	all = append(all, s.ifStopped(numbered))
	if s.o.Slope != 0 && !s.sets() {
		if len(carried) == 0 {
			carried = []string{"each line"}
		}
		all = append(all, step{word: "CARRY", text: strings.Replace(strings.Join(carried, ", "), ", ", " and ", 1) + " on in thin felt pen, from the edge to " + s.inner() + ", the rule " + s.surface().aimed() + "."})
	}
	return append(all, step{word: "LAY", text: s.sideUp(), picture: howItLies})
}

// ifStopped says what a STOP means, before the piece is laid and after, and where to begin
// again. So many steps come before it.
func (s stripper) ifStopped(before int) step {
	verb, undo := "scribe", "wipe dots off, look again at line and way up"
	if s.tight() {
		undo = "wipe dots off, look again"
	}
	if s.sets() {
		verb, undo = "set", "tip back to its dot"
	}
	return step{word: "STOP", aside: true, text: fmt.Sprintf("said in 1 to %d: have it drawn anew. Later: lift it off, %s, begin at %d. Twice: %s nothing.", before, undo, before+1, verb)}
}

// sets reports whether a pointer is set, and nothing scribed.
func (s stripper) sets() bool { return s.shared != nil && s.shared.Move == advise.MovePointer }

// bring is the step that brings a line that is there to the open flag.
func (s stripper) bring(what string) step {
	note, tape := s.ifShort(), "Tape the bar's side only."
	if s.o.Slope != 0 { // the note was said where the part is measured
		note, tape = "", "Tape the bar's side, press the edge flat."
	}
	return step{word: "BRING", text: what + " to the " + s.openFoot() + ", in the ring. " + s.shown() + " " + tape, picture: footOfFlag, note: note}
}

// edgeOf is what of a line is brought: its middle, or the edge at which it is read.
func (s stripper) edgeOf(line string) string {
	if at := s.readAt(); at != "" {
		return "the " + at + " of " + line
	}
	return "the middle of " + line
}

// readAt is the edge at which lines are read, if not in the middle.
func (s stripper) readAt() string {
	if at := s.Result.Sheet.Part.ReadAt; at == "leading edge" || at == "trailing edge" {
		return at
	}
	return ""
}

// inner is how far in a line is carried.
func (s stripper) inner() string {
	if s.o.Slope == 90 {
		return s.about(s.surface().deep()) + " in"
	}
	return "the end of the slope"
}

// openFoot is where an old line is brought.
func (s stripper) openFoot() string {
	if s.tight() {
		return "open FOOT"
	}
	return "FOOT of the open flagstaff"
}

// about is a length for which a tenth of a millimetre means nothing.
func (s stripper) about(l geometry.Length) string {
	return strings.Replace(s.ByTape(l, 0), ".0 mm", " mm", 1)
}

// shown says how much of a line looks out below the piece that lies.
func (s stripper) shown() string {
	if s.o.Slope != 0 {
		return "At least " + s.about(s.surface().shows()) + " of it show below the paper."
	}
	return "Half of its length shows beyond the paper's edge."
}

// within says a line's tolerance.
func (s stripper) within(m audit.LineResult) string {
	early, late := m.Allowed()
	if early == late {
		return "± " + degrees(early) + "°"
	}
	return degrees(early) + "° early to " + degrees(late) + "° late"
}

// allWithin says the tolerance that all lines share; where they do not, that each has
// its own.
func (s stripper) allWithin() string {
	const most = 4 // places that a step has room for
	said, alike := "", true
	var places []string
	for _, m := range s.Result.ByLine() {
		within := s.within(m)
		alike = alike && (said == "" || within == said)
		said = within
		places = append(places, "“"+s.shortName(m.Name)+"” "+s.letters(words.Clean(m.AtText)))
	}
	own := ""
	if len(s.Result.Sheet.Engine.Cylinders) > 0 {
		own = " from the TDC of its own cylinder"
	}
	switch {
	case !alike:
		return "within its own tolerance" + own
	case s.tight():
		return "within " + said + own
	case len(places) > most:
		return "within " + said + " of its place" + own
	}
	return "within " + said + " of its place" + own + ", " + strings.Join(places, ", ")
}

// checkNew is what dividers must find before the new line is scribed, between what is
// there and the place of the new one.
func (s stripper) checkNew(given advise.Scribe, proofs []proofLine, to string) string {
	part := s.Result.Sheet.Part
	metal := s.surface().metal()
	chord := metal.Chord(part.Turned(given.Angle))
	chord = max(chord, -chord)
	text := s.surface().dividers() + " to " + to + ": " + s.ByTape(chord, laying)
	if s.ByTape(chord, 0) != s.way(given) {
		text += " (less than " + s.way(given) + ": they do not follow the curve)"
	}
	if len(proofs) == 0 {
		text += ", " + to + " on the " + side(right(given.Rotation, 1))
	}
	text += "."
	if s.o.Slope != 0 {
		text = strings.TrimSuffix(text, ".") + "; on the outer edge, old line to gap dot, " + s.ByTape(s.surface().apartAtCorner(given.Angle), laying) + "."
	}
	if len(proofs) > 0 {
		p := proofs[0]
		way := right(given.Rotation, s.surface().along(given.Angle))
		other := "“" + p.name + "”"
		to := strings.TrimPrefix(to, "the ")
		order := []string{to, "old line", other}
		switch {
		case (p.x > 0) != (way > 0):
		case max(p.x, -p.x) > max(way, -way):
			order = []string{"old line", to, other}
		default:
			order = []string{"old line", other, to}
		}
		if p.x < 0 {
			slices.Reverse(order)
		}
		from := "Line “"
		if s.o.Slope != 0 {
			from = "Dot of “"
		}
		text += " " + from + p.name + "” to " + to + ": " + s.ByTape(p.toNew, p.u+laying) + ". Order from the left: " + strings.Join(order, ", ") + "."
	}
	return text + " If not, STOP."
}

// look is the check by eye.
func (s stripper) look(what string) string {
	text := words.Sentence(s.letters(s.Look())) + " If not, STOP"
	if s.Result.Sheet.Part.Moves != "" && !s.tight() {
		text += ": you look from the wrong side, or this is drawn wrong"
	}
	text += "."
	if what != "" {
		text = "Only for " + what + ". " + text
	}
	return text
}

// cut is how the strip is cut out.
func (s stripper) cut() string {
	text := "Along the outline, below on the long line over CUT HERE; bar left whole. 1 mm off does no harm."
	if s.tight() {
		text = "On the outline, below on the long line over CUT HERE; bar left whole."
	}
	if s.o.Slope != 0 && !s.sets() {
		text = "On the outline, below on the long line over CUT HERE. Snip the bar's white gap out."
	}
	if s.Result.Sheet.Part.Moves != "" && s.o.Slope == 0 && len(s.o.Tape) == 0 && !s.o.Full {
		text += " Rule to its check length. Then for a small window cut both ends off; flags and outlined arrow stay."
		return text
	}
	if s.narrow() && len(s.o.Tape) == 0 && !s.o.Full {
		return text
	}
	return text + " Hold a rule to its check length."
}

// measure is what must be measured before anything is cut.
func (s stripper) measure() string {
	part := s.Result.Sheet.Part
	half := part.DiameterLimit.Half
	across := func(x, half geometry.Length) string {
		if half == 0 {
			return s.ByTape(x, 0)
		}
		low, unit, _ := strings.Cut(s.ByTape(x-half, 0), " ")
		high := s.ByTape(x+half, 0)
		if !strings.HasSuffix(high, " "+unit) {
			low += " " + unit
		}
		return low + " to " + high
	}
	all := across(part.Diameter, half)
	round := s.Round()
	text := "Both check lines below. Then your rim: " + all + " across, or " + round + " round by tape."
	if s.o.Slope != 0 { // the steps of a template have little room
		text = "All three check lines. " + words.Sentence(s.surface().edge()+": "+all+" across, or "+round+" round")
	}
	switch s.o.Slope {
	case 0:
	case 90:
		if !s.sets() {
			text += " At least " + s.about(s.surface().deep()) + " of it flat."
		}
	default:
		text += " " + degrees(s.o.Slope-2) + " to " + degrees(min(s.o.Slope+2, 90)) + "° steep, at least " + s.about(s.surface().deep()) + " wide."
	}
	if part.Moves != "" && s.o.Slope == 0 {
		text += " No room: cover off, or the maker's figure."
	}
	return text + " If not, STOP."
}

// sideUp says how the strip lies before anything on it is brought anywhere.
func (s stripper) sideUp() string {
	runs := "the way the engine runs"
	if s.Result.Sheet.Part.HalfSpeed {
		runs = "the way this part runs"
	}
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		runs = "the way the turning line goes"
	}
	where := "black bar away from you, graduations towards you and parallel to the front edge"
	if s.o.Slope != 0 {
		where = "bar's outer side ON " + s.surface().edge() + ", graduations towards " + s.surface().towards()
	}
	text := "Print up, " + where + ", the outlined arrow " + runs + "."
	switch s.o.Slope {
	case 0:
	case 90:
		text += " Bar off the edge: scribe nothing, another diameter."
	default:
		text += " Bar off the edge: scribe nothing, another diameter or slope."
	}
	return text
}

// ifShort says what to do where the part leaves no room for what the steps ask.
func (s stripper) ifShort() string {
	if s.o.Slope != 0 {
		return "Edge round or broken: where " + s.surface().where() + " and rim would meet."
	}
	return "If a line is too short to show, carry it on square in felt pen first. Rim narrower than the strip: only the graduations lie on it, tape both ends."
}

// tight reports whether the piece leaves the steps so little room that reasons are left
// out: under an arch, and below a strip wider than usual.
func (s stripper) tight() bool { return s.o.Slope != 0 || s.asked > usualWidth }

// id says which strip of how many this is.
func (s stripper) id(i, of int) string {
	where := ""
	switch s.o.Slope {
	case 0:
	case 90:
		where = "face "
	default:
		where = "chamfer "
	}
	return fmt.Sprintf("%s%s %d of %d", where, s.surface().noun(), i+1, of)
}

// sureness says how well the new line is known, and what that is not.
func (s stripper) sureness(i advise.Scribe) string {
	then := i.Then(s.Result.Sheet)
	switch {
	case then == 0:
		return "How sure the readings are is not known. The new line belongs at " + s.way(i) + ", nowhere else."
	case s.noBetter(i):
		return "The new line would be known no better than the old one is wrong. Better scribe nothing, and measure again."
	}
	if s.o.Slope != 0 {
		return "New line then known to ± " + rounding.TwoDigits(then) + "."
	}
	return "The new line is then known to ± " + rounding.TwoDigits(then) + ". Scribe it at " + s.way(i) + ", nowhere else."
}

// noBetter reports whether a new line would be known no better than it goes.
func (s stripper) noBetter(i advise.Scribe) bool { return i.Then(s.Result.Sheet) >= i.Angle.Abs() }

// warned says in the heading where a new line would be known no better than it goes.
func (s stripper) warned(i advise.Scribe) string {
	if !s.noBetter(i) {
		return ""
	}
	return ". BETTER NOT: the new line would be known to ± " + rounding.TwoDigits(i.Then(s.Result.Sheet)) + " only, and this moves it by " + rounding.TwoDigits(i.Angle.Abs())
}

// alikeSteps are the steps for what all lines share.
func (s stripper) alikeSteps(given advise.Scribe) []step {
	steps := s.firstSteps(strings.TrimSuffix(s.whose(), ", "), "the turning line")
	chord := s.surface().metal().Chord(s.Result.Sheet.Part.Turned(given.Angle))
	way := s.ByTape(max(chord, -chord), laying)
	to := side(right(given.Rotation, 1))
	if given.Move == advise.MovePointer {
		behind := "Look square at the tip. A pointer that comes from behind: the paper goes under it, its tip onto the staff. Rim narrower than the strip: only the graduations lie on it, tape both ends."
		if s.tight() {
			behind = ""
		}
		return append(steps,
			step{word: "BRING", text: "the FOOT of the open flagstaff to the tip of the pointer or tab as it stands NOW. Crank anywhere, blocked. Tape the bar's side only.", picture: footOfFlag, note: behind},
			step{word: "DOT", text: "Fine felt dots: on the " + s.surface().where() + " at both FEET, close beside the tip; on fixed metal there, to go back to."},
			step{word: "SET", text: "the pointer: bend or shift it until its tip stands at the black FOOT, make it fast. Nothing is scribed. " + words.Sentence(s.surface().noun()+" off")},
			step{word: "CHECK", text: "The tip stands over the " + given.Rotation.String() + " dot; dividers, dot to dot: " + way + ". Read every line as at first: each must come " + s.allWithin() + ". If not, back to the fixed dot."})
	}
	const through = "the felt line"
	check := s.surface().dividers() + " to " + through + ": " + way + ", the felt line on the " + to + "."
	if s.o.Slope != 0 {
		check = strings.TrimSuffix(check, ".") + "; on the outer edge, old line to gap dot, " + s.ByTape(s.surface().apartAtCorner(given.Angle), laying) + "."
	}
	return append(steps, s.bring("the middle of the turning line"),
		step{word: "TRY", picture: s.dotsPicture(), text: s.felt() + " Read the scale by it" + s.fromTDC() + ". Go on only if every line comes " + s.allWithin() + "."},
		step{word: "CHECK", text: check + " If not, STOP."},
		step{word: "SCRIBE", text: s.surface().across(through) + "."},
		step{word: "MARK", text: "CHECK again, read every line. All good: cross the OLD line out. If not, cross both out and ask."})
}
