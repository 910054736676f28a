package repeatability

import (
	"math"
	"testing"

	"markaudit/audit/internal/stats"
)

// The automotive study with four values taken out, two of them a cell of its own,
// appraisers as people: worked through by other code.
func TestUnweightedSquares(t *testing.T) {
	all := values(t, "study-10x3x3.csv", "appraiser", "part", "value", nil)
	var some []Value
	for _, v := range all {
		out := v.By == "A" && v.Mark == "1" && v.Trial == 1 || v.By == "B" && v.Mark == "5" && v.Trial == 3 ||
			v.By == "C" && v.Mark == "10" && v.Trial <= 2
		if !out {
			some = append(some, v)
		}
	}
	for _, c := range []struct {
		values                    []Value
		size, people, both, error float64
		low, high                 float64
	}{
		{some, 2.7272727, 1.77019116, 0.03031125, 0.04266042, 0.2319314, 1.6126923},
		{all, 3, 0, 0, 0, 0.2234290, 1.4566080},
	} {
		u, ok := tabulate(c.values).squares()
		low, high, bounded := u.limits()
		if !ok || !bounded {
			t.Fatalf("%d values: no squares", len(c.values))
		}
		for _, x := range [][2]float64{{u.size, c.size}, {low, c.low}, {high, c.high}} {
			if math.Abs(x[0]-x[1]) > 1e-6 {
				t.Errorf("%d values: got %.8f, want %.8f", len(c.values), x[0], x[1])
			}
		}
		if c.people == 0 {
			continue
		}
		variance := 0.0 // of reproducibility
		for _, term := range []stats.Term{u.people, u.both, u.within} {
			variance += term.Weight * term.MeanSquare
		}
		if math.Abs(math.Sqrt(variance)-0.3192616) > 1e-6 {
			t.Errorf("standard deviation of two people: got %.8f, want 0.3192616", math.Sqrt(variance))
		}
		for _, x := range [][2]float64{{u.people.MeanSquare, c.people}, {u.both.MeanSquare, c.both}, {u.within.MeanSquare, c.error}} {
			if math.Abs(x[0]-x[1]) > 5e-8 {
				t.Errorf("%d values: got %.9f, want %.8f", len(c.values), x[0], x[1])
			}
		}
		if u.people.DOF != 2 || u.both.DOF != 18 || u.within.DOF != 56 {
			t.Errorf("degrees of freedom %v, %v, %v", u.people.DOF, u.both.DOF, u.within.DOF)
		}
	}
}

// Its three appraisers: variances within of 20 degrees of freedom each, the largest
// named with 3.860e-4 for three people. Worked by other code.
func TestScatterOfThree(t *testing.T) {
	variances, dof := []float64{0.0105867, 0.0910467, 0.0363133}, []float64{20, 20, 20}
	found := scatterers(0, variances, dof)
	x, ok := found[1]
	if len(found) != 1 || !ok || math.Abs(x.p-3.860e-4) > 5e-8 {
		t.Errorf("got %+v, want the second with 3.860e-4", found)
	}
	// Of two people both ways: twice the one-sided probability.
	two := scatterers(0, []float64{0.01, 0.0910467}, []float64{20, 20})
	if one, ok := two[1]; !ok || math.Abs(one.p-1.1e-5) > 1e-5 {
		t.Errorf("of two: %+v", two)
	}
}

// Two who scatter alike are both found: the first test alone sees neither of them,
// for each is in what the other is held against.
func TestTwoDoNotHideEachOther(t *testing.T) {
	variances, dof := []float64{1, 1.1, 20, 0.9, 21, 1.2, 0.8, 1}, []float64{6, 6, 6, 6, 6, 6, 6, 6}
	found := scatterers(0, variances, dof)
	_, third := found[2]
	_, fifth := found[4]
	if len(found) != 2 || !third || !fifth {
		t.Errorf("got %+v", found)
	}
}
