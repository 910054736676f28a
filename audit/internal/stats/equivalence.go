package stats

import "math"

// TSurvival returns the probability that Student's t with dof degrees of
// freedom exceeds t. dof may be a fraction and +Inf. A small probability keeps
// its digits.
func TSurvival(t, dof float64) float64 {
	tail := FSurvival(t*t, 1, dof) / 2
	if t < 0 {
		return 1 - tail
	}
	return tail
}

// Group is a number of values by their scatter: the standard deviation SD of N
// of them.
type Group struct {
	SD float64
	N  int
}

// Welch returns the standard error of a difference, or of any sum, of the means
// of groups, and its degrees of freedom.
//
//	se² = Σ s²/n,   dof = (Σ s²/n)² / Σ (s²/n)²/(n − 1)
//
// (B. L. Welch, Biometrika 34 (1947) 28; JCGM 100, G.4.1.) A single group has
// n - 1. Groups without any scatter have the degrees of freedom of all of them
// together. A group of one value adds no scatter that could be known: then the
// degrees of freedom are 0 and the standard error says nothing.
func Welch(groups ...Group) (standardError, dof float64) {
	var sum, all float64
	for _, g := range groups {
		if g.N < 2 {
			return 0, 0
		}
		sum += g.SD * g.SD / float64(g.N)
		all += float64(g.N - 1)
	}
	if sum == 0 {
		return 0, all
	}
	var inverse float64
	for _, g := range groups {
		share := g.SD * g.SD / float64(g.N) / sum
		inverse += share * share / float64(g.N-1)
	}
	return math.Sqrt(sum), 1 / inverse
}

// Equivalence is two one-sided tests of whether a value lies between two
// bounds (D. J. Schuirmann, J. Pharmacokinet. Biopharm. 15 (1987) 657). PLower
// is the probability of so large a value if the true one were at the lower
// bound, PUpper of so small a one if it were at the upper bound. The true value
// is between the bounds, at significance alpha, where both are at most alpha.
// Without scatter a probability is 0 or 1, and ½ on the bound itself.
func Equivalence(value, standardError, dof, lower, upper float64) (pLower, pUpper float64) {
	beyond := func(d float64) float64 {
		switch {
		case standardError > 0:
			return TSurvival(d/standardError, dof)
		case d == 0:
			return 0.5
		case d > 0:
			return 0
		}
		return 1
	}
	return beyond(value - lower), beyond(upper - value)
}

// VarianceRatioInterval returns the interval that holds the ratio of two true
// variances with the given confidence, from the ratio that was observed
// (NIST/SEMATECH e-Handbook, 1.3.5.9).
func VarianceRatioInterval(ratio, dof1, dof2, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	return ratio / FQuantile(tail, dof1, dof2), ratio * FQuantile(tail, dof2, dof1)
}

// Capability returns Cg and Cgk of a measuring device that reads one standard
// over and over: its spread, and its spread and bias together, against the
// width of the tolerance (type-1 study; ISO 22514-7).
//
//	Cg = 0.2 T / (6 s),   Cgk = (0.1 T − |bias|) / (3 s)
//
// A negative Cgk is a bias of more than a tenth of the width. Without scatter
// they are infinite.
func Capability(sd, bias, width float64) (cg, cgk float64) {
	return 0.2 * width / (6 * sd), (0.1*width - math.Abs(bias)) / (3 * sd)
}
