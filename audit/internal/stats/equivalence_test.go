package stats

import (
	"math"
	"strings"
	"testing"
)

// near reports whether got is want to the digits in which want is written.
func near(r record, column string, got float64) bool {
	text := r[column]
	mantissa, _, _ := strings.Cut(text, "e")
	digits := len(strings.Trim(strings.ReplaceAll(strings.TrimLeft(strings.TrimLeft(mantissa, "-"), "0."), ".", ""), "-"))
	want := r.number(column)
	// Inputs with six digits, as the bound of case G, leave 1e-6 of a result open.
	return math.Abs(got-want) <= 1e-6*math.Abs(want)+0.51*math.Pow(10, math.Floor(math.Log10(math.Abs(want)))+1-float64(digits))
}

// Published equivalence tests, Welch's, of one sample and of pairs; see the file.
func TestEquivalenceAgreesWithPublishedCases(t *testing.T) {
	kinds := map[string]int{}
	for _, r := range readCSV(t, "equivalence.csv") {
		kinds[r["kind"]]++
		n1, n2, sd1, sd2 := int(r.number("n1")), int(r.number("n2")), r.number("sd1"), r.number("sd2")
		groups := []Group{{sd1, n1}, {sd2, n2}}
		switch r["kind"] {
		case "one":
			groups = groups[:1]
		case "paired":
			groups = []Group{{math.Sqrt(sd1*sd1 + sd2*sd2 - 2*r.number("r")*sd1*sd2), n1}}
		}
		se, dof := Welch(groups...)
		d, bound := r.number("m1")-r.number("m2"), r.number("bound")
		pLower, pUpper := Equivalence(d, se, dof, -bound, bound)
		half := -TQuantile(0.05, dof) * se
		got := map[string]float64{"dof": dof, "p_lower": pLower, "p_upper": pUpper, "low90": d - half, "high90": d + half}
		for column, v := range got {
			if r[column] != "" && !near(r, column, v) {
				t.Errorf("case %s: %s is %.10g, want %s", r["case"], column, v, r[column])
			}
		}
	}
	if kinds["welch"] < 3 || kinds["one"] < 1 || kinds["paired"] < 1 {
		t.Errorf("found the cases %v", kinds)
	}
}

// R 4.2.2: t.test(c(.03, .05, .01, .04, .02), c(.10, .02, .07)).
func TestWelchAgreesWithR(t *testing.T) {
	_, a := MeanStdDev([]float64{0.03, 0.05, 0.01, 0.04, 0.02})
	_, b := MeanStdDev([]float64{0.10, 0.02, 0.07})
	se, dof := Welch(Group{a, 5}, Group{b, 3})
	if !(math.Abs(se-0.02438123139721299) <= 1e-15) || !(math.Abs(dof-2.374202913577687) <= 1e-12) {
		t.Errorf("got %.16g with %.16g degrees of freedom", se, dof)
	}
}

func TestWelchWithoutScatter(t *testing.T) {
	if se, dof := Welch(Group{0, 3}, Group{0, 4}); se != 0 || dof != 5 {
		t.Errorf("got %g with %g, want 0 with 5", se, dof)
	}
	// By hand: of twice two values ½ and ½, on 1/(¼ + ¼).
	if se, dof := Welch(Group{1, 2}, Group{1, 2}); se != 1 || dof != 2 {
		t.Errorf("two and two: got %g with %g, want 1 with 2", se, dof)
	}
	if se, dof := Welch(Group{0.1, 5}, Group{0, 1}); se != 0 || dof != 0 {
		t.Errorf("one value lent %g degrees of freedom, and %g", dof, se)
	}
	// Scatter whose square is below any number leaves the degrees of freedom
	// what they are.
	if _, dof := Welch(Group{1e-150, 4}); dof != 3 {
		t.Errorf("got %g degrees of freedom, want 3", dof)
	}
	for _, c := range []struct{ value, lower, upper float64 }{
		{0, 0, 0}, {0.2, 0, 1}, {-0.2, 1, 0}, {0.1, 0, 0.5}, {-0.1, 0.5, 0},
	} {
		if l, u := Equivalence(c.value, 0, 3, -0.1, 0.1); l != c.lower || u != c.upper {
			t.Errorf("%g: got %g and %g, want %g and %g", c.value, l, u, c.lower, c.upper)
		}
	}
}

// R 4.2.2: pt(c(-3, -0.5, 0, 0.2, 5, 40), 3.7, lower.tail = FALSE), pt(6, Inf, …).
func TestTSurvivalAgreesWithR(t *testing.T) {
	for _, c := range []struct{ t, dof, want float64 }{
		{-3, 3.7, 0.9779370571942407},
		{-0.5, 3.7, 0.677332183340034},
		{0, 3.7, 0.5},
		{0.2, 3.7, 0.4259929206766109},
		{5, 3.7, 4.58198382244666e-03},
		{40, 3.7, 2.569312491070744e-06},
		{6, math.Inf(1), 9.865876450376981e-10},
	} {
		if got := TSurvival(c.t, c.dof); !(math.Abs(got/c.want-1) <= 1e-10) {
			t.Errorf("t %g, %g: got %.16g, want %.16g", c.t, c.dof, got, c.want)
		}
	}
}

// NIST/SEMATECH e-Handbook, 1.3.5.9: ceramic strength, two batches.
func TestVarianceRatioCeramicStrength(t *testing.T) {
	batches := map[string][]float64{}
	for _, r := range readCSV(t, "ceramic-strength.csv") {
		batches[r["batch"]] = append(batches[r["batch"]], r.number("strength"))
	}
	m1, s1 := MeanStdDev(batches["1"])
	m2, s2 := MeanStdDev(batches["2"])
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"mean 1", m1, 688.9987, 1e-4}, // 688.9986417 is rounded up in print
		{"mean 2", m2, 611.1559, 1e-4}, // 611.1559750 is cut off
		{"sd 1", s1, 65.54909, 0.5e-5},
		{"sd 2", s2, 61.85425, 0.5e-5},
		{"F", s1 * s1 / (s2 * s2), 1.123037, 1e-6}, // 1.1230375
		{"its distribution", 1 - FSurvival(s1*s1/(s2*s2), 239, 239), 0.814808, 1e-6},
		{"two-sided 5 % limit", FQuantile(0.025, 239, 239), 1.2894, 0.5e-4},
		{"the lower one", FQuantile(0.975, 239, 239), 0.7756, 0.5e-4},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s: got %.8g, want %g", c.what, c.got, c.want)
		}
	}
	// No rejection at 5 %: the interval holds 1.
	if low, high := VarianceRatioInterval(s1*s1/(s2*s2), 239, 239, 0.95); !(low < 1 && 1 < high) {
		t.Errorf("interval %g to %g", low, high)
	}
}

// R 4.2.2: var.test(c(1, 2, 4, 7, 3), c(2.2, 2.9, 2.4, 3.5, 2.6, 2.0)).
func TestVarianceRatioIntervalAgreesWithR(t *testing.T) {
	_, a := MeanStdDev([]float64{1, 2, 4, 7, 3})
	_, b := MeanStdDev([]float64{2.2, 2.9, 2.4, 3.5, 2.6, 2.0})
	low, high := VarianceRatioInterval(a*a/(b*b), 4, 5, 0.95)
	if !(math.Abs(low/2.456817219783376-1) <= 1e-9) || !(math.Abs(high/169.971559328027041-1) <= 1e-9) {
		t.Errorf("got %.12g to %.12g", low, high)
	}
}

// Type-1 study of a published vignette, by the formulas that it prints; what
// it prints as their result comes from others, see the file.
func TestCapabilityTypeOneStudy(t *testing.T) {
	var x []float64
	for _, r := range readCSV(t, "type-1-study.csv") {
		x = append(x, r.number("value"))
	}
	mean, sd := MeanStdDev(x)
	cg, cgk := Capability(sd, mean-10.003, 0.2)
	if len(x) != 25 || !(math.Abs(cg-0.998516) <= 1e-6) || !(math.Abs(cgk-0.844744) <= 1e-6) {
		t.Errorf("%d values: got Cg %.7f, Cgk %.7f, want 0.998516, 0.844744", len(x), cg, cgk)
	}
	// With 2.782 s in place of 3 s, the printed figures.
	cg, cgk = Capability(sd*2.782/3, mean-10.003, 0.2)
	if !(math.Abs(cg-1.08) <= 0.005) || !(math.Abs(cgk-0.91) <= 0.005) {
		t.Errorf("got Cg %.3f, Cgk %.3f, want 1.08, 0.91 as printed", cg, cgk)
	}
}

// Bland and Altman, Lancet 1986: bias of a new meter against a known one,
// paired by subject. Printed -2.1, its standard error 9.4 and -22.0 to 17.8
// (the last from memory); -2.117647, 9.401925, -22.0488, 17.8135 recomputed.
func TestPairedBiasPeakFlow(t *testing.T) {
	var d []float64
	for _, r := range readCSV(t, "peak-flow.csv") {
		d = append(d, r.number("wright1")-r.number("mini1"))
	}
	bias, sd := MeanStdDev(d)
	se, dof := Welch(Group{sd, len(d)})
	half := -TQuantile(0.025, dof) * se
	for _, c := range []struct{ got, want, tol float64 }{
		{bias, -2.117647, 1e-6},
		{sd, 38.765130, 1e-6},
		{se, 9.401925, 1e-6},
		{bias - half, -22.0488, 1e-4},
		{bias + half, 17.8135, 1e-4},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("got %.7g, want %g", c.got, c.want)
		}
	}
}
