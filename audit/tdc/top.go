package tdc

import (
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Height is what a dial in the plug hole knows of top dead centre: where the piston
// stands highest. It tells no angle.
type Height struct {
	Shown   geometry.Length // mean of what the dial shows there
	SD      geometry.Length // of one reading; zero for one
	N       int
	Pooled  geometry.Length  // standard deviation of one reading, over all setups
	DOF     float64          // of Pooled; zero when nothing repeats
	Closing *geometry.Length // the top once more, after the lines, less Shown; nil where it was not taken
}

// atTop finds the piston's highest point with the dial that is the readout. Every
// angle then counts from there, so that the readout shows zero at TDC.
type atTop struct{}

func (atTop) find(_ input, setup *sheet.Setup) (*reached, []warning.Warning, inputerror.List) {
	shown, n := setup.TopOf()
	if n == 0 {
		return nil, []warning.Warning{{Code: warning.NoPair, Setup: setup.Name}}, nil
	}
	found := &reached{}
	found.Height = &Height{Shown: shown, N: n}
	if ss, dof := stats.Spread(tops(setup)); dof > 0 {
		found.Height.SD = geometry.Length(math.Sqrt(ss / dof))
	}
	if c := setup.ClosingTop; c != nil && !c.Struck {
		apart := c.Length - shown
		found.Height.Closing = &apart
	}
	return found, nil, nil
}

// tops are the readings of the top that count, in millimetres.
func tops(setup *sheet.Setup) (out []geometry.Angle) {
	for _, r := range setup.Top {
		if !r.Struck {
			out = append(out, geometry.Angle(r.Length))
		}
	}
	return out
}

// heights completes what a dial found: one scatter for the tops of all setups, and
// for each mounting a TDC at zero. What the top is off by reaches every line by its
// own slope, so it stands with the lines.
func heights(f *Found, s sheet.Sheet, all []reached) {
	var squares, dof float64
	for _, a := range all {
		ss, d := stats.Spread(tops(&s.Setups[a.Index]))
		squares, dof = squares+ss, dof+d
	}
	for _, a := range all {
		if dof > 0 {
			a.Height.Pooled, a.Height.DOF = geometry.Length(math.Sqrt(squares/dof)), dof
		}
		f.Setups = append(f.Setups, a.Setup)
	}
	f.DOF = dof
	for i := range f.Mountings {
		m := &f.Mountings[i]
		for j := range m.Tops {
			m.Tops[j].At = uncertainty.Combination{Groups: []uncertainty.Group{{Mountings: []string{m.Name}, Values: []geometry.Angle{0}}}}
		}
	}
	switch {
	case len(f.Mountings) >= uncertainty.EnoughSetups:
	case dof == 0:
		f.Warnings = append(f.Warnings, warning.Warning{Code: warning.OneTrial})
	case dof == 1:
		f.Warnings = append(f.Warnings, warning.Warning{Code: warning.TwoTrials})
	}
}
