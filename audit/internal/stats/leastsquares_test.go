package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// By hand, from the normal equations: of 1, 2, 2, 4 at 0, 1, 2, 3 the line is
// 0.9 + 0.9 x (Sxx 5, Sxy 4.5, means 1.5 and 2.25).
func TestLeastSquares(t *testing.T) {
	j := mat.NewDense(4, 2, []float64{1, 0, 1, 1, 1, 2, 1, 3})
	got, ok := LeastSquares(j, []float64{1, 2, 2, 4})
	if !ok || len(got) != 2 || !(math.Abs(got[0]-0.9) <= 1e-14) || !(math.Abs(got[1]-0.9) <= 1e-14) {
		t.Errorf("got %v, %v, want 0.9 and 0.9", got, ok)
	}
	// Two columns of which one is twice the other.
	if got, ok := LeastSquares(mat.NewDense(3, 2, []float64{1, 2, 2, 4, 3, 6}), []float64{1, 2, 3}); ok || got != nil {
		t.Errorf("columns that are alike: %v, %v", got, ok)
	}
}
