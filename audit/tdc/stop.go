package tdc

import (
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// stop finds TDC between the contacts with a positive stop, one on each side.
type stop struct{}

// find takes the middle of every usable pair of contacts.
func (stop) find(in input, setup *sheet.Setup) (*reached, []warning.Warning, inputerror.List) {
	found := &reached{}
	var warnings []warning.Warning
	var raw geometry.Angle
	for _, t := range setup.Trials {
		if (t.Forward == nil) != (t.Backward == nil) {
			warnings = append(warnings, warning.Warning{Code: warning.NoPartner, Setup: setup.Name})
		}
		if !t.Usable() {
			continue
		}
		m, h := in.readout.Pair(t)
		found.Middles = append(found.Middles, m)
		found.HalfArcs = append(found.HalfArcs, h)
		raw += m
		found.reach = found.reach.Plus(in.readout.Middle(t), 1)
	}
	if len(found.Middles) == 0 {
		return nil, append(warnings, warning.Warning{Code: warning.NoPair, Setup: setup.Name}), nil
	}
	var together bool
	if found.Middles, together = stats.Gather(found.Middles); !together {
		return nil, warnings, scattered(setup.Path + ".stop")
	}
	found.HalfArc = stats.MeanAngle(found.HalfArcs)
	var faults inputerror.List
	if in.hasCrank {
		found.Correction, faults = in.correction(setup.Path+".stop", found.HalfArc)
		found.PerDegree = in.crank.DropPerDegree(found.HalfArc)
	}
	in.settle(found)
	if in.sheet.Readout.Kind == sheet.Rim { // lengths count on from the chalk line
		found.Reading = nearest(found.Middle-in.readout.Counts()*found.Correction, raw/geometry.Angle(len(found.Middles)))
	}
	found.reach = found.reach.Over(float64(len(found.Middles)))
	found.reach.Wheel = complex(math.Cos(found.HalfArc.Radians()), 0)
	if c := setup.Closing; c != nil {
		if (c.Forward == nil) != (c.Backward == nil) {
			warnings = append(warnings, warning.Warning{Code: warning.NoPartner, Setup: setup.Name, Names: []string{"closing"}})
		}
		if c.Usable() {
			moved, wrong := in.closing(setup.Path, *found, *c)
			found.Closing, faults = &moved, append(faults, wrong...)
		}
	}
	return found, warnings, faults
}

// closing compares the pair taken after the lines with the setup's own middle.
func (in input) closing(at inputerror.Path, found reached, c sheet.Trial) (geometry.Angle, inputerror.List) {
	m, h := in.readout.Pair(c)
	beta, faults := in.correction(at+".closing", h)
	moved := in.readout.Counts() * (in.topReading(m, beta) - found.Reading)
	return moved.Wrap(), faults
}
