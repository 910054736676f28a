package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestRimAgainstReference(t *testing.T) {
	for _, row := range reference(t, "rim.csv", 6) {
		rim, a, thickness := geometry.Rim{Diameter: geometry.Length(row[0])}, geometry.Angle(row[1]), geometry.Length(row[2])
		name := fmt.Sprint(row[:3])
		for _, c := range []struct {
			what string
			got  geometry.Length
			want float64
		}{{"arc", rim.Arc(a), row[3]}, {"chord", rim.Chord(a), row[4]}, {"tape", rim.Tape(a, thickness), row[5]}} {
			within(t, name+" "+c.what, float64(c.got), c.want, 1e-15*c.want) // four roundings
		}
	}
	// One degree on these rims, printed to 0.01 mm (mpmath, rim.csv); a textbook
	// one degree on a radius of 100 mm as 1.745329 mm.
	for diameter, want := range map[geometry.Length]float64{120: 1.05, 158: 1.38, 180: 1.57, 280: 2.44, 400: 3.49, 600: 5.24} {
		within(t, fmt.Sprint(diameter), float64(geometry.Rim{Diameter: diameter}.Arc(1)), want, 0.005)
	}
	within(t, "radius 100 mm", float64(geometry.Rim{Diameter: 200}.Arc(1)), 1.745329, 5e-7)
}

func TestRimRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rim := geometry.Rim{Diameter: geometry.Length(rapid.Float64Range(20, 3000).Draw(t, "diameter"))}
		a := geometry.Angle(rapid.Float64Range(-360, 360).Draw(t, "angle"))
		thickness := geometry.Length(rapid.Float64Range(0, 2).Draw(t, "thickness"))
		near(t, "arc", float64(rim.AngleFromArc(rim.Arc(a))), float64(a), 1e-12) // a few ulps of 360
		near(t, "tape", float64(rim.AngleFromTape(rim.Tape(a, thickness), thickness)), float64(a), 1e-12)
		near(t, "bare tape", float64(rim.Tape(a, 0)), float64(rim.Arc(a)), 0)
		near(t, "mirrored chord", float64(rim.Chord(-a)), -float64(rim.Chord(a)), 0)

		half := a / 2 // beyond half a turn a chord belongs to two angles
		back, err := rim.AngleFromChord(rim.Chord(half))
		if err != nil {
			t.Fatal(err)
		}
		// The arcsine is steep near the diameter: the root of an ulp there, an ulp elsewhere.
		tolerance := 1e-12
		if half.Abs() > 179 {
			tolerance = 2e-6
		}
		near(t, "chord", float64(back), float64(half), tolerance)

		round := rim.Arc(360)
		near(t, "circumference", float64(geometry.DiameterFromCircumference(round)), float64(rim.Diameter), 1e-15*float64(rim.Diameter))
	})
}

func TestAngleFromChordRefuses(t *testing.T) {
	rim := geometry.Rim{Diameter: 158}
	for _, chord := range []geometry.Length{158.001, -158.001, geometry.Length(math.NaN()), geometry.Length(math.Inf(1))} {
		if a, err := rim.AngleFromChord(chord); err == nil || a != 0 {
			t.Errorf("chord %v: got %v, %v, want an error", chord, a, err)
		}
	}
	if a, err := (geometry.Rim{}).AngleFromChord(0); err == nil || a != 0 {
		t.Errorf("no diameter: got %v, %v, want an error", a, err)
	}
	if a, err := rim.AngleFromChord(-158); err != nil || a != -180 {
		t.Errorf("the diameter: got %v, %v, want -180°", a, err)
	}
}

// Rings of 135, 153 and 168 teeth have 45, 51 and 56 teeth between lines 120
// degrees apart, and 93 teeth are 3.87 degrees each (arithmetic).
func TestTeeth(t *testing.T) {
	for teeth, want := range map[int]float64{135: 45, 153: 51, 168: 56} {
		within(t, fmt.Sprint(teeth), geometry.Teeth(120, teeth), want, 0)
		within(t, fmt.Sprint(teeth), geometry.Teeth(-120, teeth), -want, 0)
	}
	within(t, "one tooth", geometry.Teeth(3.87, 93), 1, 0.0013) // 3.87 is rounded to 0.005
	within(t, "not counted", geometry.Teeth(120, 0), 0, 0)
}
