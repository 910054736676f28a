package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// outside says what to do about a line that is outside.
func (v Audit) outside(m audit.LineResult) string {
	name, s := Clean(m.Name), m.Scribe
	switch {
	case s.Worthwhile:
		return v.Scribe(m)
	case s.Withheld != advise.NotWithheld:
		return name + ": outside, but no instruction: " + v.Withheld(s.Withheld) + "."
	case s.HasLengths && m.Offset.Expanded < m.Offset.Value.Abs():
		return fmt.Sprintf("%s: outside, but a new line placed within %s would be known only to ± %s, no better than the old one is wrong. Find a way to place it more closely, and say so in limits.placement.",
			name, v.Of(v.Result.Sheet.Limits.Placement), rounding.TwoDigits(s.Then))
	}
	return fmt.Sprintf("%s: outside, but do not scribe yet: a new line would be known only to ± %s, no better than the old one is wrong. Measure more surely first.",
		name, rounding.TwoDigits(m.Offset.Expanded))
}

// Scribe is the instruction for one line.
func (v Audit) Scribe(m audit.LineResult) string {
	s, e := m.Scribe, m.Offset
	name := Clean(m.Name)
	what := fmt.Sprintf("%s: scribe a new line", name)
	if s.Move == advise.MoveScale {
		what = fmt.Sprintf("%s: scribe a new line on the fixed scale,", name)
	}
	var b strings.Builder
	if s.HasLengths {
		fmt.Fprintf(&b, "%s %s along the rim %s of the old one, %s: %s, %s", what, v.Sure(s.Arc, s.ArcU),
			strings.ToUpper(s.Rotation.String()), v.viewpoint(), v.along(s.Along), v.edges())
		if chord := v.Of(s.Chord); chord != v.Of(s.Arc) {
			fmt.Fprintf(&b, "; %s straight across with dividers", chord)
		}
		if s.HasTeeth {
			fmt.Fprintf(&b, "; %s teeth", rounding.Fixed(s.Teeth, 2))
		}
		fmt.Fprintf(&b, ". The new line is then known to ± %s, placing it within %s included.", rounding.TwoDigits(s.Then), v.Of(v.Result.Sheet.Limits.Placement))
	} else {
		fmt.Fprintf(&b, "%s %s %s of the old one, %s: %s. Add part.diameter to the sheet and it is said in millimetres.",
			what, rounding.SureDegrees(s.Angle, e.Expanded), strings.ToUpper(s.Rotation.String()), v.viewpoint(), v.along(s.Along))
	}
	if s.Angle > farOff {
		b.WriteString(" That is far: read the line once more before you believe it.")
	}
	fmt.Fprintf(&b, " Until then, setting to it gives %s.", ComesUp(m))
	return b.String()
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

// along says a direction in words of the engine, and of the window where the
// marks are seen through one.
func (v Audit) along(a advise.Along) string {
	runs := "the engine runs"
	if v.Result.Sheet.Part.HalfSpeed {
		runs = "this part runs"
	}
	words := "ahead, the way " + runs
	if a != advise.Running {
		words = "back, against the way " + strings.Replace(runs, "the engine", "it", 1)
	}
	if side := v.InWindow(a); side != "" {
		words += ", " + strings.ToUpper(side) + " in the window"
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

// moveOne is the one instruction for a common shift.
func (v Audit) moveOne() string {
	s, e := v.Result.Advice.Together, v.Result.Together.Common
	if s.Withheld != advise.NotWithheld {
		return "No instruction: " + v.Withheld(s.Withheld) + "."
	}
	if s.Along == advise.NoWay {
		return ""
	}
	if !s.Worthwhile {
		return "Nothing is to be moved yet: no line is shown to be outside, or the move would be known no better than the lines are wrong."
	}
	how := rounding.SureDegrees(s.Angle, e.Expanded)
	if s.HasLengths {
		how = v.Sure(s.Arc, s.ArcU) + " along the rim"
	}
	way := strings.ToUpper(s.Rotation.String()) + ", " + v.viewpoint() + ": " + v.along(s.Along)
	if s.Move != advise.MoveLine {
		return fmt.Sprintf("If it is the pointer, move it %s %s. Then read the lines again.", how, way)
	}
	then := ""
	if s.HasLengths {
		then = fmt.Sprintf(", %s (%s straight across). The new line is then known to ± %s", v.edges(), v.Of(s.Chord), rounding.TwoDigits(s.Then))
	}
	return fmt.Sprintf("If it is the turning line, scribe it anew %s %s%s. Or move the whole scale as far the other way, %s. Then read the lines again.",
		how, way, then, s.Rotation.Opposite())
}

// Check is what to look at before the scriber touches the metal.
func (v Audit) Check() string {
	c, part := v.Result.Advice.Check, v.Result.Sheet.Part
	view := v.viewpoint()
	switch {
	case c.BTDC:
		return fmt.Sprintf("%s, the BTDC lines lie %s of the TDC line; if not, stop: the sheet is wrong", view, c.Rotation)
	case c.From != "":
		return fmt.Sprintf("%s, going from line %s less than half way round to line %s is going %s; if not, stop: the sheet is wrong",
			view, Clean(c.From), Clean(c.To), c.Rotation)
	}
	moving := c.Rotation.String()
	if part.Moves != "" {
		moving += ", " + part.Moves + " in the window"
	}
	if part.MarksOn == sheet.OnEngine {
		return fmt.Sprintf("%s, turn the engine the way it runs: the turning line passes the scale moving %s, and the scale stands still; if not, stop: the sheet is wrong", view, moving)
	}
	return fmt.Sprintf("%s, turn the engine the way it runs: the line passes the pointer moving %s, and the pointer stands still; if not, stop: the sheet is wrong", view, moving)
}

// AboutDistances says what distances between lines are good for: the second check
// before scribing, and one of the readings in any case. Lead is its heading.
func (v Audit) AboutDistances() (lead, text string) {
	lead, text = "DIVIDERS", "Straight across from line to line, as the readings have it. A distance that disagrees by more than its ± means a wrong reading or a wrong sheet."
	if v.Scribes() {
		lead, text = "CHECK BEFORE YOU SCRIBE", "By eye, as said above. Then with dividers, straight across from line to line: a distance that disagrees by more than its ± means a wrong reading or a wrong sheet."
	}
	if len(v.Result.Advice.Distances) == 0 {
		return lead, "By eye, as said above."
	}
	if slices.ContainsFunc(v.Result.Advice.Distances, func(d advise.Distance) bool { return d.U == 0 }) {
		text += " One without ± cannot be judged so: its lines were not read in the same setups, or not often enough."
	}
	return lead, text
}
