package tdc

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/past"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// lend joins the scatter of stop contacts with that of earlier audits, where the sheet
// names them and today's readings do not object. Other ways of finding TDC have no
// past.
func lend(f *Found, s sheet.Sheet, all []reached) {
	var warnings []warning.Warning
	f.Past, warnings = past.For(s)
	f.Warnings = append(f.Warnings, warnings...)
	for i := range all {
		a := &all[i]
		a.IntervalSD, a.IntervalDOF = a.Scatter, a.ScatterDOF
		if f.Past.Of == nil || a.Method != sheet.Stop {
			continue
		}
		var joined stats.Scatter
		joined, f.Before = past.Lend(stats.Scatter{Variance: stats.Square(a.Scatter.Degrees()), DOF: a.ScatterDOF}, f.Past.Of.Middle())
		a.IntervalSD, a.IntervalDOF = geometry.Angle(math.Sqrt(joined.Variance)), joined.DOF
	}
	if f.Before.Objected {
		f.Warnings = append(f.Warnings, past.Objection(past.Middles, "", f.Before))
	}
}

// shareScatter pools the scatter of the middles over the setups of one way. A
// sweep has its own. Scatter and DOF tell of the way that most trials used.
func shareScatter(f *Found, all []reached) {
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
