package stats

import (
	"math"
	"testing"
)

// By hand: of 10.00 10.04 10.11 10.13 10.20 the slope is 0.049, Sxx 10 and the
// squares of the residuals 0.00051, so that t = 0.049/√(0.00017/10) = 11.884246 on
// 3. The 99.5 % point of t on 3 is 5.841 in printed tables.
func TestCreepWithoutHalfArcs(t *testing.T) {
	drift, z, dof, p := Creep([]float64{10.00, 10.04, 10.11, 10.13, 10.20}, nil, 0)
	if !(math.Abs(drift-0.196) <= 1e-12) || !(math.Abs(z-11.884246) <= 1e-6) || dof != 3 || !(p < 0.01 && p > 0.001) {
		t.Errorf("got %g, %g on %g, %g", drift, z, dof, p)
	}
	if p := FSurvival(5.840909*5.840909, 1, 3); !(math.Abs(p-0.01) <= 1e-7) {
		t.Errorf("beyond that point: %g", p)
	}
}

// By hand: middles 0, 0.3, 0.3 have slope 0.15 and residuals -0.05, 0.1, -0.05 with
// squares 0.015 on 1; half arcs 20, 20.1, 20.2 squares 0.02 on 2. So v = 0.035/3,
// Sxx 2, z = 0.15 √2/√v = 1.963961.
func TestCreepBorrowsFromHalfArcs(t *testing.T) {
	drift, z, dof, p := Creep([]float64{0, .3, .3}, []float64{20, 20.1, 20.2}, 0)
	if !(math.Abs(drift-0.3) <= 1e-12) || !(math.Abs(z-1.963961) <= 1e-6) || dof != 3 {
		t.Errorf("got %g, %g on %g", drift, z, dof)
	}
	if want := FSurvival(z*z, 1, 3); p != want {
		t.Errorf("p %g, want %g", p, want)
	}
	back, zBack, _, pBack := Creep([]float64{.3, .3, 0}, []float64{20, 20.1, 20.2}, 0)
	if !(math.Abs(back+drift) <= 1e-12) || !(math.Abs(zBack+z) <= 1e-12) || !(math.Abs(p-pBack) <= 1e-12) {
		t.Errorf("the other way: %g, %g, %g", back, zBack, pBack)
	}
	// At least the floor: v = 0.25, z = 0.15 √2/0.5.
	if _, z, dof, _ := Creep([]float64{0, .3, .3}, []float64{20, 20.1, 20.2}, 0.5); !(math.Abs(z-0.424264) <= 1e-6) || dof != 3 {
		t.Errorf("with a floor: %g on %g", z, dof)
	}
}

// Two half arcs lend one degree: 20 and 20.2 have squares of 0.02 on 1, so that
// v = 0.035/2 on 2; one has none to lend.
func TestCreepBorrowsFromTwo(t *testing.T) {
	if _, z, dof, _ := Creep([]float64{0, .3, .3}, []float64{20, 20.2}, 0); !(math.Abs(z-.15*math.Sqrt(2/.0175)) <= 1e-12) || dof != 2 {
		t.Errorf("two: %g on %g", z, dof)
	}
	if _, z, dof, _ := Creep([]float64{0, .3, .3}, []float64{20}, 0); !(math.Abs(z-.15*math.Sqrt(2/.015)) <= 1e-12) || dof != 1 {
		t.Errorf("one: %g on %g", z, dof)
	}
}

func TestCreepOfFew(t *testing.T) {
	if drift, z, dof, p := Creep([]float64{0, 5}, []float64{1, 2}, 0); drift != 0 || z != 0 || dof != 0 || p != 1 {
		t.Errorf("two middles: %g, %g, %g, %g", drift, z, dof, p)
	}
	if drift, z, _, p := Creep([]float64{1, 1, 1}, []float64{2, 2, 2}, 0); drift != 0 || z != 0 || p != 1 {
		t.Errorf("nothing moves: %g, %g, %g", drift, z, p)
	}
	if drift, z, _, p := Creep([]float64{3, 2, 1}, nil, 0); drift != -2 || !math.IsInf(z, -1) || p != 0 {
		t.Errorf("without scatter: %g, %g, %g", drift, z, p)
	}
}

// By hand: differences 0.1, -0.2 and 0.3 have squares of 0.14 in all, over 2 · 3.
func TestSuccessive(t *testing.T) {
	v, dof := Successive([]float64{1, 1.1, 0.9}, []float64{7}, nil, []float64{2, 2.3})
	if !(math.Abs(v-0.14/6) <= 1e-12) || dof != 3 {
		t.Errorf("got %g on %g", v, dof)
	}
	if v, dof := Successive([]float64{7}, nil); v != 0 || dof != 0 {
		t.Errorf("of none: %g on %g", v, dof)
	}
	// A creep hardly widens it: 0, 1 … 9 have a variance of 9.17.
	if v, _ := Successive([]float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}); v != 0.5 {
		t.Errorf("of a creep: %g", v)
	}
}
