package uncertainty

import (
	"fmt"
	"math"
	"testing"

	"markaudit/geometry"
)

func scattering(source Source, of, pool string, scale float64, n int) Input {
	return Input{ID: ID{Source: source, Of: of}, Shape: StudentT, Scale: scale, DOF: DOF(n - 1), N: n, Pool: pool}
}

// measured is TDC in some mountings by four pairs that scatter by 0.2, and a line read four
// times by 0.1, each beside a step.
func measured(mountings ...string) Combination {
	g := Group{Mountings: mountings}
	for range mountings {
		g.Values = append(g.Values, 1)
	}
	g.Scatter = []Contribution{By(scattering(StopContacts, "1", "stop", 0.2, 4), 0.5), By(scattering(LineReadings, "T", "T", 0.1, 4), 0.5)}
	g.Rounding = []Contribution{
		By(Rounded(StepAtTDC, "1", Triangular, 0.05), 1), By(Rounded(StepAtLine, "T", Rectangular, 0.05), 1),
	}
	return Combination{Groups: []Group{g}}
}

// figuresOf are the rows in short: source, size, degrees of freedom, and whether it counts.
func figuresOf(rows Budget) (out []string) {
	for _, r := range rows {
		idle := ""
		if r.Idle {
			idle = " idle"
		}
		out = append(out, fmt.Sprintf("%v %.6f %v %d%s", r.Source, r.Term().Scale, r.DOF, r.N, idle))
	}
	return out
}

func sameRows(t *testing.T, what string, rows Budget, want ...string) {
	t.Helper()
	if got := figuresOf(rows); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%s:\ngot  %q\nwant %q", what, got, want)
	}
}

// The rules of Evaluate, one after another, by hand.
func TestRulesOfABudget(t *testing.T) {
	// 2: the larger of scatter and step counts, for TDC and the line by themselves.
	// 0.2/√4 = 0.1 against 0.05/√6 = 0.0204, and 0.05 against 0.05/√3 = 0.0289.
	rows, known := measured("A").Budget()
	sameRows(t, "one mounting", rows,
		"stop contacts 0.100000 3 4", "step, at TDC 0.050000 +Inf 0 idle", "line readings 0.050000 3 4", "step, at the line 0.050000 +Inf 0 idle")
	if !known {
		t.Error("the scatter is not known")
	}
	two, _ := measured("A", "B").Budget()
	sameRows(t, "two mountings", two, figuresOf(rows)...)

	// Where their variances are alike the scatter takes over from 0.80 to 1.25: at a
	// ratio of 1.025 each counts by half.
	alike := measured("A")
	alike.Groups[0].Scatter[0].Scale = 2 * 0.05 / math.Sqrt(6) * math.Sqrt(1.025)
	rows, _ = alike.Budget()
	scatter, step := 0.05/math.Sqrt(6)*math.Sqrt(1.025/2), 0.05*math.Sqrt(0.5)
	sameRows(t, "alike", rows[:2], fmt.Sprintf("stop contacts %.6f 3 4", scatter), fmt.Sprintf("step, at TDC %.6f +Inf 0", step))
	alike.Groups[0].Scatter[0].Scale = 2 * 0.05 / math.Sqrt(6) * math.Sqrt(0.79)
	rows, _ = alike.Budget()
	if !rows[0].Idle || rows[1].Idle {
		t.Error("less than the step: the step does not count alone")
	}

	// A line with one degree of freedom keeps both, the step in full.
	once := measured("A")
	once.Groups[0].Scatter[1] = By(scattering(LineReadings, "T", "T", 0.1, 2), 0.5)
	rows, _ = once.Budget()
	sameRows(t, "one degree", rows[2:], "line readings 0.050000 1 2", "step, at the line 0.100000 +Inf 0")

	// A scatter that is not known leaves the step, and no interval.
	once.Groups[0].Scatter[1].DOF = 0
	rows, known = once.Budget()
	sameRows(t, "read once", rows[2:], "step, at the line 0.050000 +Inf 0")
	if e, _ := once.Evaluate(0.95); known || e.Known || e.Expanded != 0 {
		t.Errorf("read once: %+v", e)
	}

	// 1: three mountings make one row of their spread, 1 of 0, 1 and 2, with two
	// degrees of freedom; steps beside it, a third of each thrice, or in full where
	// all round alike.
	three := measured("A", "B", "C")
	three.Groups[0].Values = []geometry.Angle{0, 1, 2}
	rows, _ = three.Budget()
	sameRows(t, "three mountings", rows, fmt.Sprintf("setups against each other %.6f 2 3", 1/math.Sqrt(3)),
		"step, at the line 0.016667 +Inf 0", "step, at the line 0.016667 +Inf 0", "step, at the line 0.016667 +Inf 0",
		"step, at TDC 0.016667 +Inf 0", "step, at TDC 0.016667 +Inf 0", "step, at TDC 0.016667 +Inf 0")
	three.Groups[0].Alike = true
	rows, _ = three.Budget()
	sameRows(t, "zeroed alike", rows[1:], "step, at the line 0.050000 +Inf 0", "step, at TDC 0.050000 +Inf 0")
	rows, _ = three.After(9, 9, 1).Budget()
	sameRows(t, "a mounting more", rows[:1], "setups against each other 0.500000 3 4")

	// 3: of one pool, sensitivities add as squares: 0.2·√(0.3² + 0.4²).
	pooled := measured("A")
	pooled.Groups[0].Scatter = []Contribution{
		By(scattering(StopContacts, "1", "stop", 0.2, 4), 0.3), By(scattering(StopContacts, "2", "stop", 0.2, 3), -0.4),
	}
	rows, _ = pooled.Budget()
	sameRows(t, "one pool", rows[:1], "stop contacts 0.100000 3 7")

	// 4: the rest, each a row: a limit, one with a factor, and a wheel off centre with
	// two coordinates.
	rest := Combination{}.With(
		By(Limited(Sighting, "part", geometry.Limit[geometry.Angle]{Half: 0.3}), -2),
		By(Limited(Remounting, "A", geometry.Limit[geometry.Angle]{Half: 0.3, K: 2}), 1),
		Contribution{Input{ID: ID{Source: OffCentre, Of: "wheel"}, Shape: Arcsine, Scale: 0.1}, []float64{0.6, 0.8}},
	)
	rows, _ = rest.Budget()
	for _, r := range rows {
		want := map[Source]Term{Sighting: {Shape: Rectangular, Scale: 0.6}, Remounting: {Shape: Normal, Scale: 0.15}, OffCentre: {Shape: Arcsine, Scale: 0.1}}[r.Source]
		if got := r.Term(); got.Shape != want.Shape || !(math.Abs(got.Scale-want.Scale) <= 1e-12) || !r.DOF.Infinite() {
			t.Errorf("%v: %+v, want %+v", r.Source, got, want)
		}
	}
}

// Sums by hand: values add where the mountings are the same, an input that both share
// cancels in a difference and doubles in a sum, one of each stays, and one that has no
// sign adds up either way.
func TestSumsOfCombinations(t *testing.T) {
	input := func(of string, unsigned bool) Contribution {
		in := Limited(Sighting, of, geometry.Limit[geometry.Angle]{Half: 0.3})
		in.Unsigned = unsigned
		return By(in, 1)
	}
	one := measured("A", "B").With(input("shared", false), input("own", false), input("adds", true))
	two := measured("A", "B").With(input("shared", false), input("other", false), input("adds", true))
	sizes := func(c Combination) map[string]float64 {
		out := map[string]float64{}
		for _, x := range c.Inputs {
			out[x.Of] = x.Sensitivity[0]
		}
		return out
	}
	if got := sizes(Add(two, one.Times(-1))); fmt.Sprint(got) != "map[adds:2 other:1 own:-1]" {
		t.Errorf("difference: %v", got)
	}
	if got := sizes(Add(two, one)); fmt.Sprint(got) != "map[adds:2 other:1 own:1 shared:2]" {
		t.Errorf("sum: %v", got)
	}
	if got := Add(two, one.Times(-3)); got.Value() != -2 || len(got.Groups) != 1 {
		t.Errorf("value %v of %d groups, want -2 of one", got.Value(), len(got.Groups))
	}
	if got := Add(measured("A"), measured("B")); got.Value() != 2 || len(got.Groups) != 2 {
		t.Errorf("value %v of %d groups, want 2 of two", got.Value(), len(got.Groups))
	}
	// u² of a limit of 0.3 is 0.03.
	if got := Covariance(one, two.Times(3)); !(math.Abs(got-2*3*0.03) <= 1e-12) {
		t.Errorf("covariance %v", got)
	}
	if got := Covariance(one.Without(Sighting), two); got != 0 {
		t.Errorf("covariance %v of what shares nothing", got)
	}
	if got := one.Only(OffCentre); len(got.Inputs) != 0 || len(one.Only(Sighting).Inputs) != 3 || len(one.Inputs) != 3 {
		t.Error("the inputs of one source are not those")
	}
	vector := func(a, b float64) Combination {
		return Combination{Inputs: []Contribution{{Input{ID: ID{Source: Correction, Of: "wheel"}, Shape: Normal, Scale: 1, Covariance: [][]float64{{4, 1}, {1, 9}}, DOF: 5.7}, []float64{a, b}}}}
	}
	if got := Covariance(vector(1, 2), vector(3, -1)); !(math.Abs(got-(4*3+1*-1+2*3*1+2*-1*9)) <= 1e-12) {
		t.Errorf("covariance of vectors: %v", got)
	}
	rows, _ := vector(1, 2).Budget()
	if r := rows[0]; !(math.Abs(r.Scale.Degrees()-math.Sqrt(4+4+36)) <= 1e-12) || r.DOF != 5 || r.Sensitivity != 1 {
		t.Errorf("row of a vector: %+v", r)
	}
}

// The mean of two mountings by hand, and the mean within them.
func TestMeanOfMountings(t *testing.T) {
	one, two := measured("A"), measured("B")
	two.Groups[0].Values[0] = 3
	two.Groups[0].Scatter[0].Of = "2"
	mean := Mean([]Combination{one, two}, true)
	g := mean.Groups[0]
	if mean.Value() != 2 || len(g.Mountings) != 2 || !g.Alike || len(g.Values) != 2 {
		t.Fatalf("%+v", g)
	}
	rows, _ := mean.Budget()
	// The line's readings meet, and keep their weight; the pairs of two setups do not,
	// and add as squares: 0.1·√2/2.
	sameRows(t, "mean", rows, fmt.Sprintf("stop contacts %.6f 3 8", 0.1/math.Sqrt2), "step, at TDC 0.050000 +Inf 0 idle",
		"line readings 0.050000 3 8", "step, at the line 0.050000 +Inf 0 idle")
	if within := mean.WithinMountings(); len(within.Groups) != 1 || within.Groups[0].Mountings[0] != "within" || len(mean.Groups[0].Mountings) != 2 {
		t.Error("the scatter within mountings is not apart from them")
	}
	if got := Variance(OfTDC(g.Scatter)); !(math.Abs(got-0.005) <= 1e-12) {
		t.Errorf("variance of TDC %v, want 0.005", got)
	}
}

// More pairs go where one makes the variance smallest: 1/√(1/Σc² + n) is the new
// coefficient. A quarter of 1 with four more is an eighth.
func TestFurtherReadings(t *testing.T) {
	rows, _ := measured("A").After(4, 12, 0).Budget()
	sameRows(t, "further", rows, fmt.Sprintf("line readings %.6f 15 16 idle", 0.1/math.Sqrt(16)), "step, at the line 0.050000 +Inf 0",
		fmt.Sprintf("stop contacts %.6f 7 8", 0.2/math.Sqrt(8)), "step, at TDC 0.050000 +Inf 0 idle")
	two := measured("A")
	two.Groups[0].Scatter = append(two.Groups[0].Scatter, By(scattering(StopContacts, "2", "other", 0.1, 2), 0.7))
	after := two.After(2, 0, 0)
	// 0.2² · (1/4 - 1/6) against 0.1² · (1/2 - 1/4): the first gains more.
	for _, x := range after.Groups[0].Scatter {
		if want := map[string]float64{"1": 1 / math.Sqrt(6), "2": 0.7}[x.Of]; x.Source == StopContacts && !(math.Abs(x.Sensitivity[0]-want) <= 1e-12) {
			t.Errorf("%s: %v, want %v", x.Of, x.Sensitivity[0], want)
		}
	}
	if len(two.Groups[0].Scatter) != 3 || two.Groups[0].Scatter[0].Sensitivity[0] != 0.5 {
		t.Error("what is at hand is changed")
	}
}
