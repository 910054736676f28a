package repeatability

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// Who scatters by F against the rest, the largest variance first: four people with 5
// degrees of freedom each; those of three in four values lie at s² 1, the last at v.
func TestScatterBorders(t *testing.T) {
	dof := []float64{5, 5, 5, 5}
	// F of 5 and 15 at a quarter of 4 %: the largest of four.
	border := stats.FQuantile(0.01, 5, 15)
	for v, out := range map[float64]bool{border - 1e-6: false, border + 1e-6: true} {
		found := scatterers(0, []float64{1, 1, v, 1}, dof)
		if x, ok := found[2]; ok != out || len(found) > 1 || ok && (math.Abs(x.statistic-v) > 1e-9 || math.Abs(x.critical-border) > 1e-9 || math.Abs(x.rest-1) > 1e-9 || math.Abs(x.p-0.04) > 1e-4) {
			t.Errorf("at %g: %+v", v, found)
		}
	}
	// Rounding of a step q has q²/3 at most, where everything lies on one step or the next.
	for v, out := range map[float64]bool{3 - 1e-9: false, 3 + 1e-9: true} {
		if found := scatterers(3, []float64{1e-3, 1e-3, v, 1e-3}, dof); (len(found) == 1) != out {
			t.Errorf("at a step of 3, %g: %+v", v, found)
		}
	}
	if found := scatterers(0, []float64{0, 0, 2, 0}, dof); !math.IsInf(found[2].statistic, 1) || found[2].p != 0 {
		t.Errorf("nobody else scatters: %+v", found)
	}
	for name, c := range map[string]struct{ v, dof []float64 }{
		"nobody scatters": {[]float64{0, 0, 0}, []float64{5, 5, 5}}, "one alone": {[]float64{9, 0, 0}, []float64{5, 0, 0}}, "nobody repeats": {[]float64{0, 0}, []float64{0, 0}},
	} {
		if found := scatterers(0, c.v, c.dof); len(found) != 0 {
			t.Errorf("%s: %+v", name, found)
		}
	}
	for n, want := range map[int]int{1: 1, 2: 1, 3: 1, 4: 1, 5: 2, 8: 3, 16: 7, 17: 8, 19: 8, 40: 8} {
		if got := steps(n); got != want {
			t.Errorf("of %d people %d may stand out, want %d", n, got, want)
		}
	}
}

// The steadiest by F of the others against the smallest variance, at 5 % for all of them
// together.
func TestSteadiestBorders(t *testing.T) {
	dof := []float64{6, 6, 6, 6}
	border := 1 / stats.FQuantile(0.05/4, 18, 6)
	for v, want := range map[float64]int{border * 0.999: 1, border * 1.001: -1} {
		if got := steadiest(0, []float64{1, v, 1, 1}, dof, nil); got != want {
			t.Errorf("at %g: %d, want %d", v, got, want)
		}
	}
	if got := steadiest(0, []float64{1, 0, 1, 1}, dof, nil); got != 1 {
		t.Errorf("no scatter at all: %d", got)
	}
	for name, c := range map[string]struct {
		step    geometry.Angle
		v, dof  []float64
		scatter map[int]named
		want    int
	}{
		"two people":        {0, []float64{1, 0}, []float64{6, 6}, nil, -1},
		"three":             {0, []float64{1, 0, 1}, []float64{6, 6, 6}, nil, 1},
		"one has none":      {0, []float64{1, 0, 1}, []float64{6, 6, 0}, nil, -1},
		"one scatters":      {0, []float64{1, 0, 9}, []float64{6, 6, 6}, map[int]named{2: {}}, -1},
		"one of four":       {0, []float64{1, 0, 9, 1}, []float64{6, 6, 6, 6}, map[int]named{2: {}}, 1},
		"rounding":          {1.8, []float64{1, 0, 1}, []float64{6, 6, 6}, nil, -1},
		"more than that":    {1.7, []float64{1, 0, 1}, []float64{6, 6, 6}, nil, 1},
		"others by freedom": {0, []float64{1, 0.1, 0.1}, []float64{2, 20, 20}, nil, -1},
	} {
		if got := steadiest(c.step, c.v, c.dof, c.scatter); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
}

// Who sits off by t of the largest deviation, twice as probable as many people; of two
// each is as far from the other. Cells' means have the variance 0.01 with 8 degrees.
func TestSitsOffBorders(t *testing.T) {
	ofCell := func(*cell) float64 { return 0.01 }
	s := scale{ofCell: ofCell, dof: 8}
	// Four people at two marks: a deviation has 0.01 · 3/8.
	sd := math.Sqrt(0.01 * 3 / 8)
	border := -stats.TQuantile(0.04/4/2, 8)
	for statistic, out := range map[float64]bool{border - 1e-6: false, border + 1e-6: true} {
		d := geometry.Angle(statistic * sd * 4 / 3) // three quarters of it is the deviation
		var values []Value
		for _, m := range []string{"m", "n"} {
			values = append(values, Value{"A", m, 0, 1}, Value{"B", m, 0, 1}, Value{"C", m, d, 1}, Value{"D", m, 0, 1})
		}
		found := s.off(tabulate(values), 4)
		if x, ok := found[2]; ok != out || len(found) > 1 || ok && (math.Abs(x.statistic-statistic) > 1e-9 || math.Abs(x.critical-border) > 1e-9 || math.Abs(x.p-0.04) > 1e-4) {
			t.Errorf("at %g: %+v", statistic, found)
		}
	}
	two := slices.Concat(read("A", "m", 0), read("A", "n", 0), read("B", "m", 9), read("B", "n", 9))
	if found := s.off(tabulate(two), 2); len(found) != 2 || found[0].person != 0 || found[1].person != 1 || found[0].statistic != found[1].statistic {
		t.Errorf("of two: %+v", found)
	}
	if found := (scale{ofCell: ofCell}).off(tabulate(two), 2); len(found) != 0 {
		t.Errorf("without degrees of freedom: %+v", found)
	}
	if found := s.off(tabulate(two[:2]), 2); len(found) != 0 {
		t.Errorf("one person: %+v", found)
	}
	islands := slices.Concat(read("A", "m", 0), read("B", "n", 9), read("C", "n", 0))
	if found := s.off(tabulate(islands), 3); len(found) != 0 {
		t.Errorf("nothing shared: %+v", found)
	}
	// Two of seven, of whom neither hides the other.
	var seven []Value
	for i, x := range []geometry.Angle{0, 2, 0.05, -0.05, 2.1, 0.02, -0.02} {
		seven = append(seven, Value{strconv.Itoa(i), "m", x, 1}, Value{strconv.Itoa(i), "n", x, 1})
	}
	if found := s.off(tabulate(seven), 7); len(found) != 2 || found[1].person != 1 || found[4].person != 4 {
		t.Errorf("of seven: %+v", found)
	}
	// Trials that go together: the mean square of trials over that of values widens it.
	common := &sharing{meanSquare: 0.06, all: 5}
	variance, dof := scale{ofCell, 8, common}.of(tabulate(two), 0.01)
	if math.Abs(variance-0.06) > 1e-12 || dof != 5 { // cells of one value: 0.01 a value
		t.Errorf("by trials: %g with %g", variance, dof)
	}
	if variance, dof := (scale{ofCell, 8, &sharing{meanSquare: 0.001, all: 5}}).of(tabulate(two), 0.01); variance != 0.01 || dof != 5 {
		t.Errorf("never narrower: %g with %g", variance, dof)
	}
}

// How far values of a trial go together, against the analysis of variance written out:
// of each person, trials at marks less the cells' means.
func TestSharingOfTrials(t *testing.T) {
	rng := testkit.Rand(t, 52)
	var values []Value
	var within, between float64
	for p := range 3 {
		var y [4][2]float64
		for trial := range 4 {
			shift := rng.NormFloat64()
			for m := range 2 {
				y[trial][m] = shift + 0.1*rng.NormFloat64()
				values = append(values, Value{strconv.Itoa(p), strconv.Itoa(m), geometry.Angle(y[trial][m]), trial + 1})
			}
		}
		var mean [2]float64
		for _, row := range y {
			mean[0], mean[1] = mean[0]+row[0]/4, mean[1]+row[1]/4
		}
		for _, row := range y {
			a, b := row[0]-mean[0], row[1]-mean[1]
			within += a*a + b*b
			between += 2 * ((a + b) / 2) * ((a + b) / 2)
		}
	}
	r := Result{Data: Data{Values: values}}
	got := r.sharing(tabulate(values))
	if got == nil || math.Abs(got.meanSquare-between/9) > 1e-9 || got.all != 9 || !slices.Equal(got.trials, []float64{3, 3, 3}) {
		t.Errorf("got %+v, want %g", got, between/9)
	}
	if between/9 < (within-between)/9 {
		t.Fatal("trials do not go together")
	}
	r.Data.Each = PerReading
	if r.sharing(tabulate(values)) != nil {
		t.Error("readings of one setup share all")
	}
	// Scatter alone is no sharing in a file, and in setups it is: they count from one TDC.
	for i := range values {
		values[i].Value = geometry.Angle(math.Cos(float64(7 * i * i)))
	}
	loose := Result{Data: Data{Values: values}}
	chance := loose.sharing(tabulate(values))
	loose.Data.Each = PerSetup
	if setups := loose.sharing(tabulate(values)); chance != nil || setups == nil {
		t.Errorf("of a file %+v, of setups %+v", chance, setups)
	}
	one := slices.Concat(read("A", "m", 1, 2, 3), read("B", "m", 1, 2, 4))
	if (&Result{Data: Data{Each: PerSetup}}).sharing(tabulate(one)) != nil {
		t.Error("one mark shares nothing")
	}
	once := slices.Concat(read("A", "m", 1), read("A", "n", 2), read("B", "m", 1), read("B", "n", 3))
	if (&Result{Data: Data{Each: PerSetup}}).sharing(tabulate(once)) != nil {
		t.Error("one trial each shares nothing that could be seen")
	}
}

// The value that stands out from its person's others, by Grubbs' test at a level shared
// among the people, and by more than two steps.
func TestStandsOutByHand(t *testing.T) {
	of := func(odd geometry.Angle, step geometry.Angle) *Flag {
		values := slices.Concat(
			read("Ana", "m", 1, 1.1, 1, 1.1, 1, odd), read("Ana", "n", 5, 5.1), read("Bo", "m", 1, 1.1, 1, 1.1, 1, 1.1), read("Bo", "n", 5, 5.1))
		r := Analyse(Data{Values: values, Step: step, AsRead: true}, PoolAuto)
		if i := slices.IndexFunc(r.Flags, func(f Flag) bool { return f.Code == StandsOut }); i >= 0 {
			return &r.Flags[i]
		}
		return nil
	}
	f := of(1.8, 0.01)
	if f == nil || f.By != "Ana" || f.Mark != "m" || f.Trial != 6 || math.Abs(f.Values[0]-1.8) > 1e-9 || math.Abs(f.Values[1]-1.04) > 1e-9 {
		t.Fatalf("%+v", f)
	}
	var x []float64
	mean := (5.2 + 1.8) / 6
	for _, v := range []float64{1, 1.1, 1, 1.1, 1, 1.8} {
		x = append(x, (v-mean)*math.Sqrt(6.0/5))
	}
	_, g, critical := stats.Grubbs(x, 0.05/2)
	if math.Abs(f.Statistic.Value-g) > 1e-9 || math.Abs(f.Critical.Value-critical) > 1e-9 {
		t.Errorf("statistic %+v, critical %+v, want %g and %g", f.Statistic, f.Critical, g, critical)
	}
	if of(1.8, 0.375) == nil || of(1.8, 0.385) != nil {
		t.Error("two steps of 0.38 are what rounding makes of 0.76")
	}
	if of(1.2, 0.01) != nil {
		t.Error("0.2 of 0.05 stands out")
	}
}

// Who sits off is told with limits by Student's t, and by the median besides: the person
// must leave both the mean and the middle one of the people.
func TestSitsOffIsTold(t *testing.T) {
	r := Result{}
	for _, c := range []struct {
		d, median       float64
		scatters, named bool
		critical        float64
		told            bool
	}{
		{0.5, 0, false, true, 3, true},
		{0.29, 0, false, true, 3, false},
		{0.5, 0.25, false, true, 3, false},
		{0.5, -0.3, false, true, 3, true},
		{-0.5, 0, false, true, 3, true},
		{-0.5, -0.25, false, true, 3, false},
		{0.5, 0, false, false, 3, false},
		{0.5, 0, false, true, 9, true}, // never more than t of a share of 4 % of the people asks
		{0.5, 0, true, false, 0, true},
		{0.2, 0, true, false, 0, false},
	} {
		p := Person{By: "A", Deviation: know(c.d)}
		r.Flags = nil
		r.sitsOff(&p, c.median, 0.01, 10, 4, c.scatters, c.named, c.critical)
		if (len(r.Flags) == 1) != c.told {
			t.Errorf("%+v: %+v", c, r.Flags)
		}
		// t of 10 at 2.5 %: 2.228139 (printed tables).
		if math.Abs(p.Deviation.Low-c.d+0.2228138852) > 1e-8 || math.Abs(p.Deviation.High-c.d-0.2228138852) > 1e-8 || math.Abs(p.Chance.Value-2*stats.TSurvival(math.Abs(c.d)/0.1, 10)) > 1e-12 {
			t.Errorf("%+v: %+v, chance %+v", c, p.Deviation, p.Chance)
		}
		if c.told {
			f := r.Flags[0]
			critical := -stats.TQuantile(0.04/4/2, 10)
			if !c.scatters {
				critical = math.Min(critical, c.critical)
			}
			if math.Abs(f.Statistic.Value-math.Abs(c.d)/0.1) > 1e-9 || math.Abs(f.Critical.Value-critical) > 1e-9 || f.Values[0] != c.d || f.Values[1] != p.Chance.Value {
				t.Errorf("%+v: told %+v, critical %g", c, f, critical)
			}
		}
	}
}

// A trend is told where it is significant for all people together and more than half
// a step.
func TestClimbs(t *testing.T) {
	for _, c := range []struct {
		chance, slope, step, people float64
		want                        bool
	}{
		{0.009, 0.1, 0.1, 5, true}, {0.011, 0.1, 0.1, 5, false}, {0.009, -0.1, 0.1, 5, true}, {0.009, 0.1, 0.59, 5, true}, {0.009, 0.1, 0.61, 5, false}, {0.009, 0.1, 0.6, 5, false},
	} {
		r := Result{Data: Data{Step: geometry.Angle(c.step)}}
		if got := r.climbs(Trend{Slope: know(c.slope), Chance: know(c.chance), Trials: 3}, c.people); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
	r := Result{}
	if r.climbs(Trend{Slope: know(1), Trials: 3}, 5) {
		t.Error("without a probability")
	}
}
