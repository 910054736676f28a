package audit_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// wheelSheet is a sheet whose every reading is off by what a wheel of eccentric
// limit E shows when its centre lies towards the graduation psi.
func wheelSheet(t *testing.T, psi geometry.Angle) sheet.Sheet {
	t.Helper()
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

// Lost motion that is corrected with one doubtful value shifts all lines read
// from one side together: it must drop out of their differences (JCGM 100:2008,
// 5.2.2), so a large limit leaves the homogeneity probability alone.
func TestWhatIsCommonDropsOutOfDifferences(t *testing.T) {
	base := wheelSheet(t, 0)
	base.Readout.OffCentre = 0
	before, err := audit.Run(base)
	if err != nil {
		t.Fatal(err)
	}
	doubtful := wheelSheet(t, 0)
	doubtful.Readout.OffCentre = 0
	doubtful.Readout.HasLostMotion, doubtful.Readout.LostLimit.Half = true, 0.8
	doubtful.Limits.Contact.Half, doubtful.Engine.Stroke, doubtful.Engine.Rod = 0.5, 92, 152
	after, err := audit.Run(doubtful)
	if err != nil {
		t.Fatal(err)
	}
	// 1e-6: the large common part costs digits when V is inverted.
	if got, want := after.Together.Homogeneity, before.Together.Homogeneity; math.Abs(*got-*want) > 1e-6 {
		t.Errorf("homogeneity p: got %v, want %v", *got, *want)
	}
	if after.Together.Common.Expanded <= before.Together.Common.Expanded {
		t.Errorf("the common shift's doubt did not grow: %v, before %v", after.Together.Common.Expanded, before.Together.Common.Expanded)
	}
}
