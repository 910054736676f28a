package advise

import (
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// EyeCheck is what the builder looks at before the scriber touches the metal:
// which way round the lines really lie.
type EyeCheck struct {
	BTDC     bool   // the BTDC lines lie Rotation of the TDC line
	From, To string // otherwise: To lies Rotation of From, less than half way round
	Rotation geometry.Rotation
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

// eyeCheck finds a sentence about the part that fails when turns or
// marks_on is wrong.
func eyeCheck(s sheet.Sheet, placed []lines.Line) EyeCheck {
	check := EyeCheck{Rotation: Earlier(s)}
	var tdc, btdc bool
	for _, m := range s.Marks {
		tdc = tdc || m.At == 0
		btdc = btdc || m.At < 0 // 240 ATDC is no BTDC line, whichever side it lies
	}
	if check.BTDC = tdc && btdc; check.BTDC {
		return check
	}
	best := geometry.Angle(180)
	for _, late := range placed {
		for _, early := range placed {
			if gap := s.Part.Turned(s.Part.Onwards(late.Place - early.Place)); gap > 0 && gap < 180 && (best == 180 || (gap-90).Abs() < (best-90).Abs()) {
				best, check.From, check.To = gap, late.Name, early.Name
			}
		}
	}
	if check.From == "" {
		check.Rotation = s.Engine.Turns // one line: the way it passes the pointer
	}
	return check
}
