package audit

import (
	"fmt"
	"math"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Pair is one pair of stop contacts as it is taken at the engine, before there
// is a sheet.
type Pair struct {
	Forward, Backward sheet.Reading
	Counts            geometry.Sense
	Step              geometry.Angle // of the readout; zero when not stated
	Standing          sheet.Approach // the contact at which the crank stands
}

// PairTop is where one pair of contacts puts top dead centre, and how to get
// there.
type PairTop struct {
	Pair
	Reading   geometry.Angle // what the readout shows at the middle, [0°, 360°)
	HalfArc   geometry.Angle // half of what the stop blocks
	StepLimit geometry.Angle // the middle is never further off from the step alone; zero when not stated
	InDwell   bool           // the stop sits where the piston hardly moves
	Moves     []CrankMove    // from the contact to the middle, the stop taken out
	Again     geometry.Angle // where the readout stands to come up to the middle again, [0°, 360°)
}

// CrankMove is a turn of the crank to where the readout shows To.
type CrankMove struct {
	Along Along
	By    geometry.Angle // unsigned
	To    geometry.Angle // [0°, 360°)
}

// overshoot is how far past a line to go before coming back to it the way the
// engine runs, so that lost motion is taken up. Common practice, no source.
const overshoot geometry.Angle = 10

// Top finds the middle of the pair. The error, of type [*geometry.Refusal],
// says what the two readings contradict: both alike, more than half a turn
// blocked, or letters on a readout that counts down.
//
// A middle halves the sum of two roundings of at most half a step each, so the
// step alone puts it off by at most half a step (triangular distribution,
// JCGM 100, 4.3.9). Pin and bore offset are not corrected: one pair is taken
// before stroke and rod are known.
func (p Pair) Top() (PairTop, error) {
	readings := "found forward " + p.Forward.Written() + " and backward " + p.Backward.Written()
	if p.Counts == geometry.CountsDown && (p.Forward.Lettered || p.Backward.Lettered) {
		return PairTop{}, &geometry.Refusal{
			Text: readings + " with BTDC or ATDC on a readout that counts down, expected the numbers alone",
			Hint: "when the count falls the letters leave the sign open",
		}
	}
	middle, half := pair(p.Counts, p.Forward.Value, p.Backward.Value)
	switch {
	case half == 0:
		return PairTop{}, &geometry.Refusal{
			Text: readings + ", where both contacts read the same",
			Hint: "the stop blocks nothing: was it fitted?",
		}
	case half > 90:
		return PairTop{}, &geometry.Refusal{
			Text: fmt.Sprintf("%s, which block %v, expected at most 180°", readings, 2*half),
			Hint: "the contacts are swapped, for forward is the one reached the way the engine runs, or the readout counts the other way",
		}
	}
	top := PairTop{
		Pair: p, Reading: middle.Turn(), HalfArc: half,
		StepLimit: p.Step / 2, InDwell: 2*half < dwellArc,
		Again: (middle - geometry.Angle(p.Counts)*overshoot).Turn(),
	}
	if p.Standing == sheet.Backward {
		top.Moves = []CrankMove{{Against, half + overshoot, top.Again}, {Running, overshoot, top.Reading}}
	} else {
		top.Moves = []CrankMove{{Running, half, top.Reading}}
	}
	return top, nil
}

// RimMeasure is the circle on which a length belongs to an angle: the rim, or a
// tape laid round it.
type RimMeasure struct {
	Diameter geometry.Quantity[geometry.Length]
	Tape     geometry.Length // thickness of the tape; zero for none
	Teeth    int             // of the ring gear; zero when not counted
}

// Sized is a value with the part of its doubt that comes from the diameter:
// the zero Limit when the diameter has none, a Half of NaN where the value is
// not determined within the diameter's limit.
type Sized[T geometry.Angle | geometry.Length] struct {
	Value T
	Limit geometry.Limit[T]
}

// RimLengths is an angle in the lengths that can be measured along a rim.
type RimLengths struct {
	Angle            geometry.Angle
	Arc, Chord, Tape Sized[geometry.Length] // Tape is zero without one
	Teeth            float64
}

// RimAngles is a length on a rim in degrees, by the way it was measured.
type RimAngles struct {
	Length           geometry.Length
	Arc, Chord, Tape Sized[geometry.Angle] // Tape is zero without one
	IsChord          bool                  // the length is at most the diameter, so dividers can span it
	Teeth            float64               // of Arc
}

// Check refuses a rim on which nothing can be measured: no diameter above
// zero, or a limit that reaches down to nothing. The error is of type
// [*geometry.Refusal].
func (m RimMeasure) Check() error {
	switch d := m.Diameter; {
	case !d.HasValue || d.Value <= 0:
		return &geometry.Refusal{Text: fmt.Sprintf("found a rim of %v, expected a diameter above zero", d), Hint: "such as 158 mm"}
	case d.Limit.Half >= d.Value:
		return &geometry.Refusal{Text: fmt.Sprintf("found a rim of %v, expected a limit smaller than the diameter", d)}
	}
	return nil
}

// Lengths returns what an angle of at most a turn, either way, is on the rim;
// signs are those of the angle. The error is of type [*geometry.Refusal].
// (Method, section 5.)
func (m RimMeasure) Lengths(a geometry.Angle) (RimLengths, error) {
	if err := m.Check(); err != nil {
		return RimLengths{}, err
	}
	if a.Abs() > 360 {
		return RimLengths{}, &geometry.Refusal{Text: fmt.Sprintf("found %v, expected at most a turn", a)}
	}
	out := RimLengths{
		Angle: a,
		Arc:   across(m.Diameter, func(r geometry.Rim) geometry.Length { return r.Arc(a) }),
		Chord: across(m.Diameter, func(r geometry.Rim) geometry.Length { return r.Chord(a) }),
		Teeth: geometry.Teeth(a, m.Teeth),
	}
	if m.Tape > 0 {
		out.Tape = across(m.Diameter, func(r geometry.Rim) geometry.Length { return r.Tape(a, m.Tape) })
	}
	return out, nil
}

// Angles returns what a length of at most once round the rim, either way, is in
// degrees; signs are those of the length. The error is of type
// [*geometry.Refusal]. (Method, section 5.)
func (m RimMeasure) Angles(l geometry.Length) (RimAngles, error) {
	if err := m.Check(); err != nil {
		return RimAngles{}, err
	}
	rim := geometry.Rim{Diameter: m.Diameter.Value}
	if round := rim.Arc(360); max(l, -l) > round {
		return RimAngles{}, &geometry.Refusal{Text: fmt.Sprintf("found %v, expected at most once round the rim, %.2f", l, round)}
	}
	out := RimAngles{
		Length:  l,
		Arc:     across(m.Diameter, func(r geometry.Rim) geometry.Angle { return r.AngleFromArc(l) }),
		IsChord: max(l, -l) <= m.Diameter.Value,
	}
	out.Teeth = geometry.Teeth(out.Arc.Value, m.Teeth)
	if out.IsChord {
		out.Chord = across(m.Diameter, func(r geometry.Rim) geometry.Angle {
			a, err := r.AngleFromChord(l)
			if err != nil { // the smallest diameter within the limit is shorter than l
				return geometry.Angle(math.NaN())
			}
			return a
		})
	}
	if m.Tape > 0 {
		out.Tape = across(m.Diameter, func(r geometry.Rim) geometry.Angle { return r.AngleFromTape(l, m.Tape) })
	}
	return out, nil
}

// across evaluates f on the rim and at both ends of the diameter's limit.
func across[T geometry.Angle | geometry.Length](d geometry.Quantity[geometry.Length], f func(geometry.Rim) T) Sized[T] {
	low, high := f(geometry.Rim{Diameter: d.Value - d.Limit.Half}), f(geometry.Rim{Diameter: d.Value + d.Limit.Half})
	return Sized[T]{
		Value: f(geometry.Rim{Diameter: d.Value}),
		Limit: geometry.Limit[T]{Half: T(math.Abs(float64(high-low)) / 2), K: d.Limit.K},
	}
}
