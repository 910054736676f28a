package tdc

import (
	"fmt"
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// join takes, for each cylinder of a mounting, the plain mean of the setups that
// found its TDC.
func join(f *Found, in input, all []reached, m *Mounting) {
	for i := range m.Tops {
		t := &m.Tops[i]
		t.Middle, t.Correction, _ = mean(t.Setups, all)
	}
	rank := in.sheet.Engine.Rank
	slices.SortStableFunc(m.Tops, func(x, y Top) int { return rank(x.Cylinder) - rank(y.Cylinder) })
}

// mean is the plain mean of some setups of one cylinder and mounting: the middle,
// its correction, and how the readout reaches it.
func mean(setups []int, all []reached) (middle, correction geometry.Angle, reach readout.Sensitivity) {
	k := float64(len(setups))
	middles := make([]geometry.Angle, len(setups))
	for i, f := range setups {
		middles[i] = all[f].Middle
	}
	middle = stats.MeanAngle(geometry.Unwrap(middles, middles[0]))
	for _, f := range setups {
		correction += all[f].Correction / geometry.Angle(k)
		reach = reach.Plus(all[f].reach, 1)
	}
	return middle, correction, reach.Over(k)
}

// enter gives a TDC everything that it depends on.
func enter(f *Found, in input, all []reached, m Mounting, t *Top) {
	_, _, reach := mean(t.Setups, all)
	t.Lost, t.Unsaid = reach.Lost, reach.Unsaid != 0
	t.At = combine(f, in, m, *t, reach)
	// The part of a setup by each way, for comparing the ways.
	for _, method := range []sheet.Method{sheet.Stop, sheet.EqualDrop, sheet.Sweep} {
		var some []int
		for _, i := range t.Setups {
			if all[i].Method == method {
				some = append(some, i)
			}
		}
		if len(some) == 0 {
			continue
		}
		one := Top{Cylinder: t.Cylinder, Setups: some}
		one.Middle, one.Correction, reach = mean(some, all)
		one.Lost, one.Unsaid = reach.Lost, reach.Unsaid != 0
		one.At = combine(f, in, m, one, reach)
		t.Ways = append(t.Ways, Way{Method: method, Top: one})
	}
}

// combine is a TDC with its inputs: what scatters and rounds, what the readout
// does, and the doubts of the contacts.
func combine(f *Found, in input, m Mounting, t Top, reach readout.Sensitivity) uncertainty.Combination {
	counts := in.readout.Counts()
	g := uncertainty.Group{Mountings: []string{m.Name}, Values: []geometry.Angle{counts*t.Middle - t.Correction}}
	var rounded, swept float64 // shares that round as the middle of two readings, and as the readings of a sweep
	for _, i := range t.Setups {
		s := f.Setups[i]
		weight := 1 / float64(len(t.Setups))
		g.Scatter = append(g.Scatter, s.scatterInput(weight))
		if s.Method == sheet.Sweep {
			swept += weight
		} else {
			rounded += weight
		}
	}
	half := in.readout.Step() / 2
	if rounded > 0 {
		g.Rounding = append(g.Rounding, uncertainty.By(uncertainty.Rounded(uncertainty.StepAtTDC, t.Cylinder, uncertainty.Triangular, half), rounded))
	}
	// Readings of a sweep that are evenly spaced by whole steps all round alike,
	// which no residual shows, so that a sweep rounds as the readings of one line do.
	if swept > 0 {
		g.Rounding = append(g.Rounding, uncertainty.By(uncertainty.Rounded(uncertainty.StepAtTDC, t.Cylinder+", swept", uncertainty.Rectangular, half), swept))
	}
	reach.Wheel *= readout.Phase(t.Middle - m.Origin(*in.sheet))
	return uncertainty.Combination{
		Groups: []uncertainty.Group{g},
		Inputs: append(in.readout.Inputs(reach), contactInputs(f, in, t)...),
	}
}

// scatterInput is the scatter of a setup's mean middle by its weight in a TDC.
func (s Setup) scatterInput(weight float64) uncertainty.Contribution {
	pool := s.Method.String()
	if s.Method == sheet.Sweep { // each has residuals of its own
		pool = ""
	}
	return uncertainty.By(uncertainty.Input{
		ID:    uncertainty.ID{Source: sourceOf(s.Method), Of: fmt.Sprintf("setup %d", s.Index+1)},
		Shape: uncertainty.StudentT, Scale: s.IntervalSD.Degrees(), DOF: uncertainty.DOF(s.IntervalDOF),
		N: max(s.Points, len(s.Middles)), Pool: pool,
	}, weight/math.Sqrt(float64(max(1, len(s.Middles)))))
}

// sourceOf names the scatter of a method in a budget.
func sourceOf(m sheet.Method) uncertainty.Source {
	return [...]uncertainty.Source{sheet.Stop: uncertainty.StopContacts, sheet.EqualDrop: uncertainty.EqualDrops, sheet.Sweep: uncertainty.SweepFit}[m]
}
