package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// From these degrees of freedom on the incomplete beta function loses more
// digits than the limiting distribution leaves out: t is expanded about the
// normal distribution, F taken as chi-square.
const (
	manyForT = 1e4
	manyForF = 1e8
)

// TQuantile returns the value below which Student's t with dof degrees of
// freedom falls with probability p. dof may be a fraction and +Inf, which is
// the normal distribution; p is between 0 and 1, both excluded. For a far
// upper tail pass the small probability and negate, as 1 - p has lost digits.
// Good to 1e-10 of itself for dof from 1.
func TQuantile(p, dof float64) float64 {
	if p > 0.5 {
		return -TQuantile(1-p, dof)
	}
	if dof < manyForT {
		if p < 1e-4 { // gonum loses digits: at dof 245, 2 % of a tail of 1e-13
			return -math.Sqrt(FQuantile(2*p, 1, dof))
		}
		return distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(p)
	}
	z := distuv.UnitNormal.Quantile(p)
	z2 := z * z
	// Abramowitz and Stegun 26.7.5; what is left out is of order dof⁻⁴.
	return z + z*(z2+1)/(4*dof) + z*((5*z2+16)*z2+3)/(96*dof*dof) +
		z*(((3*z2+19)*z2+17)*z2-15)/(384*dof*dof*dof)
}

// ChiSquaredQuantile returns the value that chi-square with dof degrees of
// freedom exceeds with probability upperTail, between 0 and 1, both excluded.
func ChiSquaredQuantile(upperTail, dof float64) float64 {
	return 2 * mathext.GammaIncRegCompInv(dof/2, upperTail)
}

// FSurvival returns the probability that F with d1 and d2 degrees of freedom
// exceeds x; a small probability keeps its digits. d2 may be +Inf, which is
// chi-square over its degrees of freedom. The two-sided probability of
// Student's t is FSurvival(t*t, 1, dof). Good to 1e-9 of itself up to d2 = 1e6.
func FSurvival(x, d1, d2 float64) float64 {
	if !(x > 0) {
		return 1
	}
	if d2 > manyForF {
		return mathext.GammaIncRegComp(d1/2, d1*x/2)
	}
	if x < 1 { // the argument below would be 1 but for its last digits
		return 1 - mathext.RegIncBeta(d1/2, d2/2, d1*x/(d2+d1*x))
	}
	return mathext.RegIncBeta(d2/2, d1/2, d2/(d2+d1*x))
}

// FQuantile returns the value that F with d1 and d2 degrees of freedom exceeds
// with probability upperTail, between 0 and 1, both excluded. d2 may be +Inf.
// Good to 1e-9 of itself up to d2 = 1e6, far tails included, and to 1e-6 above.
func FQuantile(upperTail, d1, d2 float64) float64 {
	if d2 > manyForF {
		return ChiSquaredQuantile(upperTail, d1) / d1
	}
	if upperTail > 0.5 { // the probability to match is then the small one again
		return 1 / FQuantile(1-upperTail, d2, d1)
	}

	// Newton on log(tail/upperTail) against log x, where the tail is close to
	// a straight line; bisection keeps it between bounds. Twelve steps are the most that
	// it was seen to need.
	logBeta := mathext.Lbeta(d1/2, d2/2)
	low, high := -800.0, 800.0
	y := 0.0
	for range 30 {
		x := math.Exp(y)
		s := FSurvival(x, d1, d2)
		f := math.Log(s / upperTail)
		if f > 0 {
			low = y
		} else {
			high = y
		}
		// d log S/d log x = -x f(x)/S(x), the density written by the beta function.
		w := -math.Log1p(d1 * x / d2) // log of d2/(d2 + d1 x)
		v := y + math.Log(d1/d2) + w  // log of d1 x/(d2 + d1 x)
		slope := -math.Exp(d2/2*w+d1/2*v-logBeta) / s
		next := y - f/slope
		if !(low <= next && next <= high) { // a root that is hit is a bound
			next = (low + high) / 2
		}
		moved := math.Abs(next - y)
		y = next
		if moved <= 1e-15*math.Max(1, math.Abs(y)) {
			break
		}
	}
	return math.Exp(y)
}
