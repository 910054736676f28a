package wheel

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// ErrorAt is what the readout shows too much at a reading: the sum of the
// harmonics.
func (r Result) ErrorAt(reading geometry.Angle) geometry.Angle { return r.errorFrom(1, reading) }

func (r Result) errorFrom(order int, reading geometry.Angle) geometry.Angle {
	var e float64
	for k := order; k <= len(r.Sine); k++ {
		sin, cos := math.Sincos(float64(k) * reading.Radians())
		e += r.Sine[k-1].Degrees()*sin + r.Cosine[k-1].Degrees()*cos
	}
	return geometry.Angle(e)
}

// Expanded is the uncertainty of ErrorAt with 95 % coverage: a t row of the fit,
// and an arcsine one of the reference's largest error, for its errors too go round
// in harmonics (JCGM 101, 6.4.6).
func (r Result) Expanded(reading geometry.Angle) geometry.Angle {
	terms := make([]float64, 2*len(r.Harmonics))
	for i, h := range r.Harmonics {
		terms[2*i], terms[2*i+1] = math.Sincos(float64(h.Order) * reading.Radians())
	}
	var variance float64
	for i, row := range r.cov {
		for j, v := range row {
			variance += terms[i] * v * terms[j]
		}
	}
	standard := math.Sqrt(math.Max(0, variance))
	limit := r.referenceLimit()
	if limit == 0 {
		return geometry.Angle(r.Coverage() * standard)
	}
	return geometry.Angle(uncertainty.NewSum([]uncertainty.Term{
		{Shape: uncertainty.StudentT, Scale: standard, DOF: math.Max(1, r.DOF)},
		{Shape: uncertainty.Arcsine, Scale: limit.Degrees()},
	}).HalfWidth(0.95))
}

// Coverage is the factor by which a standard uncertainty of the harmonics is
// multiplied for 95 % coverage.
func (r Result) Coverage() float64 { return stats.TQuantile(0.975, math.Max(1, r.DOF)) }

// extremes finds the range of the curve and its largest magnitude, good to 1e-6
// of the range.
func (r *Result) extremes() {
	low, lowAt := r.extreme(1, -1)
	high, highAt := r.extreme(1, 1)
	r.PeakToPeak = high - low
	r.Largest, r.LargestAt = high.Abs(), highAt
	if low.Abs() > high.Abs()+negligible { // of two alike the one that shows too much
		r.Largest, r.LargestAt = low.Abs(), lowAt
	}
}

const (
	grid    = 3600 // readings at which the curve is looked at
	quarter = grid / 4
)

// sines of the readings on the grid; those of their multiples lie on it too.
var sines = func() (out [grid]float64) {
	for i := range out {
		out[i] = math.Sin(2 * math.Pi * float64(i) / grid)
	}
	return out
}()

// onGrid is errorFrom at a reading on the grid, quick.
func (r Result) onGrid(order, i int) geometry.Angle {
	var e geometry.Angle
	for k := order; k <= len(r.Sine); k++ {
		e += r.Sine[k-1]*geometry.Angle(sines[k*i%grid]) + r.Cosine[k-1]*geometry.Angle(sines[(k*i+quarter)%grid])
	}
	return e
}

// extreme is the highest (sign 1) or lowest (sign -1) value of the orders from
// one on, and where it is: on a grid, with a parabola through the neighbours.
func (r Result) extreme(order int, sign geometry.Angle) (value, at geometry.Angle) {
	const h = geometry.Angle(360) / grid
	best := 0
	value = r.onGrid(order, 0)
	for i := range grid {
		if v := r.onGrid(order, i); sign*v > sign*value {
			value, best = v, i
		}
	}
	at = geometry.Angle(best) * h
	before, after := r.onGrid(order, best+grid-1), r.onGrid(order, best+1)
	if bend := before - 2*value + after; bend != 0 { // there is a curve
		at = (at + h*(before-after)/(2*bend)).Turn()
		value = r.errorFrom(order, at)
	}
	return value, at
}
