package tdc

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// doubtContacts warns of a stop in the dwell, of half arcs that creep or jump,
// and of a middle that stands out.
func doubtContacts(in input, f Found) (out []warning.Warning) {
	step := in.readout.Step()
	for _, s := range f.Setups {
		if h, in := s.dwell(); in {
			out = append(out, warning.Warning{Code: warning.StopInDwell, Setup: s.Name, Values: []float64{2 * h.Degrees()}})
		}
		if w, ok := warning.OfOutlier(s.Middles, step); ok {
			w.Setup = s.Name
			out = append(out, w)
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
		if s.ScatterDOF > 0 && hi-lo > step+geometry.Tie &&
			math.Pow(s.HalfArcSD.Degrees()/scatter, 2) > stats.FQuantile(0.01, n-1, s.ScatterDOF) {
			out = append(out, warning.Warning{Code: warning.HalfArcJumps, Setup: s.Name, Values: []float64{(hi - lo).Degrees()}})
		}
	}
	return out
}
