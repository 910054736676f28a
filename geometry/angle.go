package geometry

import (
	"math"
)

// Angle is an angle in degrees. Whether it is a crank angle, a reading or a
// graduation is said by the name that holds it.
type Angle float64

// AngleFromRadians converts radians to an Angle.
func AngleFromRadians(r float64) Angle { return Angle(r * (180 / math.Pi)) }

// Degrees returns the angle as a bare number of degrees.
func (a Angle) Degrees() float64 { return float64(a) }

// Radians returns the angle in radians.
func (a Angle) Radians() float64 { return float64(a) * (math.Pi / 180) }

// Abs returns the magnitude of the angle.
func (a Angle) Abs() Angle { return Angle(math.Abs(float64(a))) }

// Wrap brings an angle into (-180°, 180°]. Whole degrees stay exact.
func (a Angle) Wrap() Angle {
	r := math.Remainder(float64(a), 360)
	if r == -180 {
		r = 180
	}
	return Angle(r)
}

// Turn brings an angle into [0°, 360°).
func (a Angle) Turn() Angle {
	r := math.Mod(float64(a), 360)
	if r < 0 {
		r += 360
	}
	if r >= 360 { // -1e-20 + 360 rounds up to a whole turn
		r = 0
	}
	return Angle(r)
}

// Sense says how a readout counts: +1 up and -1 down while the engine turns
// the way it runs. The zero value is invalid.
type Sense int8

// The two senses of a readout.
const (
	CountsUp   Sense = 1
	CountsDown Sense = -1
)

func (s Sense) String() string {
	switch s {
	case CountsUp:
		return "up"
	case CountsDown:
		return "down"
	}
	return "no sense"
}

// Tie is the difference below which two angles count as equal. Readings lie on
// graduations, so thresholds in steps are met exactly, and the last digit of a
// sum must not choose.
const Tie Angle = 1e-9

// Arc returns how far the crank turns, the way the engine runs, between two
// readings, in [0°, 360°). Within 1e-9° of nothing, of a whole turn and of half
// a turn it is exactly 0° and 180°: decimal readings such as 76.1 and 256.1 are
// half a turn apart to the person who wrote them.
func (s Sense) Arc(from, to Angle) Angle {
	arc := (Angle(s) * (to - from)).Turn()
	switch {
	case arc < Tie || arc > 360-Tie:
		return 0
	case (arc - 180).Abs() < Tie:
		return 180
	}
	return arc
}

// Middle returns the reading half way between two, the crank turned from the
// first to the second the way the engine runs, and half the arc between them.
// The middle is not brought to one turn.
func (s Sense) Middle(from, to Angle) (middle, half Angle) {
	half = s.Arc(from, to) / 2
	return from + Angle(s)*half, half
}

// Rotation is a direction as one looks at the marks. The zero value is invalid.
type Rotation uint8

// The two directions, as one looks at the marks.
const (
	Clockwise Rotation = iota + 1
	Anticlockwise
)

// Opposite returns the other direction.
func (r Rotation) Opposite() Rotation {
	if r == Clockwise {
		return Anticlockwise
	}
	return Clockwise
}

func (r Rotation) String() string {
	switch r {
	case Clockwise:
		return "clockwise"
	case Anticlockwise:
		return "anticlockwise"
	}
	return "no direction"
}
