package uncertainty

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"markaudit/audit/internal/testkit"
)

// Convolution in x with the distribution functions of t, another program's:
// testdata/reference/matched-sums.csv.
func TestMatchedSumAgreesWithConvolution(t *testing.T) {
	for _, r := range testkit.Reference(t, "matched-sums.csv") {
		line := r.Texts()
		var terms []Term
		for _, row := range strings.Split(line[0], " + ") {
			f := strings.Fields(row)
			term := Term{Scale: number(t, f[1])}
			for term.Shape = Normal; term.Shape.String() != f[0]; term.Shape++ {
				if term.Shape == Arcsine {
					t.Fatalf("no shape %q", f[0])
				}
			}
			if term.Shape == StudentT {
				term.DOF = number(t, f[3])
			}
			terms = append(terms, term)
		}
		s := NewSum(terms)
		if got, want := s.HalfWidth(number(t, line[1])), number(t, line[2]); !(math.Abs(got/want-1) <= 1e-7) {
			t.Errorf("%s: half width %.9f, want %.9f", line[0], got, want)
		}
		if got, want := s.Probability(0.1), number(t, line[3]); !(math.Abs(got-want) <= 2e-8) {
			t.Errorf("%s: probability %.9f, want %.9f", line[0], got, want)
		}
	}
}

// The lighter form is a mixture of two densities of t, so its characteristic
// function is their cosine transform; the digits are those of another program.
func TestLighterForm(t *testing.T) {
	for _, c := range []struct{ dof, own, next, lighter float64 }{
		{2, 0.444342524, 0.683484734, 0.563913629},
		{3, math.NaN(), math.NaN(), 0.601305195},
		{8, math.NaN(), math.NaN(), 0.617445115},
	} {
		h, next := studentPair(1, c.dof)
		if c.dof == 2 && (!(math.Abs(h-c.own) <= 1e-9) || !(math.Abs(next-c.next) <= 1e-9)) {
			t.Errorf("2 degrees of freedom: %.9f and %.9f", h, next)
		}
		terms := []Term{student(1, c.dof)}
		match(terms)
		_, lighter := terms[0].characteristic(1)
		if !(math.Abs(lighter-c.lighter) <= 1e-9) {
			t.Errorf("%g degrees of freedom: %.9f, want %.9f", c.dof, lighter, c.lighter)
		}
		own, more := distuv.StudentsT{Sigma: 1, Nu: c.dof}, distuv.StudentsT{Sigma: math.Sqrt(c.dof / (c.dof + 2)), Nu: c.dof + 2}
		var got float64 // 2 ∫ cos x f(x) dx by the trapezoid rule, to the end of a period
		const step, end = 1e-3, 400 * math.Pi
		for x := 0.0; x < end; x += step {
			w := 2 * step
			if x == 0 {
				w = step
			}
			got += w * math.Cos(x) * (own.Prob(x)/c.dof + more.Prob(x)*(1-1/c.dof))
		}
		if !(math.Abs(got-lighter) <= 1e-6) {
			t.Errorf("%g degrees of freedom: %.8f by its density, %.8f", c.dof, got, lighter)
		}
	}
}

// What is not lightened stays as it was: one t row alone, no t row, and rows on one
// degree of freedom, which stand beside nothing lighter.
func TestMatchedSumLeavesAlone(t *testing.T) {
	for _, terms := range [][]Term{
		{student(0.3, 2)},
		{rectangular(1), arcsine(0.4), normal(0.3), triangular(0.6)},
		{student(0.3, 1), rectangular(1)},
		{student(0.3, 1), student(0.4, 1), arcsine(1)},
	} {
		if got, want := NewSum(terms).HalfWidth(0.95), plain(terms).HalfWidth(0.95); !(math.Abs(got/want-1) <= 1e-9) {
			t.Errorf("%v: %.10g, want %.10g", terms, got, want)
		}
	}
	one := NewSum([]Term{student(0.3, 1), student(0.2, 8)}).HalfWidth(0.95)
	if all := plain([]Term{student(0.3, 1), student(0.2, 8)}).HalfWidth(0.95); !(one < all) {
		t.Errorf("beside one degree of freedom the other row is not lightened: %g of %g", one, all)
	}
}

func TestMatchedSumIsNeverWider(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		terms := rapid.SliceOfN(rapid.Custom(anyTerm), 2, 6).Draw(t, "terms")
		matched, all := NewSum(terms).HalfWidth(0.95), plain(terms).HalfWidth(0.95)
		if matched > all*(1+1e-8) {
			t.Fatalf("%v: %g, plain %g", terms, matched, all)
		}
		if again := NewSum(rapid.Permutation(terms).Draw(t, "order")).HalfWidth(0.95); !(math.Abs(again/matched-1) <= 1e-12) {
			t.Fatalf("%v: %g, in another order %g", terms, matched, again)
		}
	})
}

// chiNodes are equally likely values of χ²/ν on dof degrees of freedom: the mean of
// a smooth function over them is its expectation.
func chiNodes(dof float64, n int) []float64 {
	out := make([]float64, n)
	chi := distuv.ChiSquared{K: dof}
	for i := range out {
		out[i] = chi.Quantile((float64(i)+0.5)/float64(n)) / dof
	}
	return out
}

// holds is the rate at which an interval from two scatters holds the truth: the true
// variance of the first row is a share of both, the known row's variance is given
// over both, and the scatters come out as χ² says. No chance is in it: where the
// scatters are observed, the error is normal with the true variances.
func holds(confidence, dof1, dof2, share, known float64, n int) (rate, width float64) {
	s1, s2, u := math.Sqrt(share), math.Sqrt(1-share), math.Sqrt(known)
	sd := math.Sqrt(1 + known)
	for _, a := range chiNodes(dof1, n) {
		for _, b := range chiNodes(dof2, n) {
			h := NewSum([]Term{student(s1*math.Sqrt(a), dof1), student(s2*math.Sqrt(b), dof2), normal(u)}).HalfWidth(confidence)
			rate += math.Erf(h/(sd*math.Sqrt2)) / float64(n*n)
			width += h / float64(n*n)
		}
	}
	return rate, width
}

// What the matched sum promises at the worst, from the design of the rule (another
// program's quadrature): over true shares from 0.02 to 0.98 and known rows of none to
// 0.6 of the variance, 0.948 to 0.956 where the plain sum holds 0.952 to 0.964; the
// lowest is two and sixty degrees of freedom.
func TestFloorsOfTheMatchedSum(t *testing.T) {
	n, shares := 24, []float64{0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98}
	if testing.Short() {
		n, shares = 12, []float64{0.1, 0.5, 0.9}
	}
	for _, c := range []struct {
		dof1, dof2, confidence, floor, roof float64
	}{
		{2, 2, 0.95, 0.956, 0.985},
		{2, 8, 0.95, 0.948, 0.972},
		{2, 60, 0.95, 0.947, 0.968},
		{3, 8, 0.95, 0.949, 0.964},
		{4, 8, 0.95, 0.949, 0.960},
		{9, 20, 0.95, 0.950, 0.952},
		{2, 60, 0.8, 0.800, 1},
		{2, 60, 0.9, 0.898, 1},
		{2, 60, 0.975, 0.972, 1},
	} {
		low, high := 1.0, 0.0
		for _, share := range shares {
			for _, known := range []float64{0, 0.25, 1.5} { // over the scatter: up to 0.6 of all
				rate, _ := holds(c.confidence, c.dof1, c.dof2, share, known, n)
				low, high = min(low, rate), max(high, rate)
			}
		}
		t.Logf("%g and %g at %g: %.4f to %.4f", c.dof1, c.dof2, c.confidence, low, high)
		// A mean over so few values of χ² leaves 0.001 and 0.002 of few degrees.
		if low < c.floor-0.002 || high > c.roof+0.002 {
			t.Errorf("%g and %g degrees of freedom at %g: holds %.4f to %.4f, want %.3f to %.3f", c.dof1, c.dof2, c.confidence, low, high, c.floor, c.roof)
		}
	}
}

// Chance: rows drawn by what the rule says they are.
func TestMatchedSumIsAMixture(t *testing.T) {
	terms := []Term{student(1, 2), student(1.2, 3), rectangular(2)}
	s := NewSum(terms)
	variance := 1 + 1.44 + 4./3
	// By the plain sums of each component: the row with its own tails, the others in
	// two forms each.
	lighter := func(t Term) []Term { return []Term{t, student(t.Scale*math.Sqrt(t.DOF/(t.DOF+2)), t.DOF+2)} }
	part := func(weights []float64, choices [][]Term, x float64) (p float64) {
		for i, a := range choices[0] {
			for j, b := range choices[1] {
				p += weights[i] * weights[2+j] * plain([]Term{a, b, terms[2]}).Probability(x)
			}
		}
		return p
	}
	w1, w2 := 1/variance, 1.44/variance
	for _, x := range []float64{0.2, 1, 3, 9, 40} {
		want := w1*part([]float64{1, 0, 1. / 3, 2. / 3}, [][]Term{slices.Repeat(terms[:1], 2), lighter(terms[1])}, x) +
			w2*part([]float64{0.5, 0.5, 1, 0}, [][]Term{lighter(terms[0]), slices.Repeat(terms[1:2], 2)}, x) +
			(1-w1-w2)*part([]float64{0.5, 0.5, 1. / 3, 2. / 3}, [][]Term{lighter(terms[0]), lighter(terms[1])}, x)
		if got := s.Probability(x); !(math.Abs(got-want) <= 1e-8) {
			t.Errorf("at %g: %.10f, want %.10f", x, got, want)
		}
	}
}
