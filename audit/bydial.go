package audit

import (
	"math"

	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// byDial tells the diagnosis how a dial moves its lines. A top that is off by so many
// millimetres puts each line off by its own slope, before TDC one way and after it the
// other. A line so close to TDC that its two sides differ is judged by itself, and
// tells nothing of the others.
func (in stages) byDial(e *diagnosis.Evidence) {
	e.QuarterTurn = true // nothing counts here
	e.Revolution = in.sheet.Readout.Revolution
	e.Move = make([]float64, len(in.lines))
	step := in.sheet.Readout.StepLength * in.sheet.Readout.Along()
	for j, l := range in.lines {
		if l.ByDial == nil || !l.ByDial.Firm {
			for i := range e.Offset {
				e.Offset[i][j], e.Own[i][j] = geometry.Angle(math.NaN()), geometry.Angle(math.NaN())
			}
			continue
		}
		e.Move[j] = float64(lines.DialSlope / l.ByDial.PerDegree)
		if l.ByDial.Side == geometry.BTDC {
			e.Move[j] = -e.Move[j]
		}
		for _, seen := range l.Seen {
			e.Own[seen.At.Mounting][j] = e.Scatter.OfLine(len(seen.Forward)+len(seen.Backward), geometry.Angle(step/l.ByDial.PerDegree))
		}
	}
}

// inDegrees is a drop in the degrees in which moves of a dial are told.
func inDegrees(drop geometry.Length) geometry.Angle { return geometry.Angle(drop / lines.DialSlope) }

// heightSD is the standard deviation of a top, for comparing.
func (in stages) heightSD(m tdc.Mounting) geometry.Angle {
	h, along := in.top.Setups[m.Tops[0].Setups[0]].Height, in.sheet.Readout.Along()
	step := in.sheet.Readout.StepLength / geometry.Length(math.Sqrt(12))
	return inDegrees(max(h.Pooled/geometry.Length(math.Sqrt(float64(h.N))), step) * along)
}

// topsAgain is the top that was read once more after the lines. It shows more where
// the dial moved so that every drop came out larger.
func (in stages) topsAgain(mounting int) []diagnosis.Pair {
	m := in.top.Mountings[mounting]
	setup := in.top.Setups[m.Tops[0].Setups[0]]
	h := setup.Height
	if h.Closing == nil {
		return nil
	}
	moved := *h.Closing * in.sheet.Readout.Along()
	if !in.counting(setup.Index) {
		moved = -moved
	}
	step := in.sheet.Readout.StepLength / geometry.Length(math.Sqrt(12))
	one := max(h.Pooled, step) * in.sheet.Readout.Along()
	sd := geometry.Angle(math.Hypot(inDegrees(one).Degrees(), in.heightSD(m).Degrees()))
	return []diagnosis.Pair{{
		Mounting: mounting, Kind: diagnosis.Closing, Value: inDegrees(moved), SD: sd, DOF: h.DOF + diagnosis.DOFAdded, AfterLines: true,
	}}
}

// counting reports whether the dial shows more as the piston sinks.
func (in stages) counting(setup int) bool {
	top, _ := in.sheet.Setups[setup].TopOf()
	var below geometry.Length
	for _, m := range in.sheet.Marks {
		for _, r := range in.sheet.Setups[setup].Marks[m.Name] {
			if !r.Struck && (r.Length-top).Abs() > below.Abs() {
				below = r.Length - top
			}
		}
	}
	return below >= 0
}
