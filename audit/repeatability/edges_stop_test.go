package repeatability

import (
	"math"
	"slices"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// Steps that a hand may read by: multiples of the readout's, up to whole degrees, that a
// degree is a multiple of.
func TestCoarserSteps(t *testing.T) {
	for step, want := range map[geometry.Angle][]float64{
		0: nil, -1: nil, 0.05: {0.1, 0.2, 0.25, 0.5, 1}, 0.1: {0.2, 0.5, 1}, 0.25: {0.5, 1}, 0.3: nil, 0.5: {1}, 1: nil, 0.2: {1}, 1.0 / 6: {1.0 / 3, 0.5, 1},
	} {
		var got []float64
		for _, x := range coarser(step) {
			got = append(got, x.Degrees())
		}
		if len(got) != len(want) || !slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("of %v: %v, want %v", step, got, want)
		}
	}
}

// Everybody reads a coarser step where all setups of at least two people do, by five
// readings or more.
func TestStepOnTheSheet(t *testing.T) {
	set := func(at ...geometry.Angle) []Setup { return []Setup{{Places: at}} }
	whole, half, quarter, few := set(1, 2, 3, 4, 5), set(0.5, 1, 2, 3, 4), set(0.25, 1, 2, 3, 4), set(0.25, 1, 2, 3)
	for name, c := range map[string]struct {
		all  [][]Setup
		step geometry.Angle
		want bool
	}{
		"all whole":        {[][]Setup{whole, whole}, 0.25, true},
		"all half":         {[][]Setup{half, half}, 0.25, true},
		"half and whole":   {[][]Setup{half, whole}, 0.25, true},
		"one by the step":  {[][]Setup{whole, quarter}, 0.25, false},
		"one person":       {[][]Setup{whole}, 0.25, false},
		"one reads little": {[][]Setup{whole, few}, 0.25, false},
		"two and a little": {[][]Setup{whole, few, half}, 0.25, true},
		"no coarser step":  {[][]Setup{whole, whole}, 1, false},
		"the same twice":   {[][]Setup{slices.Concat(whole, whole)}, 0.25, false},
		"second by it":     {[][]Setup{slices.Concat(whole, quarter), whole}, 0.25, false},
	} {
		if got := allWhole(c.step, c.all); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	s := Setup{Places: []geometry.Angle{10.2, 11.2, 15.2}}
	if s.multiple(1, false) || !s.multiple(1, true) || s.multiple(2, true) || !s.multiple(0.2, false) {
		t.Error("multiples of what the first shows are even, not multiples")
	}
	// Of one whole setup in four, one of whom has too few readings to tell: 2 people, 1
	// step, one even of 3: 2 · 1/3 · 1/2.
	r := Result{Data: Data{Step: 0.5}}
	all := [][]Setup{whole, {{Places: []geometry.Angle{1, 2.5, 3, 4, 5}}, {Places: []geometry.Angle{1, 2.5, 3, 4, 5}}}, {{Places: []geometry.Angle{1, 2, 3, 4}}}}
	if d := digitsOf(&r, whole, all); math.Abs(d.Chance.Value-1.0/3) > 1e-12 || d.Whole != 1 || d.Setups != 1 || d.Readings != 5 || d.Nothing != DigitsTested {
		t.Errorf("one of three: %+v", d)
	}
	if d := digitsOf(&r, all[2], all); d.Nothing != NoReadings || d.Setups != 0 || d.Chance.Known {
		t.Errorf("four readings: %+v", d)
	}
	if d := digitsOf(&Result{Data: Data{Step: 1}}, whole, all); d.Nothing != NoReadings || d.Setups != 1 {
		t.Errorf("no coarser step: %+v", d)
	}
	// Half degrees of a step of a quarter, even among three: 2 steps, 2 people, 1/3 · 1/2.
	r = Result{Data: Data{Step: 0.25}}
	if d := digitsOf(&r, half, [][]Setup{half, slices.Concat(quarter, quarter)}); math.Abs(d.Chance.Value-4.0/6) > 1e-12 || d.Whole != 0.5 {
		t.Errorf("half degrees: %+v", d)
	}
}

func digitsOf(r *Result, own []Setup, all [][]Setup) Digits { return whole(r, "a", own, all) }

// What a slip of the pen makes of a value, undone: the nearest to what was expected,
// within three times the scatter and a third of the difference.
func TestSlipsThatExplain(t *testing.T) {
	for _, c := range []struct {
		value, expected, scale, fits float64
		ok                           bool
	}{
		{-0.5, 0.5, 0.01, 0.5, true},
		{5, 0.5, 0.01, 0.5, true},
		{0.05, 0.5, 0.01, 0.5, true},
		{50, 0.5, 0.01, 0.5, true},
		{1.5, 0.5, 0.01, 0.5, true},
		{-0.52, 0.49, 0.01, 0.48, true},
		{10.5, 0.5, 0.01, 0.5, true},
		{-9.5, 0.5, 0.01, 0.5, true},
		{1.5, 0.529, 0.01, 0.5, true},
		{1.5, 0.531, 0.01, 0, false},
		{2.5, 0.5, 0.01, 0, false},
		{1.5, 0.8, 1, 0.5, false}, // of 0.7 the slip takes away less than two thirds
		{1.5, 0.7, 1, 0.5, true},
	} {
		fits, ok := explained(c.value, c.expected, c.scale)
		if c.value == 1.5 && c.expected == 0.8 { // -1.5, 0.15, 15, 0.015, 0.5, 2.5 lie farther than 0.2333
			c.ok = false
		}
		if c.value == 1.5 && c.expected == 0.7 { // 0.5 lies 0.2 away, a third of 0.8 is 0.2667
			c.ok = true
		}
		if ok != c.ok || ok && math.Abs(fits-c.fits) > 1e-9 {
			t.Errorf("%g for %g: %g, %v, want %g, %v", c.value, c.expected, fits, ok, c.fits, c.ok)
		}
	}
}

// Habits of approach by hand: Ana finds marks later forward by 0.2, 0.4, Bo and Cy by 0
// and 0.1; pooled s² is (0.02 + 0.005 + 0.005)/3 = 0.01.
func TestSidesByHand(t *testing.T) {
	var values []Value
	for _, by := range []string{"Ana", "Bo", "Cy", "Dot"} {
		values = append(values, read(by, "m", 0, 0.1)...)
	}
	d := Data{Values: values, Step: 0.01, Setups: []Setup{
		{By: "Ana", Sides: []geometry.Angle{0.2, 0.4}},
		{By: "Bo", Sides: []geometry.Angle{0, 0.1}},
		{By: "Cy", Sides: []geometry.Angle{0.1}},
		{By: "Cy", Sides: []geometry.Angle{0}},
		{By: "who", Sides: []geometry.Angle{9, 9}},
	}}
	r := Analyse(d, PoolAuto)
	// t of 3 at 2.5 %: 3.182446 (printed tables); 0.1/√2 for a mean of two.
	half := 3.182446305 * 0.1 / math.Sqrt2
	for i, want := range []float64{0.3, 0.05, 0.05} {
		p := r.People[i]
		if p.SideN != 2 || math.Abs(p.Sides.Value-want) > 1e-9 || math.Abs(p.Sides.Low-want+half) > 1e-8 || math.Abs(p.Sides.High-want-half) > 1e-8 {
			t.Errorf("%s: %+v of %d, want %g ± %g", p.By, p.Sides, p.SideN, want, half)
		}
	}
	if p := r.People[3]; p.Sides.Known || p.SideN != 0 {
		t.Errorf("who never came from both sides: %+v", p)
	}
	// Against the middle one of the others, three people: t at 5/3 % of two sides.
	of := func(ana geometry.Angle, step geometry.Angle) *Flag {
		d.Setups[0].Sides = []geometry.Angle{ana - 0.1, ana + 0.1}
		d.Step = step
		r := Analyse(d, PoolAuto)
		if i := slices.IndexFunc(r.Flags, func(f Flag) bool { return f.Code == SidesDiffer && f.By == "Ana" }); i >= 0 {
			return &r.Flags[i]
		}
		return nil
	}
	critical := -stats.TQuantile(0.05/3/2, 3)
	border := 0.05 + geometry.Angle(critical*0.1) // √(1/2 + 1/2) is one
	if of(border-1e-6, 0.01) != nil {
		t.Error("a little below its border it is a habit")
	}
	if f := of(border+1e-6, 0.01); f == nil || math.Abs(f.Statistic.Value-critical) > 1e-4 || math.Abs(f.Critical.Value-critical) > 1e-9 || math.Abs(f.Values[0]-border.Degrees()) > 1e-5 || math.Abs(f.Values[1]-0.05) > 1e-9 {
		t.Errorf("a little above: %+v", f)
	}
	// And by more than half a step.
	differ := border.Degrees() - 0.05
	if of(border+1e-3, geometry.Angle(2*differ+0.01)) != nil || of(border+1e-3, geometry.Angle(2*differ)) == nil {
		t.Error("half a step is what rounding makes")
	}
	// Once from each side: how far, and no more.
	d.Setups = []Setup{{By: "Ana", Sides: []geometry.Angle{0.3}}, {By: "Bo", Sides: []geometry.Angle{0}}}
	if p := Analyse(d, PoolAuto).People[0]; p.Sides.Value != 0.3 || p.Sides.Bounded || p.SideN != 1 {
		t.Errorf("once: %+v", p.Sides)
	}
	// One person alone is compared with nobody.
	d.Setups = []Setup{{By: "Ana", Sides: []geometry.Angle{5, 5.1, 5.2}}}
	if r := Analyse(d, PoolAuto); !r.People[0].Sides.Bounded || slices.ContainsFunc(r.Flags, func(f Flag) bool { return f.Code == SidesDiffer }) {
		t.Errorf("alone: %+v, %+v", r.People[0].Sides, r.Flags)
	}
}

// How steadily a stop was met, by hand: half arcs of each setup about their own mean.
func TestStopsByHand(t *testing.T) {
	stop := func(by string, half ...geometry.Angle) Setup {
		s := Setup{By: by, Stop: true, HalfArcs: half}
		for i := range half {
			s.Middles = append(s.Middles, geometry.Angle(i%2)*0.1)
		}
		return s
	}
	values := slices.Concat(read("Ana", "m", 0, 0.1), read("Bo", "m", 0, 0.1), read("Cy", "m", 0, 0.1))
	of := func(spread geometry.Angle, step geometry.Angle) Result {
		return Analyse(Data{Values: values, Step: step, Setups: []Setup{
			stop("Ana", 20+spread, 20-spread, 20-spread, 20+spread), stop("Ana", 30, 30, 30, 30),
			stop("Bo", 20.1, 19.9, 19.9, 20.1),
			{By: "Bo", HalfArcs: []geometry.Angle{1, 9, 2, 8}},
			stop("Cy", 25.1, 24.9, 24.9, 25.1),
		}}, PoolAuto)
	}
	r := of(0.1, 0.01)
	p := r.People[0].Stop // squares 0.04 with 6 degrees of freedom
	if p.DOF != 6 || math.Abs(p.HalfArcSD.Value-math.Sqrt(0.04/6)) > 1e-9 || math.Abs(p.MiddleSD.Value-math.Sqrt(0.02/6)) > 1e-9 {
		t.Errorf("Ana: %+v", p)
	}
	// F of her variance against the others', squares 0.08 with 6.
	if math.Abs(p.Ratio.Value-0.5) > 1e-9 || math.Abs(p.Critical.Value-stats.FQuantile(0.05/3, 6, 6)) > 1e-9 {
		t.Errorf("Ana: ratio %+v, %+v", p.Ratio, p.Critical)
	}
	if b := r.People[1].Stop; b.DOF != 3 || math.Abs(b.Ratio.Value-(0.04/3)/(0.08/9)) > 1e-9 {
		t.Errorf("Bo, of whom one setup found TDC without a stop: %+v", b)
	}
	wanders := func(r Result) *Flag {
		if i := slices.IndexFunc(r.Flags, func(f Flag) bool { return f.Code == StopWanders }); i >= 0 {
			return &r.Flags[i]
		}
		return nil
	}
	// 4 x²/6 over 0.08/6 is the critical value at x = √(0.02 F).
	x := geometry.Angle(math.Sqrt(0.02 * stats.FQuantile(0.05/3, 6, 6)))
	if wanders(of(x-1e-6, 0.01)) != nil {
		t.Error("a little below its border it wanders")
	}
	if f := wanders(of(x+1e-6, 0.01)); f == nil || f.By != "Ana" || math.Abs(f.Values[0]-math.Sqrt(4*x.Degrees()*x.Degrees()/6)) > 1e-5 || math.Abs(f.Values[1]-math.Sqrt(0.08/6)) > 1e-9 {
		t.Errorf("a little above: %+v", f)
	}
	// Rounding of a step q has q²/3 at most: nothing is compared below that.
	sd := math.Sqrt(0.04 / 6)
	for step, compared := range map[float64]bool{sd*math.Sqrt(3) + 1e-6: false, sd*math.Sqrt(3) - 1e-6: true} {
		if p := of(0.1, geometry.Angle(step)).People[0].Stop; p.Ratio.Known != compared {
			t.Errorf("at a step of %g: %+v", step, p.Ratio)
		}
	}
	// A stop that creeps is told as that, not as one that wanders.
	creeps := Analyse(Data{Values: values, Step: 0.01, Setups: []Setup{stop("Ana", 20, 20.5, 21.02, 21.5, 22), stop("Bo", 20.01, 20, 20, 20.01), stop("Cy", 20.01, 20, 20, 20.01)}}, PoolAuto)
	i := slices.IndexFunc(creeps.Flags, func(f Flag) bool { return f.Code == StopCreeps })
	if i < 0 || creeps.Flags[i].By != "Ana" || math.Abs(creeps.Flags[i].Values[0]-4*0.5) > 0.02 || wanders(creeps) != nil || math.Abs(creeps.Flags[i].Critical.Value-0.05/3) > 1e-12 {
		t.Errorf("creeps: %+v", creeps.Flags)
	}
	// Alone, and where nobody else scatters, there is nothing to hold it against.
	alone := Analyse(Data{Values: values, Setups: []Setup{stop("Ana", 20.1, 19.9, 19.9, 20.1)}}, PoolAuto).People[0].Stop
	steady := Analyse(Data{Values: values, Setups: []Setup{stop("Ana", 20.1, 19.9, 19.9, 20.1), stop("Bo", 20, 20, 20)}}, PoolAuto).People[0].Stop
	if alone.Ratio.Known || alone.DOF != 3 || steady.Ratio.Known {
		t.Errorf("alone: %+v, beside a steady one: %+v", alone, steady)
	}
}
