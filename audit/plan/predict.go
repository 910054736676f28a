package plan

import (
	"fmt"
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// depth is what a stop does at the planner's half arc.
func (p planner) depth(crank geometry.Crank) Depth {
	d := Depth{HalfArc: p.halfArc, Drop: crank.DropOfHalfArc(p.halfArc), PerDegree: crank.DropPerDegree(p.halfArc)}
	d.Rock = geometry.Angle(p.sheet.Limits.Contact.Half.Millimetres() / (2 * d.PerDegree.Millimetres()))
	if crank.Offset != 0 {
		if beta, err := crank.MidCorrection(p.halfArc); err == nil {
			d.Correction = beta
		}
	}
	return d
}

// planned is what a line's readings are likely to show, in so many setups with so
// many pairs and readings in each.
func (p planner) planned(m sheet.Mark, scheme amount) uncertainty.Group {
	k, n, readings := float64(scheme.setups), float64(scheme.trials), float64(scheme.readings)
	step := p.sheet.Readout.Step
	q := step.Degrees()
	line, lineSeen := rounding(p.guess.Reading.Degrees(), q, readings)
	contact, contactSeen := rounding(p.guess.Middle.Degrees()*math.Sqrt2, q, n)
	middle, middleSeen := contact/2, contactSeen/2 // the mean of two
	g := uncertainty.Group{
		Values: make([]geometry.Angle, scheme.setups),
		Rounding: []uncertainty.Contribution{
			uncertainty.By(uncertainty.Rounded(uncertainty.StepAtTDC, "", uncertainty.Triangular, step/2), 1),
			uncertainty.By(uncertainty.Rounded(uncertainty.StepAtLine, m.Name, uncertainty.Rectangular, step/2), 1),
		},
	}
	for i := range scheme.setups {
		g.Mountings = append(g.Mountings, fmt.Sprint(i+1))
	}
	if scheme.setups >= uncertainty.EnoughSetups {
		sd := expected(k-1) * math.Sqrt(stats.Square(p.guess.Remount.Degrees())+line+middle)
		g.Values[0] = geometry.Angle(sd * math.Sqrt(k)) // one such value among zeros has this standard deviation
		return g
	}
	stop := uncertainty.Input{
		ID: uncertainty.ID{Source: uncertainty.StopContacts}, Shape: uncertainty.StudentT, DOF: uncertainty.DOF(k * (n - 1)), N: scheme.setups * scheme.trials, Pool: "stop",
	}
	if stop.DOF > 0 {
		stop.Scale = expected(float64(stop.DOF)) * math.Sqrt(middleSeen)
	}
	own := uncertainty.Input{
		ID: uncertainty.ID{Source: uncertainty.LineReadings, Of: m.Name}, Shape: uncertainty.StudentT,
		DOF: uncertainty.DOF(k * (readings - 1)), N: scheme.setups * scheme.readings, Pool: m.Name,
	}
	if own.DOF < lines.OwnDOF { // pooled over the lines
		own.DOF *= uncertainty.DOF(len(p.sheet.Marks))
		if len(p.sheet.Marks) > 1 {
			own.Source = uncertainty.LineReadingsPooled
		}
	}
	if own.DOF > 0 {
		own.Scale = expected(float64(own.DOF)) * math.Sqrt(lineSeen)
	}
	g.Scatter = []uncertainty.Contribution{
		uncertainty.By(stop, math.Sqrt(1/(k*n))), uncertainty.By(own, math.Sqrt(1/(k*readings))),
	}
	return g
}

// line predicts what stands behind a line that is read from one side.
func (p planner) line(m sheet.Mark, scheme amount) uncertainty.Combination {
	g := p.planned(m, scheme)
	reach := readout.Sensitivity{Lost: 0.5, Wheel: readout.Phase(m.At.Turn()) - complex(math.Cos(p.halfArc.Radians()), 0)}
	inputs := readout.New(p.sheet).Inputs(reach)
	inputs = append(inputs, tdc.StopInputs(p.sheet, p.halfArc)...)
	return uncertainty.Combination{Groups: []uncertainty.Group{g}, Inputs: append(inputs, lines.Fixed(p.sheet, g.Mountings)...)}
}

// u is the expanded uncertainty to expect of a line; +Inf where nothing repeats.
func (p planner) u(m sheet.Mark, scheme amount) geometry.Angle {
	e, _ := p.line(m, scheme).Evaluate(p.sheet.Limits.Confidence)
	if !e.Known {
		return geometry.Angle(math.Inf(1))
	}
	return e.Expanded
}

// worst is the largest predicted U, and the first line that has it.
func (p planner) worst(scheme amount) (geometry.Angle, sheet.Mark) {
	u, at := geometry.Angle(-1), p.sheet.Marks[0]
	for _, m := range p.sheet.Marks {
		if x := p.u(m, scheme); x > u+geometry.Tie {
			u, at = x, m
		}
	}
	return u, at
}
