package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Measure has the stand measured once, and returns the sheet that comes of it
// with the truth. Chance is drawn from rng alone.
//
// Lengths along a rim, and nominals that are no crank degrees, stand on the sheet
// as a person writes them. Who needs their degrees writes the sheet and reads it
// again ([sheet.Write], [sheet.Read]).
func (r Rig) Measure(rng *rand.Rand) (sheet.Sheet, Truth) { return r.Begin(rng).Sheet() }

// Begin prepares to measure the stand. The people stay, so that more can be read
// in the same setups ([Session.Further]).
func (r Rig) Begin(rng *rand.Rand) *Session {
	m := &Session{rig: r, rng: rng, mounted: map[string]mounting{}, fitted: map[string]float64{}, top: r.Engine.top()}
	m.alike = 360 * rng.Float64()
	return m
}

// Sheet has every setup measured, and returns the sheet with the truth.
func (m *Session) Sheet() (sheet.Sheet, Truth) {
	r := m.rig
	s := r.stated()
	var truth Truth
	if r.Told.QuarterTurn {
		s.Readout.QuarterTurn = m.quarterTurn()
	}
	for i := range r.Setups {
		setup, true := m.setup(i, r.Setups[i])
		s.Setups = append(s.Setups, setup)
		truth.Setups = append(truth.Setups, true)
	}
	for _, l := range r.Lines {
		truth.Lines = append(truth.Lines, TrueLine{Name: l.Name, Nominal: l.At, Offset: r.offset(l), Tolerance: l.Tolerance})
	}
	return s, truth
}

// Further returns the sheet of the session with so many trials and readings of
// one line more in the first setup, and with so many setups more, each like the
// first in a mounting of its own.
func (m *Session) Further(s sheet.Sheet, line string, trials, readings, setups int) sheet.Sheet {
	s = EveryReading(s, unchanged)
	first := &s.Setups[0]
	for range trials {
		first.Trials = append(first.Trials, m.people[0].trial())
	}
	for _, l := range m.rig.Lines {
		if l.Name == line {
			first.Marks[line] = append(first.Marks[line], m.people[0].line(0, l, readings)...)
		}
	}
	for range setups {
		setup, _ := m.setup(len(s.Setups), m.rig.Setups[0])
		s.Setups = append(s.Setups, setup)
	}
	return s
}

// offset is how far off a line truly is.
func (r Rig) offset(l Line) geometry.Angle {
	offset := l.Offset + r.Part.Bent
	if l.On == Ring {
		offset += r.Part.RingSlip
	}
	return offset
}

// Session is one measuring of a rig.
type Session struct {
	people  []*person // one a setup
	rig     Rig
	rng     *rand.Rand
	alike   float64             // zero of mountings zeroed alike
	mounted map[string]mounting // only looked up
	fitted  map[string]float64  // drop at which the stop meets the piston; only looked up
	top     float64
}

// mounting is one mounting of the readout.
type mounting struct {
	zero float64 // what a perfect readout shows at the piston's top
	adds float64 // to every line
}

// person is one setup while it is being measured.
type person struct {
	*Session
	Setup
	mounting
	drop     float64 // at which the stop meets the piston
	contacts int     // made so far
}

func (m *Session) within(limit geometry.Angle) float64 {
	return float64(limit) * (2*m.rng.Float64() - 1)
}

func (m *Session) mount(s Setup) mounting {
	if got, again := m.mounted[s.Mounting]; again && s.Mounting != "" {
		return got
	}
	x := mounting{zero: m.alike, adds: float64(s.Added) + float64(s.Hand.RemountSD)*m.rng.NormFloat64() + m.within(s.Hand.RemountWithin)}
	switch chalk := m.rig.Readout.Chalk; {
	case s.Zero != 0:
		x.zero = float64(s.Zero)
	case chalk > 0:
		x.zero = m.within(chalk)
	case !m.rig.ZeroAlike:
		x.zero = 360 * m.rng.Float64()
	}
	m.mounted[s.Mounting] = x
	return x
}

func (m *Session) fit(s Setup) float64 {
	drop, again := m.fitted[s.Fitting]
	if !again || s.Fitting == "" {
		drop = float64(m.rig.Engine.Drop(s.HalfArc))
		m.fitted[s.Fitting] = drop
	}
	return drop
}

func (m *Session) setup(i int, what Setup) (sheet.Setup, TrueSetup) {
	p := &person{Session: m, Setup: what}
	m.people = append(m.people, p)
	_, again := m.mounted[p.Mounting]
	again = again && p.Mounting != ""
	p.mounting, p.drop = m.mount(p.Setup), m.fit(p.Setup)
	at := inputerror.Path(fmt.Sprintf("setups[%d]", i))
	s := sheet.Setup{
		Name: ordinal(i), By: p.By, Note: p.Note, Mounting: p.Mounting, Fitting: p.Fitting,
		Cylinder: p.Cylinder, Method: p.Method, Path: at,
	}
	truth := TrueSetup{Name: s.Name, By: p.By, Reading: geometry.Angle(math.Mod(p.zero+360, 360)), Bumped: p.Bumped}
	switch p.Method {
	case sheet.EqualDrop:
		for j, d := range p.Drops {
			drop := p.equalDrop(d)
			drop.Path = at + inputerror.Path(fmt.Sprintf(".equal_drop[%d]", j))
			s.Drops = append(s.Drops, drop)
		}
	case sheet.Sweep:
		s.Sweep = p.sweep()
		s.Sweep.Path = at + ".sweep"
	default:
		truth.HalfArc = p.halfArc()
		for range p.Trials {
			s.Trials = append(s.Trials, p.trial())
		}
	}
	p.zero += float64(p.Bumped)
	if !again { // lines are read once in a mounting
		s.Marks = p.lines(i)
	}
	if p.Closing {
		closing := p.trial()
		s.Closing = &closing
	}
	return s, truth
}

// halfArc is half of the arc that the stop truly blocks.
func (p *person) halfArc() geometry.Angle {
	drop := geometry.Length(p.drop)
	return (p.rig.Engine.After(drop) - p.rig.Engine.Before(drop)) / 2
}

// turned is the way the engine is truly turned by who believes to turn it so.
func (m *Session) turned(believed sheet.Approach) sheet.Approach {
	if !m.rig.Slips.Mirrored {
		return believed
	}
	return opposite(believed)
}

func opposite(a sheet.Approach) sheet.Approach { return sheet.Forward + sheet.Backward - a }

// reads is the reading that is written down, with the crank theta past the
// reference piston's top.
func (p *person) reads(theta float64, truly, told sheet.Approach) sheet.Reading {
	o := p.rig.Readout
	if o.Kind == sheet.Rim {
		length := o.length(float64(o.Counts)*p.rig.onPart(theta)+p.zero, float64(p.rig.Part.Diameter))
		return sheet.Reading{Measured: true, Length: geometry.Length(length), Approach: told}
	}
	r := sheet.Reading{Value: o.written(o.Shows(geometry.Angle(p.zero), geometry.Angle(theta), truly), p.Hand.Rounds), Approach: told}
	if o.BothWays {
		r.Value = geometry.Angle(withinHalfATurn(float64(r.Value)))
		r.Lettered = r.Value != 0
	}
	return r
}

// tdc is the crank angle of a cylinder's TDC.
func (r Rig) tdc(cylinder string) float64 {
	for _, c := range r.Engine.Cylinders {
		if c.Name == cylinder {
			return float64(c.TDC)
		}
	}
	return 0
}

// onPart is how far the part turns with the crank.
func (r Rig) onPart(theta float64) float64 {
	if r.Part.HalfSpeed {
		return theta / 2
	}
	return theta
}

// ComesUp is the crank angle, from the reference piston's top, at which a line
// truly comes up.
func (r Rig) ComesUp(l Line) geometry.Angle {
	theta := float64(l.At+r.offset(l)) + r.tdc(l.Cylinder)
	if r.Engine.FromThrow {
		theta -= r.Engine.top()
	}
	return geometry.Angle(theta)
}

// Spans is what dividers span between two lines, by their places in the plane.
func (r Rig) Spans(one, other Line) geometry.Length {
	x1, y1 := math.Sincos(rad(r.onPart(float64(r.ComesUp(one)))))
	x2, y2 := math.Sincos(rad(r.onPart(float64(r.ComesUp(other)))))
	return geometry.Length(float64(r.Part.Diameter) / 2 * math.Hypot(x1-x2, y1-y2))
}

// Teeth is how many teeth lie between two lines.
func (r Rig) Teeth(one, other Line) float64 {
	gap := r.onPart(float64(r.ComesUp(one) - r.ComesUp(other)))
	return math.Abs(gap) / 360 * float64(r.Part.Teeth)
}

// contact brings the piston to a drop by turning the engine truly so.
func (p *person) contact(drop float64, told sheet.Approach) sheet.Reading {
	truly := p.turned(told)
	drop += float64(p.Hand.Creep)*float64(p.contacts) + float64(p.Hand.HeightSD)*p.rng.NormFloat64()
	p.contacts++
	drop = math.Max(drop, 0)
	e := p.rig.Engine
	var theta float64
	if truly == sheet.Forward {
		theta = float64(e.Before(geometry.Length(drop + float64(e.Rock)/2)))
	} else {
		theta = float64(e.After(geometry.Length(math.Max(drop-float64(e.Rock)/2, 0))))
	}
	return p.reads(p.rig.tdc(p.Cylinder)+theta+p.contactScatter(), truly, told)
}

func (p *person) contactScatter() float64 {
	return math.Sqrt2 * float64(p.Hand.MiddleSD) * p.rng.NormFloat64()
}

func (p *person) trial() sheet.Trial {
	drop := p.drop + float64(p.Hand.StopSD)*p.rng.NormFloat64()
	forward := p.contact(drop, sheet.Forward)
	backward := p.contact(drop, sheet.Backward)
	return sheet.Trial{Forward: &forward, Backward: &backward}
}

// approached is how the readings on either side of the top are come to, and what
// the sheet says of it.
func (p *person) approached(t sheet.Taken) (before, after, toldBefore, toldAfter sheet.Approach, told sheet.Taken) {
	before, after = sheet.Forward, sheet.Backward
	if t == sheet.OneWay {
		after = sheet.Forward
	}
	if p.Unsaid {
		return before, after, 0, 0, sheet.Unknown
	}
	return before, after, before, after, t
}

// hangs is by how much the piston is read lower after its top. Turned one way
// only, the rod pushes before the top and pulls after it.
func (p *person) hangs(t sheet.Taken) float64 {
	if t == sheet.OneWay {
		return float64(p.Fallen + p.rig.Engine.Slack)
	}
	return float64(p.Fallen)
}

// equalDrop reads both sides of one drop.
func (p *person) equalDrop(d Drop) sheet.Drop {
	before, after, toldBefore, toldAfter, told := p.approached(d.Taken)
	s := sheet.Drop{Drop: d.Drop, Probe: d.Probe, Taken: told}
	fell := float64(d.Drop) * math.Cos(rad(float64(d.Slant))) // the tip slides along a flat crown
	first := p.rig.tdc(p.Cylinder) + float64(p.rig.Engine.Before(geometry.Length(fell)))
	second := p.rig.tdc(p.Cylinder) + float64(p.rig.Engine.After(geometry.Length(math.Max(fell-p.hangs(d.Taken), 0))))
	for range p.Trials {
		s.Before = append(s.Before, p.reads(first+p.contactScatter(), before, toldBefore))
		s.After = append(s.After, p.reads(second+p.contactScatter(), after, toldAfter))
	}
	return s
}

// sweep writes the piston's height down on the way through its top.
func (p *person) sweep() *sheet.Swept {
	e, w := p.rig.Engine, p.Sweep
	before, after, toldBefore, toldAfter, taken := p.approached(w.Taken)
	s := &sheet.Swept{Taken: taken}
	highest, tdc := e.height(p.top), p.rig.tdc(p.Cylinder)
	for i := range w.Points {
		theta := float64(w.From) + float64(w.To-w.From)*float64(i)/float64(w.Points-1)
		truly, told := before, toldBefore
		if theta > 0 {
			truly, told = after, toldAfter
		}
		var read sheet.Reading
		if w.OnSteps { // turned to the graduation that lies nearest
			read = p.reads(tdc+theta, truly, told)
			theta += float64(p.rig.Readout.Counts) * (float64(read.Value) - (float64(p.rig.Readout.Counts)*(tdc+theta) + p.zero))
		}
		theta += p.contactScatter()
		if !w.OnSteps {
			read = p.reads(tdc+theta, truly, told)
		}
		height := e.height(p.top+theta) - highest + float64(w.HeightSD)*p.rng.NormFloat64()
		if theta > 0 {
			height -= p.hangs(w.Taken)
		}
		if w.CountsDown {
			height = -height
		}
		height += float64(w.Zero)
		if w.Step > 0 {
			height = math.Round(height/float64(w.Step)) * float64(w.Step)
		}
		s.Points = append(s.Points, sheet.Point{Reading: read, Height: geometry.Length(decimal(height))})
	}
	return s
}

// lines reads every line, and writes it down under the name that it is taken
// for.
func (p *person) lines(setup int) map[string][]sheet.Reading {
	read := map[string][]sheet.Reading{}
	slips := p.rig.Slips
	for _, l := range p.rig.Lines {
		name := l.Name
		switch name {
		case slips.Swapped[0]:
			name = slips.Swapped[1]
		case slips.Swapped[1]:
			name = slips.Swapped[0]
		}
		n := l.Readings
		if n == 0 {
			n = p.Readings
		}
		read[name] = append(read[name], p.line(setup, l, n)...)
	}
	return read
}

// line reads one line so many times.
func (p *person) line(setup int, l Line, n int) []sheet.Reading {
	theta := float64(p.rig.ComesUp(l)) + p.adds
	if d := float64(p.rig.Part.Diameter); d > 0 {
		squint := deg(float64(p.Hand.Squint) / (d / 2)) // of the part
		if p.rig.Part.HalfSpeed {
			squint *= 2
		}
		theta += squint
	}
	approaches := p.Approaches
	if len(approaches) == 0 {
		approaches = []sheet.Approach{sheet.Forward}
	}
	var all []sheet.Reading
	for j := range n {
		told := approaches[j%len(approaches)]
		truly := p.turned(told)
		if p.Hand.WrongSide {
			truly = p.turned(sheet.Backward)
		}
		read := p.reads(theta+float64(p.Hand.ReadSD)*p.rng.NormFloat64(), truly, told)
		if x := p.rig.Slips.Misread; x != nil && x.Setup == setup && x.Line == l.Name && x.Reading == j {
			read.Value += x.By
		}
		all = append(all, read)
	}
	return all
}

// quarterTurn is what the readout shows before and after about a quarter turn
// the way the engine is believed to run.
func (m *Session) quarterTurn() *[2]sheet.Reading {
	zero := 360 * m.rng.Float64()
	if o := m.rig.Readout; o.Kind == sheet.Rim { // near the chalk line, so that a chord stays within half a turn
		zero *= min(float64(o.Chalk), 20) / 360
	}
	p := &person{Session: m, mounting: mounting{zero: zero}}
	by := 90 + 4*(m.rng.Float64()-0.5)
	way := m.turned(sheet.Forward)
	if way == sheet.Backward {
		by = -by
	}
	return &[2]sheet.Reading{
		p.reads(0, way, sheet.Forward),
		p.reads(by, way, sheet.Forward),
	}
}

// stated is the sheet without its readings: what the people at the rig believe
// and state.
func (r Rig) stated() sheet.Sheet {
	half := func(l geometry.Length) geometry.Limit[geometry.Length] {
		return geometry.Limit[geometry.Length]{Half: l}
	}
	s := sheet.Sheet{
		Title: r.Title, Job: r.Job,
		Engine: sheet.Engine{Turns: r.Engine.Turns, RefersToThrow: r.Engine.FromThrow},
		Part: sheet.Part{
			Diameter: r.Part.Diameter, DiameterLimit: half(r.Told.DiameterLimit), MarksOn: r.Part.MarksOn, ReadAt: "centre",
			Sighting: half(r.Told.Sighting), BondedRing: r.Part.Bonded, HalfSpeed: r.Part.HalfSpeed,
			Teeth: r.Part.Teeth, Spacings: r.Told.Spacings,
		},
		Readout: sheet.Readout{
			Kind: r.Readout.Kind, Step: r.Readout.Step, Counts: r.Readout.Counts,
			BothWays: r.Readout.BothWays, Chord: r.Readout.Chord, StepLength: r.Readout.StepLength,
		},
		Limits: sheet.Limits{
			Confidence: sheet.DefaultConfidence, Placement: sheet.DefaultPlacement,
			Remount: geometry.Limit[geometry.Angle]{Half: r.Told.Remount},
			Contact: half(r.Told.Contact), Slack: half(r.Told.Slack),
		},
	}
	if r.Told.Diameter > 0 {
		s.Part.Diameter = r.Told.Diameter
	}
	for _, c := range r.Engine.Cylinders {
		s.Engine.Cylinders = append(s.Engine.Cylinders, sheet.Cylinder{Name: c.Name, TDC: c.Declared})
	}
	if r.Told.Side {
		s.Part.BTDCLines = r.btdcLines()
	}
	if r.Slips.Mirrored {
		s.Engine.Turns, s.Readout.Counts = s.Engine.Turns.Opposite(), -s.Readout.Counts
	}
	if s.Readout.Step == 0 {
		s.Readout.Step = 1e-6
	}
	if r.Told.Geometry {
		s.Engine.Stroke, s.Engine.Rod = r.Engine.Stroke, r.Engine.Rod
		s.Engine.PinOffset.Value, s.Engine.BoreOffset.Value = r.Engine.Pin, r.Engine.Bore
	}
	if r.Readout.Kind == sheet.Wheel {
		s.Readout.Diameter, s.Readout.OffCentre = r.Readout.Diameter, r.Told.OffCentre
	}
	if r.Told.LostLimit > 0 {
		s.Readout.HasLostMotion, s.Readout.LostMotion = true, r.Told.Lost
		s.Readout.LostLimit = geometry.Limit[geometry.Angle]{Half: r.Told.LostLimit}
	}
	for i, l := range r.Lines {
		m := sheet.Mark{
			Name: l.Name, At: l.At, AtText: l.Written, Tolerance: l.Tolerance, DropLimit: l.DropTolerance,
			On: l.On, Cylinder: l.Cylinder, Path: inputerror.Path(fmt.Sprintf("marks[%d]", i)),
		}
		if m.AtText == "" {
			m.AtText = lettered(l.At)
		}
		s.Marks = append(s.Marks, m)
	}
	return s
}

// btdcLines is where the BTDC lines are seen from the TDC line. On a part that
// turns, the line that passes the pointer first is ahead; on a fixed scale the
// turning line meets it first, so it lies behind.
func (r Rig) btdcLines() geometry.Rotation {
	if r.Part.MarksOn == sheet.OnPart {
		return r.Engine.Turns
	}
	return r.Engine.Turns.Opposite()
}

// ordinal is the name of the setup or line with index i.
func ordinal(i int) string { return strconv.Itoa(i + 1) }
