package diagnosis

import (
	"math"
	"testing"

	"markaudit/audit/uncertainty"
)

func TestIfRight(t *testing.T) {
	for _, c := range []struct {
		p    uncertainty.Sides
		at   float64
		want uncertainty.Verdict
	}{
		{uncertainty.Sides{Within: 1}, 0.95, uncertainty.Within},
		{uncertainty.Sides{Within: 0.95, Late: 0.05}, 0.95, uncertainty.Within},
		{uncertainty.Sides{Within: math.Nextafter(0.95, 0), Late: 0.05}, 0.95, uncertainty.Undecided},
		{uncertainty.Sides{Within: 0.95, Late: 0.05}, 0.99, uncertainty.Undecided},
		{uncertainty.Sides{Within: 0.05, Late: 0.95}, 0.95, uncertainty.Outside},
		{uncertainty.Sides{Within: 0.05, Early: 0.95}, 0.95, uncertainty.Outside},
		// Hardly within, but nobody knows on which side: no instruction could follow.
		{uncertainty.Sides{Within: 0.02, Early: 0.49, Late: 0.49}, 0.95, uncertainty.Undecided},
		{uncertainty.Sides{Within: 0.4, Late: 0.6}, 0.6, uncertainty.Outside},
		{uncertainty.Sides{Within: math.NaN(), Early: math.NaN(), Late: math.NaN()}, 0.95, uncertainty.Undecided},
	} {
		if got := ifRight(c.p, c.at); got != c.want {
			t.Errorf("%+v at %g: %v, want %v", c.p, c.at, got, c.want)
		}
	}
}
