package qualify

import (
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// sound is a study that shows all that is asked: little bias, little scatter, no
// creep. Allowed is 0.1.
func sound() figures {
	f := figures{
		bias: 0.01, half90: 0.03, half95: 0.04, open: 0.01, hidden: 0.005, setups: 5, dof: 4,
		newer: 0.0009, trusted: 0.0009, newerDOF: 20, trustedDOF: 20,
		creep: Fitting{Change: 0.01, Half: 0.02, Trials: 5, Known: true},
	}
	f.factors()
	return f
}

var held = Options{AllowedBias: 0.1, Step: 0.01, AllowedRatio: 4}

// What a verdict turns at, one figure at a time: a little within its border, and a
// little beyond.
func TestBordersOfTheVerdict(t *testing.T) {
	const little = 1e-6
	f := sound()
	room := 0.1 - f.open - f.hidden
	for name, c := range map[string]struct {
		border    float64
		set       func(f *figures, x float64)
		reason    Reason
		rejects   bool
		downwards bool // beyond the border means below it
	}{
		"late not ruled out":  {border: room - f.half90, set: func(f *figures, x float64) { f.bias = x }, reason: LateNotRuled},
		"early not ruled out": {border: f.half90 - room, set: func(f *figures, x float64) { f.bias = x }, reason: EarlyNotRuled, downwards: true},
		"too late":            {border: 0.1 + f.half95 + f.open + f.hidden, set: func(f *figures, x float64) { f.bias = x }, reason: BiasBeyond, rejects: true},
		"too early":           {border: -0.1 - f.half95 - f.open - f.hidden, set: func(f *figures, x float64) { f.bias = x }, reason: BiasBeyond, rejects: true, downwards: true},
		"hidden by the step":  {border: 0.1 - f.open, set: func(f *figures, x float64) { f.hidden = x }, reason: StepHides},
		"scatters more":       {border: 4 * f.trusted / f.lower, set: func(f *figures, x float64) { f.newer = x }, reason: ScattersMore, rejects: true},
		"more than the step":  {border: 4 * 0.0001 / 24 / f.lower, set: func(f *figures, x float64) { f.trusted, f.newer = 0, x }, reason: ScattersMore, rejects: true},
		"scatter not shown":   {border: 4 * (f.trusted - 0.0001/24) / f.upper, set: func(f *figures, x float64) { f.newer = x }, reason: ScatterNotShown},
		"creep not ruled out": {border: 0.2 - 0.12, set: func(f *figures, x float64) { f.creep.Change, f.creep.Half = geometry.Angle(x), 0.12 }, reason: CreepNotRuled},
		"creep the other way": {border: -0.2 + 0.12, set: func(f *figures, x float64) { f.creep.Change, f.creep.Half = geometry.Angle(x), 0.12 }, reason: CreepNotRuled, downwards: true},
		"creeps":              {border: 0.1 + 0.02, set: func(f *figures, x float64) { f.creep.Change = geometry.Angle(x) }, reason: Creeps, rejects: true},
		"creeps other way":    {border: -0.1 - 0.02, set: func(f *figures, x float64) { f.creep.Change = geometry.Angle(x) }, reason: Creeps, rejects: true, downwards: true},
	} {
		t.Run(name, func(t *testing.T) {
			for _, beyond := range []bool{false, true} {
				f := sound()
				by := little
				if beyond == c.downwards {
					by = -little
				}
				c.set(&f, c.border+by)
				verdict, reasons := held.decide(f)
				if slices.Contains(reasons, c.reason) != beyond {
					t.Errorf("beyond %v: got %v and %v", beyond, verdict, reasons)
				}
				if beyond && (verdict == Rejected) != c.rejects {
					t.Errorf("got %v for %v", verdict, reasons)
				}
			}
		})
	}
}

// Which verdict the reasons come to.
func TestVerdictOfFigures(t *testing.T) {
	for name, c := range map[string]struct {
		edit    func(f *figures)
		verdict Verdict
		reasons []Reason
	}{
		"sound":              {func(*figures) {}, Qualified, []Reason{BiasExcluded}},
		"two setups":         {func(f *figures) { f.setups = 2 }, NotProven, []Reason{TooFewSetups}},
		"three setups":       {func(f *figures) { f.setups, f.dof = 3, 2 }, Qualified, []Reason{BiasExcluded}},
		"one degree":         {func(f *figures) { f.dof = 1 }, NotProven, []Reason{TooFewSetups}},
		"two setups, biased": {func(f *figures) { f.setups, f.bias = 2, 1 }, NotProven, []Reason{TooFewSetups, BiasBeyond, LateNotRuled}},
		"no scatter seen":    {func(f *figures) { f.newerDOF = 0 }, NotProven, []Reason{ScatterUnseen}},
		"none of the other":  {func(f *figures) { f.trustedDOF = 0 }, NotProven, []Reason{ScatterUnseen}},
		"one degree of it":   {func(f *figures) { f.newerDOF = 1; f.factors() }, NotProven, []Reason{ScatterNotShown}},
		"one of the other":   {func(f *figures) { f.trustedDOF = 1; f.factors() }, NotProven, []Reason{ScatterNotShown}},
		"all is hidden":      {func(f *figures) { f.hidden = 0.095 }, NotProven, []Reason{StepHides}},
		"all is open":        {func(f *figures) { f.open = 0.2 }, NotProven, []Reason{EarlyNotRuled, LateNotRuled}},
		"creep unknown":      {func(f *figures) { f.creep.Known = false }, NotProven, []Reason{CreepNotRuled}},
		"one trial a setup":  {func(f *figures) { f.creep = Fitting{Trials: 1} }, Qualified, []Reason{BiasExcluded}},
		"one degree, far":    {func(f *figures) { f.dof, f.bias = 1, 1 }, NotProven, []Reason{TooFewSetups, BiasBeyond, LateNotRuled}},
		"no doubt known":     {func(f *figures) { f.dof, f.bias = 0, 1 }, NotProven, []Reason{TooFewSetups, EarlyNotRuled, LateNotRuled}},
		"steady to the step": {func(f *figures) { f.newer, f.trusted = 0, 0 }, NotProven, []Reason{StepHidesScatter}},
	} {
		t.Run(name, func(t *testing.T) {
			f := sound()
			c.edit(&f)
			if verdict, reasons := held.decide(f); verdict != c.verdict || !slices.Equal(reasons, c.reasons) {
				t.Errorf("got %v and %v, want %v and %v", verdict, reasons, c.verdict, c.reasons)
			}
		})
	}
}

// Readings lie on graduations, so that borders are met exactly: what lies on one is
// within, but for a bias without any scatter, of which nothing says that it is.
func TestOnTheBorderItself(t *testing.T) {
	o := Options{AllowedBias: 0.5, Step: 0.01, AllowedRatio: 4}
	for name, c := range map[string]struct {
		edit    func(f *figures)
		verdict Verdict
		reasons []Reason
	}{
		"late":             {func(f *figures) { f.bias, f.half90 = 0.25, 0.25 }, Qualified, []Reason{BiasExcluded}},
		"early":            {func(f *figures) { f.bias, f.half90 = -0.25, 0.25 }, Qualified, []Reason{BiasExcluded}},
		"late, no scatter": {func(f *figures) { f.bias, f.half90, f.half95 = 0.5, 0, 0 }, NotProven, []Reason{LateNotRuled}},
		"late, interval":   {func(f *figures) { f.bias, f.half95 = 0.75, 0.25 }, NotProven, []Reason{LateNotRuled}},
		"early, interval":  {func(f *figures) { f.bias, f.half95 = -0.75, 0.25 }, NotProven, []Reason{EarlyNotRuled}},
		"hidden":           {func(f *figures) { f.hidden = 0.5 }, NotProven, []Reason{StepHides}},
		"open":             {func(f *figures) { f.open = 0.5 }, NotProven, []Reason{EarlyNotRuled, LateNotRuled}},
		"may creep":        {func(f *figures) { f.creep.Change, f.creep.Half = 0.5, 0.5 }, Qualified, []Reason{BiasExcluded}},
		"creeps":           {func(f *figures) { f.creep.Change, f.creep.Half = 0.75, 0.25 }, Qualified, []Reason{BiasExcluded}},
		"creeps far":       {func(f *figures) { f.creep.Change, f.creep.Half = 1, 0.5 }, NotProven, []Reason{CreepNotRuled}},
		"two degrees":      {func(f *figures) { f.dof = 2 - 1e-12 }, Qualified, []Reason{BiasExcluded}},
	} {
		t.Run(name, func(t *testing.T) {
			f := sound()
			f.bias, f.open, f.hidden = 0, 0, 0
			c.edit(&f)
			if verdict, reasons := o.decide(f); verdict != c.verdict || !slices.Equal(reasons, c.reasons) {
				t.Errorf("got %v and %v, want %v and %v", verdict, reasons, c.verdict, c.reasons)
			}
		})
	}
}

// A middle of two contacts, each rounded to q, scatters by q²/24 from that alone: two
// uniform errors of q²/12 each, halved. Of a step of 1: from 1/6 on the trusted stop has
// enough of its own, 1/6 - 1/24 = 1/8, and the new one at least 1/24.
func TestRatioBesideTheStep(t *testing.T) {
	o := Options{Step: 1}
	for _, c := range []struct {
		newer, trusted, want float64
		known                bool
	}{
		{0.25, 1.0 / 6, 2 * 3, true},
		{0.25, 1.0/6 - 1e-6, 0, false},
		{0, 1.0 / 6, 3.0 / 3, true},
		{0.25, 25.0 / 24, 0.25 * 3, true},
	} {
		if got, known := o.upperRatio(c.newer, c.trusted, 3); known != c.known || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%g to %g: %g, %v, want %g, %v", c.newer, c.trusted, got, known, c.want, c.known)
		}
	}
	// As readings: middles ±0.25 about each other's mean have s 0.353553, the scatter of a
	// step of √24 times that.
	step := geometry.Angle(math.Sqrt(24 * 0.125))
	for name, c := range map[string]struct {
		step           geometry.Angle
		ref, other     float64 // half the distance of the two middles of a setup
		coarse, floors bool
		value          float64 // 0: no ratio
	}{
		"just the step's":     {step, 0.25, 0.25, false, false, 1},
		"a little more of it": {step + 1e-6, 0.25, 0.25, true, true, 1},
		"the new one less":    {step, 0.25, 0.125, true, false, 0.25},
		"the trusted one":     {step, 0.125, 0.25, true, true, 1},
		"none":                {step, 0, 0, true, false, 0},
		"none of one":         {step, 0, 0.25, true, true, 1},
		"none of the new one": {step, 0.25, 0, true, false, 0},
	} {
		r := ran(t, made(
			pair{ReferenceTool, "1", 100 - c.ref, 20}, pair{ReferenceTool, "1", 100 + c.ref, 20},
			pair{NewTool, "1", 100 - c.other, 20}, pair{NewTool, "1", 100 + c.other, 20},
		), Options{AllowedBias: 1, Step: c.step})
		if (len(warned(r, StepCoarser)) == 1) != c.coarse || (len(warned(r, ReferenceNoNoise)) == 1) != c.floors || r.Ratio.Floored != c.floors ||
			r.Ratio.Known != (c.value > 0) || math.Abs(r.Ratio.Value-c.value) > 1e-5 {
			t.Errorf("%s: %+v, %+v", name, r.Ratio, r.Warnings)
		}
		for _, w := range warned(r, StepCoarser) {
			if w.Values[0] != c.step.Degrees() {
				t.Errorf("%s: a step of %v", name, w.Values)
			}
		}
		if w := warned(r, ReferenceNoNoise); len(w) > 0 && math.Abs(w[0].Values[0]-c.step.Degrees()/math.Sqrt(24)) > 1e-12 {
			t.Errorf("%s: in its place %v", name, w[0].Values)
		}
	}
	for i := range 2 { // two pairs of one, one of the other
		pairs := []pair{{Tool(i), "1", 99.75, 20}, {Tool(i), "1", 100.25, 20}, {Tool(1 - i), "1", 100, 20}}
		if r := ran(t, made(pairs...), Options{AllowedBias: 1, Step: step + 1, Tolerance: 1}); r.Ratio != (Ratio{}) || len(warned(r, StepCoarser)) > 0 {
			t.Errorf("scatter of %v alone: %+v, %+v", Tool(i), r.Ratio, r.Warnings)
		}
	}
	if r := ran(t, made(pair{NewTool, "1", 100, 20}, pair{NewTool, "1", 100, 20}), Options{AllowedBias: 1, Step: 1, Tolerance: 1}); r.Cg != nil {
		t.Errorf("without scatter: Cg %v", *r.Cg)
	}
}

// New after reference by one trial, and the other way, leave nothing between them; half
// a trial is what turns leave at most.
func TestBalanceOfTheOrder(t *testing.T) {
	refNew := func(setup string, start Tool) []pair {
		return []pair{{start, setup, 100, 20}, {1 - start, setup, 100, 20}}
	}
	level := func(setup string) []pair {
		return []pair{{ReferenceTool, setup, 100, 20}, {NewTool, setup, 100, 20}, {NewTool, setup, 100, 20}, {ReferenceTool, setup, 100, 20}}
	}
	for name, c := range map[string]struct {
		setups [][]pair
		after  float64 // 0: nothing is said
	}{
		"by turns":    {[][]pair{refNew("1", ReferenceTool), refNew("2", NewTool)}, 0},
		"half":        {[][]pair{refNew("1", ReferenceTool), level("2")}, 0},
		"two of them": {[][]pair{refNew("1", ReferenceTool), level("2"), refNew("3", ReferenceTool)}, 2.0 / 3},
		"new first":   {[][]pair{refNew("1", NewTool), level("2"), refNew("3", NewTool)}, -2.0 / 3},
	} {
		r := ran(t, made(slices.Concat(c.setups...)...), Options{AllowedBias: 1, Step: 0.01})
		found := warned(r, Unbalanced)
		if (len(found) == 1) != (c.after != 0) || len(found) == 1 && math.Abs(found[0].Values[0]-c.after) > 1e-12 {
			t.Errorf("%s: %+v, want %g", name, found, c.after)
		}
	}
	// A readout that gains 0.01 a trial: the new stop, two trials later on average, seems
	// late by 0.02, whichever way it counts.
	for _, counts := range []geometry.Angle{1, -1} {
		s := made(pair{ReferenceTool, "1", 100, 20}, pair{ReferenceTool, "1", 100.01, 20}, pair{NewTool, "1", 100.02, 20}, pair{NewTool, "1", 100.03, 20})
		for i := range s.Trials {
			s.Trials[i].Forward.Value *= counts
			s.Trials[i].Backward.Value *= counts
		}
		r := ran(t, s, Options{AllowedBias: 1, Step: 0.001})
		found := warned(r, Drift)
		if math.Abs(r.Drift.Slope.Degrees()-0.01) > 1e-9 || math.Abs(r.DriftInBias.Degrees()-0.02) > 1e-9 || len(found) != 1 || math.Abs(found[0].Values[0]-0.01) > 1e-9 || math.Abs(found[0].Values[1]-0.02) > 1e-9 {
			t.Errorf("drift %+v, in the bias %v, told %+v", r.Drift, r.DriftInBias, found)
		}
	}
}

// The trusted stop's creep is told where a pair that catches all of it is off by more
// than allowed: by half of three steps.
func TestCreepOfTheTrustedStop(t *testing.T) {
	for slope, told := range map[float64]bool{0.1: true, 0.06: false, -0.1: true} {
		var pairs []pair
		for i := range 4 {
			pairs = append(pairs, pair{ReferenceTool, "1", 100, 20 + slope*float64(i)}, pair{NewTool, "1", 100, 20})
		}
		found := warned(ran(t, made(pairs...), fine), ReferenceCreeps)
		if (len(found) == 1) != told || told && math.Abs(found[0].Values[0]-slope) > 1e-9 {
			t.Errorf("%g a trial: %+v", slope, found)
		}
	}
}

// A stop as early as another is late is judged as that one.
func TestVerdictIsAlikeBothWays(t *testing.T) {
	swapped := map[Reason]Reason{EarlyNotRuled: LateNotRuled, LateNotRuled: EarlyNotRuled}
	for bias := 0.005; bias < 0.3; bias += 0.01 {
		late, early := sound(), sound()
		late.bias, early.bias = bias, -bias
		one, reasons := held.decide(late)
		other, mirrored := held.decide(early)
		for i, r := range mirrored {
			if s, ok := swapped[r]; ok {
				mirrored[i] = s
			}
		}
		if one != other || !slices.Equal(reasons, mirrored) {
			t.Errorf("%v late: %v %v; early: %v %v", bias, one, reasons, other, mirrored)
		}
	}
}

// Half arcs that never change have a slope of none, and nothing speaks for another.
func TestLevelTrend(t *testing.T) {
	got := trend([][]float64{{0, 1, 2}}, [][]float64{{20, 20, 20}})
	if got != (Trend{DOF: 1, P: 1}) || got.Significant() || !got.Known() {
		t.Errorf("got %+v", got)
	}
	if got := trend([][]float64{{0, 1}}, [][]float64{{20, 21}}); got != (Trend{}) || got.Significant() {
		t.Errorf("of two trials: %+v", got)
	}
	for p, want := range map[float64]bool{0.049: true, 0.051: false} {
		if (Trend{DOF: 1, P: p}).Significant() != want {
			t.Errorf("at %g", p)
		}
	}
}

// From the first of n trials to the last there are n-1 steps of a trend.
func TestTrendOverAFitting(t *testing.T) {
	trend := Trend{Slope: -0.02, Half: 0.01, DOF: 7, P: 0.5}
	for n, want := range map[int]Fitting{
		0: {}, 1: {Trials: 1}, 2: {Change: -0.02, Half: 0.01, Trials: 2, Known: true}, 5: {Change: -0.08, Half: 0.04, Trials: 5, Known: true},
	} {
		got := trend.over(n)
		if (got.Change-want.Change).Abs() > 1e-12 || (got.Half-want.Half).Abs() > 1e-12 || got.Trials != want.Trials || got.Known != want.Known {
			t.Errorf("%d trials: %+v, want %+v", n, got, want)
		}
	}
}
