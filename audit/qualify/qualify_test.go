package qualify_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/qualify"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// bench is the tests' own study of two stops. Contacts lie half an arc to either
// side of where the stop puts TDC; no formula of the package is used.
type bench struct {
	rng            *rand.Rand
	counts         float64
	bias           float64 // new later
	fitting        float64 // sd of what fitting a tool anew does to the difference
	sdRef, sdNew   float64 // of a middle
	creep          float64 // of the new half arc, a trial
	drift          float64 // of the readout, a row
	setups, trials int
	order          []qualify.Tool
	step           float64
	halfNew        float64
}

func newBench(rng *rand.Rand) bench {
	return bench{
		rng: rng, counts: 1, fitting: 0.02, sdRef: 0.03, sdNew: 0.03, setups: 5, trials: 4, step: 0.001, halfNew: 22.7,
		order: []qualify.Tool{qualify.ReferenceTool, qualify.NewTool, qualify.NewTool, qualify.ReferenceTool},
	}
}

func (b bench) study() (s qualify.Study) {
	for k := range b.setups {
		zero, fit := 360*b.rng.Float64(), b.fitting*b.rng.NormFloat64()
		n := map[qualify.Tool]int{}
		row := 0
		for n[qualify.ReferenceTool] < b.trials || n[qualify.NewTool] < b.trials {
			for _, tool := range b.order {
				if n[tool] >= b.trials {
					continue
				}
				n[tool]++
				middle, half, sd := b.drift*float64(row), 22.1, b.sdRef
				if tool == qualify.NewTool {
					middle, half, sd = middle+b.bias+fit, b.halfNew+b.creep*float64(n[tool]), b.sdNew
				}
				row++
				contact := func(side float64, approach sheet.Approach) *sheet.Reading {
					r := zero + b.counts*(middle+side*half+sd*math.Sqrt2*b.rng.NormFloat64())
					return &sheet.Reading{Value: geometry.Angle(math.Round(r/b.step) * b.step), Approach: approach}
				}
				s.Trials = append(s.Trials, qualify.Trial{
					Tool: tool, Setup: fmt.Sprint(k + 1), Name: fmt.Sprint(n[tool]),
					Trial: sheet.Trial{Forward: contact(-1, sheet.Forward), Backward: contact(1, sheet.Backward)},
				})
			}
		}
	}
	return s
}

func options() qualify.Options {
	return qualify.Options{AllowedBias: 0.1, Tolerance: 0.5, Step: 0.001}
}

func run(t *testing.T, b bench, o qualify.Options) qualify.Result {
	t.Helper()
	r, err := qualify.Run(b.study(), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A stop whose bias is the allowed one is qualified in at most one study of
// twenty, on either side (two one-sided tests: D. J. Schuirmann, J. Pharmacokin.
// Biopharm. 15 (1987) 657), and its interval holds the truth.
func TestStopAtTheBorder(t *testing.T) {
	n, errors := 200, 4.0
	if long {
		n, errors = 2000, 3.5
	}
	slack := errors * math.Sqrt(0.05*0.95/float64(n))
	for _, bias := range []float64{-0.1, 0.1} {
		for _, setups := range []int{3, 6} {
			rng := testkit.Rand(t, uint64(setups))
			qualified, held := 0, 0
			for range n {
				b := newBench(rng)
				b.bias, b.setups = bias, setups
				r := run(t, b, options())
				if r.Verdict == qualify.Qualified {
					qualified++
				}
				if r.Bias.Low.Degrees() <= bias && bias <= r.Bias.High.Degrees() {
					held++
				}
			}
			if rate := float64(qualified) / float64(n); rate > 0.05+slack {
				t.Errorf("bias %v, %d setups: qualified in %.3f", bias, setups, rate)
			}
			if rate := float64(held) / float64(n); math.Abs(rate-0.95) > slack {
				t.Errorf("bias %v, %d setups: the interval holds it in %.3f", bias, setups, rate)
			}
		}
	}
}

// The verdicts that the method promises for clear cases.
func TestVerdicts(t *testing.T) {
	for name, c := range map[string]struct {
		tweak   func(b *bench)
		verdict qualify.Verdict
		reason  qualify.Reason
	}{
		"a good stop":                       {func(b *bench) { b.setups = 8; b.fitting = 0.01 }, qualify.Qualified, qualify.BiasExcluded},
		"repeats beautifully, but is late":  {func(b *bench) { b.bias, b.sdNew = 0.4, 0.002 }, qualify.Rejected, qualify.BiasBeyond},
		"repeats beautifully, but is early": {func(b *bench) { b.bias, b.sdNew = -0.4, 0.002 }, qualify.Rejected, qualify.BiasBeyond},
		"scatters far more":                 {func(b *bench) { b.sdNew = 0.3; b.trials = 8 }, qualify.Rejected, qualify.ScattersMore},
		"a lock that gives":                 {func(b *bench) { b.creep = 0.1 }, qualify.Rejected, qualify.Creeps},
		"two trials":                        {func(b *bench) { b.setups, b.trials = 1, 2 }, qualify.NotProven, qualify.TooFewSetups},
		"two setups":                        {func(b *bench) { b.setups = 2 }, qualify.NotProven, qualify.TooFewSetups},
		"near the border":                   {func(b *bench) { b.bias, b.setups = 0.1, 3 }, qualify.NotProven, qualify.LateNotRuled},
	} {
		b := newBench(rand.New(rand.NewPCG(7, 12)))
		c.tweak(&b)
		r := run(t, b, options())
		found := false
		for _, reason := range r.Reasons {
			found = found || reason == c.reason
		}
		if r.Verdict != c.verdict || !found {
			t.Errorf("%s: %v, %v; want %v, %v", name, r.Verdict, r.Reasons, c.verdict, c.reason)
		}
	}
}

// A faultless pair of stops is not accused of drift, creep or scatter more often
// than the tests' level.
func TestFaultlessStopsAreSeldomAccused(t *testing.T) {
	n, errors := 100, 4.0
	if long {
		n, errors = 1000, 3.5
	}
	rng := testkit.Rand(t, 11)
	creep, drift, scatter := 0, 0, 0
	for range n {
		r := run(t, newBench(rng), options())
		if r.Creep.Significant() {
			creep++
		}
		if r.Drift.Significant() {
			drift++
		}
		if r.Ratio.Low > 1 {
			scatter++
		}
	}
	slack := errors * math.Sqrt(0.05*0.95/float64(n))
	for name, k := range map[string]int{"creep": creep, "drift": drift} {
		if rate := float64(k) / float64(n); math.Abs(rate-0.05) > slack {
			t.Errorf("%s is claimed in %.3f", name, rate)
		}
	}
	if rate := float64(scatter) / float64(n); math.Abs(rate-0.025) > slack {
		t.Errorf("more scatter is claimed in %.3f", rate)
	}
}

// A drift of the readout is found, and where the order is balanced it leaves the
// bias alone.
func TestDriftOfTheReadout(t *testing.T) {
	b := newBench(rand.New(rand.NewPCG(3, 4)))
	b.drift, b.sdRef, b.sdNew, b.fitting = 0.05, 0.001, 0.001, 0.0005
	r := run(t, b, options())
	if !r.Drift.Significant() || math.Abs(r.Drift.Slope.Degrees()-0.05) > 0.002 || r.Bias.Value.Abs() > 0.005 {
		t.Errorf("drift %v, bias %v: want 0.05 and none", r.Drift.Slope, r.Bias.Value)
	}
	b.order = []qualify.Tool{qualify.ReferenceTool, qualify.ReferenceTool, qualify.ReferenceTool, qualify.ReferenceTool, qualify.NewTool}
	b.rng = rand.New(rand.NewPCG(3, 4))
	r = run(t, b, options())
	unbalanced := false
	for _, w := range r.Warnings {
		unbalanced = unbalanced || w.Code == qualify.Unbalanced
	}
	if !unbalanced {
		t.Error("all of one tool before the other is not doubted")
	}
}

// Mirrored counting, a constant on a setup and another order of setups change
// nothing; each setup has its own zero.
func TestStudyInvariances(t *testing.T) {
	b := newBench(rand.New(rand.NewPCG(5, 6)))
	b.bias = 0.04
	study := b.study()
	base, err := qualify.Run(study, options())
	if err != nil {
		t.Fatal(err)
	}
	same := func(name string, s qualify.Study) {
		r, err := qualify.Run(s, options())
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if (r.Bias.Value-base.Bias.Value).Abs() > 1e-9 || (r.Bias.High-base.Bias.High).Abs() > 1e-8 || math.Abs(r.Ratio.Value-base.Ratio.Value) > 1e-6 || r.Verdict != base.Verdict {
			t.Errorf("%s: bias %v, ratio %v, %v; want %v, %v, %v", name, r.Bias.Value, r.Ratio.Value, r.Verdict, base.Bias.Value, base.Ratio.Value, base.Verdict)
		}
	}
	changed := func(of func(setup string, r *sheet.Reading) geometry.Angle) qualify.Study {
		var out qualify.Study
		for _, trial := range study.Trials {
			for _, side := range []**sheet.Reading{&trial.Forward, &trial.Backward} {
				r := **side
				r.Value = of(trial.Setup, &r)
				*side = &r
			}
			out.Trials = append(out.Trials, trial)
		}
		return out
	}
	same("mirrored", changed(func(_ string, r *sheet.Reading) geometry.Angle { return -r.Value }))
	same("a constant on a setup", changed(func(setup string, r *sheet.Reading) geometry.Angle {
		if setup == "2" {
			return r.Value + 123.4
		}
		return r.Value
	}))
	same("whole turns", changed(func(setup string, r *sheet.Reading) geometry.Angle { return r.Value + 720 }))
	var late, early qualify.Study
	for _, trial := range study.Trials {
		if trial.Setup > "2" {
			early.Trials = append(early.Trials, trial)
		} else {
			late.Trials = append(late.Trials, trial)
		}
	}
	same("setups in another order", qualify.Study{Trials: append(early.Trials, late.Trials...)})
}

// Unpaired setups work, with Welch; both contacts the wrong way round are refused.
func TestUnpairedAndRefused(t *testing.T) {
	b := newBench(rand.New(rand.NewPCG(9, 9)))
	b.fitting, b.bias = 0.01, 0.05
	var study qualify.Study
	zero := geometry.Angle(0)
	for _, trial := range b.study().Trials { // one zero for all, one tool a setup
		n := int(trial.Setup[0]-'0') % 2
		if (trial.Tool == qualify.NewTool) == (n == 0) {
			middle := trial.Forward.Value + 22.1
			if trial.Tool == qualify.NewTool {
				middle = trial.Forward.Value + geometry.Angle(b.halfNew)
			}
			f, back := *trial.Forward, *trial.Backward
			shift := zero - middle
			f.Value, back.Value = f.Value+shift+geometry.Angle(0.01*float64(len(study.Trials)%3)), back.Value+shift
			trial.Forward, trial.Backward = &f, &back
			study.Trials = append(study.Trials, trial)
		}
	}
	r, err := qualify.Run(study, options())
	if err != nil {
		t.Fatal(err)
	}
	if r.Paired || r.Bias == nil || !r.Bias.Known {
		t.Errorf("unpaired: %+v", r.Bias)
	}
	bad := b.study()
	bad.Trials[0].Forward, bad.Trials[0].Backward = bad.Trials[0].Backward, bad.Trials[0].Forward
	if _, err := qualify.Run(bad, options()); err == nil || !strings.Contains(err.Error(), "expected at most 180") {
		t.Errorf("swapped contacts: %v", err)
	}
}

// Two stops at different depths on an engine with a bore offset differ by the
// difference of their corrections; with the geometry that is taken out. r 45,
// l 144, d 12: β(15) = 0.039088, β(30) = 0.156874 (docs/method.md, check values).
func TestOffsetIsCorrected(t *testing.T) {
	b := newBench(rand.New(rand.NewPCG(2, 2)))
	b.sdRef, b.sdNew, b.fitting, b.step = 1e-6, 1e-6, 1e-6, 1e-9
	study := b.study()
	for i := range study.Trials {
		trial := &study.Trials[i]
		middle, half, beta := (trial.Forward.Value+trial.Backward.Value)/2, geometry.Angle(15), geometry.Angle(0.039088)
		if trial.Tool == qualify.NewTool {
			half, beta = 30, 0.156874
		}
		trial.Forward.Value, trial.Backward.Value = middle+beta-half, middle+beta+half
	}
	o := options()
	raw, err := qualify.Run(study, o)
	if err != nil {
		t.Fatal(err)
	}
	o.Crank = &geometry.Crank{Stroke: 90, Rod: 144, Offset: 12}
	corrected, err := qualify.Run(study, o)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(raw.Bias.Value.Degrees()-(0.156874-0.039088)) > 1e-5 || corrected.Bias.Value.Abs() > 1e-5 {
		t.Errorf("raw %v, corrected %v; want 0.117786 and nothing", raw.Bias.Value, corrected.Bias.Value)
	}
}
