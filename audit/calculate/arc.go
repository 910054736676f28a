package calculate

import (
	"fmt"
	"math"

	"markaudit/geometry"
)

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
