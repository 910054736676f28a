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
func (r Rig) Measure(rng *rand.Rand) (sheet.Sheet, Truth) {
	m := &session{rig: r, rng: rng, mounted: map[string]mounting{}, fitted: map[string]float64{}, top: r.Engine.top()}
	m.alike = 360 * rng.Float64()
	s := r.stated()
	var truth Truth
	if r.Told.QuarterTurn {
		s.Readout.QuarterTurn = m.quarterTurn()
	}
	for i := range r.Setups {
		setup, true := m.setup(i)
		s.Setups = append(s.Setups, setup)
		truth.Setups = append(truth.Setups, true)
	}
	for _, l := range r.Lines {
		truth.Lines = append(truth.Lines, TrueLine{Name: l.Name, Nominal: l.At, Offset: r.offset(l), Tolerance: l.Tolerance})
	}
	return s, truth
}

// offset is how far off a line truly is.
func (r Rig) offset(l Line) geometry.Angle {
	offset := l.Offset + r.Part.Bent
	if l.On == Ring {
		offset += r.Part.RingSlip
	}
	return offset
}

// session is one measuring of a rig.
type session struct {
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
	*session
	Setup
	mounting
	drop     float64 // at which the stop meets the piston
	contacts int     // made so far
}

func (m *session) within(limit geometry.Angle) float64 {
	return float64(limit) * (2*m.rng.Float64() - 1)
}

func (m *session) mount(s Setup) mounting {
	if got, again := m.mounted[s.Mounting]; again && s.Mounting != "" {
		return got
	}
	x := mounting{zero: m.alike, adds: float64(s.Added) + float64(s.Hand.RemountSD)*m.rng.NormFloat64() + m.within(s.Hand.RemountWithin)}
	if !m.rig.ZeroAlike {
		x.zero = 360 * m.rng.Float64()
	}
	m.mounted[s.Mounting] = x
	return x
}

func (m *session) fit(s Setup) float64 {
	drop, again := m.fitted[s.Fitting]
	if !again || s.Fitting == "" {
		drop = float64(m.rig.Engine.Drop(s.HalfArc))
		m.fitted[s.Fitting] = drop
	}
	return drop
}

func (m *session) setup(i int) (sheet.Setup, TrueSetup) {
	p := &person{session: m, Setup: m.rig.Setups[i]}
	_, again := m.mounted[p.Mounting]
	again = again && p.Mounting != ""
	p.mounting, p.drop = m.mount(p.Setup), m.fit(p.Setup)
	at := inputerror.Path(fmt.Sprintf("setups[%d]", i))
	s := sheet.Setup{
		Name: ordinal(i), By: p.By, Note: p.Note, Mounting: p.Mounting, Fitting: p.Fitting,
		Method: p.Method, Path: at,
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
func (m *session) turned(believed sheet.Approach) sheet.Approach {
	if !m.rig.Slips.Mirrored {
		return believed
	}
	return opposite(believed)
}

func opposite(a sheet.Approach) sheet.Approach { return sheet.Forward + sheet.Backward - a }

// reads is the reading that is written down.
func (p *person) reads(theta float64, truly sheet.Approach) geometry.Angle {
	shown := p.rig.Readout.Shows(geometry.Angle(p.zero), geometry.Angle(theta), truly)
	return p.rig.Readout.written(shown, p.Hand.Rounds)
}

// contact brings the piston to a drop by turning the engine truly so.
func (p *person) contact(drop float64, truly sheet.Approach) geometry.Angle {
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
	return p.reads(theta+p.contactScatter(), truly)
}

func (p *person) contactScatter() float64 {
	return math.Sqrt2 * float64(p.Hand.MiddleSD) * p.rng.NormFloat64()
}

func (p *person) trial() sheet.Trial {
	drop := p.drop + float64(p.Hand.StopSD)*p.rng.NormFloat64()
	forward := p.contact(drop, p.turned(sheet.Forward))
	backward := p.contact(drop, p.turned(sheet.Backward))
	return sheet.Trial{
		Forward:  &sheet.Reading{Value: forward, Approach: sheet.Forward},
		Backward: &sheet.Reading{Value: backward, Approach: sheet.Backward},
	}
}

// equalDrop reads both sides of one drop. Turned one way only, the rod pushes
// before the top and pulls after it, so that the piston hangs lower there.
func (p *person) equalDrop(d Drop) sheet.Drop {
	s := sheet.Drop{Drop: d.Drop, Taken: d.Taken}
	fell := float64(d.Drop) * math.Cos(rad(float64(d.Slant))) // the tip slides along a flat crown
	before, after := sheet.Forward, sheet.Backward
	hangs := 0.0
	if d.Taken == sheet.OneWay {
		after, hangs = sheet.Forward, float64(p.rig.Engine.Slack)
	}
	first := float64(p.rig.Engine.Before(geometry.Length(fell)))
	second := float64(p.rig.Engine.After(geometry.Length(math.Max(fell-hangs, 0))))
	for range p.Trials {
		s.Before = append(s.Before, sheet.Reading{Value: p.reads(first+p.contactScatter(), before), Approach: before})
		s.After = append(s.After, sheet.Reading{Value: p.reads(second+p.contactScatter(), after), Approach: after})
	}
	return s
}

// sweep writes the piston's height down, turning forward through the top.
func (p *person) sweep() *sheet.Swept {
	s := &sheet.Swept{Taken: sheet.OneWay}
	e, w := p.rig.Engine, p.Sweep
	highest := e.height(p.top)
	for i := range w.Points {
		theta := float64(w.Side)*(2*float64(i)/float64(w.Points-1)-1) + p.contactScatter()
		height := e.height(p.top+theta) - highest + float64(w.HeightSD)*p.rng.NormFloat64()
		if theta > 0 {
			height -= float64(e.Slack)
		}
		if w.Step > 0 {
			height = math.Round(height/float64(w.Step)) * float64(w.Step)
		}
		const digits = 1e6 // of a millimetre: a person writes no more
		s.Points = append(s.Points, sheet.Point{
			Reading: sheet.Reading{Value: p.reads(theta, sheet.Forward), Approach: sheet.Forward},
			Height:  geometry.Length(math.Round(height*digits) / digits),
		})
	}
	return s
}

// lines reads every line, and writes it down under the name that it is taken
// for.
func (p *person) lines(setup int) map[string][]sheet.Reading {
	read := map[string][]sheet.Reading{}
	approaches := p.Approaches
	if len(approaches) == 0 {
		approaches = []sheet.Approach{sheet.Forward}
	}
	slips := p.rig.Slips
	for _, l := range p.rig.Lines {
		theta := float64(l.At+p.rig.offset(l)) + p.adds
		if p.rig.Engine.FromThrow {
			theta -= p.top
		}
		if d := float64(p.rig.Part.Diameter); d > 0 {
			theta += deg(float64(p.Hand.Squint) / (d / 2))
		}
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
		for j := range n {
			told := approaches[j%len(approaches)]
			truly := p.turned(told)
			if p.Hand.WrongSide {
				truly = p.turned(sheet.Backward)
			}
			value := p.reads(theta+float64(p.Hand.ReadSD)*p.rng.NormFloat64(), truly)
			if x := slips.Misread; x != nil && x.Setup == setup && x.Line == l.Name && x.Reading == j {
				value += x.By
			}
			read[name] = append(read[name], sheet.Reading{Value: value, Approach: told})
		}
	}
	return read
}

// quarterTurn is what the readout shows before and after about a quarter turn
// the way the engine is believed to run.
func (m *session) quarterTurn() *[2]sheet.Reading {
	p := &person{session: m, mounting: mounting{zero: 360 * m.rng.Float64()}}
	by := 90 + 4*(m.rng.Float64()-0.5)
	way := m.turned(sheet.Forward)
	if way == sheet.Backward {
		by = -by
	}
	return &[2]sheet.Reading{
		{Value: p.reads(0, way), Approach: sheet.Forward},
		{Value: p.reads(by, way), Approach: sheet.Forward},
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
			Diameter: r.Part.Diameter, MarksOn: r.Part.MarksOn, ReadAt: "centre",
			Sighting: half(r.Told.Sighting), BondedRing: r.Part.Bonded,
		},
		Readout: sheet.Readout{Kind: r.Readout.Kind, Step: r.Readout.Step, Counts: r.Readout.Counts},
		Limits: sheet.Limits{
			Confidence: sheet.DefaultConfidence, Placement: sheet.DefaultPlacement,
			Remount: geometry.Limit[geometry.Angle]{Half: r.Told.Remount},
			Contact: half(r.Told.Contact), Slack: half(r.Told.Slack),
		},
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
		s.Marks = append(s.Marks, sheet.Mark{
			Name: l.Name, At: l.At, AtText: lettered(l.At), Tolerance: l.Tolerance, On: l.On,
			Path: inputerror.Path(fmt.Sprintf("marks[%d]", i)),
		})
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

// lettered writes a nominal with its letters.
func lettered(a geometry.Angle) string {
	text := strconv.FormatFloat(math.Abs(float64(a)), 'f', -1, 64)
	switch {
	case a < 0:
		return text + " BTDC"
	case a > 0:
		return text + " ATDC"
	}
	return text
}
