package audit

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// dwellArc is the blocked arc below which the stop sits where the piston hardly
// moves, so that a hair of height is a large angle: it goes as 1/sin. Common
// practice, no source.
const dwellArc geometry.Angle = 8

// leastResultant is the mean resultant length below which readings of one thing
// lie so far round the circle that their mean means nothing. Readings within
// ±60° of each other keep it.
const leastResultant = 0.5

// tie is the difference below which two angles count as equal. Readings lie on
// graduations, so thresholds in steps are met exactly, and the last digit of a
// sum must not choose.
const tie geometry.Angle = 1e-9

// pair is one trial: where its middle lies and half the arc that the stop blocks.
func pair(counts geometry.Sense, forward, backward geometry.Angle) (middle, halfArc geometry.Angle) {
	halfArc = counts.Arc(forward, backward) / 2
	return forward + geometry.Angle(counts)*halfArc, halfArc
}

// gather unwraps readings around their circular mean. It reports false when
// they lie all round the circle.
func gather(readings []geometry.Angle) ([]geometry.Angle, bool) {
	mean, resultant := geometry.CircularMean(readings)
	return geometry.Unwrap(readings, mean), resultant >= leastResultant
}

// degrees hands typed angles to the statistics, which know no units.
func degrees(angles []geometry.Angle) []float64 {
	out := make([]float64, len(angles))
	for i, a := range angles {
		out[i] = a.Degrees()
	}
	return out
}

func mean(angles []geometry.Angle) geometry.Angle {
	m, _ := stats.MeanStdDev(degrees(angles))
	return geometry.Angle(m)
}

// spread returns the sum of squared deviations from the mean and its degrees of
// freedom.
func spread(angles []geometry.Angle) (squares, dof float64) {
	if len(angles) < 2 {
		return 0, 0
	}
	dof = float64(len(angles) - 1)
	_, sd := stats.MeanStdDev(degrees(angles))
	return sd * sd * dof, dof
}

// findTDC takes the middle of every usable pair, setup by setup.
func (a *analysis) findTDC() {
	var squares, dof float64
	tdc := &TDC{}
	crank, hasCrank := a.sheet.Engine.Crank()
	if hasCrank {
		tdc.ThrowToTDC = crank.ThrowToTDC()
	}
	for i := range a.sheet.Setups {
		setup := &a.sheet.Setups[i]
		found := SetupTDC{Name: setup.Name, By: setup.By}
		for _, t := range setup.Trials {
			if (t.Forward == nil) != (t.Backward == nil) {
				a.warn(Warning{Code: NoPartner, Setup: setup.Name})
			}
			if !t.Usable() {
				continue
			}
			m, h := pair(a.sheet.Readout.Counts, t.Forward.Value, t.Backward.Value)
			found.Middles = append(found.Middles, m)
			found.HalfArcs = append(found.HalfArcs, h)
		}
		if len(found.Middles) == 0 {
			a.warn(Warning{Code: NoPair, Setup: setup.Name})
			continue
		}
		var together bool
		if found.Middles, together = gather(found.Middles); !together {
			a.faultf(setup.Path+".stop", "the middles of the pairs lie all round the circle, expected them within a few degrees of each other",
				"press no zero between pairs; begin a new setup after one")
			continue
		}
		found.Middle, found.HalfArc = mean(found.Middles), mean(found.HalfArcs)
		ss, d := spread(found.Middles)
		squares, dof = squares+ss, dof+d
		if d > 0 {
			found.MiddleSD = geometry.Angle(math.Sqrt(ss / d))
			ss, d = spread(found.HalfArcs)
			found.HalfArcSD = geometry.Angle(math.Sqrt(ss / d))
		}
		if hasCrank {
			found.Correction = a.correction(setup.Path, crank, found.HalfArc)
		}
		found.Reading = a.topReading(found.Middle, found.Correction)
		if c := setup.Closing; c != nil && (c.Forward == nil) != (c.Backward == nil) {
			a.warn(Warning{Code: NoPartner, Setup: setup.Name, Names: []string{"closing"}})
		}
		if c := setup.Closing; c != nil && c.Usable() {
			found.Closing = a.closing(setup.Path, found, *c, crank, hasCrank)
		}
		tdc.Trials += len(found.Middles)
		tdc.Setups = append(tdc.Setups, found)
		a.stations = append(a.stations, station{setup: setup, tdc: len(tdc.Setups) - 1})
	}
	if len(tdc.Setups) == 0 {
		return
	}
	if dof > 0 {
		tdc.Scatter, tdc.DOF = geometry.Angle(math.Sqrt(squares/dof)), dof
		if dof == 1 && len(tdc.Setups) < enough {
			a.warn(Warning{Code: TwoTrials})
		}
	} else if len(tdc.Setups) < enough { // from three on the setups show the scatter
		a.warn(Warning{Code: OneTrial})
	}
	a.result.TDC = tdc
	all := make([]int, len(tdc.Setups))
	for i := range all {
		all[i] = i
	}
	tdc.Budget = append(a.contactRepeats(all).stopRows(), a.contactRows(all)...)
	tdc.Standard, _ = tdc.Budget.Combined()
}

// topReading returns what the readout shows when the piston is highest.
func (a *analysis) topReading(middle, correction geometry.Angle) geometry.Angle {
	return (middle - geometry.Angle(a.sheet.Readout.Counts)*correction).Turn()
}

// correction returns beta for one half arc; a geometry that cannot reach it is
// the sheet's fault.
func (a *analysis) correction(at sheet.Path, crank geometry.Crank, halfArc geometry.Angle) geometry.Angle {
	if crank.Offset == 0 {
		return 0
	}
	beta, err := crank.MidCorrection(halfArc)
	if err != nil {
		a.faultf(at+".stop", err.Error(), "check engine.stroke, engine.rod and the offsets")
	}
	return beta
}

// closing compares the pair taken after the marks with the setup's own middle.
func (a *analysis) closing(at sheet.Path, found SetupTDC, c sheet.Trial, crank geometry.Crank, hasCrank bool) *geometry.Angle {
	m, h := pair(a.sheet.Readout.Counts, c.Forward.Value, c.Backward.Value)
	var beta geometry.Angle
	if hasCrank {
		beta = a.correction(at, crank, h)
	}
	moved := geometry.Angle(a.sheet.Readout.Counts) * (a.topReading(m, beta) - found.Reading)
	moved = moved.Wrap()
	return &moved
}

// contactRepeats counts what stands behind the mean middle of some setups.
func (a *analysis) contactRepeats(setups []int) repeats {
	tdc := a.result.TDC
	r := repeats{setups: len(setups), step: a.sheet.Readout.Step, stop: tdc.Scatter, stopDOF: tdc.DOF}
	for _, i := range setups {
		n := len(tdc.Setups[i].Middles)
		r.trials += n
		r.perStop += 1 / float64(n)
	}
	r.perStop /= float64(len(setups) * len(setups))
	return r
}

// contactRows are the doubts of a contact that no repetition shows: piston rock
// and offsets of which the side or the size is not known.
func (a *analysis) contactRows(setups []int) uncertainty.Budget {
	crank, ok := a.sheet.Engine.Crank()
	if !ok {
		return nil
	}
	var rows uncertainty.Budget
	k := float64(len(setups))
	if limit := a.sheet.Limits.Contact; limit.Half > 0 {
		var half float64
		for _, i := range setups {
			half += limit.Half.Millimetres() / (2 * crank.DropPerDegree(a.result.TDC.Setups[i].HalfArc).Millimetres()) / k
		}
		rows = append(rows, limitRow("contact height (rock)", geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: limit.K}, 1))
	}
	for _, o := range []struct {
		name string
		geometry.Limit[geometry.Length]
	}{
		{"pin offset", a.sheet.Engine.PinOffset.Limit},
		{"bore offset", a.sheet.Engine.BoreOffset.Limit},
	} {
		if o.Half == 0 {
			continue
		}
		var half float64
		for _, i := range setups {
			half += math.Abs(float64(a.throughOffset(crank, o.Half, i)-a.throughOffset(crank, -o.Half, i))) / 2 / k
		}
		rows = append(rows, limitRow(o.name, geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: o.K}, 1))
	}
	return rows
}

// throughOffset is the correction of every mark of a setup if the offset were
// larger by extra.
func (a *analysis) throughOffset(crank geometry.Crank, extra geometry.Length, setup int) geometry.Angle {
	crank.Offset += extra
	c := a.correction(a.stations[setup].setup.Path, crank, a.result.TDC.Setups[setup].HalfArc)
	if a.sheet.Engine.RefersToThrow {
		c += crank.ThrowToTDC()
	}
	return c
}

// limitRow turns a stated limit into a row that all marks share.
func limitRow(source string, l geometry.Limit[geometry.Angle], sensitivity float64) uncertainty.Row {
	row := uncertainty.Row{
		Source: source, Evaluation: uncertainty.TypeB, Shape: uncertainty.Rectangular,
		Scale: l.Half, DOF: math.Inf(1), Sensitivity: sensitivity, Shared: true,
	}
	if l.K > 0 {
		row.Shape, row.Scale = uncertainty.Normal, l.Standard()
	}
	return row
}

// doubtContacts warns of a stop in the dwell, of half arcs that creep or jump,
// and of a middle that stands out.
func (a *analysis) doubtContacts() {
	tdc := a.result.TDC
	step := a.sheet.Readout.Step
	for _, s := range tdc.Setups {
		if 2*s.HalfArc < dwellArc {
			a.warn(Warning{Code: StopInDwell, Setup: s.Name, Values: []float64{2 * s.HalfArc.Degrees()}})
		}
		a.flag(s.Name, "", s.Middles)
		n := float64(len(s.HalfArcs))
		if n < 3 {
			continue
		}
		arcs := degrees(s.HalfArcs)
		slope, se := stats.Slope(arcs)
		drift := slope * (n - 1)
		if math.Abs(slope) > stats.TQuantile(0.995, n-2)*se && math.Abs(drift) > (step/2+tie).Degrees() {
			a.warn(Warning{Code: HalfArcCreeps, Setup: s.Name, Values: []float64{drift}})
			continue
		}
		// An honest stop scatters its half arcs as it does its middles: both are
		// made of the same two contacts.
		scatter := math.Max(tdc.Scatter.Degrees(), step.Degrees()/math.Sqrt(24))
		lo, hi := extremes(s.HalfArcs)
		if tdc.DOF > 0 && hi-lo > step+tie &&
			math.Pow(s.HalfArcSD.Degrees()/scatter, 2) > stats.FQuantile(0.01, n-1, tdc.DOF) {
			a.warn(Warning{Code: HalfArcJumps, Setup: s.Name, Values: []float64{(hi - lo).Degrees()}})
		}
	}
}

func extremes(angles []geometry.Angle) (lo, hi geometry.Angle) {
	lo, hi = angles[0], angles[0]
	for _, a := range angles {
		lo, hi = min(lo, a), max(hi, a)
	}
	return lo, hi
}

// flag warns of one reading that stands out from its group: Grubbs at 5 %
// (ISO 5725-2, 7.3.4), and by more than two steps, for readings that round
// alike have no scatter to judge by. It drops nothing.
func (a *analysis) flag(setup, mark string, readings []geometry.Angle) {
	i, g, critical := stats.Grubbs(degrees(readings), 0.05)
	if i < 0 || g <= critical {
		return
	}
	others := mean(slices.Concat(readings[:i], readings[i+1:]))
	if (readings[i] - others).Abs() > 2*a.sheet.Readout.Step+tie {
		a.warn(Warning{Code: StandsOut, Setup: setup, Mark: mark, Values: []float64{readings[i].Degrees(), others.Degrees()}})
	}
}
