package wheel

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

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
			units = append(units, unit{x: make([]float64, n), point: p, at: i})
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
	if p > standsOutAt {
		return nil
	}
	s := &Station{
		Reference: geometry.Angle(worst.reference), Reading: geometry.Angle(worst.position),
		By: geometry.Angle(worst.residual / worst.free), Probability: p, at: worst.at,
	}
	if f.mountings > 1 {
		s.Mounting = f.names[worst.mounting]
	}
	return s
}

// unit is what is judged as one.
type unit struct {
	point
	at                     int // into the points
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
