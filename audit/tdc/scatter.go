package tdc

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// shareScatter pools the scatter of the middles over the setups of one way. A
// sweep has its own. Scatter and DOF tell of the way that most trials used.
func (f *Found) shareScatter(all []reached) {
	most := 0
	for _, method := range []sheet.Method{sheet.Stop, sheet.EqualDrop} {
		squares, dof, trials := 0.0, 0.0, 0
		for _, s := range all {
			if s.Method == method {
				ss, d := stats.Spread(s.Middles)
				squares, dof, trials = squares+ss, dof+d, trials+len(s.Middles)
			}
		}
		sd := geometry.Angle(0)
		if dof > 0 {
			sd = geometry.Angle(math.Sqrt(squares / dof))
		}
		for i := range all {
			if all[i].Method == method {
				all[i].Scatter, all[i].ScatterDOF = sd, dof
			}
		}
		if trials > most {
			most, f.Scatter, f.DOF = trials, sd, dof
		}
	}
	if most > 0 {
		return
	}
	var squares float64 // sweeps alone: that of the typical one
	for _, s := range all {
		squares, f.DOF = squares+s.ScatterDOF*stats.Square(s.Scatter.Degrees()), f.DOF+s.ScatterDOF
	}
	f.Scatter = geometry.Angle(math.Sqrt(squares / f.DOF))
}
