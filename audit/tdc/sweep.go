package tdc

import (
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// sweep finds TDC at the top of a curve through the heights of the piston.
type sweep struct{}

// find lays the curve of the slider-crank through a sweep.
func (sweep) find(in input, setup *sheet.Setup) (*reached, []warning.Warning, inputerror.List) {
	found := &reached{}
	var warnings []warning.Warning
	fit, ok := fitSweep(in.readout, in.crank, setup.Sweep)
	if ok {
		lo, hi := stats.Extremes(fit.crank)
		ok = lo < 0 && hi > 0
	}
	if !ok {
		return nil, []warning.Warning{{Code: warning.SweepNoTop, Setup: setup.Name}}, nil
	}
	var squares float64
	for _, t := range fit.crank {
		squares += stats.Square(t.Degrees()) / float64(len(fit.crank))
	}
	found.HalfArc = geometry.Angle(math.Sqrt(squares))
	found.Points = len(fit.crank)
	found.Scatter, found.ScatterDOF = fit.standard, fit.dof
	found.MiddleSD = fit.standard
	found.reach = readout.OneWay(setup.Sweep.Taken)
	var falling float64 // what a millimetre between the two limbs does
	for i, p := range fit.used {
		weight := fit.pull[i] * fit.jacobian.At(i, 0) // of an error of this reading
		found.reach = found.reach.Plus(in.readout.Reading(&p.Reading), weight)
		found.reach.Wheel += complex(weight, 0) * readout.Phase(p.Reading.Value-fit.top)
		side := 0.5
		if fit.crank[i] > 0 {
			falling += fit.pull[i]
			side = -side
		}
		if setup.Sweep.Taken == sheet.Rising { // lost motion cancels as far as the sides weigh alike
			found.reach.Lost += weight * side
		}
	}
	// Middle is what the readings show, with the lost motion in it that the curve was
	// freed of: lines are corrected for it as beside any other way.
	found.Middle = fit.top
	if setup.Sweep.Taken == sheet.Rising {
		found.Middle -= in.readout.Counts() * geometry.Angle(found.reach.Lost) * in.readout.Lost()
	}
	found.PerDegree = geometry.Length(1 / (2 * math.Abs(falling)))
	found.Correction = found.hang(in, setup.Sweep.Taken, math.Abs(falling))
	found.Reading = in.topReading(found.Middle, found.Correction)
	if setup.Sweep.Taken == sheet.Unknown {
		warnings = append(warnings, warning.Warning{Code: warning.ApproachUnsaid, Setup: setup.Name})
	}
	return found, append(warnings, doubtSweep(in, setup, fit)...), nil
}

// leastSide is the number of points that a sweep should have on either side of
// the top. Common practice, no source.
const leastSide = 3

// changeover is how far from the fitted top a point is on neither limb: the fitted
// top lies between the tops of two limbs that differ, and the bearings' load goes
// over anywhere near there. Common practice, no source.
const changeover geometry.Angle = 2

// doubtSweep asks whether both sides of the top were read, whether rising and
// falling limb lie at one height, and whether the curve has the crank's shape.
func doubtSweep(in input, setup *sheet.Setup, fit sweepFit) (out []warning.Warning) {
	before, after := 0, 0
	for _, t := range fit.crank {
		if t < 0 {
			before++
		} else {
			after++
		}
	}
	if min(before, after) < leastSide || max(before, after) > 3*min(before, after) {
		return []warning.Warning{{Code: warning.SweepOneSided, Setup: setup.Name, Values: []float64{float64(before), float64(after)}}}
	}
	limb := func(t geometry.Angle) (height float64, counts bool) {
		if t > 0 {
			height = 1
		}
		return height, t.Abs() > changeover
	}
	if size, seen := fit.misses(limb); seen {
		out = append(out, warning.Warning{Code: warning.LimbsDiffer, Setup: setup.Name, Values: []float64{size}})
	}
	// Rounding by half a step towards the top at either end makes the curve steeper
	// by a step over the larger angle, a drop going with the square of the angle.
	lo, hi := stats.Extremes(fit.crank)
	// Lost motion does so too, as far as it may be in the points: all of it where the
	// sheet does not say how they were come to.
	open := in.readout.Step()
	if setup.Sweep.Taken == sheet.Unknown {
		open += in.readout.Lost() + in.sheet.Readout.LostLimit.Half
	}
	rounding := (open / max(-lo, hi)).Degrees()
	if size, seen := fit.misses(func(t geometry.Angle) (float64, bool) { return in.crank.Drop(t).Millimetres(), true }); seen && math.Abs(size) > rounding {
		out = append(out, warning.Warning{Code: warning.SweepMisfit, Setup: setup.Name, Values: []float64{100 * size}})
	}
	return out
}
