package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/internal/stats"
)

// within returns P(|X| ≤ x) of the single term, x ≥ 0 and below its bound, in closed
// form.
func (t Term) within(x float64) float64 {
	x /= t.Scale
	switch t.Shape {
	case Rectangular:
		return x
	case Triangular:
		return x * (2 - x)
	case Arcsine:
		return math.Asin(x) * (2 / math.Pi)
	case StudentT:
		return 1 - stats.FSurvival(x*x, 1, t.DOF)
	}
	return math.Erf(x / math.Sqrt2)
}

// halfWidth returns the x for which within is the confidence, between 0 and 1,
// both excluded.
func (t Term) halfWidth(confidence float64) float64 {
	switch t.Shape {
	case Rectangular:
		return t.Scale * confidence
	case Triangular:
		return t.Scale * confidence / (1 + math.Sqrt(1-confidence)) // 1 - √(1 - confidence) without its loss
	case Arcsine:
		return t.Scale * math.Sin(confidence*(math.Pi/2))
	case StudentT:
		return -t.Scale * stats.TQuantile((1-confidence)/2, t.DOF)
	}
	return -t.Scale * distuv.UnitNormal.Quantile((1-confidence)/2)
}
