package tdc

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// drifts asks of every setup whether its middles creep, in the order in which they
// were taken. The half arcs, which do not feel a readout that creeps, lend their
// scatter; those of drops differ by design. The chance is counted over all setups
// that were asked (Bonferroni; NIST/SEMATECH e-Handbook, 7.4.7.3).
func drifts(f *Found, in input) {
	floor, asked := in.readout.Step().Degrees()/math.Sqrt(24), 0.0
	for i := range f.Setups {
		s := &f.Setups[i]
		var halfArcs []float64
		if s.Method == sheet.Stop {
			halfArcs = stats.Degrees(s.HalfArcs)
		}
		drift, _, dof, p := stats.Creep(stats.Degrees(s.Middles), halfArcs, floor)
		s.Drift, s.DriftP = geometry.Angle(drift), p
		if dof > 0 {
			asked++
		}
	}
	for i := range f.Setups {
		f.Setups[i].DriftP = math.Min(1, f.Setups[i].DriftP*math.Max(1, asked))
	}
}

// driftSeen is the significance at which middles are said to creep.
const driftSeen = 0.01

// doubtContacts warns of a stop in the dwell, and of middles or half arcs that
// creep or jump.
func doubtContacts(in input, f Found) (out []warning.Warning) {
	step := in.readout.Step()
	for _, s := range f.Setups {
		if h, in := s.dwell(); in {
			out = append(out, warning.Warning{Code: warning.StopInDwell, Setup: s.Name, Values: []float64{2 * h.Degrees()}})
		}
		if s.DriftP < driftSeen && !followsHalfArc(f, s) {
			out = append(out, warning.Warning{Code: warning.MiddlesDrift, Setup: s.Name, Values: []float64{s.Drift.Degrees()}})
		}
		if s.Method != sheet.Stop { // drops have half arcs of their own
			continue
		}
		n := float64(len(s.HalfArcs))
		if n < 3 {
			continue
		}
		slope, se := stats.Slope(stats.Degrees(s.HalfArcs))
		drift := slope * (n - 1)
		if math.Abs(slope) > stats.TQuantile(0.995, n-2)*se && math.Abs(drift) > (step/2+geometry.Tie).Degrees() {
			out = append(out, warning.Warning{Code: warning.HalfArcCreeps, Setup: s.Name, Values: []float64{drift}})
			continue
		}
		// An honest stop scatters its half arcs as it does its middles: both are
		// made of the same two contacts.
		scatter := math.Max(s.Scatter.Degrees(), step.Degrees()/math.Sqrt(24))
		lo, hi := stats.Extremes(s.HalfArcs)
		if hi-lo > step+geometry.Tie &&
			math.Pow(s.HalfArcSD.Degrees()/scatter, 2) > stats.FQuantile(0.01, n-1, s.ScatterDOF) {
			out = append(out, warning.Warning{Code: warning.HalfArcJumps, Setup: s.Name, Values: []float64{(hi - lo).Degrees()}})
		}
	}
	return out
}

// followsHalfArc reports whether the middles of a setup's drops were seen to follow
// the half arc. Taken from the smallest drop to the largest they then change in
// order of time too, and one word is enough.
func followsHalfArc(f Found, s Setup) bool {
	return slices.ContainsFunc(f.Warnings, func(w warning.Warning) bool {
		return w.Code == warning.DropsTrend && w.Setup == s.Name
	})
}
