package stats

import "math"

// MandelH returns the critical value of Mandel's h for p means at significance
// alpha, two-sided (ISO 5725-2, 7.3.1 and table 6):
//
//	h = (x̄ᵢ - x̄)/s(x̄),  critical = (p - 1) t/√(p (t² + p - 2)),  t at alpha/2 with p - 2
//
// It panics with fewer than three means, of which none can stand out.
func MandelH(p int, alpha float64) (critical float64) {
	if p < 3 {
		panic("stats: Mandel's h of fewer than three means")
	}
	n := float64(p)
	t := TQuantile(alpha/2, n-2)
	return -(n - 1) * t / math.Sqrt(n*(t*t+n-2))
}

// MandelK returns the critical value of Mandel's k, a standard deviation with
// own degrees of freedom over the one pooled from it and the others, at
// significance alpha (ISO 5725-2, 7.3.1 and table 6). With p alike, own = n - 1
// and others = (p - 1)(n - 1), it is
//
//	critical = √(p F/(F + p - 1)),  F at upper alpha with (own, others)
//
// and otherwise the same with degrees of freedom as weights. It panics unless
// both are positive.
func MandelK(own, others, alpha float64) (critical float64) {
	if !(own > 0 && others > 0) {
		panic("stats: Mandel's k without degrees of freedom")
	}
	f := FQuantile(alpha, own, others)
	return math.Sqrt((own + others) * f / (own*f + others))
}

// DeviationFactors returns what a standard deviation with dof degrees of freedom
// is multiplied by for the ends of its interval at a confidence, from chi-square
// (NIST/SEMATECH e-Handbook, 1.3.5.8). dof may be a fraction above zero.
func DeviationFactors(dof, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	return math.Sqrt(dof / ChiSquaredQuantile(tail, dof)), math.Sqrt(dof / ChiSquaredQuantile(1-tail, dof))
}

// Term is a mean square with its degrees of freedom and the positive weight that
// it has in a variance.
type Term struct{ Weight, MeanSquare, DOF float64 }

// SumLimits returns the ends of the interval, at a confidence, for a variance
// that is a sum of independent mean squares with positive weights, by modified
// large sample limits: exact for a single term, and else close (Graybill and
// Wang, J. Am. Stat. Assoc. 75 (1980) 869; Burdick and Graybill, Confidence
// Intervals on Variance Components (1992), 3.2).
func SumLimits(terms []Term, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	var sum, below, above float64
	for _, t := range terms {
		v := t.Weight * t.MeanSquare
		g, h := modified(t.DOF, tail)
		sum, below, above = sum+v, below+g*g*v*v, above+h*h*v*v
	}
	return math.Max(0, sum-math.Sqrt(below)), sum + math.Sqrt(above)
}

// DifferenceLimits returns the same for the difference of two mean squares, for
// which zero is the least (Ting, Burdick, Graybill, Jeyaratnam and Lu, J. Stat.
// Comput. Simul. 35 (1990) 135; Burdick and Graybill, 3.3).
func DifferenceLimits(plus, minus Term, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	a, b := plus.Weight*plus.MeanSquare, minus.Weight*minus.MeanSquare
	g1, h1 := modified(plus.DOF, tail)
	g2, h2 := modified(minus.DOF, tail)
	f := FQuantile(tail, plus.DOF, minus.DOF)
	g12 := ((f-1)*(f-1) - g1*g1*f*f - h2*h2) / f
	f = FQuantile(1-tail, plus.DOF, minus.DOF)
	h12 := ((1-f)*(1-f) - h1*h1*f*f - g2*g2) / f
	below := g1*g1*a*a + h2*h2*b*b + g12*a*b
	above := h1*h1*a*a + g2*g2*b*b + h12*a*b
	low = a - b - math.Sqrt(math.Max(0, below))
	high = a - b + math.Sqrt(math.Max(0, above))
	return math.Max(0, low), math.Max(0, high)
}

// modified returns G and H of the modified large sample limits, for one tail.
func modified(dof, tail float64) (g, h float64) {
	return 1 - dof/ChiSquaredQuantile(tail, dof), dof/ChiSquaredQuantile(1-tail, dof) - 1
}
