package uncertainty

import (
	"math"
	"slices"

	"markaudit/geometry"
)

// Row is one source in a budget, in degrees of crank angle.
type Row struct {
	Source      Source
	Shape       Shape
	Scale       geometry.Angle // half width of a bounded source; standard deviation of the mean otherwise
	N           int            // number of readings behind a row that scatters, otherwise 0
	DOF         DOF
	Sensitivity float64
	Idle        bool // shown, but takes no part: the other of two rows was taken
}

// Term returns the row's contribution to the sum.
func (r Row) Term() Term {
	return Term{Shape: r.Shape, Scale: math.Abs(float64(r.Scale) * r.Sensitivity), DOF: float64(r.DOF)}
}

// Standard returns the row's standard uncertainty: |sensitivity| times the
// scale over 1, √3, √6 or √2 (JCGM 100, 4.3). An idle row contributes zero.
func (r Row) Standard() geometry.Angle {
	if r.Idle {
		return 0
	}
	return geometry.Angle(r.Term().Standard())
}

// Budget is the rows of one estimate in the order of entry.
type Budget []Row

// Terms returns the rows that take part, for the exact sum.
func (b Budget) Terms() []Term {
	out := make([]Term, 0, len(b))
	for _, r := range b {
		if !r.Idle {
			out = append(out, r.Term())
		}
	}
	return out
}

// mostDOF is the number of effective degrees of freedom from which a doubt counts as
// known: no readings show so many, they come of a scatter that is next to nothing.
const mostDOF = 1e6

// Combined returns the combined standard uncertainty (JCGM 100, 5.1.2) and the
// effective degrees of freedom (JCGM 100, G.4.1, Welch-Satterthwaite), +Inf
// when no row has any, or when they are more than a million.
func (b Budget) Combined() (u geometry.Angle, dof DOF) {
	var v, d float64
	for _, r := range b {
		s := float64(r.Standard())
		v += s * s
		if s > 0 && !r.DOF.Infinite() {
			d += s * s * s * s / float64(r.DOF)
		}
	}
	if v*v >= mostDOF*d {
		return geometry.Angle(math.Sqrt(v)), Known()
	}
	return geometry.Angle(math.Sqrt(v)), DOF(v * v / d)
}

// Shares returns each row's share of the variance, in the order of the rows.
// They add up to 1; all are 0 when the combined standard uncertainty is.
func (b Budget) Shares() []float64 {
	out := make([]float64, len(b))
	// Relative to the largest row, whose square can neither vanish nor overflow.
	var largest, sum float64
	for _, r := range b {
		largest = math.Max(largest, float64(r.Standard()))
	}
	if largest == 0 {
		return out
	}
	for i, r := range b {
		u := float64(r.Standard()) / largest
		out[i] = u * u
		sum += u * u
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// Scatter returns the rows that come from the scatter of readings and take part.
func (b Budget) Scatter() Budget {
	return slices.DeleteFunc(slices.Clone(b), func(r Row) bool { return !r.Source.Scatters() || r.Idle })
}

// Evaluation is how the row was evaluated: A from the scatter of readings, B by
// other means (JCGM 100, 4.2 and 4.3).
func (r Row) Evaluation() string {
	if r.Source.Scatters() {
		return "A"
	}
	return "B"
}
