package stats

import (
	"math"
	"testing"
)

// R 4.2.2: coef(summary(lm(y ~ group + x))) of these three groups.
func TestCommonSlopeAgreesWithR(t *testing.T) {
	x := [][]float64{{0, 1, 2, 3}, {0, 1, 2}, {0, 1, 2, 3, 4}}
	y := [][]float64{{22.01, 22.03, 22.02, 22.06}, {24.5, 24.52, 24.49}, {21.9, 21.95, 21.93, 21.99, 22.0}}
	slope, se, dof := CommonSlope(x, y)
	if !(math.Abs(slope-0.01764705882352794) <= 1e-14) || !(math.Abs(se-0.005067593856764636) <= 1e-14) || dof != 8 {
		t.Errorf("got %.16g ± %.16g with %g degrees of freedom", slope, se, dof)
	}
	one, oneSE := SlopeOn(x[2], y[2])
	if slope, se, dof := CommonSlope(x[2:], y[2:]); !(math.Abs(slope-one) <= 1e-14) || !(math.Abs(se-oneSE) <= 1e-14) || dof != 3 {
		t.Errorf("one group: got %g ± %g with %g, want %g ± %g with 3", slope, se, dof, one, oneSE)
	}
}

func TestCommonSlopeWithout(t *testing.T) {
	for _, x := range [][][]float64{nil, {{}}, {{1}, {2}}, {{1, 1, 1}}, {{0, 1}, {3}}} {
		y := make([][]float64, len(x))
		for i := range x {
			y[i] = make([]float64, len(x[i]))
		}
		if slope, se, dof := CommonSlope(x, y); slope != 0 || se != 0 || dof != 0 {
			t.Errorf("%v: %g ± %g with %g degrees of freedom", x, slope, se, dof)
		}
	}
}
