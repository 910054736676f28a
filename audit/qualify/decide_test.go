package qualify

import (
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
		"all is hidden":      {func(f *figures) { f.hidden = 0.095 }, NotProven, []Reason{StepHides}},
		"all is open":        {func(f *figures) { f.open = 0.2 }, NotProven, []Reason{EarlyNotRuled, LateNotRuled}},
		"creep unknown":      {func(f *figures) { f.creep.Known = false }, NotProven, []Reason{CreepNotRuled}},
		"one trial a setup":  {func(f *figures) { f.creep = Fitting{Trials: 1} }, Qualified, []Reason{BiasExcluded}},
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
