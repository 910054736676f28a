package audit_test

import (
	"math"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// What dividers should find, by two points on a circle.
func TestSpacingsOfLinesThatAreWhereTheyBelong(t *testing.T) {
	for _, half := range []bool{false, true} {
		s := steady(t, 3050)
		s.Part.HalfSpeed, s.Part.Diameter, s.Part.Teeth = half, 250, 120
		turned := 150.0
		if half {
			turned = 75
		}
		one, other := *s.line("T", 0, 0), *s.line("V", 150, 0)
		chord, teeth := s.Spans(one, other).Millimetres(), 120*turned/360
		s.Told.Spacings = []sheet.Spacing{
			{From: "T", To: "V", Chord: geometry.Length(chord), Limit: geometry.Limit[geometry.Length]{Half: 0.05}},
			{From: "V", To: "T", Teeth: teeth},
		}
		for i, x := range judged(t, s.text()).Checks.Spacings {
			want := []float64{chord, teeth}[i]
			// A slop in degrees is no more in millimetres and teeth.
			if math.Abs(x.Expected-want) > 3*slop || math.Abs(x.Nominal-want) > 1e-6 || math.Abs(x.Measured-want) > 1e-9 || x.Differs {
				t.Errorf("half speed %v: got %+v, want %v", half, x, want)
			}
		}
	}
}
