package geometry_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestCircularMeanAgainstPublished(t *testing.T) {
	sets := circularSets(t)
	for _, c := range []struct {
		name                    string
		n                       int
		mean, resultant         float64 // recomputed from the printed data
		printed, digits, length float64 // as printed, with half a unit of its last digit
	}{
		{"zar_26_4", 8, 98.98775, 0.82521774, 99, 0.5, 0.82522},               // Zar, 5th ed., example 26.4
		{"zar_26_5_grouped30", 105, 161.56505, 0.55063507, 162, 0.5, 0.55064}, // Zar, 5th ed., example 26.5
		// SciPy 1.10.1, stats/tests/test_morestats.py; the length is one minus its variance 0.00645517427.
		{"scipy", 6, 0.16769014643, 1 - 0.00645517400, 0.167690146, 5e-10, 1 - 0.00645517427},
	} {
		angles := sets[c.name]
		if len(angles) != c.n {
			t.Fatalf("%s: %d angles, want %d", c.name, len(angles), c.n)
		}
		mean, resultant := geometry.CircularMean(angles)
		within(t, c.name+" as printed", float64(mean), c.printed, c.digits)
		within(t, c.name+" length as printed", resultant, c.length, 5e-6)
		within(t, c.name, float64(mean), c.mean, 5e-6) // recomputed to five decimals
		within(t, c.name+" length", resultant, c.resultant, 5e-9)
	}
}

func TestCircularMeanAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		centre := rapid.Float64Range(-180, 180).Draw(t, "centre")
		deviations := rapid.SliceOfN(rapid.Float64Range(-80, 80), 1, 20).Draw(t, "deviations")
		angles, radians := make([]geometry.Angle, len(deviations)), make([]float64, len(deviations))
		for i, d := range deviations {
			angles[i] = geometry.Angle(centre + d + 360*float64(i%3))
			radians[i] = angles[i].Radians()
		}
		mean, resultant := geometry.CircularMean(angles)
		want := geometry.AngleFromRadians(stat.CircularMean(radians, nil))
		// All within 80 degrees of the centre: the resultant is above cos 80°, so no digits cancel away.
		near(t, "mean", float64((mean - want).Wrap()), 0, 1e-11)
		if resultant < 0.17 || resultant > 1+1e-12 {
			t.Fatalf("resultant %v", resultant)
		}
		for i, a := range geometry.Unwrap(angles, mean) {
			if (a - mean).Abs() > 180 {
				t.Fatalf("%v is unwrapped to %v, not near %v", angles[i], a, mean)
			}
			near(t, "turns", math.Remainder(float64(a-angles[i]), 360), 0, 1e-10)
		}
	})
}

func TestOppositeReadingsHaveNoMean(t *testing.T) {
	if _, resultant := geometry.CircularMean([]geometry.Angle{0, 180}); resultant > 1e-15 {
		t.Errorf("got resultant %v, want 0", resultant)
	}
	defer func() {
		if recover() == nil {
			t.Error("the mean of nothing did not panic")
		}
	}()
	geometry.CircularMean(nil)
}
