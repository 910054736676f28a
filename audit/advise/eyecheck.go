package advise

import (
	"slices"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// EyeCheck is what the builder looks at before the scriber touches the metal:
// which way round the lines really lie, and how large the rim is.
type EyeCheck struct {
	From, To   string                          // To lies Rotation of From, less than half way round; empty: no two lines tell
	Passes     string                          // then: this line passes what it is read against, moving Rotation; empty without lines
	Rotation   geometry.Rotation               // as one looks at the marks
	Round      geometry.Length                 // what a tape once round the rim shows; zero without a diameter
	RoundLimit geometry.Limit[geometry.Length] // of Round, where the diameter has one
}

// Earlier returns the way round from any line to the lines that come up before
// it: on a part that turns they lie ahead in the running direction, on a fixed
// scale behind.
func Earlier(s sheet.Sheet) geometry.Rotation {
	if s.Part.MarksOn == sheet.OnEngine {
		return s.Engine.Turns.Opposite()
	}
	return s.Engine.Turns
}

// apart is the least that two lines must be apart on the part, and the least that
// they must stay short of half way round, for an eye to tell the shorter way from
// one to the other. Common practice, no source.
const apart geometry.Angle = 12

// eyeCheck finds a sentence about the metal that fails when turns, marks_on or the
// side to which the readout counts is wrong. It goes by where the lines were found,
// not by where they belong, so it stays true of a line that is far off.
func eyeCheck(s sheet.Sheet, placed []lines.Line) EyeCheck {
	check := EyeCheck{Rotation: s.Engine.Turns}
	if d := s.Part.Diameter; d > 0 {
		rim := geometry.Rim{Diameter: d}
		check.Round = rim.Arc(360)
		check.RoundLimit = geometry.Limit[geometry.Length]{Half: geometry.Rim{Diameter: s.Part.DiameterLimit.Half}.Arc(360), K: s.Part.DiameterLimit.K}
	}
	best := geometry.Angle(180)
	for _, from := range placed {
		for _, to := range placed {
			if !from.Read() || !to.Read() || from.On != to.On {
				continue
			}
			margin := apart + doubt(s.Part, from, to)
			tells := func(gap geometry.Angle) bool { return gap > margin && gap < 180-margin }
			gap := later(s.Part, from, to)
			if tells(gap) && tells(s.Part.Turned(s.Part.Onwards(mirrored(from)-mirrored(to)))) && (gap-90).Abs() < (best-90).Abs() {
				best, check.From, check.To, check.Rotation = gap, from.Name, to.Name, Earlier(s).Opposite()
			}
		}
	}
	if check.From != "" || len(placed) == 0 {
		return check
	}
	check.Passes = placed[max(0, slices.IndexFunc(placed, lines.Line.Read))].Name
	return check
}

// later is how far on the part, in the way in which lines come up later, one line
// lies from another as they were found: from 0 to 360.
func later(part sheet.Part, from, to lines.Line) geometry.Angle {
	return part.Turned(part.Onwards(to.Place + to.Offset.Value - from.Place - from.Offset.Value))
}

// mirrored is where a line would have been found had the readout counted the other
// way. It goes round only once in a crank turn, so which of two turns a line belongs
// to is taken from where it should be; on a part at half speed that may leave two
// lines in the same order, and then they do not tell the side.
func mirrored(l lines.Line) geometry.Angle {
	return l.Place + (-(l.Place + l.Offset.Value) - l.Place).Wrap()
}

// doubt is how much of that may be measuring: the expanded uncertainties of both
// lines on the part, as far as they are known.
func doubt(part sheet.Part, one, other lines.Line) geometry.Angle {
	return part.Turned(one.Offset.Expanded + other.Offset.Expanded)
}
