package advise

import (
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// aside is how far two lines must be apart on the part, and short of half way
// round, beyond what the measuring leaves open, for one to be said to lie towards
// the other. Common practice, no source.
const aside geometry.Angle = 1

// towards finds the line that the new one goes to: the nearest on the same part in
// that direction, less than half way round. Both are taken where they were found.
// It hangs on no running direction and on no side from which one looks: a line
// that comes up late goes towards the lines before it, wherever they lie. Past
// reports that the new line lies beyond that one.
func towards(s sheet.Sheet, placed []lines.Line, line int) (name string, past bool) {
	name, nearest := next(s, placed, line, placed[line].Offset.Value > 0)
	return name, name != "" && s.Part.Turned(placed[line].Offset.Value.Abs()) > nearest
}

// Behind finds the line that the new one goes away from: the nearest on the same part
// the other way, less than half way round. It is empty where there is none.
func Behind(s sheet.Sheet, placed []lines.Line, line int) string {
	name, _ := next(s, placed, line, placed[line].Offset.Value <= 0)
	return name
}

// next finds the nearest line of the same part that comes up before a line, or after
// it, and how far on the part that is.
func next(s sheet.Sheet, placed []lines.Line, line int, before bool) (name string, nearest geometry.Angle) {
	moved := placed[line]
	nearest = 180
	for i, other := range placed {
		if i == line || !other.Read() || other.On != moved.On {
			continue
		}
		gap := later(s.Part, moved, other)
		if before {
			gap = later(s.Part, other, moved)
		}
		margin := aside + doubt(s.Part, moved, other)
		if gap > margin && gap < 180-margin && gap < nearest {
			nearest, name = gap, other.Name
		}
	}
	return name, nearest
}
