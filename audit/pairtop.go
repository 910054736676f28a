package audit

import (
	"fmt"

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
