package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit/internal/testkit"
)

func rectangular(a float64) Term { return Term{Shape: Rectangular, Scale: a} }
func triangular(a float64) Term  { return Term{Shape: Triangular, Scale: a} }
func arcsine(a float64) Term     { return Term{Shape: Arcsine, Scale: a} }
func normal(s float64) Term      { return Term{Shape: Normal, Scale: s} }
func student(s, dof float64) Term {
	return Term{Shape: StudentT, Scale: s, DOF: dof}
}

// plain is the distribution of a sum of independent terms that are given, not
// estimated: what conventions and printed examples add up.
func plain(terms []Term) Sum {
	s := joined(terms)
	s.invert()
	return s
}

// Promised is 1e-6 of the half width; found is below 2e-9.
const halfWidthTolerance = 1e-8

// Convolution in x with mpmath, closed forms of rectangles, and for the usual
// budgets another quadrature of the inversion integral: testdata/reference/sums.py.
func TestHalfWidthAgreesWithConvolution(t *testing.T) {
	for _, r := range testkit.Reference(t, "sums.csv") {
		line := r.Texts()
		s := plain(parseTerms(t, line[1]))
		confidence, want := number(t, line[2]), number(t, line[3])
		if got := s.HalfWidth(confidence); !(math.Abs(got/want-1) <= halfWidthTolerance) {
			t.Errorf("%s: got %.12g, want %.12g (%.1e)", line[0], got, want, got/want-1)
		}
		if got := s.Probability(want); !(math.Abs(got-confidence) <= 1e-9) {
			t.Errorf("%s: probability %.12g, want %g", line[0], got, confidence)
		}
	}
}

func TestHalfWidthClosedForms(t *testing.T) {
	const z95, z99 = 1.959963984540054, 2.5758293035489 // R: qnorm(0.975), qnorm(0.995)
	r3 := math.Sqrt(3)
	for _, c := range []struct {
		name       string
		terms      []Term
		confidence float64
		want       float64
	}{
		{"JCGM 101, 9.2.2: four normal rows", []Term{normal(1), normal(1), normal(1), normal(1)}, 0.95, 2 * z95},
		{"JCGM 101, 9.2.3: four rectangular rows", slices.Repeat([]Term{rectangular(r3)}, 4), 0.95, 2 * r3 * (2 - math.Pow(0.6, 0.25))},
		{"normal rows of two sizes", []Term{normal(3), normal(4)}, 0.99, 5 * z99},
		{"one normal row", []Term{normal(0.2)}, 0.95, 0.2 * z95},
		{"a t row without limit is normal", []Term{student(1, math.Inf(1))}, 0.95, z95},
		{"one t row, 1", []Term{student(1, 1)}, 0.95, 12.70620473617471},  // R: qt(0.975, 1)
		{"one t row, 2", []Term{student(2, 2)}, 0.95, 2 * 4.302652729749}, // R: qt(0.975, 2)
		{"one t row, 7", []Term{student(1, 7)}, 0.99, 3.499483297350494},  // R: qt(0.995, 7)
		{"one rectangular row", []Term{rectangular(0.5)}, 0.95, 0.475},
		{"one triangular row", []Term{triangular(1)}, 0.95, 1 - math.Sqrt(0.05)},
		{"one arcsine row", []Term{arcsine(1)}, 0.95, math.Sin(0.95 * math.Pi / 2)},
		{"Cauchy rows add their scales", []Term{student(1, 1), student(2, 1), student(0.5, 1)}, 0.95, 3.5 * 12.70620473617471},
		{"two equal rectangular rows are triangular", []Term{rectangular(1), rectangular(1)}, 0.95, 2 * (1 - math.Sqrt(0.05))},
		{"one row and zeros", []Term{normal(0), rectangular(1), student(0, 1)}, 0.95, 0.95},
	} {
		got := NewSum(c.terms).HalfWidth(c.confidence)
		if !(math.Abs(got/c.want-1) <= halfWidthTolerance) {
			t.Errorf("%s: got %.12g, want %.12g", c.name, got, c.want)
		}
	}
}

// The printed figures of JCGM 101, 9.2: 3.92, 3.88, and 17.0 where the
// propagation of uncertainties gives 19.9 (9.2.4).
func TestPrintedAdditiveModel(t *testing.T) {
	r3 := math.Sqrt(3)
	wide := append(slices.Repeat([]Term{rectangular(r3)}, 3), rectangular(10*r3))
	if got := NewSum(wide).HalfWidth(0.95); !(math.Abs(got-17.0) <= 0.05) {
		t.Errorf("fourth row wide: got %.3f, want 17.0", got)
	}
	if got := NewSum(slices.Repeat([]Term{rectangular(r3)}, 4)).HalfWidth(0.95); !(math.Abs(got-3.88) <= 0.005) {
		t.Errorf("four rectangular rows: got %.4f, want 3.88", got)
	}
}

// beside is P(|R + Y| ≤ x), R rectangular with half width a: the mean of
// P(|Y| ≤ y), signed, over y from x-a to x+a, in closed form.
func beside(y Term, a, x float64) float64 {
	s := y.Scale
	var integral func(y float64) float64 // of 2F - 1
	switch {
	case y.Shape == Normal:
		integral = func(y float64) float64 {
			return y*math.Erf(y/(s*math.Sqrt2)) + s*math.Sqrt(2/math.Pi)*math.Exp(-y*y/(2*s*s))
		}
	case y.DOF == 1:
		integral = func(y float64) float64 {
			return 2 / math.Pi * (y*math.Atan(y/s) - s*math.Log(math.Hypot(1, y/s)))
		}
	case y.DOF == 2:
		integral = func(y float64) float64 { return math.Hypot(y, math.Sqrt2*s) }
	}
	return (integral(x+a) - integral(x-a)) / (2 * a)
}

// Twelve decades of the ratio and of x: neither may cost accuracy.
func TestProbabilityBesideRectangle(t *testing.T) {
	for _, y := range []Term{normal(1), student(1, 1), student(1, 2)} {
		for ratio := 1e-6; ratio < 2e6; ratio *= 10 {
			s := plain([]Term{y, rectangular(ratio)})
			for _, x := range []float64{1e-3, 0.3, 0.9, 1, 1.001, 2, 7, 40, 1e3, 1e5} {
				for _, unit := range []float64{1, ratio} {
					got, want := s.Probability(x*unit), beside(y, ratio, x*unit)
					// The closed form itself loses digits as a difference.
					lost := 1e-15 * (x*unit + ratio + 1) / ratio
					if !(math.Abs(got-want) <= 5e-9+lost) {
						t.Errorf("%v with %g, rectangle %g, x %g: got %.12g, want %.12g", y.Shape, y.DOF, ratio, x*unit, got, want)
					}
				}
			}
		}
	}
}

// Sums of rectangles are piecewise polynomials.
func TestProbabilityOfRectangles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 5).Draw(t, "n")
		var terms []Term
		total, scale := 0.0, 1.0
		for range n {
			a := rapid.Float64Range(0.2, 1).Draw(t, "half width") // closer sizes keep the closed form's digits
			terms = append(terms, rectangular(a))
			total += a
			scale *= 2 * a
		}
		x := total * rapid.Float64Range(0, 1.1).Draw(t, "x")
		at := func(x float64) (sum float64) {
			for signs := range 1 << n {
				y, sign := x, 1.0
				for i, term := range terms {
					if signs>>i&1 == 0 {
						y += term.Scale
					} else {
						y -= term.Scale
						sign = -sign
					}
				}
				if y > 0 {
					sum += sign * math.Pow(y, float64(n))
				}
			}
			for k := 2; k <= n; k++ {
				sum /= float64(k)
			}
			return sum / scale
		}
		got, want := NewSum(terms).Probability(x), at(x)-at(-x)
		// Two equal terms leave the slowest tail: 1e-7 where x meets their difference.
		if !(math.Abs(got-want) <= 2e-7) {
			t.Fatalf("%v at %g: got %.12g, want %.12g", terms, x, got, want)
		}
	})
}

func anyTerm(t *rapid.T) Term {
	return Term{
		Shape: Shape(rapid.IntRange(int(Normal), int(Arcsine)).Draw(t, "shape")),
		Scale: math.Exp(rapid.Float64Range(-7, 0).Draw(t, "log scale")),
		DOF:   float64(rapid.IntRange(1, 40).Draw(t, "dof")),
	}
}

func TestSumProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		terms := rapid.SliceOfN(rapid.Custom(anyTerm), 1, 8).Draw(t, "terms")
		before := slices.Clone(terms)
		s := NewSum(terms)
		if !slices.Equal(terms, before) {
			t.Fatal("the terms were changed")
		}
		c := rapid.Float64Range(0.05, 0.999).Draw(t, "confidence")
		h := s.HalfWidth(c)
		if p := s.Probability(h); !(math.Abs(p-c) <= 1e-8) {
			t.Fatalf("half width %g holds %.10g, want %.10g", h, p, c)
		}
		if wider := s.HalfWidth(c + (1-c)/4); !(wider > h) {
			t.Fatalf("half width %g at %g, not more at a higher confidence: %g", h, c, wider)
		}

		k := math.Exp(rapid.Float64Range(-200, 200).Draw(t, "log factor"))
		scaled := slices.Clone(terms)
		for i := range scaled {
			scaled[i].Scale *= k
		}
		if got := NewSum(scaled).HalfWidth(c); !(math.Abs(got/(k*h)-1) <= 1e-9) {
			t.Fatalf("scaled by %g: got %g, want %g", k, got, k*h)
		}
		if got := NewSum(rapid.Permutation(terms).Draw(t, "order")).HalfWidth(c); !(math.Abs(got/h-1) <= 1e-12) {
			t.Fatalf("in another order: got %g, want %g", got, h)
		}

		low := h * rapid.Float64Range(-3, 3).Draw(t, "low")
		high := low + h*rapid.Float64Range(0, 3).Draw(t, "width")
		p, mirrored := s.Within(low, high), s.Within(-high, -low)
		if !(p >= 0 && p <= 1) || !(math.Abs(p-mirrored) <= 1e-12) {
			t.Fatalf("within %g to %g: %g, mirrored %g", low, high, p, mirrored)
		}
		if got := s.Within(math.Inf(-1), low) + p + s.Within(high, math.Inf(1)); !(math.Abs(got-1) <= 1e-9) {
			t.Fatalf("three pieces of the line hold %g", got)
		}
	})
}

func TestDegenerateSums(t *testing.T) {
	for _, s := range []Sum{{}, NewSum(nil), NewSum([]Term{normal(0), rectangular(0), student(0, 3)})} {
		if h := s.HalfWidth(0.95); h != 0 {
			t.Errorf("nothing but zeros: half width %g, want 0", h)
		}
		if s.Within(-1, 0) != 1 || s.Within(0, 0) != 1 || s.Within(1, 2) != 0 || s.Probability(0) != 1 || s.Probability(-1) != 0 {
			t.Error("nothing but zeros: all probability is at zero")
		}
	}

	huge := NewSum([]Term{rectangular(1e6), normal(1e-6), student(1e-6, 1), arcsine(1e-6)})
	if h := huge.HalfWidth(0.95); !(math.Abs(h/0.95e6-1) <= 1e-8) {
		t.Errorf("one huge row: got %g, want 950000", h)
	}
	if h := NewSum([]Term{student(1e6, 4), rectangular(1e-6)}).HalfWidth(0.95); !(math.Abs(h/2.776445105198e6-1) <= 1e-8) { // R: qt(0.975, 4)
		t.Errorf("one huge t row: got %g", h)
	}

	// 200 rows: excess kurtosis -1.2/200 and the first term of the Cornish-Fisher
	// expansion (Abramowitz and Stegun 26.2.49); the next one is of order 1e-6.
	many := NewSum(slices.Repeat([]Term{rectangular(math.Sqrt(3) / math.Sqrt(200))}, 200))
	const z = 1.959963984540054
	want := z + (-1.2/200)*(z*z*z-3*z)/24
	if h := many.HalfWidth(0.95); !(math.Abs(h-want) <= 5e-6) {
		t.Errorf("200 rows: got %.8f, want %.8f", h, want)
	}

	cauchy := NewSum(append(slices.Repeat([]Term{student(1, 1)}, 199), rectangular(30)))
	for _, x := range []float64{1, 50, 2500} {
		if got, want := cauchy.Probability(x), beside(student(199, 1), 30, x); !(math.Abs(got-want) <= 1e-9) {
			t.Errorf("199 Cauchy rows and a limit at %g: got %.12g, want %.12g", x, got, want)
		}
	}

	if one := NewSum([]Term{normal(1), rectangular(1)}); one.Within(1, -1) != 0 || one.Within(math.NaN(), 1) != 0 || one.Probability(-0.1) != 0 {
		t.Error("nothing lies between a border and one below it")
	}
	s := NewSum([]Term{rectangular(1), triangular(0.5)})
	if s.HalfWidth(0) != 0 || s.HalfWidth(-1) != 0 || s.HalfWidth(1) != 1.5 || s.Probability(1.5) != 1 {
		t.Error("a bounded sum ends at its bound")
	}
	if !math.IsInf(NewSum([]Term{normal(1), rectangular(1)}).HalfWidth(1), 1) {
		t.Error("a sum without bound has no half width at confidence 1")
	}
}

// Whatever finite scales arrive, the answer is a number.
func TestSumNeverFails(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		terms := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Term {
			term := anyTerm(t)
			term.Scale = math.Exp(rapid.Float64Range(-600, 600).Draw(t, "log scale"))
			term.DOF = math.Exp(rapid.Float64Range(0, 40).Draw(t, "log dof"))
			return term
		}), 1, 6).Draw(t, "terms")
		s := NewSum(terms)
		h := s.HalfWidth(rapid.Float64Range(0.01, 0.999).Draw(t, "confidence"))
		if !(h > 0) || math.IsInf(h, 1) {
			t.Fatalf("half width %g", h)
		}
		if p := s.Probability(h * rapid.Float64Range(0, 1e6).Draw(t, "x")); !(p >= 0 && p <= 1) {
			t.Fatalf("probability %g", p)
		}
	})
}

// A fraction of degrees of freedom is rounded down, to the wider side.
func TestFractionOfDegreesOfFreedom(t *testing.T) {
	with := func(dof float64) float64 { return NewSum([]Term{student(1, dof), rectangular(1)}).HalfWidth(0.95) }
	if with(4.9) != with(4) || with(0.3) != with(1) || with(math.NaN()) != with(1) {
		t.Error("a fraction was not rounded down")
	}
	if a, b := with(500), with(500.5); !(b < a) || a-b > 1e-5 {
		t.Errorf("the expansion does not join: %.10g and %.10g", a, b)
	}
}

// draw returns a random value of the term, by definitions of the
// distributions that the package itself does not use.
func draw(r *rand.Rand, t Term) float64 {
	switch t.Shape {
	case Rectangular:
		return t.Scale * (2*r.Float64() - 1)
	case Triangular:
		return t.Scale * (r.Float64() - r.Float64())
	case Arcsine:
		return t.Scale * math.Cos(2*math.Pi*r.Float64())
	case StudentT:
		var chi float64
		for range int(t.DOF) {
			z := r.NormFloat64()
			chi += z * z
		}
		return t.Scale * r.NormFloat64() / math.Sqrt(chi/t.DOF)
	}
	return t.Scale * r.NormFloat64()
}

// Monte Carlo (JCGM 101, clause 7) with 200,000 draws and a fixed seed: the
// share inside must be the confidence to within four standard deviations.
func TestHalfWidthAgreesWithMonteCarlo(t *testing.T) {
	const draws = 200_000
	r := rand.New(rand.NewPCG(2, 95))
	for i, terms := range [][]Term{
		usualBudget,
		{student(1, 2), student(1, 3), rectangular(2), arcsine(1)},
		{normal(0.3), triangular(1), arcsine(1.5), student(0.2, 1)},
	} {
		s := plain(terms)
		for _, c := range []float64{0.5, 0.95, 0.99} {
			h, inside := s.HalfWidth(c), 0
			for range draws {
				var x float64
				for _, term := range terms {
					x += draw(r, term)
				}
				if math.Abs(x) <= h {
					inside++
				}
			}
			if got := float64(inside) / draws; !(math.Abs(got-c) <= 4*math.Sqrt(c*(1-c)/draws)) {
				t.Errorf("sum %d: %g of the draws inside, want %g", i, got, c)
			}
		}
	}
}

// usualBudget is what one mark of a careful sheet has.
var usualBudget = []Term{
	student(0.05, 4), student(0.04, 6), rectangular(0.1), arcsine(0.1),
	rectangular(0.05), rectangular(0.05), rectangular(0.1), triangular(0.05),
}

func ExampleSum_HalfWidth() {
	// JCGM 101, 9.2.3: four rectangular sources of unit standard deviation,
	// where 1.96 times the combined standard uncertainty would be 3.92.
	a := math.Sqrt(3)
	s := NewSum([]Term{{Shape: Rectangular, Scale: a}, {Shape: Rectangular, Scale: a}, {Shape: Rectangular, Scale: a}, {Shape: Rectangular, Scale: a}})
	fmt.Printf("%.2f\n", s.HalfWidth(0.95))
	// Output: 3.88
}
