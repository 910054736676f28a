package stats

import (
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// By hand: the resultant of two directions is the cosine of half the angle between
// them, which is ½ at 120°.
func TestGather(t *testing.T) {
	got, together := Gather([]geometry.Angle{359, 1, 0.75})
	if want := []geometry.Angle{-1, 1, 0.75}; !together || len(got) != 3 || (got[0]-want[0]).Abs() > 1e-12 || (got[1]-want[1]).Abs() > 1e-12 || (got[2]-want[2]).Abs() > 1e-12 {
		t.Errorf("got %v, %v, want %v", got, together, want)
	}
	for between, want := range map[geometry.Angle]bool{0: true, 119.9: true, 120.1: false, 180: false} {
		if _, together := Gather([]geometry.Angle{300, 300 + between}); together != want {
			t.Errorf("%v apart: together %v, want %v", between, together, want)
		}
	}
}

// By hand: of 1, 2 and 4 the mean is 7/3, and the squares of the deviations are
// 16/9, 1/9 and 25/9, 14/3 in all.
func TestMeanAndSpreadOfAngles(t *testing.T) {
	angles := []geometry.Angle{4, 1, 2}
	if got := Degrees(angles); !slices.Equal(got, []float64{4, 1, 2}) {
		t.Errorf("in degrees: %v", got)
	}
	if got := MeanAngle(angles); (got - 7./3).Abs() > 1e-15 {
		t.Errorf("mean %v", got)
	}
	if squares, dof := Spread(angles); !(math.Abs(squares-14./3) <= 1e-14) || dof != 2 {
		t.Errorf("squares %g on %g", squares, dof)
	}
	if squares, dof := Spread(angles[:2]); !(math.Abs(squares-4.5) <= 1e-14) || dof != 1 { // two of 1.5²
		t.Errorf("of two: squares %g on %g", squares, dof)
	}
	for _, few := range [][]geometry.Angle{nil, angles[:1]} {
		if squares, dof := Spread(few); squares != 0 || dof != 0 {
			t.Errorf("of %v: squares %g on %g", few, squares, dof)
		}
	}
	if lo, hi := Extremes(angles); lo != 1 || hi != 4 {
		t.Errorf("from %v to %v", lo, hi)
	}
	if lo, hi := Extremes([]geometry.Angle{2, 3, -5}); lo != -5 || hi != 3 {
		t.Errorf("from %v to %v", lo, hi)
	}
}

func TestNearest(t *testing.T) {
	for _, c := range []struct{ angle, to, want geometry.Angle }{
		{350, 10, -10}, {10, 720, 730}, {10, 350, 370}, {-170, 10, 190}, {40, 10, 40},
	} {
		if got := Nearest(c.angle, c.to); got != c.want {
			t.Errorf("%v near %v: got %v, want %v", c.angle, c.to, got, c.want)
		}
	}
	if Square(-3) != 9 {
		t.Error("the square of -3 is not 9")
	}
}

func TestWithoutValues(t *testing.T) {
	for name, f := range map[string]func(){
		"mean": func() { MeanStdDev(nil) }, "mean of angles": func() { MeanAngle(nil) },
		"slope": func() { Slope([]float64{1, 2}) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
	// One more, and there is one.
	if mean, sd := MeanStdDev([]float64{7}); mean != 7 || sd != 0 {
		t.Errorf("one value: %g and %g", mean, sd)
	}
	if slope, _ := Slope([]float64{1, 2, 3}); slope != 1 {
		t.Errorf("three values: slope %g", slope)
	}
}
