// Package teststand has sheets of known stands, for the tests of several packages.
package teststand

import (
	"fmt"
	"math"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// OffCentre is a sheet whose every reading is off by what a wheel of eccentric
// limit E shows when its centre lies towards the graduation psi.
func OffCentre(psi geometry.Angle) sheet.Sheet {
	const e = 0.5 // degrees: 1.3963 mm on a radius of 160 mm
	read := func(r geometry.Angle) geometry.Angle {
		return r + geometry.Angle(e*math.Sin((r-psi).Radians()))
	}
	reading := func(r geometry.Angle, a sheet.Approach) *sheet.Reading {
		return &sheet.Reading{Value: read(r), Approach: a}
	}
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise},
		Part:    sheet.Part{MarksOn: sheet.OnPart},
		Readout: sheet.Readout{Step: 0.001, Counts: geometry.CountsUp, Diameter: 320, OffCentre: geometry.Length(160 * geometry.Angle(e).Radians())},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: sheet.DefaultPlacement},
	}
	setup := sheet.Setup{Name: "1", Marks: map[string][]sheet.Reading{}}
	for range 3 {
		setup.Trials = append(setup.Trials, sheet.Trial{Forward: reading(17-31, sheet.Forward), Backward: reading(17+31, sheet.Backward)})
	}
	for i, at := range []geometry.Angle{0, 120, 240, -15} {
		name := fmt.Sprint("line ", i)
		s.Marks = append(s.Marks, sheet.Mark{Name: name, At: at, Tolerance: 1})
		for range 3 {
			setup.Marks[name] = append(setup.Marks[name], *reading(17+at, sheet.Forward))
		}
	}
	s.Setups = []sheet.Setup{setup}
	return s
}
