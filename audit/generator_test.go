package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The tests' own engine. It knows the truth and writes down what a person
// would read. It shares no formula with the package under test: contacts come
// from bisection of the slider-crank's height, an off-centre wheel from two
// points and an arc tangent. Angles are degrees, lengths millimetres.

// rig is an engine, its lines, a readout and the person who reads it.
type rig struct {
	rng *rand.Rand

	turns            geometry.Rotation
	stroke, rod      float64
	pin, bore        float64 // to the thrust side, to the crankpin side
	fromThrow        bool    // nominals count from the throw's top
	declareGeometry  bool
	marksOn          sheet.MarksOn
	diameter         float64
	lines            []trueLine
	counts           float64 // +1 up, -1 down
	step             float64 // recorded; 0: as fine as numbers go, declared as 1e-6
	halfArc          float64 // half of the arc that the stop blocks, about
	stopSD           float64 // of one middle
	readSD           float64 // of one reading of a line
	remountSD        float64 // of what a mounting adds to all lines
	remountWithin    float64 // of what a mounting adds, evenly within it
	remountBy        float64 // what every mounting adds
	zeroAlike        bool    // every setup zeroed in the same place
	wheelDiameter    float64 // 0: an encoder
	offCentre        float64 // how far, and at the same time the limit stated
	lost, lostLimit  float64 // lost motion that is there and stated, and its limit
	lostError        float64 // what is there beyond what is stated
	rock, rockLimit  float64 // height of the backward contact over the forward one
	squint           float64 // on the rim, early to late
	sightingLimit    float64
	remountLimit     float64
	trials, readings int
	setups           int
	ways             []way            // to find TDC, a setup each; none: setups with a stop
	slackLimit       float64          // of the bearings, in height
	approaches       []sheet.Approach // taken in turn for the readings of a line

	phase     float64 // of the off-centre wheel from TDC on
	zero      float64 // of setups zeroed alike
	mountings []mounting
}

type trueLine struct {
	name                  string
	at, offset, tolerance float64
}

// mounting is one setup's truth.
type mounting struct {
	zero float64 // what a perfect readout shows at the piston's top
	adds float64 // to the crank angle of every line
	drop float64 // at which the stop meets the piston
}

// newRig returns an engine with believable scatter and no systematic error.
func newRig(rng *rand.Rand) *rig {
	return &rig{
		rng: rng, turns: geometry.Clockwise, stroke: 92, rod: 152, declareGeometry: true,
		marksOn: sheet.OnPart, diameter: 158, counts: 1, step: 0.5, halfArc: 15 + 15*rng.Float64(),
		stopSD: 0.15, readSD: 0.15, trials: 3, readings: 3, setups: 1,
		approaches: []sheet.Approach{sheet.Forward},
		phase:      360 * rng.Float64(), zero: 360 * rng.Float64(),
	}
}

// withLines adds lines at the nominals given, all exactly where they belong.
func (r *rig) withLines(tolerance float64, at ...float64) *rig {
	for i, a := range at {
		r.lines = append(r.lines, trueLine{name: fmt.Sprintf("line %d", i+1), at: a, tolerance: tolerance})
	}
	return r
}

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }
func deg(radians float64) float64 { return radians * 180 / math.Pi }

// height of the piston pin over the crank axis, throw at t degrees from its top.
func (r *rig) height(t float64) float64 {
	side := r.stroke/2*math.Sin(rad(t)) - (r.bore - r.pin)
	return r.stroke/2*math.Cos(rad(t)) + math.Sqrt(r.rod*r.rod-side*side)
}

// bisect returns the root of f, which changes sign between low and high.
func bisect(low, high float64, f func(float64) float64) float64 {
	rising := f(high) > 0
	for range 200 {
		middle := (low + high) / 2
		if (f(middle) > 0) == rising {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2
}

// top is the throw angle at which the piston stands highest: where the height
// no longer changes.
func (r *rig) top() float64 {
	d := r.bore - r.pin
	return bisect(-60, 60, func(t float64) float64 {
		sin, cos := math.Sincos(rad(t))
		side := r.stroke/2*sin - d
		return sin + side*cos/math.Sqrt(r.rod*r.rod-side*side)
	})
}

// contacts are the crank angles from the piston's top at which the piston
// stands dropBefore and dropAfter below it.
func (r *rig) contacts(dropBefore, dropAfter float64) (before, after float64) {
	top := r.top()
	highest := r.height(top)
	before = bisect(top-150, top, func(t float64) float64 { return r.height(t) - (highest - dropBefore) })
	after = bisect(top, top+150, func(t float64) float64 { return r.height(t) - (highest - dropAfter) })
	return before - top, after - top
}

func (r *rig) mount() mounting {
	m := mounting{zero: r.zero, adds: r.remountBy + r.remountSD*r.rng.NormFloat64()}
	if r.remountWithin > 0 {
		m.adds += r.remountWithin * (2*r.rng.Float64() - 1)
	}
	if !r.zeroAlike {
		m.zero = 360 * r.rng.Float64()
	}
	top := r.top()
	m.drop = r.height(top) - r.height(top+r.halfArc)
	return m
}

// shows is what the readout shows with the crank theta past the piston's top.
func (r *rig) shows(m mounting, theta float64, approach sheet.Approach) float64 {
	lag := (r.lost + r.lostError) / 2
	if approach == sheet.Forward {
		lag = -lag
	}
	reading := r.counts*(theta+lag) + m.zero
	if r.wheelDiameter > 0 && r.offCentre > 0 {
		// The pointer's tip as the wheel sees it, and the wheel's own centre.
		towards := m.zero + r.phase
		x := r.wheelDiameter/2*math.Cos(rad(reading)) - r.offCentre*math.Cos(rad(towards))
		y := r.wheelDiameter/2*math.Sin(rad(reading)) - r.offCentre*math.Sin(rad(towards))
		reading += math.Remainder(deg(math.Atan2(y, x))-reading, 360)
	}
	if r.step > 0 {
		reading = math.Round(reading/r.step) * r.step
	}
	return reading
}

func (r *rig) trial(m mounting) sheet.Trial {
	before, after := r.contacts(m.drop+r.rock/2, m.drop-r.rock/2)
	scatter := r.stopSD * math.Sqrt2 // the middle of two has stopSD
	forward := r.shows(m, before+scatter*r.rng.NormFloat64(), sheet.Forward)
	backward := r.shows(m, after+scatter*r.rng.NormFloat64(), sheet.Backward)
	return sheet.Trial{
		Forward:  &sheet.Reading{Value: geometry.Angle(forward), Approach: sheet.Forward},
		Backward: &sheet.Reading{Value: geometry.Angle(backward), Approach: sheet.Backward},
	}
}

func (r *rig) reading(m mounting, l trueLine, approach sheet.Approach) sheet.Reading {
	theta := l.at + l.offset + m.adds + r.readSD*r.rng.NormFloat64()
	if r.fromThrow {
		theta -= r.top()
	}
	if r.diameter > 0 {
		theta += deg(r.squint / (r.diameter / 2))
	}
	return sheet.Reading{Value: geometry.Angle(r.shows(m, theta, approach)), Approach: approach}
}

func (r *rig) setup(i int) sheet.Setup {
	m := r.mount()
	r.mountings = append(r.mountings, m)
	s := sheet.Setup{Name: strconv.Itoa(i + 1), Path: sheet.Path(fmt.Sprintf("setups[%d]", i)), Marks: map[string][]sheet.Reading{}}
	for range r.trials {
		s.Trials = append(s.Trials, r.trial(m))
	}
	for _, l := range r.lines {
		for j := range r.readings {
			s.Marks[l.name] = append(s.Marks[l.name], r.reading(m, l, r.approaches[j%len(r.approaches)]))
		}
	}
	return s
}

// sheet writes down what the person at the rig sees and knows.
func (r *rig) sheet() sheet.Sheet {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: r.turns, RefersToThrow: r.fromThrow},
		Part:    sheet.Part{Diameter: geometry.Length(r.diameter), MarksOn: r.marksOn, Sighting: geometry.Limit[geometry.Length]{Half: geometry.Length(r.sightingLimit)}},
		Readout: sheet.Readout{Kind: sheet.Encoder, Step: geometry.Angle(r.step), Counts: geometry.Sense(r.counts)},
		Limits: sheet.Limits{
			Confidence: 0.95, Placement: sheet.DefaultPlacement,
			Remount: geometry.Limit[geometry.Angle]{Half: geometry.Angle(r.remountLimit)},
			Contact: geometry.Limit[geometry.Length]{Half: geometry.Length(r.rockLimit)},
			Slack:   geometry.Limit[geometry.Length]{Half: geometry.Length(r.slackLimit)},
		},
	}
	if r.step == 0 {
		s.Readout.Step = 1e-6
	}
	if r.declareGeometry {
		s.Engine.Stroke, s.Engine.Rod = geometry.Length(r.stroke), geometry.Length(r.rod)
		s.Engine.PinOffset.Value, s.Engine.BoreOffset.Value = geometry.Length(r.pin), geometry.Length(r.bore)
	}
	if r.wheelDiameter > 0 {
		s.Readout.Kind = sheet.Wheel
		s.Readout.Diameter, s.Readout.OffCentre = geometry.Length(r.wheelDiameter), geometry.Length(r.offCentre)
	}
	if r.lostLimit > 0 {
		s.Readout.HasLostMotion, s.Readout.LostMotion = true, geometry.Angle(r.lost)
		s.Readout.LostLimit = geometry.Limit[geometry.Angle]{Half: geometry.Angle(r.lostLimit)}
	}
	for i, l := range r.lines {
		s.Marks = append(s.Marks, sheet.Mark{Name: l.name, At: geometry.Angle(l.at), Tolerance: geometry.Angle(l.tolerance), Path: sheet.Path(fmt.Sprintf("marks[%d]", i))})
	}
	r.mountings = nil
	if len(r.ways) > 0 {
		s.Setups = r.setupsBy()
		return s
	}
	for i := range r.setups {
		s.Setups = append(s.Setups, r.setup(i))
	}
	return s
}

// quarterTurn is what the readout shows before and after a quarter turn the
// way the engine runs.
func (r *rig) quarterTurn() *[2]sheet.Reading {
	m := mounting{zero: 360 * r.rng.Float64()}
	return &[2]sheet.Reading{
		{Value: geometry.Angle(r.shows(m, 11.3, sheet.Forward)), Approach: sheet.Forward},
		{Value: geometry.Angle(r.shows(m, 98.6, sheet.Forward)), Approach: sheet.Forward},
	}
}

// btdcLines is where the BTDC lines are seen from the TDC line. On a part that
// turns, the line that passes the pointer first is ahead; on a fixed scale the
// turning line meets it first, so it lies behind.
func (r *rig) btdcLines() geometry.Rotation {
	if r.marksOn == sheet.OnPart {
		return r.turns
	}
	return r.turns.Opposite()
}
