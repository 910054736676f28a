package uncertainty

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// Other names, so that what has one name is not taken for the same quantity.
func TestRenamed(t *testing.T) {
	one := measured("A").With(By(Limited(Sighting, "part", geometry.Limit[geometry.Angle]{Half: 0.3}), 1))
	two := one.Renamed(func(id ID) ID {
		id.Of += " of 1999"
		return id
	})
	if one.Inputs[0].Of != "part" || one.Groups[0].Scatter[0].Of != "1" || one.Groups[0].Rounding[1].Of != "T" {
		t.Errorf("what was renamed is changed: %+v", one)
	}
	if two.Inputs[0].ID != (ID{Sighting, "part of 1999"}) || two.Groups[0].Scatter[0].ID != (ID{StopContacts, "1 of 1999"}) || two.Groups[0].Rounding[1].ID != (ID{StepAtLine, "T of 1999"}) {
		t.Errorf("got %+v", two)
	}
	if Covariance(one, one) == 0 || Covariance(one, two) != 0 {
		t.Error("an input of another name is shared")
	}
}

// By hand: sensitivities of one source add up, with their signs, those of a vector do
// not count.
func TestSensitivityToASource(t *testing.T) {
	limit := geometry.Limit[geometry.Angle]{Half: 0.3}
	c := Combination{}.With(
		By(Limited(Sighting, "a", limit), 2), By(Limited(Sighting, "b", limit), -0.5), By(Limited(Slack, "a", limit), 8),
		Contribution{Input{ID: ID{OffCentre, "wheel"}, Scale: 1}, []float64{3, 4}},
	)
	for source, want := range map[Source]float64{Sighting: 1.5, Slack: 8, OffCentre: 0, Stroke: 0} {
		if got := c.Sensitivity(source); got != want {
			t.Errorf("%v: %v, want %v", source, got, want)
		}
	}
}

// Sums of vectors by hand, coordinate by coordinate; what cancels in all of them is
// gone, what is nothing from the start stays.
func TestWhereInputsMeet(t *testing.T) {
	wheel := func(a, b float64) Contribution {
		return Contribution{Input{ID: ID{OffCentre, "wheel"}, Scale: 1, N: 2}, []float64{a, b}}
	}
	got := Meet([]Contribution{wheel(1, 2)}, []Contribution{wheel(-1, 3)})
	if len(got) != 1 || !slices.Equal(got[0].Sensitivity, []float64{0, 5}) || got[0].N != 4 {
		t.Errorf("one coordinate cancels: %+v", got)
	}
	if got := Meet([]Contribution{wheel(1, 2)}, []Contribution{wheel(-1, -2)}); len(got) != 0 {
		t.Errorf("both cancel: %+v", got)
	}
	if got := Meet(nil, []Contribution{wheel(0, 0), wheel(0, 0)}); len(got) != 1 {
		t.Errorf("nothing and nothing: %+v", got)
	}
	unsigned := wheel(-1, 2)
	unsigned.Unsigned = true
	if got := Meet([]Contribution{unsigned}, []Contribution{unsigned.times(-2)}); !slices.Equal(got[0].Sensitivity, []float64{3, 6}) {
		t.Errorf("without a sign: %+v", got)
	}
	if got := unsigned.times(-2).Sensitivity; !slices.Equal(got, []float64{2, 4}) {
		t.Errorf("twice, without a sign: %v", got)
	}
	if got := wheel(-1, 2).times(-2).Sensitivity; !slices.Equal(got, []float64{2, -4}) {
		t.Errorf("minus twice: %v", got)
	}
	// What is met stays as it was where it came from.
	one := Combination{Inputs: []Contribution{wheel(1, 2)}}
	if two := one.With(wheel(1, 1)); !slices.Equal(two.Inputs[0].Sensitivity, []float64{2, 3}) || !slices.Equal(one.Inputs[0].Sensitivity, []float64{1, 2}) {
		t.Errorf("%v with more is %v", one.Inputs[0].Sensitivity, two.Inputs[0].Sensitivity)
	}
	// Of another length, as corrections of two readouts, they share nothing.
	two := Combination{Inputs: []Contribution{By(Input{ID: ID{OffCentre, "wheel"}, Scale: 1}, 1)}}
	if got := Covariance(one, two); got != 0 {
		t.Errorf("covariance %v", got)
	}
	if got := Covariance(one, one); !(math.Abs(got-5) <= 1e-12) { // 1² + 2², normal
		t.Errorf("variance %v", got)
	}
}

// Groups add value by value; one that rounds alike makes the sum do, and a group
// without values says nothing.
func TestSumsOfGroups(t *testing.T) {
	alike, apart := measured("A", "B"), measured("A", "B")
	alike.Groups[0].Alike = true
	for _, c := range [][2]Combination{{alike, apart}, {apart, alike}} {
		if sum := Add(c[0], c[1]); !sum.Groups[0].Alike {
			t.Error("one rounds alike, and the sum does not")
		}
	}
	if Add(apart, apart).Groups[0].Alike {
		t.Error("none rounds alike, and the sum does")
	}
	if apart.Groups[0].Values[0] != 1 || apart.Groups[0].Scatter[0].Sensitivity[0] != 0.5 {
		t.Errorf("a summand is changed: %+v", apart.Groups[0])
	}
	if got := (Combination{Groups: []Group{{Values: []geometry.Angle{2, -3}}}}).Times(-4).Groups[0].Values; !slices.Equal(got, []geometry.Angle{-8, 12}) {
		t.Errorf("minus four times 2 and -3: %v", got)
	}
	empty := Combination{Groups: []Group{{}, {Values: []geometry.Angle{1, 2, 6}}, {Values: []geometry.Angle{-0.5}}}}
	if got := empty.Value(); (got - 2.5).Abs() > 1e-15 { // 3 and -0.5
		t.Errorf("value %v", got)
	}
	if got := (Combination{}).Value(); got != 0 {
		t.Errorf("value of nothing: %v", got)
	}
	more := measured("A").With(By(Limited(Sighting, "x", geometry.Limit[geometry.Angle]{Half: 1}), 1), By(Limited(Slack, "x", geometry.Limit[geometry.Angle]{Half: 1}), 1))
	if got := more.Without(Slack, Stroke).Inputs; len(got) != 1 || got[0].Source != Sighting {
		t.Errorf("without slack: %+v", got)
	}
	if got := more.Only(Slack, Stroke).Inputs; len(got) != 1 || got[0].Source != Slack || len(more.Inputs) != 2 {
		t.Errorf("slack alone: %+v", got)
	}
}

// What belongs to one line: two of one pool are one row, and so are lines that share
// one estimate of their scatter.
func TestLinesOfOneEstimate(t *testing.T) {
	step := func(of string) Contribution { return By(Rounded(StepAtLine, of, Rectangular, 0.01), 1) }
	pooled := func(of string, sensitivity float64, n int) Contribution {
		in := scattering(LineReadingsPooled, of, "all", 0.1, n)
		in.DOF = 9
		return By(in, sensitivity)
	}
	g := Group{
		Mountings: []string{"A"}, Values: []geometry.Angle{1},
		Scatter:  []Contribution{pooled("T", 0.3, 3), pooled("U", -0.4, 4), By(scattering(StopContacts, "1", "stop", 0.2, 4), 0.5)},
		Rounding: []Contribution{step("T"), step("U")},
	}
	rows, known := Combination{Groups: []Group{g}}.Budget()
	sameRows(t, "two lines of one estimate", rows, "line readings, pooled 0.050000 9 7", "step, at the line 0.010000 +Inf 0 idle", "step, at the line 0.010000 +Inf 0 idle", "stop contacts 0.100000 3 4")
	if !known {
		t.Error("the scatter is not known")
	}
	// Three of them, one whose scatter is below its step and does not count.
	g.Rounding[1].Scale = 0.2
	g.Scatter = append(g.Scatter, pooled("V", 1.2, 5))
	rows, _ = Combination{Groups: []Group{g}}.Budget()
	sameRows(t, "one of them by its step", rows, fmt.Sprintf("line readings, pooled %.6f 9 8", 0.1*math.Sqrt(0.09+1.44)), "step, at the line 0.010000 +Inf 0 idle",
		"line readings, pooled 0.040000 9 4 idle", "step, at the line 0.200000 +Inf 0", "stop contacts 0.100000 3 4")
	// Apart, each has a row.
	g.Scatter = []Contribution{By(scattering(LineReadings, "T", "T", 0.1, 4), 0.3), By(scattering(LineReadings, "U", "U", 0.1, 4), 0.4)}
	g.Rounding = nil
	rows, _ = Combination{Groups: []Group{g}}.Budget()
	sameRows(t, "two lines apart", rows, "line readings 0.030000 3 4", "line readings 0.040000 3 4")
	// Without a pool of its own name, too.
	g.Scatter = []Contribution{By(scattering(StopContacts, "1", "", 0.1, 4), 0.3), By(scattering(StopContacts, "2", "", 0.1, 4), 0.4)}
	rows, _ = Combination{Groups: []Group{g}}.Budget()
	sameRows(t, "two setups without a pool", rows, "stop contacts 0.030000 3 4", "stop contacts 0.040000 3 4")
	g.Scatter = append(g.Scatter[:1:1], By(scattering(StopContacts, "2", "b", 0.1, 4), 0.4), By(scattering(StopContacts, "3", "b", 0.1, 4), 0.3), By(scattering(StopContacts, "4", "", 0.1, 4), 0.7))
	rows, _ = Combination{Groups: []Group{g}}.Budget()
	sameRows(t, "a pool among others", rows, "stop contacts 0.030000 3 4", "stop contacts 0.050000 3 8", "stop contacts 0.070000 3 4")
}

// Of one scatter its own degrees of freedom, of several those of their sum (Welch and
// Satterthwaite; JCGM 100, G.4.1): (1 + 4)²/(1/3 + 16/7) by hand.
func TestScatterDOF(t *testing.T) {
	one, two := By(scattering(StopContacts, "1", "", 1, 4), 1), By(scattering(LineReadings, "T", "", 1, 8), 2)
	unknown, still := one, By(scattering(StopContacts, "2", "", 0, 3), 1)
	unknown.DOF = 0
	for name, c := range map[string]struct {
		scatter []Contribution
		want    float64
	}{
		"one":                   {[]Contribution{one}, 3},
		"two":                   {[]Contribution{one, two}, 25 / (1./3 + 16./7)},
		"one that is not known": {[]Contribution{two, unknown}, 0},
		"none":                  {nil, 0},
		"none that scatters":    {[]Contribution{still, still.times(0)}, 2},
		"the fewest of still":   {[]Contribution{By(scattering(LineReadings, "T", "", 0, 8), 1), still}, 2},
	} {
		if got := ScatterDOF(c.scatter); !(math.Abs(got-c.want) <= 1e-12) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
	if got := Variance([]Contribution{one, two}); !(math.Abs(got-5) <= 1e-12) { // 1² and 2²
		t.Errorf("variance %v, want 5", got)
	}
}

// Where more is read: in the pool that gains most, of equal ones the first by its
// source, and by setups where they are held against each other.
func TestWhereFurtherReadingsGo(t *testing.T) {
	base := measured("A")
	read := func(scatter ...Contribution) Combination {
		c := base
		c.Groups = slices.Clone(c.Groups)
		c.Groups[0].Scatter = scatter
		return c
	}
	stop := func(of, pool string, scale float64, n int, sensitivity float64) Contribution {
		return By(scattering(StopContacts, of, pool, scale, n), sensitivity)
	}
	short := func(c Combination) (out string) {
		for _, x := range c.Groups[0].Scatter {
			out += fmt.Sprintf("%v %s %d %v %.6f; ", x.Source, x.Of, x.N, x.DOF, x.Sensitivity[0])
		}
		return out
	}
	for name, c := range map[string]struct {
		scatter []Contribution
		pairs   int
		want    string
	}{
		// 0.3² + 0.4² = ¼ of one pool: four values more make an eighth of it.
		"one pool of two setups": {[]Contribution{stop("1", "p", 0.2, 2, 0.3), stop("2", "p", 0.2, 3, -0.4)}, 4, fmt.Sprintf("stop contacts 1 9 5 %.6f; ", math.Sqrt(1./8))},
		// 0.2² · ¼ · ¼/(5/4) against 0.3² · ¼ · ¼/(5/4).
		"the one that scatters more": {[]Contribution{stop("1", "", 0.2, 4, 0.5), stop("2", "", 0.3, 4, 0.5)}, 4, fmt.Sprintf("stop contacts 2 8 7 %.6f; stop contacts 1 4 3 0.500000; ", math.Sqrt(1./8))},
		"of equal ones the first":    {[]Contribution{stop("1", "", 0.2, 4, 0.5), stop("2", "", 0.2, 4, 0.5)}, 4, fmt.Sprintf("stop contacts 1 8 7 %.6f; stop contacts 2 4 3 0.500000; ", math.Sqrt(1./8))},
		// 1²·1/2 against 0.9²·(1.44²/2.44): 0.5 against 0.688.
		"the one that is read less": {[]Contribution{stop("1", "", 1, 4, 1), stop("2", "", 0.9, 2, 1.2)}, 1, fmt.Sprintf("stop contacts 2 3 2 %.6f; stop contacts 1 4 3 1.000000; ", math.Sqrt(1/(1/1.44+1)))},
		// Of two sources that gain alike the first in the table, whatever their order.
		"the first source": {[]Contribution{By(scattering(TopReadings, "1", "", 0.2, 4), 0.5), stop("2", "", 0.2, 4, 0.5)}, 4, fmt.Sprintf("stop contacts 2 8 7 %.6f; readings of the top 1 4 3 0.500000; ", math.Sqrt(1./8))},
		"none":             {[]Contribution{stop("1", "", 0.2, 4, 0.5)}, 0, "stop contacts 1 4 3 0.500000; "},
		"nothing to read":  {[]Contribution{By(scattering(SweepFit, "1", "", 0.2, 4), 0.5)}, 3, "sweep fit 1 4 3 0.500000; "},
	} {
		if got := short(read(c.scatter...).After(c.pairs, 0, 0)); got != c.want {
			t.Errorf("%s: got %s want %s", name, got, c.want)
		}
	}
	// A pool of one name on two lines is two: each line has its own mean.
	own := func(of string, s float64) Contribution { return By(scattering(LineReadings, of, "p", 0.2, 4), s) }
	if got, want := short(read(own("T", 0.5), own("U", 0.6)).After(0, 1, 0)), fmt.Sprintf("line readings U 5 4 %.6f; line readings T 4 3 0.500000; ", 1/math.Sqrt(1/0.36+1)); got != want {
		t.Errorf("two lines: got %s want %s", got, want)
	}
	// Two mountings take no third into account, three and one to come do.
	two := measured("A", "B").After(0, 0, 5)
	if two.Groups[0].Further != 0 {
		t.Errorf("two mountings: %d to come", two.Groups[0].Further)
	}
	three := measured("A", "B", "C")
	if got := three.After(3, 3, 2).Groups[0]; got.Further != 2 || got.Scatter[0].N != 4 || three.Groups[0].Further != 0 {
		t.Errorf("three mountings: %+v", got)
	}
	coming := measured("A", "B")
	coming.Groups[0].Further = 1
	if got := coming.After(3, 3, 2).Groups[0]; got.Further != 3 || got.Scatter[0].N != 4 {
		t.Errorf("two and one to come: %+v", got)
	}
}
