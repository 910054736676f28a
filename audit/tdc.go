package audit

import (
	"math"
	"slices"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// station is one mounting of the readout. All its setups share a zero, so a
// second fitting of the stop is no remounting.
type station struct {
	mounting string
	setups   []*sheet.Setup
	tops     []*top // one for each cylinder in which TDC was found
}

// top is the TDC of one cylinder in one mounting.
type top struct {
	cylinder           string
	found              []int // indexes into TDC.Setups
	middle, correction geometry.Angle
	reach              reach
}

// mix is a weighted sum of TDCs, the weights to be divided by over.
type mix struct {
	tops []weighed
	over float64
}

type weighed struct {
	*top
	weight float64
}

func evenly(tops []*top) mix {
	m := mix{over: float64(len(tops))}
	for _, t := range tops {
		m.tops = append(m.tops, weighed{t, 1})
	}
	return m
}

// cylinder names the cylinder that a sheet's word stands for: the reference one
// where nothing is said.
func (a *analysis) cylinder(name string) string {
	if name != "" {
		return name
	}
	for _, c := range a.sheet.Engine.Cylinders {
		if c.TDC == 0 {
			return c.Name
		}
	}
	return ""
}

// rank orders cylinders as the sheet does, the reference one first, so that which
// one stands for a mounting does not hang on which was tried first.
func (a *analysis) rank(cylinder string) int {
	if cylinder == a.cylinder("") {
		return -1
	}
	return slices.IndexFunc(a.sheet.Engine.Cylinders, func(c sheet.Cylinder) bool { return c.Name == cylinder })
}

// declared is where the sheet says that a cylinder's TDC lies after that of the
// reference cylinder.
func (a *analysis) declared(cylinder string) geometry.Angle {
	for _, c := range a.sheet.Engine.Cylinders {
		if c.Name == cylinder {
			return c.TDC
		}
	}
	return 0
}

// findTDC finds TDC setup by setup, each by its own method, and joins setups
// that share a mounting.
func (a *analysis) findTDC() {
	tdc := &TDC{}
	if crank, ok := a.sheet.Engine.Crank(); ok {
		tdc.ThrowToTDC = crank.ThrowToTDC()
	}
	a.result.TDC = tdc
	for i := range a.sheet.Setups {
		setup := &a.sheet.Setups[i]
		found := SetupTDC{
			Name: setup.Name, By: setup.By, Mounting: setup.Mounting,
			Method: setup.Method, Cylinder: a.cylinder(setup.Cylinder), setup: setup,
		}
		var ok bool
		switch setup.Method {
		case sheet.EqualDrop:
			ok = a.drops(setup, &found)
		case sheet.Sweep:
			ok = a.sweep(setup, &found)
		default:
			ok = a.contacts(setup, &found)
		}
		at := a.station(setup)
		at.setups = append(at.setups, setup)
		if ok {
			tdc.Trials += len(found.Middles)
			tdc.Setups = append(tdc.Setups, found)
			at.add(found.Cylinder, len(tdc.Setups)-1)
		}
	}
	kept := a.stations[:0]
	for _, s := range a.stations {
		if len(s.tops) > 0 {
			kept = append(kept, s)
		}
	}
	a.stations = kept
	if len(tdc.Setups) == 0 {
		a.result.TDC = nil
		return
	}
	var all []*top
	for _, s := range a.stations {
		for _, t := range s.tops {
			a.join(t)
		}
		slices.SortStableFunc(s.tops, func(x, y *top) int { return a.rank(x.cylinder) - a.rank(y.cylinder) })
		all = append(all, s.tops[0])
	}
	a.scatterOfTDC()
	a.findRock()
	r := a.topRepeats(evenly(all), len(all))
	switch {
	case r.setups >= enough: // the setups show the scatter
	case !r.stopKnown():
		a.warn(Warning{Code: OneTrial})
	case r.stops.dof() == 1:
		a.warn(Warning{Code: TwoTrials})
	}
	tdc.Budget = append(r.stopRows(), a.contactRows(evenly(all))...)
	tdc.Standard, _ = tdc.Budget.Combined()
}

// station returns the mounting of a setup, a new one where it shares none.
func (a *analysis) station(setup *sheet.Setup) *station {
	if setup.Mounting != "" {
		for _, s := range a.stations {
			if s.mounting == setup.Mounting {
				return s
			}
		}
	}
	s := &station{mounting: setup.Mounting}
	a.stations = append(a.stations, s)
	return s
}

// add enters a setup's TDC under its cylinder.
func (s *station) add(cylinder string, found int) {
	if t := s.top(cylinder); t != nil {
		t.found = append(t.found, found)
		return
	}
	s.tops = append(s.tops, &top{cylinder: cylinder, found: []int{found}})
}

// top is the TDC of a cylinder, nil where it was not found in this mounting.
func (s *station) top(cylinder string) *top {
	for _, t := range s.tops {
		if t.cylinder == cylinder {
			return t
		}
	}
	return nil
}

// join takes the plain mean of the setups that found one cylinder's TDC in one
// mounting.
func (a *analysis) join(t *top) {
	tdc, k := a.result.TDC, float64(len(t.found))
	middles := make([]geometry.Angle, len(t.found))
	for i, f := range t.found {
		middles[i] = tdc.Setups[f].Middle
	}
	t.middle = mean(geometry.Unwrap(middles, middles[0]))
	var sum reach
	for _, f := range t.found {
		s := tdc.Setups[f]
		t.correction += s.Correction / geometry.Angle(k)
		sum = sum.plus(s.reach, 1)
	}
	t.reach = sum.over(k)
}

// scatterOfTDC pools the scatter of the middles over the setups of one method. A
// sweep has its own. TDC.Scatter and DOF tell of the method that most trials
// used.
func (a *analysis) scatterOfTDC() {
	tdc := a.result.TDC
	most := 0
	for _, method := range []sheet.Method{sheet.Stop, sheet.EqualDrop} {
		squares, dof, trials := 0.0, 0.0, 0
		for _, s := range tdc.Setups {
			if s.Method == method {
				ss, d := spread(s.Middles)
				squares, dof, trials = squares+ss, dof+d, trials+len(s.Middles)
			}
		}
		sd := geometry.Angle(0)
		if dof > 0 {
			sd = geometry.Angle(math.Sqrt(squares / dof))
		}
		for i := range tdc.Setups {
			if s := &tdc.Setups[i]; s.Method == method {
				s.scatter, s.scatterDOF = sd, dof
			}
		}
		if trials > most {
			most, tdc.Scatter, tdc.DOF = trials, sd, dof
		}
	}
	if most > 0 {
		return
	}
	var squares float64 // sweeps alone: that of the typical one
	for _, s := range tdc.Setups {
		squares, tdc.DOF = squares+s.scatterDOF*square(s.scatter.Degrees()), tdc.DOF+s.scatterDOF
	}
	tdc.Scatter = geometry.Angle(math.Sqrt(squares / tdc.DOF))
}

// topRepeats counts what stands behind a weighted sum of TDCs over some
// mountings.
func (a *analysis) topRepeats(m mix, setups int) repeats {
	r := repeats{setups: setups, step: a.sheet.Readout.Step}
	for _, t := range m.tops {
		for _, f := range t.found {
			s := a.result.TDC.Setups[f]
			weight := t.weight / float64(len(t.found))
			r.stops = r.stops.merge(repeated{
				source: sourceOf(s.Method), sd: s.scatter, dof: s.scatterDOF,
				n: max(s.Points, len(s.Middles)), per: weight * weight / float64(max(1, len(s.Middles))), more: s.Method != sheet.Sweep,
			})
			if s.Method == sheet.Sweep {
				r.swept += math.Abs(weight)
			} else {
				r.rounded += math.Abs(weight)
			}
		}
	}
	for i := range r.stops {
		r.stops[i].per /= m.over * m.over
	}
	r.rounded, r.swept = r.rounded/m.over, r.swept/m.over
	return r
}

// sourceOf names the scatter of a method in a budget.
func sourceOf(m sheet.Method) string {
	return [...]string{"stop contacts", "equal drops", "sweep fit"}[m]
}

// contactRows are the doubts of TDC that no repetition shows: piston rock,
// bearing slack, and offsets of which the side or the size is not known.
func (a *analysis) contactRows(m mix) uncertainty.Budget {
	crank, ok := a.sheet.Engine.Crank()
	if !ok {
		return nil
	}
	// sum is weighted over the mountings, and plain over the setups in each.
	sum := func(of func(s SetupTDC) float64) float64 {
		var total float64
		for _, t := range m.tops {
			for _, f := range t.found {
				total += t.weight * (of(a.result.TDC.Setups[f]) / float64(len(t.found))) / m.over
			}
		}
		return math.Abs(total)
	}
	limit := func(half float64, k float64) geometry.Limit[geometry.Angle] {
		return geometry.Limit[geometry.Angle]{Half: geometry.Angle(half), K: k}
	}
	var rows uncertainty.Budget
	if l := a.contactLimit(); l.Half > 0 {
		half := sum(func(s SetupTDC) float64 { return s.middleFor(l.Half) })
		rows = append(rows, limitRow(rowContact, limit(half, l.K), 1))
	}
	if l := a.sheet.Limits.Slack; l.Half > 0 && a.slackReaches(m) {
		half := sum(func(s SetupTDC) float64 {
			if !s.slack {
				return 0
			}
			return s.middleFor(l.Half)
		})
		rows = append(rows, limitRow("bearing slack", limit(half, l.K), 1))
	}
	for _, o := range []struct {
		name string
		geometry.Limit[geometry.Length]
	}{
		{rowPin, a.sheet.Engine.PinOffset.Limit},
		{rowBore, a.sheet.Engine.BoreOffset.Limit},
	} {
		if o.Half == 0 {
			continue
		}
		half := sum(func(s SetupTDC) float64 {
			return float64(a.throughOffset(crank, o.Half, s)-a.throughOffset(crank, -o.Half, s)) / 2
		})
		rows = append(rows, limitRow(o.name, limit(half, o.K), 1))
	}
	return rows
}

// slackReaches reports whether any setup behind some TDCs was read in one
// turning direction, so that the bearings' slack is in its middle.
func (a *analysis) slackReaches(m mix) bool {
	for _, t := range m.tops {
		for _, f := range t.found {
			if a.result.TDC.Setups[f].slack {
				return true
			}
		}
	}
	return false
}

// middleFor is how many degrees the middle moves by for a difference in height
// between its two sides.
func (s SetupTDC) middleFor(height geometry.Length) float64 {
	return height.Millimetres() / (2 * s.perDegree.Millimetres())
}

// throughOffset is the correction of every mark of a setup if the offset were
// larger by extra.
func (a *analysis) throughOffset(crank geometry.Crank, extra geometry.Length, s SetupTDC) geometry.Angle {
	crank.Offset += extra
	var c geometry.Angle
	if s.Method == sheet.Sweep {
		if fit, ok := a.fitSweep(crank, s.setup.Sweep); ok {
			c = -geometry.Angle(a.sheet.Readout.Counts) * (fit.top - s.Middle).Wrap()
		}
	} else {
		c = a.correction(s.setup.Path, crank, s.HalfArc)
	}
	if a.sheet.Engine.RefersToThrow {
		c += crank.ThrowToTDC()
	}
	return c
}

const rowContact = "contact height (rock)"

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

// apart is how far the TDC of second comes after that of first, as one mounting
// reads them.
func (a *analysis) apart(first, second *top) geometry.Angle {
	if first == second {
		return 0
	}
	s, lost := geometry.Angle(a.sheet.Readout.Counts), geometry.Angle(second.reach.lost-first.reach.lost)
	gap := s*(second.middle-first.middle) - (second.correction - first.correction)
	if second.reach.unsaid == 0 && first.reach.unsaid == 0 {
		gap += lost * a.sheet.Readout.LostMotion
	}
	declared := a.declared(second.cylinder) - a.declared(first.cylinder)
	return nearest(gap, declared)
}
