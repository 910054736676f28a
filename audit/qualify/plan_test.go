package qualify

import (
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// Chances to qualify a good stop, simulated by other code: studies of setups by
// pairs, for a scatter of the middle, one of the fitting, and a bias.
func TestPlannedSizes(t *testing.T) {
	for _, c := range []struct {
		scatter, fitting, bias geometry.Angle
		want                   [8]float64 // 3x3, 3x5, 4x4, 4x6, 5x4, 5x5, 6x6, 8x5
	}{
		{0.02, 0.01, 0, [8]float64{0.47, 0.74, 0.76, 0.92, 0.82, 0.92, 0.98, 0.99}},
		{0.03, 0.02, 0.03, [8]float64{0.36, 0.65, 0.72, 0.90, 0.82, 0.91, 0.98, 0.99}},
		{0.03, 0.04, 0, [8]float64{0.30, 0.48, 0.67, 0.84, 0.83, 0.91, 0.97, 0.99}},
		{0.05, 0.03, 0.03, [8]float64{0.20, 0.42, 0.55, 0.76, 0.72, 0.84, 0.95, 0.98}},
	} {
		p := Plan(Guess{Options: Options{AllowedBias: 0.1, Step: 0.01}, Scatter: c.scatter, Fitting: c.fitting, Bias: c.bias})
		for i, want := range c.want {
			at := slices.IndexFunc(p.Usual, func(s Size) bool { return [2]int{s.Setups, s.Pairs} == usualSizes[i] })
			if got := p.Usual[at]; math.Abs(got.Qualified-want) > 0.05 {
				t.Errorf("%v, %v, %v: %d by %d: %.3f, want %.2f", c.scatter, c.fitting, c.bias, got.Setups, got.Pairs, got.Qualified, want)
			}
		}
		if p.Least == nil || p.Least.Qualified < likely || p.Least.Setups*p.Least.Pairs > 36 {
			t.Errorf("least: %+v", p.Least)
		} else if !slices.Contains(p.Usual, *p.Least) {
			t.Errorf("what is recommended, %+v, is no row of the table", *p.Least)
		}
	}
	// The least is the best of the sizes with the fewest pairs that will do, all of three
	// to ten setups and two to eight pairs looked at.
	p := Plan(Guess{Options: Options{AllowedBias: 0.1, Step: 0.01}, Scatter: 0.015, Fitting: 0.01, Bias: 0.02})
	var best Size
	for pairs := 6; pairs <= 80 && best.Setups == 0; pairs++ {
		for setups := 3; setups <= 10; setups++ {
			for n := 2; n <= 8; n++ {
				if setups*n == pairs {
					if s := p.Guess.chance(setups, n); s.Qualified >= 0.8 && s.Qualified > best.Qualified {
						best = s
					}
				}
			}
		}
	}
	if p.Least == nil || *p.Least != best {
		t.Errorf("least %+v, want %+v", p.Least, best)
	}
	// A step that hides as much as is allowed: no size does.
	if p := Plan(Guess{Options: Options{AllowedBias: 0.1, Step: 0.5}, Scatter: 0.03}); p.Least != nil {
		t.Errorf("of a step that hides it: %+v", p.Least)
	}
}
