package stats

import (
	"math"
	"testing"
)

// R 4.2.2: coef(summary(lm(y ~ x)))[2, 1:2] with x = 0:4,
// y = c(21.95, 22.01, 22.02, 22.08, 22.09), and the same y + 300.
func TestSlopeAgreesWithR(t *testing.T) {
	y := []float64{21.95, 22.01, 22.02, 22.08, 22.09}
	for _, shift := range []float64{0, 300} {
		moved := make([]float64, len(y))
		for i := range y {
			moved[i] = y[i] + shift
		}
		slope, se := Slope(moved)
		if !(math.Abs(slope-0.035000000000001) <= 1e-12) || !(math.Abs(se-0.00500000000000047) <= 1e-12) {
			t.Errorf("shift %g: got %.15g and %.15g", shift, slope, se)
		}
	}
	if slope, se := Slope([]float64{1, 3, 5}); slope != 2 || se != 0 {
		t.Errorf("a straight line: got %g and %g, want 2 and 0", slope, se)
	}
}
