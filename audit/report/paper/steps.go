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

const before = "Engine at rest, fuel shut off, flywheel blocked (free it only for LOOK and to read lines), rim clean and dry. At hand: steel rule, scissors, tape, scriber, square, dividers, felt pen."

// lineSteps are the steps for a new line.
func (s stripper) lineSteps(m audit.LineResult, proofs []proofLine, name string) [][2]string {
	steps := [][2]string{
		{"LOOK", s.look()},
		{"MEASURE", s.measure()},
		{"CUT", s.cut()},
		{"LAY", s.layOld("the old line “" + name + "”")},
	}
	given := m.Forced
	also := ""
	if len(proofs) > 0 {
		also = ", and from " + proofs[0].name
	}
	scratch := "Prick or pen a point at the FOOT of the black flagstaff. Strip off. Hold the dividers of CHECK from the old line to the point" + also + ". Only once they hold, " + s.across() + ". If not, STOP."
	if len(proofs) > 0 {
		var names []string
		for _, p := range proofs {
			names = append(names, p.name)
		}
		show := "Line " + names[0] + " must now show between its two posts"
		if len(names) > 1 {
			show = "Lines " + strings.Join(names, " and ") + " must now each show between two posts"
		}
		steps = append(steps, [2]string{"PROVE", show + ". Do not push the strip until it does: the FOOT rules, the posts only prove. If not, STOP and scribe nothing: look again at the line, at the side that is up, and at the outlined arrow."},
			[2]string{"SCRIBE", scratch})
	} else {
		steps = append(steps, [2]string{"SCRIBE", "No other line proves that the strip lies right. Draw the new line in felt pen at the FOOT of the black flagstaff, strip off, and read it on the engine as the others were read. " +
			"Only if it comes up at " + s.letters(words.Clean(m.AtText)) + " within its tolerance, " + s.within(m) + ", and the dividers of CHECK hold from the old line to it: " + s.across() + ", on the felt line."})
	}
	return append(steps, [2]string{"CHECK", s.checkNew(given, proofs, name)})
}

// within says a line's tolerance.
func (s stripper) within(m audit.LineResult) string {
	early, late := m.Allowed()
	if early == late {
		return "± " + degrees(early) + "°"
	}
	return degrees(early) + "° early to " + degrees(late) + "° late"
}

// checkNew is what dividers must find once the new line is there.
func (s stripper) checkNew(given advise.Scribe, proofs []proofLine, name string) string {
	part := s.Result.Sheet.Part
	metal := s.surface().metal()
	chord := metal.Chord(part.Turned(given.Angle))
	chord = max(chord, -chord)
	text := s.dividers() + s.ByTape(chord, laying) + "."
	if s.ByTape(chord, 0) != s.way(given) {
		text = s.dividers() + s.ByTape(chord, laying) + ", less than " + s.way(given) + " because they do not follow the curve."
	}
	if len(proofs) > 0 {
		p := proofs[0]
		way := right(given.Rotation, s.surface().along(given.Angle))
		switch {
		case (p.x > 0) != (way > 0):
			text = "The old line now lies between the new one and " + p.name + ". " + text
		case max(p.x, -p.x) > max(way, -way):
			text = "The new line lies between the old one and " + p.name + ". " + text
		default:
			text = p.name + " lies between the old line and the new one. " + text
		}
		text += " From the new line to " + p.name + ", point to point too: " + s.ByTape(p.toNew, p.u+laying) + "."
	}
	unless := " If not, strike the new line through and begin again. If so, strike"
	if len(proofs) > 0 {
		unless = " If one does not hold, strike the new line through and begin again. If all hold, strike"
	}
	return text + unless + " the OLD line through and mark the new one “" + name + "”: two lines that look alike are a trap."
}

// look is the check by eye.
func (s stripper) look() string {
	text := words.Sentence(s.letters(s.Look())) + " If not, STOP: what was written down is wrong."
	if slices.ContainsFunc(s.Result.Warnings, func(w warning.Warning) bool { return w.Code == warning.SideUnchecked }) {
		text += " Nobody has yet seen which way it runs: see it turn, or STOP. Nothing on this paper would show a wrong side."
	}
	return text
}

// cut is how the strip is cut out.
func (s stripper) cut() string {
	text := "Along the outline, print and black bar left whole. The graduations and the upright lines run on beyond the edge, so a cut up to 1 mm off does no harm."
	if s.narrow() && len(s.o.Tape) == 0 && !s.o.Full {
		return text
	}
	return text + " On the piece itself the check length must fit the steel rule too."
}

// measure is what must be measured before anything is cut.
func (s stripper) measure() string {
	part := s.Result.Sheet.Part
	half := part.DiameterLimit.Half
	across := func(x, half geometry.Length) string {
		if half == 0 {
			return s.ByTape(x, 0)
		}
		return s.ByTape(x-half, 0) + " to " + s.ByTape(x+half, 0)
	}
	what := "your rim at the lines"
	check := "Both check lines at the foot of this sheet, and "
	if s.o.Slope != 0 {
		what = "the corner along which the black bar lies"
		check = "The check lines, also the upright one, and "
	}
	round := geometry.Rim{Diameter: part.Diameter}.Arc(360)
	return check + what + ": this paper is for " + across(part.Diameter, half) + " across, or " +
		across(round, geometry.Rim{Diameter: half}.Arc(360)) + " once round by tape. If not, STOP: have it drawn anew for the diameter that you found."
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
	where := "black bar away from you, the edge with the graduations towards you and parallel to the rim's front edge"
	if s.o.Slope != 0 {
		where = "black bar along the corner, the edge with the graduations towards " + s.towards()
	}
	return "Print side up, " + where + ", the outlined arrow " + runs + ". "
}

// layLine is how the strip is laid with a line that is there.
func (s stripper) layLine(bring string) string {
	shorter := "carry it on square with the felt pen first. If the rim is narrower than the strip, only the graduations need lie on it."
	if s.o.Slope != 0 {
		shorter = "carry it on with the felt pen first. A corner that the bar does not follow is not of this diameter."
	}
	return s.sideUp() + bring + " Tape the black bar's side only. If the line is too short to show there, " + shorter
}

// layOld is how it is laid with a line at the open flag.
func (s stripper) layOld(what string) string {
	return s.layLine("Bring " + what + " to the FOOT of the open flagstaff, in the ring; half of its length shows beyond the graduations.")
}

// onPaper is where on the paper left and right are those of the direction said.
func (s stripper) onPaper() string {
	if s.o.Slope != 0 {
		return "at the top of this template"
	}
	return "on this strip"
}

func (s stripper) towards() string {
	if s.o.Slope == 90 {
		return "the shaft"
	}
	return "you"
}

// across is how a line is drawn through a point.
func (s stripper) across() string {
	switch {
	case s.o.Slope == 90:
		return "scribe the new line through it, aimed at the middle of the shaft, as long as the old one"
	case s.o.Slope != 0:
		return "scribe the new line through it, straight up the slope, as long as the old one"
	}
	return "square the new line across the rim through it, as long as the old one"
}

// dividers is how a distance between lines is held: lines on a slope fan out, so that
// it holds at one distance from the corner only.
func (s stripper) dividers() string {
	if s.o.Slope != 0 {
		return "Dividers, both points " + s.ByTape(s.surface().width, 0) + " in from the corner, where the graduated edge lay, middle of the old line to middle of the new: "
	}
	return "Dividers, point to point, middle of the old line to middle of the new: "
}

// sureness says how well the new line is known, and what that is not.
func (s stripper) sureness(i advise.Scribe) string {
	then := i.Then(s.Result.Sheet)
	if then == 0 {
		return "How sure the readings are is not known. That is no leave to scribe anywhere else than at " + s.way(i) + "."
	}
	return "The new line is then known to ± " + rounding.TwoDigits(then) + ": that is how sure the readings are. It is no leave to scribe anywhere else than at " + s.way(i) + "."
}

// alikeSteps are the steps for what all lines share.
func (s stripper) alikeSteps(given advise.Scribe) [][2]string {
	steps := [][2]string{{"LOOK", s.look()}, {"MEASURE", s.measure()}, {"CUT", s.cut()}}
	if given.Move == advise.MovePointer {
		return append(steps,
			[2]string{"LAY", s.sideUp() + "Lay it under the pointer: the FOOT of the open flagstaff at the pointer's tip as it stands NOW. The crank may stand anywhere, and must not move. Tape the black bar's side only."},
			[2]string{"SET", "Bend or shift the pointer until its tip stands at the FOOT of the black flagstaff, and make it fast. Nothing is scribed. Strip off."},
			[2]string{"CHECK", "Read every line again: all must come within their tolerance. If not, set the pointer back to where it was. A ring that has slipped is replaced; no paper helps it."})
	}
	chord := s.surface().metal().Chord(s.Result.Sheet.Part.Turned(given.Angle))
	return append(steps,
		[2]string{"LAY", s.layOld("the turning line")},
		[2]string{"SCRIBE", "There is no other line to prove that the strip lies right. Draw the new line in felt pen at the FOOT of the black flagstaff, strip off, and read the scale by it. Only if every line comes within its tolerance, and the dividers of CHECK hold from the old line to it: " + s.across() + ", on the felt line."},
		[2]string{"CHECK", fmt.Sprintf("%s%s. If not, strike the new line through and begin again. If so, strike the OLD line through: two lines that look alike are a trap.", s.dividers(), s.ByTape(max(chord, -chord), laying))})
}

// tapeSteps are the steps for a tape.
func (s stripper) tapeSteps() [][2]string {
	against := "under the pointer"
	if s.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		against = "under the turning line"
	}
	return [][2]string{
		{"LOOK", s.look()},
		{"MEASURE", s.measure()},
		{"CUT", s.cut()},
		{"LAY", s.laid("one of the numbered lines", " (where there is none, set the crank to TDC and lay TDC "+against+")")},
		{"PROVE", "All other numbered lines must meet theirs. If one does not, STOP: look again at the line, at the side that is up, and at the outlined arrow."},
	}
}

// laid is how a strip without flags is laid.
func (s stripper) laid(what, orElse string) string {
	return s.layLine("Bring the lower end of " + what + " to its line on the part" + orElse + "; half of that shows beyond the graduations.")
}

// roundSteps are the steps for a strip all the way round with so many new lines.
func (s stripper) roundSteps(fresh int) [][2]string {
	tips := "at the FOOT of the black flagstaff"
	if fresh > 1 {
		tips = "at the FOOT of each black flagstaff"
	}
	return [][2]string{
		{"LOOK", s.look()},
		{"MEASURE", s.measure()},
		{"CUT", s.cut()},
		{"LAY", s.laid("one of the lines with a white number", "")},
		{"PROVE", "The ends must meet, and all other lines with a white number must fall on theirs. If not, STOP and scribe nothing."},
		{"SCRIBE", "Prick or pen a point " + tips + ". Strip off. Hold the dividers of CHECK from each old line to its point. Only once they hold: from each point " + s.across() + ". If not, STOP."},
		{"CHECK", "Dividers, old line to new, as said below, ± 0.3 mm. If so, strike the OLD line through: two lines that look alike are a trap."},
	}
}
