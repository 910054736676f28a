package calculate

import (
	"fmt"
	"math"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// PistonMeasure is what turns a drop of the piston into degrees, and back.
type PistonMeasure struct {
	Stroke, Rod           geometry.Length
	PinOffset, BoreOffset geometry.Offset
	Probe                 geometry.Angle  // of the indicator against the cylinder; zero: along it
	Diameter              geometry.Length // of a rim on the crank; zero when no lengths along it are wanted
	Unit                  geometry.Unit   // in which the person measures
	RodChecked            bool            // somebody looked: the rod really is as it was given
}

// PistonAt is where the crank stands at a drop. The angle counts from the
// piston's highest point and is negative before it; the arc along the rim has
// its sign, and is zero without a rim.
type PistonAt struct {
	Angle     Sized[geometry.Angle]
	PerDegree geometry.Length // how much the drop changes over a degree, half of it to either side; above zero
	Arc       geometry.Length
}

// PistonDrop is a drop of the piston in degrees before and after its top. A
// slanting indicator shows Indicator there, more than the drop; where it shows
// no more than the drop itself, Shown tells where the crank stands. Both are
// zero and nil along the cylinder.
type PistonDrop struct {
	Drop          geometry.Length
	Before, After PistonAt
	ThrowToTDC    Sized[geometry.Angle]
	Indicator     geometry.Length
	Shown         *PistonDrop
}

// PistonAngle is a crank angle as a drop of the piston.
type PistonAngle struct {
	PistonAt
	Drop       Sized[geometry.Length]
	Indicator  Sized[geometry.Length] // what a slanting indicator shows; zero along the cylinder
	ThrowToTDC Sized[geometry.Angle]
}

const atLimits = "with the offsets at their limits"

// Crank returns the slider-crank with the offsets as stated.
func (m PistonMeasure) Crank() geometry.Crank {
	return geometry.Crank{Stroke: m.Stroke, Rod: m.Rod, Offset: m.BoreOffset.Value - m.PinOffset.Value}
}

// open returns how far the offset of the crank may be off.
func (m PistonMeasure) open() geometry.Length {
	return m.PinOffset.Limit.Half + m.BoreOffset.Limit.Half
}

// Check refuses an engine that cannot turn, also with its offsets at their
// limits, an indicator more than 60° over, and a rim without a diameter above
// zero. A rod shorter than the stroke is [Unstated] until it is checked. The
// limits of the offsets are added, as limits that are never passed; a coverage
// factor is refused.
func (m PistonMeasure) Check() error {
	exchanged := ""
	if m.Crank().LongStroke() {
		exchanged = fmt.Sprintf("are the two exchanged: stroke %v, rod %v?", m.Rod, m.Stroke)
	}
	if err := m.Crank().Check(); err != nil {
		return &geometry.Refusal{Text: err.Error(), Hint: exchanged}
	}
	if exchanged != "" && !m.RodChecked {
		short := unstated(ShorterRod, fmt.Sprintf("found a rod of %v with a stroke of %v", m.Rod, m.Stroke), "a rod longer than the stroke")
		short.Hint = exchanged
		return short
	}
	if m.Crank().LongRod() && !m.RodChecked {
		return unstated(LongerRod, fmt.Sprintf("found a rod of %v with a stroke of %v", m.Rod, m.Stroke), "one of at most three and a half strokes")
	}
	for _, end := range m.ends() {
		if err := end.Check(); err != nil {
			return fmt.Errorf("%w, %s", err, atLimits)
		}
	}
	switch {
	case m.PinOffset.Limit.K > 0 || m.BoreOffset.Limit.K > 0:
		return &geometry.Refusal{Text: "found an offset with a coverage factor, expected a limit that is never passed", Hint: "such as 0.8 ± 0.1 mm to thrust side"}
	case !(m.Probe >= 0 && m.Probe <= sheet.MostProbe):
		return &geometry.Refusal{Text: fmt.Sprintf("found an indicator %v over, expected 0 to %d degrees between indicator and cylinder", m.Probe, int(sheet.MostProbe))}
	case !(m.Diameter >= 0):
		return &geometry.Refusal{Text: fmt.Sprintf("found a rim of %v, expected a diameter above zero", m.Diameter), Hint: "such as 158 mm"}
	}
	return nil
}

// ends returns the cranks with the offset at either end of what is open, none
// where nothing is.
func (m PistonMeasure) ends() []geometry.Crank {
	if m.open() == 0 {
		return nil
	}
	low, high := m.Crank(), m.Crank()
	low.Offset -= m.open()
	high.Offset += m.open()
	return []geometry.Crank{low, high}
}

// offsetBy evaluates f as stated, and how much further either end of the
// offset's limit may take it.
func offsetBy[T geometry.Angle | geometry.Length](m PistonMeasure, f func(geometry.Crank) T) Sized[T] {
	s := Sized[T]{Value: f(m.Crank())}
	for _, end := range m.ends() {
		s.Limit.Half = max(s.Limit.Half, T(math.Abs(float64(f(end)-s.Value))))
	}
	return s
}

// Angles returns where the crank stands when the piston is a drop below its
// top, before it and after it. The drop is along the cylinder, from zero to the
// piston's whole travel; another is an error. (Slider-crank: see
// [geometry.Crank]; a slanting indicator on a flat crown shows drop/cos(angle),
// plane geometry.)
func (m PistonMeasure) Angles(drop geometry.Length) (PistonDrop, error) {
	if err := m.Check(); err != nil {
		return PistonDrop{}, err
	}
	out, err := m.angles(drop)
	if err != nil || m.Probe == 0 {
		return out, err
	}
	along := geometry.Length(math.Cos(m.Probe.Radians()))
	out.Indicator = drop / along
	shown, err := m.angles(drop * along)
	out.Shown = &shown
	return out, err
}

func (m PistonMeasure) angles(drop geometry.Length) (PistonDrop, error) {
	var before, after Sized[geometry.Angle]
	var err error
	if before.Value, after.Value, err = m.Crank().Contacts(drop); err != nil {
		return PistonDrop{}, err
	}
	for _, end := range m.ends() {
		b, a, err := end.Contacts(drop)
		if err != nil {
			return PistonDrop{}, fmt.Errorf("%w, %s", err, atLimits)
		}
		before.Limit.Half = max(before.Limit.Half, (b - before.Value).Abs())
		after.Limit.Half = max(after.Limit.Half, (a - after.Value).Abs())
	}
	return PistonDrop{Drop: drop, Before: m.at(before), After: m.at(after), ThrowToTDC: offsetBy(m, geometry.Crank.ThrowToTDC)}, nil
}

// Drop returns how far the piston stands below its top with the crank at an
// angle of at most a turn, either way, from there.
func (m PistonMeasure) Drop(a geometry.Angle) (PistonAngle, error) {
	if err := m.Check(); err != nil {
		return PistonAngle{}, err
	}
	if a.Abs() > 360 {
		return PistonAngle{}, &geometry.Refusal{Text: fmt.Sprintf("found %v, expected at most a turn", a)}
	}
	out := PistonAngle{
		PistonAt:   m.at(Sized[geometry.Angle]{Value: a}),
		Drop:       offsetBy(m, func(c geometry.Crank) geometry.Length { return c.Drop(a) }),
		ThrowToTDC: offsetBy(m, geometry.Crank.ThrowToTDC),
	}
	if m.Probe > 0 {
		along := geometry.Length(math.Cos(m.Probe.Radians()))
		out.Indicator.Value, out.Indicator.Limit.Half = out.Drop.Value/along, out.Drop.Limit.Half/along
	}
	return out, nil
}

func (m PistonMeasure) at(a Sized[geometry.Angle]) PistonAt {
	c := m.Crank()
	change := c.Drop(a.Value+0.5) - c.Drop(a.Value-0.5)
	return PistonAt{Angle: a, PerDegree: max(change, -change), Arc: geometry.Rim{Diameter: m.Diameter}.Arc(a.Value)}
}
