package audit

import (
	"math"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// leastResultant is the mean resultant length below which readings of one thing
// lie so far round the circle that their mean means nothing. Readings within
// ±60° of each other keep it.
const leastResultant = 0.5

const tie = geometry.Tie

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

// contacts takes the middle of every usable pair of a stop.
func (a *analysis) contacts(setup *sheet.Setup, found *SetupTDC) bool {
	var raw geometry.Angle
	for _, t := range setup.Trials {
		if (t.Forward == nil) != (t.Backward == nil) {
			a.warn(Warning{Code: NoPartner, Setup: setup.Name})
		}
		if !t.Usable() {
			continue
		}
		m, h := a.sheet.Readout.Counts.Middle(a.value(t.Forward), a.value(t.Backward))
		found.Middles = append(found.Middles, m)
		found.HalfArcs = append(found.HalfArcs, h)
		raw += m
		found.reach = found.reach.plus(a.pairReach(t), 1)
	}
	if len(found.Middles) == 0 {
		a.warn(Warning{Code: NoPair, Setup: setup.Name})
		return false
	}
	var together bool
	if found.Middles, together = gather(found.Middles); !together {
		a.faultf(setup.Path+".stop", "the middles of the pairs lie all round the circle, expected them within a few degrees of each other",
			"press no zero between pairs; begin a new setup after one")
		return false
	}
	found.HalfArc = mean(found.HalfArcs)
	if crank, ok := a.sheet.Engine.Crank(); ok {
		found.Correction = a.correction(setup.Path+".stop", crank, found.HalfArc)
		found.perDegree = crank.DropPerDegree(found.HalfArc)
	}
	a.settle(found)
	if a.sheet.Readout.Kind == sheet.Rim { // lengths count on from the chalk line
		found.Reading = nearest(found.Middle-geometry.Angle(a.sheet.Readout.Counts)*found.Correction, raw/geometry.Angle(len(found.Middles)))
	}
	found.reach = found.reach.over(float64(len(found.Middles)))
	found.reach.wheel = complex(math.Cos(found.HalfArc.Radians()), 0)
	if c := setup.Closing; c != nil && (c.Forward == nil) != (c.Backward == nil) {
		a.warn(Warning{Code: NoPartner, Setup: setup.Name, Names: []string{"closing"}})
	}
	if c := setup.Closing; c != nil && c.Usable() {
		found.Closing = a.closing(setup.Path, *found, *c)
	}
	return true
}

// settle takes the means and scatters of a setup's trials.
func (a *analysis) settle(found *SetupTDC) {
	found.Middle = mean(found.Middles)
	if ss, d := spread(found.Middles); d > 0 {
		found.MiddleSD = geometry.Angle(math.Sqrt(ss / d))
		ss, d = spread(found.HalfArcs)
		found.HalfArcSD = geometry.Angle(math.Sqrt(ss / d))
	}
	found.Reading = a.topReading(found.Middle, found.Correction)
}

// nearest is the turn of an angle that comes nearest to another.
func nearest(angle, to geometry.Angle) geometry.Angle {
	return geometry.Unwrap([]geometry.Angle{angle}, to)[0]
}

// topReading returns what the readout shows when the piston is highest.
func (a *analysis) topReading(middle, correction geometry.Angle) geometry.Angle {
	return a.shown(middle - geometry.Angle(a.sheet.Readout.Counts)*correction).Turn()
}

// correction returns beta for one half arc; a geometry that cannot reach it is
// the sheet's fault.
func (a *analysis) correction(at inputerror.Path, crank geometry.Crank, halfArc geometry.Angle) geometry.Angle {
	if crank.Offset == 0 {
		return 0
	}
	beta, err := crank.MidCorrection(halfArc)
	if err != nil {
		a.faultf(at, err.Error(), "check engine.stroke, engine.rod and the offsets")
	}
	return beta
}

// closing compares the pair taken after the marks with the setup's own middle.
func (a *analysis) closing(at inputerror.Path, found SetupTDC, c sheet.Trial) *geometry.Angle {
	m, h := a.sheet.Readout.Counts.Middle(a.value(c.Forward), a.value(c.Backward))
	var beta geometry.Angle
	if crank, ok := a.sheet.Engine.Crank(); ok {
		beta = a.correction(at+".closing", crank, h)
	}
	moved := geometry.Angle(a.sheet.Readout.Counts) * (a.topReading(m, beta) - found.Reading)
	moved = moved.Wrap()
	return &moved
}

// doubtContacts warns of a stop in the dwell, of half arcs that creep or jump,
// and of a middle that stands out.
func (a *analysis) doubtContacts() {
	step := a.sheet.Readout.Step
	for _, s := range a.result.TDC.Setups {
		for _, h := range s.depths() {
			if 2*h < geometry.DwellArc {
				a.warn(Warning{Code: StopInDwell, Setup: s.Name, Values: []float64{2 * h.Degrees()}})
				break
			}
		}
		a.flag(s.Name, "", s.Middles)
		if s.Method != sheet.Stop { // drops have half arcs of their own
			continue
		}
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
		scatter := math.Max(s.scatter.Degrees(), step.Degrees()/math.Sqrt(24))
		lo, hi := extremes(s.HalfArcs)
		if s.scatterDOF > 0 && hi-lo > step+tie &&
			math.Pow(s.HalfArcSD.Degrees()/scatter, 2) > stats.FQuantile(0.01, n-1, s.scatterDOF) {
			a.warn(Warning{Code: HalfArcJumps, Setup: s.Name, Values: []float64{(hi - lo).Degrees()}})
		}
	}
}

// depths are the half arcs at which a setup took its middles: one of a stop,
// those of the drops, none of a sweep.
func (s SetupTDC) depths() []geometry.Angle {
	switch s.Method {
	case sheet.Stop:
		return []geometry.Angle{s.HalfArc}
	case sheet.EqualDrop:
		return s.HalfArcs
	}
	return nil
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
