package uncertainty

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Standard returns the term's standard uncertainty: the scale itself, or the
// half width over √3, √6 or √2.
func (t Term) Standard() float64 {
	switch t.Shape {
	case Rectangular:
		return t.Scale / math.Sqrt(3)
	case Triangular:
		return t.Scale / math.Sqrt(6)
	case Arcsine:
		return t.Scale / math.Sqrt2
	}
	return t.Scale
}

// Sum is the distribution of the error that a sum of independent terms leaves,
// symmetric about zero. A t term stands for a scale that readings gave: see matched
// for how several of them are mixed. It is exact up to arithmetic: probabilities are good to 1e-8 (two equal bounded
// terms with next to nothing beside them: to 2e-7), half widths to 1e-6 of
// themselves and mostly to 1e-9, the same on every run.
//
// It inverts the characteristic function φ (Gil-Pelaez, Biometrika 38 (1951)
// 481):
//
//	P(|S| ≤ x) = 2/π ∫ sin(xt)/t·φ(t) dt,  t from 0 to ∞
//
// The zero value is a sum of nothing, always zero.
type Sum struct {
	terms     []Term  // none of them zero, in units of the largest given
	unit      float64 // scale of the largest given; 0 when all are zero
	bound     float64 // |S| in that unit never passes it; +Inf with a t or normal term
	panels    []panel // empty when a single term has a closed form
	reference float64 // standard deviation of what the panels leave out
}

// negligible is the scale, in units of the largest, below which a term is left
// out; it would move a half width by less than 1e-7 of itself.
const negligible = 1e-10

// NewSum returns the distribution of the sum. Terms that hold one estimate of scale
// are given as one term: else it would be lightened against itself. Terms of scale
// zero take no part. Degrees of freedom are whole and at least 1: up to 500 a
// fraction is rounded down, which errs to the wider side, and less than 1 taken as 1;
// +Inf is normal.
func NewSum(terms []Term) Sum {
	s := joined(terms)
	match(s.terms)
	s.invert()
	return s
}

// match gives t terms their shares of the variance, and how far they are lightened
// beside the others: see matched. Shares go by squared scales, not by the variance
// of t, which few degrees of freedom have none of.
func match(terms []Term) {
	var variance float64
	for _, t := range terms {
		u := t.Standard()
		variance += u * u
	}
	for i, t := range terms {
		if t.Shape == StudentT {
			terms[i].share, terms[i].lighter = t.Scale*t.Scale/variance, 1-1/t.DOF
		}
	}
}

// joined leaves out what is zero and joins what adds up in closed form.
func joined(terms []Term) Sum {
	s := Sum{terms: make([]Term, 0, len(terms))}
	for _, t := range terms {
		s.unit = math.Max(s.unit, t.Scale)
	}
	var normal, cauchy float64 // squared scale and scale: these two kinds add up in closed form
	for _, t := range terms {
		t.Scale /= s.unit
		if !(t.Scale > negligible) {
			continue
		}
		if t.Shape == StudentT {
			if math.IsInf(t.DOF, 1) {
				t.Shape = Normal
			} else if !(t.DOF >= 1) {
				t.DOF = 1
			} else if t.DOF <= manyDOF {
				t.DOF = math.Floor(t.DOF)
			}
		}
		switch {
		case t.Shape == Normal:
			normal += t.Scale * t.Scale
		case t.Shape == StudentT && t.DOF == 1:
			cauchy += t.Scale
		default:
			s.terms = append(s.terms, t)
		}
	}
	if normal > 0 {
		s.terms = append(s.terms, Term{Shape: Normal, Scale: math.Sqrt(normal)})
	}
	if cauchy > 0 {
		s.terms = append(s.terms, Term{Shape: StudentT, Scale: cauchy, DOF: 1})
	}
	// One order whatever the caller's, so that the same terms give the same digits.
	slices.SortFunc(s.terms, func(a, b Term) int {
		return cmp.Or(cmp.Compare(b.Scale, a.Scale), cmp.Compare(a.Shape, b.Shape), cmp.Compare(a.DOF, b.DOF))
	})
	for _, t := range s.terms {
		if t.bounded() {
			s.bound += t.Scale
		} else {
			s.bound = math.Inf(1)
		}
	}
	return s
}

// invert lays out the panels of the inversion where there is no closed form.
func (s *Sum) invert() {
	if len(s.terms) > 1 {
		s.panels, s.reference = invert(s.terms)
	}
}

func (t Term) bounded() bool { return t.Shape != Normal && t.Shape != StudentT }

// Probability returns P(|S| ≤ x), 0 for a negative x.
func (s Sum) Probability(x float64) float64 {
	if !(x >= 0) {
		return 0
	}
	if s.unit == 0 {
		return 1
	}
	return s.within(x / s.unit)
}

// Within returns P(low ≤ S ≤ high), 0 if low exceeds high.
func (s Sum) Within(low, high float64) float64 {
	if !(low <= high) {
		return 0
	}
	if s.unit == 0 {
		if low <= 0 && 0 <= high {
			return 1
		}
		return 0
	}
	// P(0 ≤ S ≤ x) is half of P(|S| ≤ x), with the sign of x.
	half := func(x float64) float64 { return math.Copysign(s.within(math.Abs(x)/s.unit)/2, x) }
	return math.Min(1, math.Max(0, half(high)-half(low)))
}

// HalfWidth returns the half width of the central interval that holds S with
// the given probability: 0 for a confidence of 0 or less; for 1 or more the
// bound of S, +Inf where it has none.
func (s Sum) HalfWidth(confidence float64) float64 {
	switch {
	case s.unit == 0 || !(confidence > 0):
		return 0
	case confidence >= 1:
		return s.unit * s.bound
	case len(s.terms) == 1:
		return s.unit * s.terms[0].halfWidth(confidence)
	}
	x, _ := s.search(confidence)
	return s.unit * x
}

// search returns the half width of two or more terms, in units of the largest, and how
// often it looked at the sum.
//
// The logarithm of the outside probability against log x is straight for
// heavy tails and gently bent for all others: secant steps from two
// guesses, kept between bounds.
func (s Sum) search(confidence float64) (x float64, looks int) {
	target := math.Log1p(-confidence)
	excess := func(x float64) float64 {
		looks++
		return math.Log(math.Max(1-s.within(x), 1e-300)) - target
	}
	low, high := 0.0, s.bound
	note := func(x, f float64) {
		if f > 0 {
			low = math.Max(low, x)
		} else {
			high = math.Min(high, x)
		}
	}
	z := distuv.UnitNormal.Quantile((1 + confidence) / 2)
	var squares float64
	for _, t := range s.terms {
		h := t.Scale * z // of a t term too: near enough for a guess
		if t.bounded() {
			h = t.halfWidth(confidence)
		}
		squares += h * h
	}
	last := math.Sqrt(squares)
	lastF := excess(last)
	note(last, lastF)
	x = last * 0.97
	for range 200 {
		f := excess(x)
		note(x, f)
		next := x * math.Exp(-f*math.Log(x/last)/(f-lastF))
		if math.Abs(next-x) <= 1e-7*x {
			x = next // a secant step leaves far less than it took
			break
		}
		if !(low < next && next < high) {
			next = math.Min((low+high)/2, 2*x)
		}
		last, lastF, x = x, f, next
	}
	return x, looks
}
