package qualify

import (
	"math"
	"os"
	"testing"

	"markaudit/audit/internal/stats"
)

// near reports whether two numbers agree to six digits after the point, or to a
// part in a million.
func near(got, want float64) bool { return math.Abs(got-want) <= 1e-6*max(1, math.Abs(want)) }

// What rounding can hide, worked from the formula with a calculator.
func TestHiddenByStep(t *testing.T) {
	for _, c := range []struct{ sd, want float64 }{{0, 0.5}, {0.25, 0.5}, {0.3, 0.4524}, {0.4, 0.1583}, {0.5, 0.0410}, {0.6, 0.0079}} {
		if got := hiddenBy(c.sd, 1); math.Abs(got-c.want) > 5e-5 {
			t.Errorf("scatter of %g steps hides %.5f steps, want %g", c.sd, got, c.want)
		}
		if got := hiddenBy(c.sd*0.25, 0.25); math.Abs(got-c.want*0.25) > 2e-5 {
			t.Errorf("with a step of 0.25: %.5f, want %g", got, c.want*0.25)
		}
	}
}

// Ceramic strength, NIST/SEMATECH e-Handbook 1.3.5.9: F 1.123037 with 239 and 239
// degrees of freedom. The upper limit was computed apart from this program.
func TestUpperLimitOfRatio(t *testing.T) {
	if got := 1.1230375 * upperFactor(239, 239); math.Abs(got-1.38993) > 5e-6 {
		t.Errorf("got %.6f, want 1.38993", got)
	}
	if got, want := upperFactor(5, 20), 1/stats.FQuantile(0.95, 5, 20); !near(got, want) {
		t.Errorf("unequal: got %.6f, want %.6f", got, want)
	}
}

// One study worked through by other code, from its file.
func TestWorkedStudy(t *testing.T) {
	data, err := os.ReadFile("../../testdata/qualify/new-stop.csv")
	if err != nil {
		t.Fatal(err)
	}
	study, _, err := ReadTrials("new-stop.csv", data)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(study, Options{AllowedBias: 0.1, Step: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ got, want, within float64 }{
		"bias":            {r.Bias.Value.Degrees(), 0.025, 1e-9},
		"scatter":         {r.Bias.StandardError.Degrees() * math.Sqrt(6), 0.0148324, 5e-8},
		"hidden":          {r.Hidden.Degrees(), 8.9e-6, 5e-8},
		"p early":         {r.Bias.PLower, 2.470e-6, 5e-10},
		"p late":          {r.Bias.PUpper, 3.041e-5, 5e-9},
		"upper":           {r.Ratio.Upper, 2.28895, 5e-6},
		"ratio":           {r.Ratio.Upper / upperFactor(24, 24), 1.153846, 5e-7},
		"root of it":      {math.Sqrt(r.Ratio.Upper), 1.5129, 5e-5},
		"creep":           {r.CreepFitting.Change.Degrees(), -0.0050, 5e-5},
		"its half":        {r.CreepFitting.Half.Degrees(), 0.0409, 5e-5},
		"further fitting": {r.Bias.Fitting.Degrees(), 0.041184, 2e-6}, // 2.5706 · 0.0148324 · 1.0801
	} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s: got %.9g, want %g", name, c.got, c.want)
		}
	}
	if r.Verdict != Qualified || len(r.Slips) != 0 || r.Cg != nil {
		t.Errorf("%v with %v, Cg %v", r.Verdict, r.Slips, r.Cg)
	}
}

// A stated bias of the trusted stop without doubt moves the bias and nothing else;
// the distribution of the sum then is Student's t.
func TestTrustedStopWithoutDoubt(t *testing.T) {
	sum := Options{Trusted: &Stated{}}.errorOf(0.02, 5)
	for _, d := range []float64{-0.03, 0, 0.01, 0.06, 0.2} {
		want, _ := stats.Equivalence(d, 0.02, 5, 0, 0)
		if got := beyond(sum, d); math.Abs(got-want) > 1e-9 {
			t.Errorf("beyond %g: %.12f, by the t distribution %.12f", d, got, want)
		}
	}
	if got, want := sum.HalfWidth(0.95), -0.02*stats.TQuantile(0.025, 5); math.Abs(got-want) > 1e-9 {
		t.Errorf("half width %.12f, want %.12f", got, want)
	}
}
