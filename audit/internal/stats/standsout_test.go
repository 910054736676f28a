package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Worked by hand and with another program: of 30.9 the deviation is 0.833333, the
// scatter without it 0.00458333 on 8, t² 113.636364, p = 12 · 5.257e-6.
func TestStandsOutWorkedExample(t *testing.T) {
	cells := [][]float64{{20.1, 20.2, 20.1, 20.2}, {30, 30.1, 30.1, 30.9}, {45.2, 45.1, 45.3, 45.2}}
	got := StandsOut(cells, 0.1/math.Sqrt(12), 12)
	if got.Cell != 1 || !slices.Equal(got.Index, []int{3}) || got.DOF != 8 ||
		!(math.Abs(got.Deviation-2.5/3) <= 1e-12) || !(math.Abs(got.T*got.T-113.636364) <= 1e-6) || !(math.Abs(got.P-6.31e-5) <= 0.005e-5) {
		t.Errorf("got %+v", got)
	}
	// A floor of 0.2 is wider than the scatter: t² = 0.8333²/(0.04 · 4/3).
	if got := StandsOut(cells, 0.2, 12); !(math.Abs(got.T*got.T-13.0208333) <= 1e-6) || got.DOF != 8 {
		t.Errorf("with a floor: %+v", got)
	}
	if one, two := StandsOut(cells, 0, 12).P, StandsOut(cells, 0, 24).P; !(math.Abs(two/one-2) <= 1e-12) {
		t.Errorf("of twice as many: %g after %g", two, one)
	}
}

// The eight values of a mass spectrometer of NIST/SEMATECH e-Handbook 1.3.5.17.1, which
// has 245.57 stand out. By the other seven, mean 200.842857 and s 1.202344 on 6:
// t = 44.727143/(1.202344 √(8/7)) = 34.79706, and two-sided eight times 3.8e-8.
func TestStandsOutOfEight(t *testing.T) {
	got := StandsOut([][]float64{{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}}, 0, 8)
	if !slices.Equal(got.Index, []int{7}) || got.DOF != 6 || !(math.Abs(got.T-34.79706) <= 1e-5) || !(math.Abs(got.P-3.0e-7) <= 0.05e-7) {
		t.Errorf("got %+v", got)
	}
}

// By hand: two cells of two, {0, 1} and {0, 0.1}. Of the
// first the other one's scatter is 0.005 on 1, so t = 1/√(0.005 · 2) = 10 and
// p = 4 · 2 · P(t₁ > 10) = 8 · (1/2 - atan(10)/π) = 0.253804.
func TestStandsOutOfTwo(t *testing.T) {
	got := StandsOut([][]float64{{0, 0.1}, {5, 6}, {7}}, 0, 4)
	want := 8 * (0.5 - math.Atan(10)/math.Pi)
	if got.Cell != 1 || !slices.Equal(got.Index, []int{0, 1}) || !(math.Abs(got.T-10) <= 1e-9) || got.DOF != 1 || !(math.Abs(got.P-want) <= 1e-9) || !(math.Abs(want-0.253804) <= 1e-6) {
		t.Errorf("got %+v", got)
	}
}

func TestStandsOutSaysNothing(t *testing.T) {
	for name, cells := range map[string][][]float64{
		"none": nil, "one of two": {{1, 2}}, "single values": {{1}, {2}, {3}}, "no scatter": {{1, 1}, {2, 2, 2}},
	} {
		if got := StandsOut(cells, 0, 5); got.Index != nil || got.P != 1 || got.T != 0 {
			t.Errorf("%s: %+v", name, got)
		}
	}
	if got := StandsOut([][]float64{{0, 0.1, 0}, {0, 0.1, 0.1}}, 0, 1000); got.P != 1 || got.Index == nil {
		t.Errorf("of many: %+v", got)
	}
	// One cell of three has a degree of freedom beside the value itself.
	if got := StandsOut([][]float64{{0, 0.1, 5}}, 0, 3); got.DOF != 1 || !slices.Equal(got.Index, []int{2}) {
		t.Errorf("one of three: %+v", got)
	}
}

// By hand: of 1, 1, 1, 2 the others of 2 have no scatter to hold it against; a 1 has
// the others 1, 1, 2 with mean 4/3 and squares of 2/3 on 2, so that t = ⅓/√(⅓ · 4/3) = ½.
func TestStandsOutWithoutScatterOfTheRest(t *testing.T) {
	got := StandsOut([][]float64{{1, 1, 1, 2}}, 0, 4)
	if !slices.Equal(got.Index, []int{0}) || !(math.Abs(got.T-0.5) <= 1e-12) || got.DOF != 2 || !(math.Abs(got.Deviation-1./3) <= 1e-12) || got.P != 1 {
		t.Errorf("got %+v", got)
	}
	// A floor makes 2 stand out: t = 1/(0.1 √(4/3)).
	if got := StandsOut([][]float64{{1, 1, 1, 2}}, 0.1, 4); !slices.Equal(got.Index, []int{3}) || !(math.Abs(got.T-10*math.Sqrt(0.75)) <= 1e-9) {
		t.Errorf("with a floor: %+v", got)
	}
}

func TestStandsOutProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(rapid.SliceOfN(rapid.Float64Range(-1, 1), 1, 4), 1, 4).Draw(t, "cells")
		a := StandsOut(cells, 0.01, 9)
		moved := make([][]float64, len(cells))
		for c, x := range cells {
			for i := range x {
				moved[c] = append(moved[c], -2*x[i]+float64(100*c))
			}
		}
		b := StandsOut(moved, 0.02, 9)
		if !(math.Abs(a.P-b.P) <= 1e-6) || !(math.Abs(a.T-b.T) <= 1e-6*(1+a.T)) {
			t.Fatalf("%+v, turned about and twice as wide %+v", a, b)
		}
		if !(a.P >= 0 && a.P <= 1) {
			t.Fatalf("probability %g", a.P)
		}
	})
}
