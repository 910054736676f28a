package plan

import (
	"fmt"
	"math"
	"slices"

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
	d.Correction, _ = crank.MidCorrection(p.halfArc) // for any crank of a sheet that was checked
	return d
}

// likely is what a line's readings are likely to show: a group with what rounds, and
// each scatter as a variance that is observed as χ² on its degrees of freedom.
type likely struct {
	uncertainty.Group
	several         bool // mountings held against each other: first is the variance of one
	first, second   seen // of middles, or of mountings; of readings
	perStop, perOwn float64
	stop, own       uncertainty.Input
}

// seen is a scatter that is still to be observed.
type seen struct{ variance, dof float64 }

// planned is what a line's readings are likely to show, in so many setups with so
// many pairs and readings in each.
func (p planner) planned(m sheet.Mark, scheme amount) likely {
	k, n, readings := float64(scheme.setups), float64(scheme.trials), float64(scheme.readings)
	step := p.sheet.Readout.Step
	q := step.Degrees()
	line, lineSeen := rounding(p.guess.Reading.Degrees(), q, readings)
	contact, contactSeen := rounding(p.guess.Middle.Degrees()*math.Sqrt2, q, n)
	middle, middleSeen := contact/2, contactSeen/2 // the mean of two
	l := likely{Group: uncertainty.Group{
		Values: make([]geometry.Angle, scheme.setups),
		Rounding: []uncertainty.Contribution{
			uncertainty.By(uncertainty.Rounded(uncertainty.StepAtTDC, "", uncertainty.Triangular, step/2), 1),
			uncertainty.By(uncertainty.Rounded(uncertainty.StepAtLine, m.Name, uncertainty.Rectangular, step/2), 1),
		},
	}}
	for i := range scheme.setups {
		l.Mountings = append(l.Mountings, fmt.Sprint(i+1))
	}
	if scheme.setups >= uncertainty.EnoughSetups {
		l.several, l.first = true, seen{stats.Square(p.guess.Remount.Degrees()) + line + middle, k - 1}
		return l
	}
	l.stop = uncertainty.Input{
		ID: uncertainty.ID{Source: uncertainty.StopContacts}, Shape: uncertainty.StudentT, N: scheme.setups * scheme.trials, Pool: "stop",
	}
	l.own = uncertainty.Input{
		ID: uncertainty.ID{Source: uncertainty.LineReadings, Of: m.Name}, Shape: uncertainty.StudentT, N: scheme.setups * scheme.readings, Pool: m.Name,
	}
	l.first, l.second = seen{middleSeen, k * (n - 1)}, seen{lineSeen, k * (readings - 1)}
	l.perStop, l.perOwn = math.Sqrt(1/(k*n)), math.Sqrt(1/(k*readings))
	if l.second.dof < lines.OwnDOF { // pooled over the lines
		l.second.dof *= float64(len(p.sheet.Marks))
		if len(p.sheet.Marks) > 1 {
			l.own.Source = uncertainty.LineReadingsPooled
		}
	}
	return l
}

// observed is the group where the scatters come out as these multiples of what they
// are: of a standard deviation, for middles or mountings and for readings.
func (l likely) observed(first, second float64) uncertainty.Group {
	g := l.Group
	if l.several {
		g.Values = make([]geometry.Angle, len(l.Values))
		// One such value among zeros has this standard deviation.
		g.Values[0] = geometry.Angle(first * math.Sqrt(l.first.variance*float64(len(l.Mountings))))
		return g
	}
	stop, own := l.stop, l.own
	stop.DOF, stop.Scale = uncertainty.DOF(l.first.dof), first*math.Sqrt(l.first.variance)
	own.DOF, own.Scale = uncertainty.DOF(l.second.dof), second*math.Sqrt(l.second.variance)
	g.Scatter = []uncertainty.Contribution{uncertainty.By(stop, l.perStop), uncertainty.By(own, l.perOwn)}
	return g
}

// line predicts what stands behind a line that is read from one side, with the
// scatters of a group.
func (p planner) line(m sheet.Mark, g uncertainty.Group) uncertainty.Combination {
	reach := readout.Sensitivity{Lost: 0.5, Wheel: readout.Phase(m.At.Turn()) - complex(math.Cos(p.halfArc.Radians()), 0)}
	inputs := readout.New(p.sheet).Inputs(reach)
	inputs = append(inputs, tdc.StopInputs(p.sheet, p.halfArc)...)
	return uncertainty.Combination{Groups: []uncertainty.Group{g}, Inputs: append(inputs, lines.Fixed(p.sheet, g.Mountings)...)}
}

// typical is what stands behind a line where every scatter comes out as it does on
// average.
func (p planner) typical(m sheet.Mark, scheme amount) uncertainty.Combination {
	l := p.planned(m, scheme)
	return p.line(m, l.observed(expected(l.first.dof), expected(l.second.dof)))
}

// u is the expanded uncertainty to expect of a line; +Inf where nothing repeats. It
// is the mean over what may be observed: the larger of scatter and step is wider on
// average than the larger of their averages.
func (p planner) u(m sheet.Mark, scheme amount) geometry.Angle {
	l := p.planned(m, scheme)
	if l.first.dof == 0 || !l.several && l.second.dof == 0 {
		return geometry.Angle(math.Inf(1))
	}
	second := make([]float64, 1) // several mountings show no scatter of readings
	if !l.several {
		second = multiples(l.second.dof)
	}
	var sum geometry.Angle
	first := multiples(l.first.dof)
	for _, a := range first {
		for _, b := range second {
			e, _ := p.line(m, l.observed(a, b)).Evaluate(p.sheet.Limits.Confidence)
			sum += e.Expanded
		}
	}
	return sum / geometry.Angle(len(first)*len(second))
}

// worst is the largest predicted U, and the first line that has it.
func (p planner) worst(scheme amount) (geometry.Angle, sheet.Mark) {
	at := p.sheet.Marks[0]
	u := p.u(at, scheme)
	if !p.linesDiffer() {
		return u, at
	}
	for _, m := range p.sheet.Marks[1:] {
		if x := p.u(m, scheme); x > u+geometry.Tie {
			u, at = x, m
		}
	}
	return u, at
}

// linesDiffer reports whether one line may be known worse than another.
func (p planner) linesDiffer() bool {
	return p.sheet.Readout.OffCentre > 0 || p.sheet.Readout.Correction != nil || p.sheet.Readout.Kind == sheet.Rim
}

// hides reports whether the step of the readout hides the scatter of middles or
// readings more often than not.
func (p planner) hides(m sheet.Mark, scheme amount) bool {
	rows, _ := p.typical(m, scheme).Budget()
	return slices.ContainsFunc(rows, func(r uncertainty.Row) bool { return r.Idle && r.Source.Scatters() })
}
