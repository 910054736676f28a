package crosscheck

import (
	"math"

	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// closingPairs compares the closing pairs with the setups' own middles. A readout
// that moved between contacts and lines looks exactly like a slipped ring.
func closingPairs(in input, c *Checks) {
	tolerance := geometry.Angle(math.Inf(1))
	for _, l := range in.lines {
		tolerance = min(tolerance, l.Tolerance)
	}
	half := in.readout.Step() / 2
	for _, s := range in.top.Setups {
		if s.Closing == nil || math.IsInf(tolerance.Degrees(), 1) || s.Closing.Abs() <= tolerance/4+geometry.Tie {
			continue
		}
		scatter := uncertainty.Input{
			ID: uncertainty.ID{Source: uncertainty.StopContacts}, Shape: uncertainty.StudentT, Scale: s.Scatter.Degrees(), DOF: uncertainty.DOF(s.ScatterDOF),
		}
		g := uncertainty.Group{
			Mountings: []string{s.Name},
			Scatter:   []uncertainty.Contribution{uncertainty.By(scatter, math.Sqrt(1+1/float64(len(s.Middles))))},
			Rounding:  []uncertainty.Contribution{uncertainty.By(uncertainty.Rounded(uncertainty.StepAtTDC, "", uncertainty.Triangular, half), 1)},
		}
		rows, _ := uncertainty.Combination{Groups: []uncertainty.Group{g}}.Budget()
		if rows[0].Idle || !rows[0].Source.Scatters() { // the step counts, and both middles are rounded
			rows = append(rows, rows[len(rows)-1])
		}
		if s.Closing.Abs().Degrees() <= uncertainty.NewSum(rows.Terms()).HalfWidth(0.95) {
			continue
		}
		c.Moved = true
		c.warn(warning.Warning{Code: warning.ReadoutMoved, Setup: s.Name, Values: []float64{s.Closing.Degrees()}})
	}
}
