package wheel

import (
	"math"
	"slices"

	"markaudit/geometry"
)

const (
	leastTargets = 5 // the fewest in the axis test of ISO 230-2 as it is used; common practice, no source
	leastRuns    = 2 // the standard asks for five
)

// Runs are the deviations at one target, approached from one direction.
type Runs struct {
	Mean, StdDev geometry.Angle
	N            int
}

// Axis holds the figures of ISO 230-2:2014 for a rotary axis, of which the
// readout is taken for the one under test: its reading less the reference, in
// the reference's sense of counting. NaN is a figure for which one direction is
// not enough.
type Axis struct {
	Targets, Runs                  int // Runs: the fewest at a target
	Reversal, MeanReversal         geometry.Angle
	RepeatForward, RepeatBackward  geometry.Angle
	Repeat                         geometry.Angle // R, the largest R_i
	SystematicForward              geometry.Angle // E of one direction
	SystematicBackward, Systematic geometry.Angle
	MeanSystematic                 geometry.Angle // M
	AccuracyForward                geometry.Angle // A of one direction
	AccuracyBackward, Accuracy     geometry.Angle
}

// EvaluateAxis computes the figures from the runs at the same targets, forward
// and backward; one of the two may be empty. (ISO 230-2:2014, clause 2 and 5;
// the formulas of Reversal to Accuracy are those for B, B̄, R, E, M and A.)
func EvaluateAxis(forward, backward []Runs) Axis {
	nan := geometry.Angle(math.NaN())
	a := Axis{
		Targets: max(len(forward), len(backward)), Runs: math.MaxInt,
		Reversal: nan, MeanReversal: nan, Repeat: nan, Systematic: nan, MeanSystematic: nan, Accuracy: nan,
	}
	for _, r := range slices.Concat(forward, backward) {
		a.Runs = min(a.Runs, r.N)
	}
	a.RepeatForward, a.SystematicForward, a.AccuracyForward = oneWay(forward)
	a.RepeatBackward, a.SystematicBackward, a.AccuracyBackward = oneWay(backward)
	if len(forward) == 0 || len(backward) == 0 {
		return a
	}
	a.Reversal, a.MeanReversal, a.Repeat = 0, 0, 0
	var middles []geometry.Angle
	for i, f := range forward {
		b := backward[i]
		reversal := f.Mean - b.Mean
		a.Reversal = max(a.Reversal, reversal.Abs())
		a.MeanReversal += reversal / geometry.Angle(len(forward))
		a.Repeat = max(a.Repeat, 2*f.StdDev+2*b.StdDev+reversal.Abs(), 4*f.StdDev, 4*b.StdDev)
		middles = append(middles, (f.Mean+b.Mean)/2)
	}
	both := slices.Concat(forward, backward)
	_, a.Systematic, a.Accuracy = oneWay(both)
	a.MeanSystematic = slices.Max(middles) - slices.Min(middles)
	return a
}

// oneWay returns the largest 4s, the range of the means and that of the means
// with two standard deviations on either side.
func oneWay(runs []Runs) (repeat, systematic, accuracy geometry.Angle) {
	if len(runs) == 0 {
		nan := geometry.Angle(math.NaN())
		return nan, nan, nan
	}
	low, high := runs[0].Mean, runs[0].Mean
	least, most := low-2*runs[0].StdDev, high+2*runs[0].StdDev
	repeat = 4 * runs[0].StdDev
	for _, r := range runs[1:] {
		repeat = max(repeat, 4*r.StdDev)
		low, high = min(low, r.Mean), max(high, r.Mean)
		least, most = min(least, r.Mean-2*r.StdDev), max(most, r.Mean+2*r.StdDev)
	}
	return repeat, high - low, most - least
}

// axisOf evaluates the targets of a table, or returns nil where there are too
// few, or one has too few runs in a direction in which others have them.
func axisOf(points []point, counts geometry.Sense) *Axis {
	var ways [2][]Runs
	for _, p := range points {
		way := 0
		if p.way < 0 {
			way = 1
		}
		n := p.reading.n
		if n < leastRuns {
			return nil
		}
		ways[way] = append(ways[way], Runs{
			Mean: geometry.Angle(float64(counts) * p.y), StdDev: geometry.Angle(math.Sqrt(p.pure / (n - 1))), N: int(n),
		})
	}
	forward, backward := ways[0], ways[1]
	if max(len(forward), len(backward)) < leastTargets || len(backward) > 0 && len(forward) > 0 && !paired(points) {
		return nil
	}
	a := EvaluateAxis(forward, backward)
	return &a
}

// paired reports whether the points, sorted by station, come in pairs of one
// station and two directions.
func paired(points []point) bool {
	for i := 0; i < len(points); i += 2 {
		if i+1 == len(points) || points[i].station != points[i+1].station || points[i].way*points[i+1].way >= 0 {
			return false
		}
	}
	return true
}
