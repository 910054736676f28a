package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// What reports say where a dial in the plug hole is all there is.

// OffBy says how far off a line is, and how sure that is. Where the interval of a dial
// reaches further to one side, both ends are said.
func OffBy(m audit.LineResult) string {
	ends := Ends(m)
	if ends == nil {
		return Offset(m.Offset)
	}
	low, high := ends[1], ends[2]
	for _, way := range []string{" late", " early"} { // said once where both are that
		if strings.HasSuffix(low, way) && strings.HasSuffix(high, way) {
			low = strings.TrimSuffix(low, way)
		}
	}
	if !m.ByDial.SideTold { // so near TDC the dial shows the same on either side
		return ends[0] + ", side not told: " + low + " to " + high
	}
	return ends[0] + ", between " + low + " and " + high
}

// mustGo is what a dial shows further on where a line lies on the side that was written,
// whichever way its number grows: past TDC the piston goes on sinking, before it rises.
func mustGo(v Audit, line string) string {
	if strings.Contains(sideLetters(v, line), "ATDC") {
		return "It must then stand further from its top, for the piston sinks. Nearer: STOP, the side is wrong"
	}
	return "It must then stand nearer to its top, for the piston rises. Further: STOP, the side is wrong"
}

// Ends is how far off a line is, and between what, where its interval reaches further to
// one side; nil else.
func Ends(m audit.LineResult) []string {
	if !lopsided(m) {
		return nil
	}
	n := rounding.Places(m.Offset.Expanded.Degrees())
	return []string{rounding.OffBy(m.Offset.Value, n), rounding.OffBy(m.ByDial.Low, n), rounding.OffBy(m.ByDial.High, n)}
}

// lopsided reports whether the interval of a line reaches further to one side.
func lopsided(m audit.LineResult) bool {
	if m.ByDial == nil || m.Offset == nil || !m.Offset.Known {
		return false
	}
	n := rounding.Places(m.Offset.Expanded.Degrees())
	return rounding.Fixed((m.Offset.Value-m.ByDial.Low).Degrees(), n) != rounding.Fixed((m.ByDial.High-m.Offset.Value).Degrees(), n)
}

// ByPiston is one line in millimetres of the piston: where it belongs, where it was
// found, by how much it is off and may be, and on which side of TDC it lies.
func ByPiston(m audit.LineResult) []string {
	d := m.ByDial
	n := rounding.Unsure
	u := "?"
	if m.Offset.Known {
		n = min(max(rounding.Places(d.U.Millimetres()), rounding.Unsure), 3)
		u = rounding.Fixed(d.U.Millimetres(), n) + " mm"
	}
	off := d.Found - d.Belongs
	by := rounding.Fixed(off.Abs().Millimetres(), n) + " mm"
	switch {
	case !strings.ContainsAny(by, "123456789"):
		by = "0"
	case off > 0:
		by += " lower"
	default:
		by += " higher"
	}
	side := map[geometry.Letters]string{geometry.BTDC: "before, ", geometry.ATDC: "after, "}[d.Side] + "as the letters say"
	switch {
	case !d.SideTold:
		side = "not told"
	case d.Proven:
		side = map[geometry.Letters]string{geometry.BTDC: "before, proven", geometry.ATDC: "after, proven"}[d.Side]
	}
	return []string{
		Clean(m.Name), rounding.Fixed(d.Belongs.Millimetres(), n) + " mm", rounding.Fixed(d.Found.Millimetres(), n) + " mm", by, u,
		rounding.Fixed(d.PerDegree.Millimetres(), 3) + " mm", side,
	}
}

// AboutPiston says what the table in millimetres is.
const AboutPiston = "How far below its top the piston stands, along the cylinder. The dial tells no angle: near the top a hundredth is more than a degree. It does not show by itself on which side of TDC the crank stands."

// standsOnCrown says how the dial stands.
func standsOnCrown(v Audit) string {
	o := v.Result.Sheet.Readout
	text := v.readout() + " stands on the piston's crown"
	if o.Probe != 0 {
		text += ", " + rounding.EnteredAngle(o.Probe) + " to the cylinder"
	}
	if o.Crown != 0 {
		text += ", the crown leaning towards it by " + rounding.EnteredAngle(o.Crown)
	}
	text += ", and shows how far the piston has dropped, in steps of " + v.step() + "."
	if along := float64(o.Along()); along != 1 {
		text += " What it shows is multiplied by " + rounding.Fixed(along, 3) + " to have the drop along the cylinder."
	}
	return text
}

// dialCircumstances says what was corrected, and whether the dial stood still.
func dialCircumstances(v Audit) (out []string) {
	s := v.Result.Sheet
	sinks := false
	for _, l := range v.Result.Lines {
		for _, seen := range l.Seen {
			sinks = sinks || seen.Sinking > 0
		}
	}
	if hangs := s.Readout.LostLength*s.Readout.Along() + s.Limits.Slack.Half/2; sinks && hangs > 0 {
		out = append(out, "Where the piston sank as a line came, "+rounding.Fixed(hangs.Millimetres(), 3)+" mm were added to its drop. That is what the dial loses, and half of what the bearings may.")
	}
	furthest, n := geometry.Length(0), 0
	for _, setup := range v.Result.TDC.Setups {
		if h := setup.Height; h != nil && h.Closing != nil {
			furthest, n = max(furthest, h.Closing.Abs()), n+1
		}
	}
	if n > 0 {
		out = append(out, "After the lines the dial stood at most "+v.Fine().Of(furthest)+" from where it had stood at the top.")
	}
	return out
}

// topsRead counts what a dial found the top by.
func topsRead(v Audit) string {
	n := 0
	for _, s := range v.Result.TDC.Setups {
		n += s.Height.N
	}
	return rounding.Count(n, "reading of the top", "readings of the top")
}

// TopOf is one setup of a dial in the table of setups: what was taken, where the dial
// stood, and how well that repeats.
func TopOf(v Audit, s tdc.Setup) (taken, at, repeats string) {
	h := s.Height
	repeats = "-"
	if h.N > 1 {
		repeats = rounding.Fixed(h.SD.Millimetres(), v.StepDecimals()+1) + " mm"
		if h.SD < equalHeights {
			repeats = allAlike
		}
	}
	return rounding.Count(h.N, "reading of the top", "readings of the top"), v.Fine().Of(h.Shown), repeats
}

// equalHeights is below any digit that a dial shows.
const equalHeights = geometry.Length(1e-9)

const methodOfDial = "Top dead centre is where the dial stands highest. It is known as a height, not as an angle. A line's place is the crank angle at which a slider-crank of this stroke and rod has dropped as far as the dial shows, on the side that the sheet says. The interval is one of the drop. In degrees it reaches further towards TDC than away from it. "

// scribeByDial is the instruction for one line where a dial is all there is. It needs
// no direction: the dial says where to stop.
func scribeByDial(v Audit, m audit.LineResult) string {
	d, o := m.ByDial, v.Result.Sheet.Readout
	way := "Turn the engine the way it runs"
	if m.Mark.At.Wrap() > 0 {
		way = "Where the maker allows it, turn the engine against the way it runs"
	}
	place := "scribe a new line on the part, at the pointer"
	if v.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		place = "scribe a new line on the fixed scale, at the line that turns"
	}
	text := fmt.Sprintf("%s: bring the piston well down first. %s until the dial shows %s below its top, the piston still rising. There %s.",
		lineBegins(m.Name), way, v.Fine().Of(d.Belongs/o.Along()), place)
	if s := m.Scribe; s.HasLengths {
		text += fmt.Sprintf(" From the old one it lies %s %s, along the rim.%s", v.Of(s.Arc), v.Goes(s), v.then(s, ""))
	}
	return text + " Until then, setting to the old one gives " + ComesUp(m) + "."
}

// observeDial says what to look at or to read with a dial; empty where that is the same
// with any readout.
func observeDial(v Audit, o diagnosis.Observation) string {
	switch {
	case !v.onDial():
	case o.Kind == diagnosis.ReadAgain && o.On == "" && len(o.Lines) == 0:
		return "Read the top of " + mountingName(v, max(o.Mounting, 0)) + " again, three times, each time from 20 degrees away."
	case o.Kind == diagnosis.ReadAgain && o.On == "" && slices.ContainsFunc(rivalsOf(v, o), func(e diagnosis.Explanation) bool { return e.Code == diagnosis.Revolution }):
		return "Read the top, then " + strings.Replace(lineNames(v, o.Lines), ", ", " and ", 1) + " again, three times, the piston rising. Count the turns of the hand on the way from the one to the other."
	case o.Kind == diagnosis.ReadAgain && o.On == "":
		return "Read " + strings.Replace(lineNames(v, o.Lines), ", ", " and ", 1) + " again, three times, the piston rising."
	case o.Kind == diagnosis.ClosingPair:
		return "Read the top once more: the dial must show " + mustShowAgain(v, o, 0) + ". If it was taken out or touched since, take a second setup instead."
	case o.Kind == diagnosis.SecondSetup:
		return "Take another setup: dial out and in again, the top three times, the lines, and the top once more."
	}
	return ""
}

// dialWarning says the doubts that a dial words in its own way; empty for others.
func dialWarning(v Audit, w warning.Warning, in string) string {
	if !v.onDial() {
		return ""
	}
	switch w.Code {
	case warning.OneTrial:
		return "the top was read only once in any setup, and no ± can be given. Read it twice more, each time from 20 degrees away"
	case warning.TwoTrials:
		return "the top was read twice in all. Read it once more: that divides its share of every ± by about three"
	case warning.NoPair:
		return in + "the dial was not read at the top, and its readings of lines are not used. Read the top"
	case warning.ReadoutMoved:
		return in + "after the lines the dial stood " + rounding.Fixed(geometry.Length(w.Values[0]).Abs().Millimetres(), rounding.Unsure) + " mm from where it had stood at the top. It moved. Nothing is decided until top and lines are read again"
	}
	return dialGaps[w.Code]
}

var dialGaps = map[warning.Code]string{ // only looked up
	warning.RockMissing:       "piston rock is not included. State limits.contact",
	warning.LostMotionMissing: "what the dial loses when the piston turns from rising to sinking is not included. State readout.lost_motion",
	warning.SlackMissing:      "bearing slack, where the piston sank as the line came, is not included. State limits.slack",
}
