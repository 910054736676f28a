package calculate

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

// Round trips, and the ± of the diameter against a derivative by hand.
func TestRimMeasure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(20, 2000).Draw(t, "diameter")
		u := rapid.Float64Range(0, 0.001).Draw(t, "relative limit") * d
		a := geometry.Angle(rapid.Float64Range(-170, 170).Draw(t, "angle"))
		m := RimMeasure{
			Diameter: geometry.Quantity[geometry.Length]{
				Value: geometry.Length(d), HasValue: true,
				Limit: geometry.Limit[geometry.Length]{Half: geometry.Length(u)}, HasLimit: u > 0,
			},
			Tape: 0.2, Teeth: 135,
		}
		l, err := m.Lengths(a)
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, got, want float64) {
			// Relative, for what the arcsine of a chord near the diameter loses.
			if math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
				t.Errorf("%s: got %v, want %v", what, got, want)
			}
		}
		near("± of the arc", l.Arc.Limit.Half.Millimetres(), math.Abs(l.Arc.Value.Millimetres())*u/d)
		near("± of the chord", l.Chord.Limit.Half.Millimetres(), math.Abs(l.Chord.Value.Millimetres())*u/d)
		near("± on the tape", l.Tape.Limit.Half.Millimetres(), math.Abs(l.Arc.Value.Millimetres())*u/d)
		near("teeth", l.Teeth, 135*a.Degrees()/360)
		for what, back := range map[string]func() (geometry.Angle, error){
			"arc":   func() (geometry.Angle, error) { r, err := m.Angles(l.Arc.Value); return r.Arc.Value, err },
			"chord": func() (geometry.Angle, error) { r, err := m.Angles(l.Chord.Value); return r.Chord.Value, err },
			"tape":  func() (geometry.Angle, error) { r, err := m.Angles(l.Tape.Value); return r.Tape.Value, err },
		} {
			got, err := back()
			if err != nil {
				t.Fatal(err)
			}
			near("back from the "+what, got.Degrees(), a.Degrees())
		}
	})
}
