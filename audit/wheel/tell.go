package wheel

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// tell writes what was fitted into the result.
func (f *fitted) tell(r *Result) {
	base, highest := f.base(), f.orders[f.k-1]
	r.Sine, r.Cosine = make([]geometry.Angle, highest), make([]geometry.Angle, highest)
	r.Known, r.DOF, r.FromStep = f.known, f.dof, f.fromStep
	r.cov = make([][]float64, 2*f.k)
	for i := range r.cov {
		r.cov[i] = make([]float64, 2*f.k)
		for j := range r.cov[i] {
			r.cov[i][j] = f.variance * f.cofactor(base+i, base+j)
		}
	}
	for i := range f.k {
		k := f.orders[i]
		s, c := f.beta[base+2*i], f.beta[base+2*i+1]
		r.Sine[k-1], r.Cosine[k-1] = geometry.Angle(s), geometry.Angle(c)
		r.Harmonics = append(r.Harmonics, harmonic(k, s, c, r.cov[2*i][2*i], r.cov[2*i][2*i+1], r.cov[2*i+1][2*i+1], f.dof))
	}
	r.extremes()
	if f.leftDOF >= 1 {
		r.Residual = geometry.Angle(math.Sqrt(f.left / f.leftDOF))
	}
	if f.way {
		n := f.mountings
		r.LostMotion = &LostMotion{
			Value: geometry.Angle(math.Abs(f.beta[n])), Reversal: geometry.Angle(f.beta[n]),
			Standard: geometry.Angle(math.Sqrt(f.within * f.cofactor(n, n))), DOF: f.withinDOF,
		}
	}
	r.StandsOut = f.standsOut()
}

// cofactor is an element of the covariance of the coefficients for a variance
// of one.
func (f *fitted) cofactor(i, j int) float64 {
	n, _ := f.inverse.Dims()
	var sum float64
	for k := max(i, j); k < n; k++ {
		sum += f.inverse.At(i, k) * f.inverse.At(j, k)
	}
	return sum
}

// harmonic turns S sin kR + C cos kR into an amplitude and a phase. The
// uncertainty is that along the phase (JCGM 100, 5.2.2); P is Hotelling's, for
// both coefficients together.
func harmonic(k int, s, c, ss, sc, cc, dof float64) Harmonic {
	h := Harmonic{Order: k, Amplitude: geometry.Angle(math.Hypot(s, c)), P: math.NaN()}
	h.Phase = geometry.AngleFromRadians(math.Atan2(-c, s)).Turn()
	a := h.Amplitude.Degrees()
	variance := (ss + cc) / 2
	if a > 0 {
		variance = (s*s*ss + 2*s*c*sc + c*c*cc) / (a * a)
	}
	h.Standard = geometry.Angle(math.Sqrt(math.Max(0, variance)))
	if det := ss*cc - sc*sc; det > 0 {
		h.P = stats.FSurvival((s*s*cc-2*s*c*sc+c*c*ss)/det/2, 2, dof)
	}
	return h
}

// Seen reports whether an order is more than scatter, at 5 %.
func (h Harmonic) Seen() bool { return h.P <= 0.05 }

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

// Expanded is the uncertainty of ErrorAt with 95 % coverage.
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
	return geometry.Angle(r.Coverage() * math.Sqrt(math.Max(0, variance)))
}

// Coverage is the factor by which a standard uncertainty of the harmonics is
// multiplied for 95 % coverage.
func (r Result) Coverage() float64 { return stats.TQuantile(0.975, math.Max(1, r.DOF)) }

// extremes finds the range of the curve and its largest magnitude, good to 1e-6
// of the range.
func (r *Result) extremes() {
	low, _ := r.extreme(1, -1)
	high, at := r.extreme(1, 1)
	r.PeakToPeak = high - low
	r.Largest, r.LargestAt = high.Abs(), at
	if _, at := r.extreme(1, -1); low.Abs() > high.Abs() {
		r.Largest, r.LargestAt = low.Abs(), at
	}
}

// extreme is the highest (sign 1) or lowest (sign -1) value of the orders from
// one on, and where it is: on a grid, with a parabola through the neighbours.
func (r Result) extreme(order int, sign geometry.Angle) (value, at geometry.Angle) {
	const n = 3600
	const h = geometry.Angle(360) / n
	best := 0
	value = sign * geometry.Angle(math.Inf(-1))
	for i := range n {
		if v := r.errorFrom(order, geometry.Angle(i)*h); sign*v > sign*value {
			value, best = v, i
		}
	}
	at = geometry.Angle(best) * h
	before, after := r.errorFrom(order, at-h), r.errorFrom(order, at+h)
	if bend := before - 2*value + after; bend != 0 {
		at += h * (before - after) / (2 * bend)
		at = at.Turn()
		value = r.errorFrom(order, at)
	}
	return value, at
}

// standsOut tests the largest studentized residual against Student's t, with
// the probability shared among all (R. D. Cook and S. Weisberg, Residuals and
// Influence in Regression (1982), 2.2.2). Points of one graduation are taken
// together, except where remounting turns the graduations.
func (f *fitted) standsOut() *Station {
	if f.binned {
		return nil
	}
	units := make([]unit, 0, len(f.points))
	place := map[int]int{} // only looked up
	n := len(f.beta)
	x := make([]float64, n)
	for i, p := range f.points {
		at, ok := place[p.cluster]
		if !ok || f.labelled {
			at = len(units)
			place[p.cluster] = at
			units = append(units, unit{x: make([]float64, n), point: p})
		}
		f.columns(p, x)
		u := &units[at]
		u.weight += p.weight
		u.residual += p.weight * f.residuals[i]
		for j := range x {
			u.x[j] += p.weight * x[j]
		}
	}
	dof := float64(len(units) - f.used(f.k))
	if f.labelled {
		dof = float64(len(units) - n)
	}
	if dof < 2 {
		return nil
	}
	var all float64
	for i := range units {
		u := &units[i]
		u.residual /= u.weight
		for j := range u.x {
			u.x[j] /= u.weight
		}
		all += u.weight * u.residual * u.residual
	}
	if math.Sqrt(all/dof) < negligible {
		return nil
	}
	var worst *unit
	var largest float64
	for i := range units {
		u := &units[i]
		u.free = 1 - u.weight*f.leverage(u.x)
		if u.free < dependent {
			continue // it alone determines something: nothing contradicts it
		}
		own := u.weight * u.residual * u.residual / u.free
		if t2 := own / ((all - own) / (dof - 1)); t2 > largest || all-own <= 0 {
			largest, worst = t2, u
			if all-own <= 0 {
				largest = math.Inf(1)
			}
		}
	}
	if worst == nil {
		return nil
	}
	p := math.Min(1, float64(len(units))*stats.FSurvival(largest, 1, dof-1))
	if p > standsOut {
		return nil
	}
	s := &Station{
		Reference: geometry.Angle(worst.reference), Reading: geometry.Angle(worst.position),
		By: geometry.Angle(worst.residual / worst.free), Probability: p,
	}
	if f.mountings > 1 {
		s.Mounting = f.names[worst.mounting]
	}
	return s
}

// unit is what is judged as one.
type unit struct {
	point
	x                      []float64
	weight, residual, free float64
}

// leverage is x'(X'X)⁻¹x.
func (f *fitted) leverage(x []float64) float64 {
	var sum float64
	for k := range x {
		var z float64
		for i := 0; i <= k; i++ {
			z += x[i] * f.inverse.At(i, k)
		}
		sum += z * z
	}
	return sum
}
