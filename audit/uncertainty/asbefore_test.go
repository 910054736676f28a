package uncertainty

import (
	"math"
	"testing"

	"markaudit/geometry"
)

// Check values of the rule, by another program: 0.09 over three mountings joined with
// 0.118 on fourteen of the past comes to 0.109465367 on six, and one mounting takes
// the past on four; t quantiles from R.
func TestAsBefore(t *testing.T) {
	values := []geometry.Angle{0, 0.09, -0.09} // their standard deviation is 0.09
	step := By(Rounded(StepAtLine, "T", Rectangular, 0.25), 1)
	for _, c := range []struct {
		name          string
		group         Group
		scale         float64 // over the root of the mountings
		dof           DOF
		u             float64
		rows          int
		wantMountings int
	}{
		{"three", Group{Mountings: []string{"1", "2", "3"}, Values: values, Rounding: []Contribution{step}, Before: &Before{SD: 0.118, DOF: 14}}, 0.109465367, 6, 0.154644485, 1, 3},
		{"one", Group{Mountings: []string{"1"}, Values: values[:1], Rounding: []Contribution{step}, Before: &Before{SD: 0.118, DOF: 14}}, 0.118, 4, 0.327620522, 1, 1},
		{"one that rounds alike", Group{Mountings: []string{"1"}, Values: values[:1], Rounding: []Contribution{step}, Before: &Before{SD: 0.118, DOF: 14, Rounds: true}}, 0.118, 4, 0, 2, 1},
		{"a past of two degrees", Group{Mountings: []string{"1"}, Values: values[:1], Before: &Before{SD: 0.118, DOF: 2}}, 0.118, 2, 0, 1, 1},
	} {
		e, _ := Combination{Groups: []Group{c.group}}.Evaluate(0.95)
		r := e.Budget[0]
		if !(math.Abs(r.Scale.Degrees()-c.scale/math.Sqrt(float64(c.wantMountings))) <= 1e-9) || r.DOF != c.dof || r.Source != AsBefore || len(e.Budget) != c.rows || !e.Known {
			t.Errorf("%s: %+v", c.name, e.Budget)
		}
		if c.u > 0 && !(math.Abs(e.Expanded.Degrees()-c.u) <= 1e-8) {
			t.Errorf("%s: ± %.9f, want %.9f", c.name, e.Expanded.Degrees(), c.u)
		}
	}
}

// A past of values that are all equal leaves the step in full: 0.95 of the half width
// of a rectangle is its interval at 95 %. From half of the step's variance on the
// spread stands alone, and between them the step counts by what is missing.
func TestNoPastIsBelowTheStep(t *testing.T) {
	step := By(Rounded(StepAtLine, "T", Rectangular, 0.25), 1)
	for sd, missing := range map[geometry.Angle]float64{0: 1, geometry.Angle(0.25 / math.Sqrt(12)): 0.5, geometry.Angle(0.25/math.Sqrt(6) + 1e-9): 0} {
		g := Group{Mountings: []string{"1"}, Values: []geometry.Angle{0}, Rounding: []Contribution{step}, Before: &Before{SD: sd, DOF: 14}}
		e, _ := Combination{Groups: []Group{g}}.Evaluate(0.95)
		if want := math.Sqrt(float64(sd*sd) + missing*0.25*0.25/3); math.Abs(e.Standard.Degrees()-want) > 1e-9 {
			t.Errorf("by %g: standard %g, want %g", sd, e.Standard.Degrees(), want)
		}
		if sd == 0 && math.Abs(e.Expanded.Degrees()-0.95*0.25) > 1e-9 {
			t.Errorf("by nothing: ± %g, want %g", e.Expanded.Degrees(), 0.95*0.25)
		}
		if e.Expanded.Degrees() < 0.95*0.25 {
			t.Errorf("by %g: ± %g is less than the step alone makes", sd, e.Expanded.Degrees())
		}
	}
}

// What the past says of one value it says of a multiple, and not of a sum; more
// setups to come share both.
func TestWhatThePastSaysOf(t *testing.T) {
	one := Combination{Groups: []Group{{Mountings: []string{"1"}, Values: []geometry.Angle{1}, Before: &Before{SD: 0.1, DOF: 20}}}}
	e, _ := one.Times(-2).Evaluate(0.95)
	first, _ := one.Evaluate(0.95)
	if !(math.Abs((e.Expanded - 2*first.Expanded).Degrees()) <= 1e-12) {
		t.Errorf("twice as much: ± %v, once ± %v", e.Expanded, first.Expanded)
	}
	if sum := Add(one, one); sum.Groups[0].Before != nil {
		t.Error("a sum of two values scatters as one of them did")
	}
	if within := one.WithinMountings(); within.Groups[0].Before != nil {
		t.Error("the scatter within a mounting has remounting in it")
	}
	rows, _ := one.After(5, 5, 0).Budget()
	if now, _ := one.Budget(); rows[0] != now[0] {
		t.Errorf("more pairs and readings: %+v, now %+v", rows[0], now[0])
	}
	rows, _ = one.After(0, 0, 3).Budget()
	if r := rows[0]; !(math.Abs(r.Scale.Degrees()-0.1/2) <= 1e-12) || r.DOF != 7 || r.N != 4 {
		t.Errorf("three setups more: %+v", r)
	}
}
