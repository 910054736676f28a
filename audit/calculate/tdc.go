package calculate

import (
	"fmt"
	"math"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Pair is one pair of stop contacts as it is taken at the engine, before there
// is a sheet: degrees from a readout, or lengths from a chalk line on a rim.
type Pair struct {
	Forward, Backward sheet.Reading   // a measured one holds its length, and needs no value
	Counts            geometry.Sense  // zero, of lengths only: not stated
	Step              geometry.Angle  // of the readout; zero when not stated
	StepLength        geometry.Length // of lengths, in place of Step
	Standing          sheet.Approach  // the contact at which the crank stands
	Rim               RimMeasure      // without a diameter, no lengths are wanted
	Chord             bool            // lengths were taken straight across, not along a tape
}

const swappedContacts = "one of these is so: the contacts are swapped, for forward is the one reached the way the engine runs, or "

// PairTop is where one pair of contacts puts top dead centre, and how to get
// there. Of lengths, the angles count from the chalk line as the lengths do.
type PairTop struct {
	Pair
	Reading   geometry.Angle // what the readout shows at the middle, [0°, 360°)
	HalfArc   geometry.Angle // half of what the stop blocks
	StepLimit geometry.Angle // the middle is never further off from the step alone; zero when not stated
	InDwell   bool           // the stop sits where the piston hardly moves
	HalfTurn  bool           // the stop blocks half a turn, to two steps: the dead centres lie alike between the contacts
	Moves     []CrankMove    // from the contact to the middle, the stop taken out
	Again     geometry.Angle // where the readout stands to come up to the middle again, [0°, 360°)
	Half      HalfOnRim      // zero without a rim
	Guessed   bool           // Counts was not stated: the stop blocks less than half a turn only with this one
}

// HalfOnRim is half of what the stop blocks, as a distance on the rim from
// either contact to the middle.
type HalfOnRim struct {
	Arc, Chord Sized[geometry.Length]
	Angle      Sized[geometry.Angle]
}

// CrankMove is a turn of the crank to where the readout shows To.
type CrankMove struct {
	Turning sheet.Approach // Forward: the way the engine runs
	By      geometry.Angle // unsigned
	To      geometry.Angle // [0°, 360°)
}

// overshoot is how far past a line to go before coming back to it the way the
// engine runs, so that lost motion is taken up. Common practice, no source.
const overshoot geometry.Angle = 10

// Top finds the middle of the pair. The error, of type [*geometry.Refusal],
// says what the two readings contradict: both alike, more than half a turn
// blocked, letters on a readout that counts down, a length beside an angle, or
// a length that the rim does not hold. Lengths without the diameter of the rim,
// or half a turn apart without a sense of counting, are an [*Unstated].
//
// A middle halves the sum of two roundings of at most half a step each, so the
// step alone puts it off by at most half a step (triangular distribution,
// JCGM 100, 4.3.9). Pin and bore offset are not corrected: one pair is taken
// before stroke and rod are known. (On a rim: plane geometry; method, section
// 5.)
func (p Pair) Top() (PairTop, error) {
	if err := p.measure(); err != nil {
		return PairTop{}, err
	}
	readings := "found forward " + p.Forward.Written() + " and backward " + p.Backward.Written()
	guessed := p.Counts == 0
	if guessed {
		p.Counts = geometry.CountsUp
		switch arc := p.Counts.Arc(p.Forward.Value, p.Backward.Value); {
		case arc == 180:
			return PairTop{}, unstated(SenseOfCounting, readings+", half a turn apart", "to know whether the lengths grow or fall while the engine turns the way it runs")
		case arc > 180:
			p.Counts = geometry.CountsDown
		}
	}
	if p.Counts == geometry.CountsDown && (p.Forward.Lettered || p.Backward.Lettered) {
		return PairTop{}, &geometry.Refusal{
			Text: readings + " with BTDC or ATDC on a readout that counts down, expected the numbers alone",
			Hint: "when the count falls the letters leave the sign open",
		}
	}
	middle, half := p.Counts.Middle(p.Forward.Value, p.Backward.Value)
	switch {
	case half == 0:
		return PairTop{}, &geometry.Refusal{
			Text: readings + ", where both contacts read the same",
			Hint: "the stop blocks nothing: was it fitted?",
		}
	case half > 90 && p.Forward.Measured:
		hint := swappedContacts + "the lengths count the other way"
		if p.Chord {
			hint += ", or a chord stands for the longer way round and is better measured with a tape"
		}
		hint += ". " + sheet.FindTheSide + " and see whether the lengths grow"
		return PairTop{}, &geometry.Refusal{Text: fmt.Sprintf("%s, which block %.2f, expected at most 180°", readings, 2*half), Hint: hint}
	case half > 90:
		return PairTop{}, &geometry.Refusal{
			Text: fmt.Sprintf("%s, which block %v, expected at most 180°", readings, 2*half),
			Hint: swappedContacts + "the readout counts the other way. " + sheet.FindTheSide + " and see whether the number grows",
		}
	}
	top := PairTop{Pair: p, Guessed: guessed}.at(middle, half)
	if p.Rim.Diameter.HasValue {
		top.Half = p.halfOnRim()
	}
	return top, nil
}

// at puts TDC at a middle, with half of what the stop blocks to either side.
func (t PairTop) at(middle, half geometry.Angle) PairTop {
	t.Reading, t.HalfArc, t.StepLimit = middle.Turn(), half, t.Step/2
	t.InDwell = 2*half < geometry.DwellArc
	t.HalfTurn = 2*half > 180-2*t.Step-geometry.Tie
	t.Again = (middle - geometry.Angle(t.Counts)*overshoot).Turn()
	if t.Standing == sheet.Backward {
		t.Moves = []CrankMove{{sheet.Backward, half + overshoot, t.Again}, {sheet.Forward, overshoot, t.Reading}}
	} else {
		t.Moves = []CrankMove{{sheet.Forward, half, t.Reading}}
	}
	return t
}

// measure turns lengths into degrees, and so their step.
func (p *Pair) measure() error {
	readings := "found forward " + p.Forward.Written() + " and backward " + p.Backward.Written()
	lengths := p.Forward.Measured
	switch {
	case lengths != p.Backward.Measured:
		return &geometry.Refusal{Text: readings + ", a length and an angle, expected both of one kind", Hint: "lengths with their unit, such as 0 mm and 230.4 mm; degrees without"}
	case !lengths && p.StepLength != 0:
		return &geometry.Refusal{Text: fmt.Sprintf("found a step of %v with readings in degrees, expected degrees", p.StepLength), Hint: "such as 0.5"}
	case lengths && p.Step != 0:
		return &geometry.Refusal{Text: fmt.Sprintf("found a step of %v with lengths, expected a length", p.Step), Hint: "such as 1 mm"}
	case lengths && p.Rim == (RimMeasure{}):
		return unstated(RimDiameter, readings+" without the diameter of the rim", "it with lengths")
	case p.Rim == (RimMeasure{}):
		return nil
	}
	if err := p.Rim.Check(); err != nil || !lengths {
		return err
	}
	for _, r := range []*sheet.Reading{&p.Forward, &p.Backward} {
		if err := p.onRim(r); err != nil {
			return err
		}
		rounded, err := p.rounding(r.Length)
		if err != nil {
			return err
		}
		p.Step += rounded
	}
	if p.Step > 90 { // as the most that a readout may have
		return &geometry.Refusal{Text: fmt.Sprintf("found a step of %v, which is more than 90 degrees on the rim", p.StepLength)}
	}
	return nil
}

// onRim gives a length its angle from the chalk line.
func (p *Pair) onRim(r *sheet.Reading) error {
	d := p.Rim.Diameter.Value
	if p.Chord && max(r.Length, -r.Length) > d {
		return &geometry.Refusal{
			Text: fmt.Sprintf("found %v, and a chord cannot be longer than the diameter of %v", r.Length, d),
			Hint: "a chord counts up to half a turn; beyond that measure with a tape",
		}
	}
	a, err := p.Rim.Angles(r.Length)
	if err != nil {
		return err
	}
	r.Value = a.Arc.Value
	if p.Chord {
		r.Value = a.Chord.Value
	}
	return nil
}

// rounding returns how far the step may put a length's angle off: along a tape
// the same everywhere, across the rim more the longer the chord is.
func (p *Pair) rounding(l geometry.Length) (geometry.Angle, error) {
	rim, half := geometry.Rim{Diameter: p.Rim.Diameter.Value}, p.StepLength/2
	if !p.Chord {
		return rim.AngleFromArc(half), nil
	}
	l = max(l, -l)
	read, err := rim.AngleFromChord(l)
	if err != nil {
		return 0, err
	}
	longest, err := rim.AngleFromChord(l + half)
	if err != nil {
		return 0, &geometry.Refusal{
			Text: fmt.Sprintf("found %v with a step of %v, which reaches past the diameter of %v", l, p.StepLength, rim.Diameter),
			Hint: "near half a turn a chord says nothing; measure with a tape",
		}
	}
	return longest - read, nil
}

// halfOnRim is half the blocked arc on the rim, and what the diameter leaves
// open of it.
func (p Pair) halfOnRim() HalfOnRim {
	half := func(r geometry.Rim) geometry.Angle {
		at := func(c sheet.Reading) geometry.Angle {
			switch {
			case !c.Measured:
				return c.Value
			case !p.Chord:
				return r.AngleFromArc(c.Length)
			}
			a, err := r.AngleFromChord(c.Length)
			if err != nil { // the smallest diameter within the limit is shorter than the chord
				return geometry.Angle(math.NaN())
			}
			return a
		}
		_, half := p.Counts.Middle(at(p.Forward), at(p.Backward))
		return half
	}
	d := p.Rim.Diameter
	out := HalfOnRim{
		Arc:   across(d, func(r geometry.Rim) geometry.Length { return r.Arc(half(r)) }),
		Chord: across(d, func(r geometry.Rim) geometry.Length { return r.Chord(half(r)) }),
		Angle: across(d, half),
	}
	if out.Arc.Limit.Half < 1e-9 { // what was taken along a tape is the arc, whatever the diameter
		out.Arc.Limit.Half = 0
	}
	return out
}

// Shown returns what is read at the pointer where the readout would show an
// angle: along the tape within once round, negative where a contact was, or
// across the rim, at most half a turn either way.
func (p Pair) Shown(a geometry.Angle) geometry.Length {
	rim := geometry.Rim{Diameter: p.Rim.Diameter.Value}
	switch {
	case p.Chord:
		return rim.Chord(a.Wrap())
	case min(p.Forward.Length, p.Backward.Length) < 0 || a.Turn() > 360-geometry.Tie:
		return rim.Arc(a.Wrap())
	}
	return rim.Arc(a.Turn())
}
