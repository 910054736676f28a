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

// The person and mark that differ most beyond what either does: of three people at three
// marks one cell is 1 too high, which leaves 4/9 of it there and less elsewhere.
func TestDisagreementByHand(t *testing.T) {
	of := func(scatter, odd geometry.Angle, pooling Pooling) []Flag {
		var values []Value
		for p := range 3 {
			for m := range 3 {
				x := geometry.Angle(0.2*float64(p) + 0.5*float64(m))
				if p == 1 && m == 2 {
					x += odd
				}
				values = append(values, read("P"+strconv.Itoa(p), "M"+strconv.Itoa(m), x, x+scatter)...)
			}
		}
		r := Analyse(Data{Values: values, AsRead: true}, pooling)
		return slices.DeleteFunc(r.Flags, func(f Flag) bool { return f.Code != Disagreement })
	}
	for _, odd := range []geometry.Angle{1, -1} {
		got := of(0.02, odd, PoolAuto)
		// F: squares 2 · 4/9 with 4 degrees of freedom over 0.0002, the mean square within.
		if len(got) != 1 || got[0].By != "P1" || got[0].Mark != "M2" || math.Abs(got[0].Values[0]-odd.Degrees()*4/9) > 1e-9 ||
			math.Abs(got[0].Statistic.Value-2.0/9/0.0002) > 1e-6 || math.Abs(got[0].Values[1]-stats.FSurvival(2.0/9/0.0002, 4, 9)) > 1e-12 {
			t.Errorf("%v too much: %+v", odd, got)
		}
	}
	if got := of(0.02, 1, PoolAlways); len(got) > 0 {
		t.Errorf("pooled: %+v", got)
	}
	if got := of(0, 1, PoolAuto); len(got) > 0 {
		t.Errorf("without scatter nothing is tested: %+v", got)
	}
	// At 5 %: F of 4 and 9, of which the odd cell's square makes 2/9 over 0.0002.
	border := geometry.Angle(math.Sqrt(stats.FQuantile(0.05, 4, 9) * 0.0002 * 9 / 2))
	if len(of(0.02, border-1e-6, PoolNever)) != 0 || len(of(0.02, border+1e-6, PoolNever)) != 1 {
		t.Error("it is not told from 5 % on")
	}
}

// The first value of a person can stand out as any other.
func TestFirstStandsOut(t *testing.T) {
	values := slices.Concat(read("Ana", "m", 1.8, 1.1, 1, 1.1, 1, 1), read("Bo", "m", 1, 1.1, 1, 1.1, 1, 1.1))
	r := Analyse(Data{Values: values, AsRead: true}, PoolAuto)
	if i := slices.IndexFunc(r.Flags, func(f Flag) bool { return f.Code == StandsOut }); i < 0 || r.Flags[i].Trial != 1 {
		t.Errorf("%+v", r.Flags)
	}
	// Of two values nobody can say which: a mark read twice takes no part.
	two := slices.Concat(read("Ana", "m", 1, 9), read("Ana", "n", 1, 1.1, 1.2), read("Bo", "m", 1, 1.1), read("Bo", "n", 1, 1.1, 1.2))
	if r := Analyse(Data{Values: two, AsRead: true}, PoolAuto); slices.ContainsFunc(r.Flags, func(f Flag) bool { return f.Code == StandsOut }) {
		t.Errorf("of two: %+v", r.Flags)
	}
}

// A drift by hand: trials of one mark, and of two whose trials go together. Values rise
// by 0.1 a trial, the third a little more.
func TestDriftByHand(t *testing.T) {
	rise := []geometry.Angle{0, 0.1, 0.22, 0.3, 0.4}
	flat := []geometry.Angle{0.2, 0.21, 0.2, 0.21, 0.2}
	slope, se, dof := stats.CommonSlope([][]float64{{1, 2, 3, 4, 5}}, [][]float64{{0, 0.1, 0.22, 0.3, 0.4}})
	one := Analyse(Data{Values: slices.Concat(read("Ana", "m", rise...), read("Bo", "m", flat...)), AsRead: true}, PoolAuto)
	d := one.People[0].Drift
	if math.Abs(d.Slope.Value-slope) > 1e-9 || math.Abs(d.Slope.High-d.Slope.Low+2*stats.TQuantile(0.025, dof)*se) > 1e-9 || d.DOF != dof || d.Trials != 4 {
		t.Errorf("one mark: %+v, want %g ± %g", d, slope, se)
	}
	// Twice the values without going together: both marks count.
	loose := Analyse(Data{Values: slices.Concat(read("Ana", "m", rise...), read("Ana", "n", flat...), read("Bo", "m", flat...), read("Bo", "n", 0.21, 0.2, 0.21, 0.2, 0.21)), Each: Given, AsRead: true}, PoolAuto)
	if d := loose.People[0].Drift; loose.SharedSetups || d.DOF != 7 || math.Abs(d.Slope.Value-slope/2) > 1e-3 {
		t.Errorf("two marks: %+v, shared %v", d, loose.SharedSetups)
	}
	// Setups: the mean of the marks at each trial counts once.
	setups := Analyse(Data{Values: slices.Concat(read("Ana", "m", rise...), read("Ana", "n", rise...), read("Bo", "m", flat...), read("Bo", "n", flat...)), Each: PerSetup, AsRead: true}, PoolAuto)
	if d := setups.People[0].Drift; !setups.SharedSetups || math.Abs(d.Slope.Value-slope) > 1e-9 || d.DOF != 3 || d.Trials != 4 {
		t.Errorf("setups: %+v, shared %v", d, setups.SharedSetups)
	}
	i := slices.IndexFunc(one.Flags, func(f Flag) bool { return f.Code == Drifts })
	if i < 0 || one.Flags[i].By != "Ana" || math.Abs(one.Flags[i].Values[0]-4*slope) > 1e-9 || one.Flags[i].Critical.Value != 0.025 || one.Flags[i].Statistic != one.People[0].Drift.Chance {
		t.Errorf("told %+v", one.Flags)
	}
}

// Middle values, and what is compared with them.
func TestMiddle(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		want float64
	}{{[]float64{3}, 3}, {[]float64{4, 1}, 2.5}, {[]float64{9, 1, 2}, 2}, {[]float64{9, 1, 4, 2}, 3}} {
		if got := middle(c.x); got != c.want {
			t.Errorf("of %v: %g", c.x, got)
		}
	}
}

// A mark by itself (ISO 5725-2, 7.4), written out: s_r² of the cells, s_d² of their means
// and n̿ = (N - Σn²/N)/(p - 1); s_R² = s_r² + (s_d² - s_r²)/n̿.
func TestLevelWrittenOut(t *testing.T) {
	cells := [][]geometry.Angle{{1, 1.2, 1.4}, {2, 2.2}, {0.5, 0.7, 0.9, 1.1}}
	var values []Value
	var n, n2, sum, within float64
	for i, c := range cells {
		values = append(values, read("P"+strconv.Itoa(i), "m", c...)...)
		_, sd := stats.MeanStdDev(numbers(c))
		k := float64(len(c))
		n, n2, within = n+k, n2+k*k, within+sd*sd*(k-1)
		for _, x := range c {
			sum += x.Degrees()
		}
	}
	var between float64
	means := []float64{1.2, 2.1, 0.8}
	for i, m := range means {
		between += float64(len(cells[i])) * square(m-sum/n) / 2
	}
	own := within / 6
	_, spread := stats.MeanStdDev(means)
	r := Analyse(Data{Values: values}, PoolAuto)
	l := r.Marks[0]
	for name, c := range map[string][2]float64{
		"mean": {l.Mean.Degrees(), sum / n}, "s_r": {l.Repeatability.Value, math.Sqrt(own)}, "s_R": {l.Reproducibility.Value, math.Sqrt(own + (between-own)/((n-n2/n)/2))},
		"spread": {l.SpreadOfMeans.Value, spread}, "h": {l.H1.Value, stats.MandelH(3, 0.01)}, "h5": {l.H5.Value, stats.MandelH(3, 0.05)},
		"h of the first": {r.People[0].ByMark[0].H.Value, (1.2 - (1.2+2.1+0.8)/3) / spread}, "k of it": {r.People[0].ByMark[0].K.Value, math.Sqrt(0.04 / own)},
		"from the others": {r.People[0].ByMark[0].Deviation.Degrees(), 1.2 - (1.2+2.1+0.8)/3}, "its mean": {r.People[0].ByMark[0].Mean.Degrees(), 1.2},
	} {
		if math.Abs(c[0]-c[1]) > 1e-9 {
			t.Errorf("%s: %g, want %g", name, c[0], c[1])
		}
	}
	if l.N != 9 || l.Cochran.Known || l.KCritical1.Known || !l.Grubbs.Known || l.GrubbsBy != "P1" {
		t.Errorf("%+v", l)
	}
	// Cells of one size: Cochran's C is the largest variance over their sum.
	even := Analyse(Data{Values: slices.Concat(read("A", "m", 1, 1.2), read("B", "m", 2, 2.6), read("C", "m", 1, 1.1), read("D", "m", 5))}, PoolAuto).Marks[0]
	if math.Abs(even.Cochran.Value-0.18/(0.02+0.18+0.005)) > 1e-9 || even.CochranBy != "B" || even.KCritical1.Known {
		t.Errorf("cells of two and one of one: %+v", even)
	}
	if l := Analyse(Data{Values: slices.Concat(read("A", "m", 1, 1.2), read("B", "m", 2, 2.6))}, PoolAuto).Marks[0]; l.H1.Known || math.Abs(l.KCritical1.Value-stats.MandelK(1, 1, 0.01)) > 1e-12 || math.Abs(l.KCritical5.Value-stats.MandelK(1, 1, 0.05)) > 1e-12 {
		t.Errorf("of two: %+v", l)
	}
}

// The number of values that most cells have, the smaller of two as frequent.
func TestUsualSizeOfCells(t *testing.T) {
	for _, c := range []struct {
		sizes []int
		want  float64
	}{{[]int{1, 1, 1}, 0}, {[]int{3, 2, 3}, 2}, {[]int{3, 2}, 1}, {[]int{2, 3}, 1}, {[]int{1, 1, 4}, 3}, {[]int{2, 2, 3, 3, 4}, 1}, {[]int{4, 3, 3, 2, 2}, 1}, {[]int{5, 4, 4, 4, 5, 2}, 3}} {
		var cells []*cell
		for _, n := range c.sizes {
			cells = append(cells, &cell{values: make([]float64, n)})
		}
		if got := usualDOF(cells); got != c.want {
			t.Errorf("of %v: %g, want %g", c.sizes, got, c.want)
		}
	}
}

// A table of some of its people is that of their values alone.
func TestTableOfSome(t *testing.T) {
	values := torn(testkit.Rand(t, 53), 5, 4, 0.3)
	whole := tabulate(values)
	keep := []bool{true, false, true, false, true}
	part, index := whole.only(keep)
	var some []Value
	for _, v := range values {
		if i := slices.Index(whole.people, v.By); keep[i] {
			v.Value -= 0
			some = append(some, v)
		}
	}
	if !slices.Equal(index, []int{0, 2, 4}) || part.values != len(some) || !slices.Equal(part.people, []string{whole.people[0], whole.people[2], whole.people[4]}) {
		t.Fatalf("%v of %v, %d values", part.people, index, part.values)
	}
	for i, p := range index {
		for m := range whole.marks {
			a, b := whole.cell(p, m), part.cell(i, m)
			if (a == nil) != (b == nil) || a != nil && (b.by != i || b.mark != m || a.mean != b.mean || a.squares != b.squares) {
				t.Errorf("person %d, mark %d: %+v, want %+v", i, m, b, a)
			}
		}
	}
	squares, dof := part.squaresWithin()
	var want float64
	for _, c := range part.cells {
		want += c.squares
	}
	if squares != want || dof != float64(len(some)-len(part.cells)) {
		t.Errorf("within: %g with %g", squares, dof)
	}
}
