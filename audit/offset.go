package audit

import (
	"math"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// sighted is one mark as one mounting of the readout saw it.
type sighted struct {
	at       *station
	top      *top             // the TDC that it counts from
	later    geometry.Angle   // how far its cylinder's TDC comes after that one by the sheet, where it was not found
	forward  []geometry.Angle // unwrapped around each other, struck ones left out
	backward []geometry.Angle
	reading  geometry.Angle // mean of the side means
	offset   geometry.Angle
	perLine  float64 // variance of reading over that of one reading
	reach    reach   // of the readout, to the offset
	own      reach   // of the readout, to reading
}

// line is one mark with everything that its readings say.
type line struct {
	mark    *sheet.Mark
	zero    geometry.Angle // where its cylinder's TDC comes after that of the reference cylinder
	seen    []sighted
	squares float64 // of the deviations from the mean of each approach and setup
	dof     float64
	scatter scatter
}

// scatter is the standard deviation of one reading that a mark's interval uses.
type scatter struct {
	sd     geometry.Angle
	dof    float64 // zero: not known
	source int     // marks with the same source share one estimate
	pooled bool
}

// readLines takes every mark's readings, setup by setup, to offsets.
func (a *analysis) readLines() {
	for i := range a.sheet.Marks {
		l := line{mark: &a.sheet.Marks[i]}
		l.zero = a.zero(a.cylinder(l.mark.Cylinder))
		for _, at := range a.stations {
			if s, ok := a.sight(&l, at); ok {
				l.seen = append(l.seen, s)
			}
		}
		if !a.wasRead(l.mark.Name) {
			a.warn(Warning{Code: NotRead, Mark: l.mark.Name})
		}
		a.lines = append(a.lines, l)
	}
}

// wasRead reports whether any setup has a reading of the mark that counts, also
// a setup without a usable pair of contacts, which has its own warning.
func (a *analysis) wasRead(mark string) bool {
	for _, s := range a.sheet.Setups {
		for _, r := range s.Marks[mark] {
			if !r.Struck {
				return true
			}
		}
	}
	return false
}

// topFor is the TDC that a line counts from in one mounting: that of its
// cylinder where it was found, else the first, and how far the line's cylinder
// comes after that one by the sheet.
func (a *analysis) topFor(at *station, cylinder string) (t *top, later geometry.Angle) {
	if t := at.top(cylinder); t != nil {
		return t, 0
	}
	t = at.tops[0]
	return t, a.declared(cylinder) - a.declared(t.cylinder)
}

// zero is how far a cylinder's TDC comes after that of the reference cylinder:
// as found where both were, else as declared.
func (a *analysis) zero(cylinder string) geometry.Angle {
	var found []geometry.Angle
	for _, s := range a.stations {
		first, second := s.top(a.cylinder("")), s.top(cylinder)
		if first != nil && second != nil {
			found = append(found, a.apart(first, second))
		}
	}
	if len(found) == 0 || a.cylinder("") == cylinder {
		return a.declared(cylinder)
	}
	return mean(geometry.Unwrap(found, a.declared(cylinder)))
}

func (a *analysis) sight(l *line, at *station) (sighted, bool) {
	t, later := a.topFor(at, a.cylinder(l.mark.Cylinder))
	var all []geometry.Angle
	var forward int
	var read reach
	for _, approach := range []sheet.Approach{sheet.Forward, sheet.Backward} {
		for _, setup := range at.setups {
			for _, r := range setup.Marks[l.mark.Name] {
				if !r.Struck && r.Approach == approach {
					all = append(all, a.value(&r))
					read = read.plus(reach{rim: a.stretch(r.Value), table: a.tableReach(&r)}, 1)
				}
			}
		}
		if approach == sheet.Forward {
			forward = len(all)
		}
	}
	if len(all) == 0 {
		return sighted{}, false
	}
	all, together := gather(all)
	if !together {
		a.faultf(at.setups[0].Path+inputerror.Path(".marks."+l.mark.Name), "the readings of this line lie all round the circle, expected them close to each other",
			"strike the ones that belong to another line")
		return sighted{}, false
	}
	s := sighted{at: at, top: t, later: later, forward: all[:forward:forward], backward: all[forward:]}
	sides, m := 0.0, geometry.Angle(0)
	for _, side := range [][]geometry.Angle{s.forward, s.backward} {
		if len(side) == 0 {
			continue
		}
		a.flag(at.setups[0].Name, l.mark.Name, side)
		ss, dof := spread(side)
		l.squares, l.dof = l.squares+ss, l.dof+dof
		m += mean(side)
		s.perLine += 1 / float64(len(side))
		sides++
	}
	s.reading = m / geometry.Angle(sides)
	s.perLine /= sides * sides
	// The wheel's phase counts from one place of the crank in all mountings.
	origin := at.tops[0].middle - geometry.Angle(a.sheet.Readout.Counts)*a.declared(at.tops[0].cylinder)
	own, below := read.over(float64(len(all))), t.reach
	own.wheel = phase(s.reading - origin)
	below.wheel *= phase(t.middle - origin)
	if sides == 1 {
		own.lost = 0.5
		if len(s.backward) > 0 {
			own.lost = -0.5
		}
	}
	s.own, s.reach = own, own.plus(below, -1)
	readout := a.sheet.Readout
	correction := t.correction
	if s.reach.unsaid == 0 {
		correction += geometry.Angle(s.reach.lost) * readout.LostMotion
	} else { // the sheet leaves open which way it goes
		s.reach.lost, s.reach.unsaid = 0, s.reach.unsaid+math.Abs(s.reach.lost)
	}
	if a.sheet.Engine.RefersToThrow {
		correction += a.result.TDC.ThrowToTDC
	}
	s.offset = (geometry.Angle(readout.Counts)*(s.reading-t.middle) - (l.mark.At + later) + correction).Wrap()
	return s, true
}

// offset gives every setup's offset the same weight. They are unwrapped around
// the first, so that offsets near ±180 do not cancel.
func (l *line) offset() geometry.Angle {
	return mean(l.offsets()).Wrap()
}

func (l *line) offsets() []geometry.Angle {
	out := make([]geometry.Angle, len(l.seen))
	for i, s := range l.seen {
		out[i] = s.offset
	}
	return geometry.Unwrap(out, out[0])
}

func (l *line) tops() []*top {
	out := make([]*top, len(l.seen))
	for i, s := range l.seen {
		out[i] = s.top
	}
	return out
}

func (l *line) stations() []*station {
	out := make([]*station, len(l.seen))
	for i, s := range l.seen {
		out[i] = s.at
	}
	return out
}

// place is where the line belongs, counted from the reference cylinder's TDC.
func (l *line) place() geometry.Angle { return l.mark.At + l.zero }

func (l *line) perLine() float64 {
	var v float64
	for _, s := range l.seen {
		v += s.perLine
	}
	return v / float64(len(l.seen)*len(l.seen))
}

func (l *line) readings() int {
	n := 0
	for _, s := range l.seen {
		n += len(s.forward) + len(s.backward)
	}
	return n
}

// reach is how what the readout does reaches the line's offset.
func (l *line) reach() reach {
	var r reach
	for _, s := range l.seen {
		r = r.plus(s.reach, 1)
	}
	return r.over(float64(len(l.seen)))
}

// ownDOF is the number of degrees of freedom from which a line's own scatter is
// used whatever the other lines do.
const ownDOF = 4

// shareScatter decides whose scatter each line's interval uses: its own from
// four degrees of freedom, otherwise pooled over the lines with fewer, unless
// Cochran at 1 % objects; lines with two or three then keep their own.
func (a *analysis) shareScatter() {
	var few, all []int
	for i, l := range a.lines {
		if len(l.seen) == 0 {
			continue
		}
		all = append(all, i)
		if l.dof < ownDOF {
			few = append(few, i)
		}
	}
	differ := a.cochran(few, 0.01) >= 0
	pooled := a.pool(few)
	if pooled.dof == 0 {
		pooled = a.pool(all)
	}
	for _, i := range all {
		l := &a.lines[i]
		if l.dof >= ownDOF || differ && l.dof >= 2 {
			l.scatter = scatter{sd: geometry.Angle(math.Sqrt(l.squares / l.dof)), dof: l.dof, source: i}
		} else {
			l.scatter = pooled
		}
	}
	if i := a.cochran(all, 0.05); i >= 0 {
		rest := a.pool(without(all, i))
		l := a.lines[i]
		a.warn(Warning{
			Code: ScattersDiffer, Mark: l.mark.Name,
			Values: []float64{math.Sqrt(l.squares / l.dof), rest.sd.Degrees()},
		})
	}
}

func (a *analysis) pool(lines []int) scatter {
	var squares, dof float64
	for _, i := range lines {
		squares, dof = squares+a.lines[i].squares, dof+a.lines[i].dof
	}
	if dof == 0 {
		return scatter{source: -1, pooled: true}
	}
	return scatter{sd: geometry.Angle(math.Sqrt(squares / dof)), dof: dof, source: -1, pooled: len(lines) > 1}
}

// cochran returns the line whose scatter is larger than that of the others at
// the given significance, or -1 (ISO 5725-2, 7.3.3). The test asks for groups
// of one size: the number of degrees of freedom that most lines have is taken,
// as ISO 5725-2 does for missing values. Scatter below the step is rounding.
func (a *analysis) cochran(lines []int, alpha float64) int {
	var index []int
	var variances []float64
	count := map[float64]int{} // only looked up
	var dof float64
	for _, i := range lines {
		l := a.lines[i]
		if l.dof == 0 {
			continue
		}
		index, variances = append(index, i), append(variances, l.squares/l.dof)
		count[l.dof]++
		if n := count[l.dof]; n > count[dof] || n == count[dof] && l.dof < dof {
			dof = l.dof
		}
	}
	if len(index) < 2 {
		return -1
	}
	i, c, critical := stats.Cochran(variances, dof, alpha)
	if i < 0 || c <= critical || variances[i] <= square((a.sheet.Readout.Step+tie).Degrees())/3 {
		return -1
	}
	return index[i]
}

func without(lines []int, drop int) []int {
	out := make([]int, 0, len(lines))
	for _, i := range lines {
		if i != drop {
			out = append(out, i)
		}
	}
	return out
}

// repeats counts what stands behind a line's interval.
func (a *analysis) repeats(l *line) repeats {
	r := a.topRepeats(evenly(l.tops()), len(l.seen))
	r.line, r.lineDOF, r.pooled = l.scatter.sd, l.scatter.dof, l.scatter.pooled
	r.readings, r.perLine = l.readings(), l.perLine()
	if r.setups >= enough {
		ss, dof := spread(l.offsets())
		r.between = geometry.Angle(math.Sqrt(ss / dof))
		r.alike = a.zeroedAlike(l.tops())
	}
	return r
}

// zeroedAlike reports whether TDC reads the same in all mountings to a step: then
// rounding is the same in all of them and does not average out.
func (a *analysis) zeroedAlike(tops []*top) bool {
	middles := make([]geometry.Angle, len(tops))
	for i, t := range tops {
		middles[i] = t.middle
	}
	lo, hi := extremes(geometry.Unwrap(middles, middles[0]))
	return hi-lo <= a.sheet.Readout.Step+tie
}

// sharedRows are the rows that further readings cannot reduce, for a result that
// rests on some TDCs in so many mountings and that the readout reaches in its
// own way.
func (a *analysis) sharedRows(m mix, setups int, r reach) uncertainty.Budget {
	rows := a.readoutRows(r)
	if s := a.sheet.Part.Sighting; s.Half > 0 {
		rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
		half := a.ofCrank(rim.AngleFromArc(s.Half))
		rows = append(rows, limitRow("sighting, engine pointer", geometry.Limit[geometry.Angle]{Half: half, K: s.K}, 1))
	}
	rows = append(rows, a.contactRows(m)...)
	if r := a.sheet.Limits.Remount; r.Half > 0 && setups < enough {
		for range setups {
			rows = append(rows, limitRow(rowRemount, r, 1/float64(setups)))
		}
	}
	return rows
}

// estimate turns rows into an interval at the sheet's confidence.
func (a *analysis) estimate(value geometry.Angle, rows uncertainty.Budget, known bool) (Estimate, uncertainty.Sum) {
	e := Estimate{Value: value, Budget: rows, Known: known}
	e.Standard, e.DOF = rows.Combined()
	sum := uncertainty.NewSum(rows.Terms())
	if known {
		e.Expanded = geometry.Angle(sum.HalfWidth(a.sheet.Limits.Confidence))
		e.ArcU = a.arcU(e)
	}
	return e, sum
}

// arcU is the expanded uncertainty along the rim. The diameter's own doubt
// counts in proportion to the offset.
func (a *analysis) arcU(e Estimate) geometry.Length {
	part := a.sheet.Part
	if part.Diameter == 0 {
		return 0
	}
	u := e.Expanded
	if l := a.diameterLimit(e.Value); l.Half > 0 {
		rows := append(uncertainty.Budget{limitRow("diameter", l, 1)}, e.Budget...)
		u = geometry.Angle(uncertainty.NewSum(rows.Terms()).HalfWidth(a.sheet.Limits.Confidence))
	}
	return geometry.Rim{Diameter: part.Diameter}.Arc(a.onPart(u))
}

// diameterLimit is the limit of the diameter as an angle that would change the
// arc of an offset as much.
// Where the rim is the readout, its rows hold the diameter already.
func (a *analysis) diameterLimit(offset geometry.Angle) geometry.Limit[geometry.Angle] {
	part := a.sheet.Part
	if a.sheet.Readout.Kind == sheet.Rim {
		return geometry.Limit[geometry.Angle]{}
	}
	return geometry.Limit[geometry.Angle]{
		Half: geometry.Angle(offset.Abs().Degrees() * float64(part.DiameterLimit.Half/part.Diameter)), K: part.DiameterLimit.K,
	}
}

// judgeLines gives every line its offset, interval and verdict.
func (a *analysis) judgeLines() {
	for i := range a.lines {
		l := &a.lines[i]
		m := Mark{Mark: *l.mark, Place: l.place()}
		if len(l.seen) > 0 {
			a.judge(&m, l)
		}
		a.result.Marks = append(a.result.Marks, m)
	}
	a.doubtStep()
}

// doubtStep warns once when anywhere the step hides the scatter.
func (a *analysis) doubtStep() {
	for _, m := range a.result.Marks {
		if m.Offset == nil || !m.Offset.Known {
			continue
		}
		for _, row := range append(m.repeats.stopRows(), m.repeats.lineRows()...) {
			if row.Idle && row.Evaluation == uncertainty.TypeA {
				a.warn(Warning{Code: StepCoarse})
				return
			}
		}
	}
}

func (a *analysis) judge(m *Mark, l *line) {
	m.repeats = a.repeats(l)
	m.Setups = len(l.seen)
	if m.Setups >= enough || a.sheet.Limits.Remount.Half > 0 {
		m.Covers = Remounting
	}
	rows := append(m.repeats.rows(), a.sharedRows(evenly(l.tops()), len(l.seen), l.reach())...)
	offset := l.offset()
	part := a.sheet.Part
	if part.Diameter > 0 {
		rim := geometry.Rim{Diameter: part.Diameter}
		m.Arc, m.Chord = rim.Arc(a.onPart(offset)), rim.Chord(a.onPart(offset))
		if part.DiameterLimit.Half > 0 && a.sheet.Readout.Kind != sheet.Rim {
			// The angle does not depend on the diameter; the arc in millimetres does.
			rows = append(rows, limitRow("diameter (lengths only)", a.diameterLimit(offset), 0))
		}
	}
	if part.Teeth > 0 {
		m.Teeth = geometry.Teeth(a.onPart(offset), part.Teeth)
	}
	e, sum := a.estimate(offset, rows, m.repeats.known())
	m.Offset, m.ComesUpAt = &e, m.At+offset
	m.Corrected = a.corrected(l.reach())
	if crank, ok := a.sheet.Engine.Crank(); ok && m.Drop > 0 {
		m.DropAt = crank.Drop(a.fromPistonTop(m.ComesUpAt))
	}
	m.NotIncluded = a.notIncluded()
	if !e.Known {
		switch {
		case m.repeats.stopKnown():
			a.warn(Warning{Code: ReadOnce, Mark: m.Name})
		case len(a.result.TDC.Setups) >= enough: // but this line was read in fewer
			a.warn(Warning{Code: OneTrial, Mark: m.Name})
		}
		return
	}
	early, late := m.Allowed()
	m.Conformity = sum.Conformity(offset, early, late)
	m.Verdict = uncertainty.Decide(m.Conformity, a.sheet.Limits.Confidence)
	if e.Expanded > m.Tolerance {
		a.warn(Warning{Code: UAboveTolerance, Mark: m.Name, Values: []float64{e.Expanded.Degrees(), m.Tolerance.Degrees()}})
	}
	if m.repeats.setups < enough && m.repeats.lineDOF == 1 && m.repeats.readings == 2 {
		a.warn(Warning{Code: ReadTwice, Mark: m.Name})
	}
}

// notIncluded names the doubts that nothing on the sheet covers.
func (a *analysis) notIncluded() []Code {
	var out []Code
	if a.sheet.Part.Sighting.Half == 0 {
		out = append(out, SightingMissing)
	}
	if _, ok := a.sheet.Engine.Crank(); !ok || a.sheet.Limits.Contact.Half == 0 {
		out = append(out, RockMissing)
	}
	if a.sheet.Readout.Kind == sheet.Wheel && a.sheet.Readout.OffCentre == 0 && a.table == nil {
		out = append(out, CentringMissing)
	}
	// A wheel is bolted to the crank; an encoder hangs on a belt or a friction
	// wheel, and loses something when the engine is reversed.
	oneSided := slices.ContainsFunc(a.lines, func(l line) bool { return len(l.seen) > 0 && l.reach().lost != 0 })
	if a.sheet.Readout.Kind == sheet.Encoder && !a.sheet.Readout.HasLostMotion && oneSided {
		out = append(out, LostMotionMissing)
	}
	if a.oneWay() && a.sheet.Limits.Slack.Half == 0 {
		out = append(out, SlackMissing)
	}
	return out
}

// oneWay reports whether any TDC was read in one turning direction, or may have
// been.
func (a *analysis) oneWay() bool {
	return a.result.TDC != nil && slices.ContainsFunc(a.result.TDC.Setups, func(s SetupTDC) bool { return s.slack })
}

// fromPistonTop counts an angle from the piston's top where the sheet counts from
// the throw's.
func (a *analysis) fromPistonTop(at geometry.Angle) geometry.Angle {
	if a.sheet.Engine.RefersToThrow {
		return at - a.result.TDC.ThrowToTDC
	}
	return at
}

// corrected is how much later the readout's correction makes a line come up.
func (a *analysis) corrected(r reach) geometry.Angle {
	var by float64
	if r.table == nil {
		return 0
	}
	for k := range a.table.Sine {
		by += r.table[2*k]*a.table.Sine[k].Degrees() + r.table[2*k+1]*a.table.Cosine[k].Degrees()
	}
	return geometry.Angle(by)
}
