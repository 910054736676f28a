package geometry

import (
	"fmt"
	"math"
)

// Crank is a slider-crank. Stroke is twice the crank radius; Offset is the
// lateral offset of the pin's line from the crank axis, positive to the
// crankpin side, to which the pin swings once top dead centre is passed:
// bore offset (positive to the crankpin side) less pin offset (positive to the
// thrust side).
//
// With an offset the piston stands highest when rod and throw lie in one line,
// a little after the throw's top for a positive offset. Some methods count
// from the throw's top, most from the piston's; each says which. All but
// [Crank.Contacts] and [Crank.MidCorrection] expect a crank that passes
// [Crank.Check], and give meaningless numbers for another.
//
// Everything is in closed form from the triangle of crank axis, crankpin and
// piston pin, with r, l, d for radius, rod and offset. The angle in it at the
// crank axis is the half arc between the two contacts at one height, whatever
// the offset; ρ, the distance of the piston pin from the crank axis, gives the
// rest. (Slider-crank position with offset: Norton, Design of Machinery,
// position analysis of the offset slider-crank.)
type Crank struct{ Stroke, Rod, Offset Length }

// DwellArc is the blocked arc below which a stop sits where the piston hardly
// moves, so that a hair of height is a large angle: it goes as 1/sin. Common
// practice, no source.
const DwellArc Angle = 8

// Check reports what keeps the crank from turning, or from being that of an
// engine: stroke and rod are above zero and at most 10 m, the offset is less
// than the crank radius, and the rod is longer than radius and offset
// together.
func (c Crank) Check() error {
	r, l, d := c.parts()
	const longest = 10_000 // mm; common practice, no source: no engine is larger
	switch {
	case !(c.Stroke > 0 && c.Stroke <= longest):
		return fmt.Errorf("found a stroke of %v, expected one above zero and at most 10 m", c.Stroke)
	case !(c.Rod > 0 && c.Rod <= longest):
		return fmt.Errorf("found a rod of %v, expected one above zero and at most 10 m", c.Rod)
	case !(math.Abs(d) < r):
		return fmt.Errorf("found an offset of %v, expected less than half the stroke of %v", Length(math.Abs(d)), c.Stroke)
	case !(l > r+math.Abs(d)):
		return fmt.Errorf("found a rod of %v, too short for half the stroke and the offset together, %v", c.Rod, Length(r+math.Abs(d)))
	}
	return nil
}

// LongStroke reports whether the stroke is longer than the rod, as it is on no
// usual engine: mostly the two were exchanged. (Rods of 1.3 to 2.5 strokes:
// common practice, no source.)
func (c Crank) LongStroke() bool { return c.Stroke > c.Rod }

// SlopeAt returns how many millimetres the piston falls for a degree, with the crank
// at an angle after the piston's top: negative before the top, where it rises. It is
// the derivative of [Crank.Drop].
//
//	(π/180) (r sin t + (r sin t − d) r cos t / √(l² − (r sin t − d)²)),   t from the throw's top
func (c Crank) SlopeAt(a Angle) Length {
	r, l, d := c.parts()
	sin, cos := math.Sincos((a + c.ThrowToTDC()).Radians())
	side := r*sin - d
	return Length(Angle(1).Radians() * (r*sin + side*r*cos/math.Sqrt((l-side)*(l+side))))
}

// LongRod reports whether the rod is longer than three and a half strokes, as it is
// on no usual engine. (Common practice, no source.)
func (c Crank) LongRod() bool { return c.Rod > 3.5*c.Stroke }

// parts returns radius, rod and offset in millimetres.
func (c Crank) parts() (r, l, d float64) {
	return float64(c.Stroke) / 2, float64(c.Rod), float64(c.Offset)
}

// Height returns how far the piston pin stands above the crank axis, along the
// bore, with the throw at angle t after its own top.
//
//	x(t) = r cos t + √(l² − (r sin t − d)²)
func (c Crank) Height(t Angle) Length {
	r, l, d := c.parts()
	sin, cos := math.Sincos(t.Radians())
	side := r*sin - d
	return Length(r*cos + math.Sqrt((l-side)*(l+side)))
}

// top returns the height of the piston pin at its highest.
func (c Crank) top() float64 {
	r, l, d := c.parts()
	return math.Sqrt((l + r - d) * (l + r + d))
}

// ThrowToTDC returns how far after the throw's top the piston stands highest:
// asin(d/(r+l)), positive with a positive offset.
func (c Crank) ThrowToTDC() Angle {
	r, l, d := c.parts()
	return AngleFromRadians(math.Asin(d / (r + l)))
}

// PistonBDC returns how far after the piston's top it stands lowest, where rod
// and throw lie folded upon each other. Without an offset it is 180°; with one
// it is further for a positive offset.
//
//	180° + asin(d/(l − r)) − asin(d/(l + r))
func (c Crank) PistonBDC() Angle {
	r, l, d := c.parts()
	return 180 + AngleFromRadians(math.Asin(d/(l-r))) - c.ThrowToTDC()
}

// AngleOfDrop returns the crank angle, from the piston's top, at which the
// piston stands the given drop below it: negative for [BTDC], positive for
// [ATDC]. It fails where [Crank.Contacts] does. Other letters are a caller's
// mistake, and it panics.
func (c Crank) AngleOfDrop(drop Length, side Letters) (Angle, error) {
	before, after, err := c.Contacts(drop)
	switch side {
	case BTDC:
		return before, err
	case ATDC:
		return after, err
	}
	panic("geometry: a drop without its side")
}

// Drop returns how far the piston stands below its top, with the crank at
// angle theta after the piston's top. It is good to 1e-12 of the rod.
func (c Crank) Drop(theta Angle) Length {
	return max(0, Length(c.top())-c.Height(theta+c.ThrowToTDC()))
}

// Contacts returns the two crank angles at which the piston stands the given
// drop below its top, counted from the piston's top: before is negative, after
// positive, and with an offset they are not each other's opposite. They are
// good to 1e-11° as far down as 170° from the top, and also close to it, where
// the angle goes with the root of the drop. A drop below zero or beyond the piston's whole travel is an error, and
// so is a crank that does not pass [Crank.Check].
func (c Crank) Contacts(drop Length) (before, after Angle, err error) {
	if err := c.Check(); err != nil {
		return 0, 0, err
	}
	r, l, d := c.parts()
	h, top := float64(drop), c.top()
	travel := top - math.Sqrt((l-r-d)*(l-r+d))
	if !(h >= 0 && h <= travel) {
		return 0, 0, fmt.Errorf("found a drop of %.4g mm, expected one from 0 to the piston's travel of %.2f", drop.Millimetres(), Length(travel))
	}
	rho := math.Hypot(top-h, d)
	// The half-angle form: l+r−ρ is written as h(2·top−h)/(l+r+ρ), since the
	// difference itself keeps no digits near the top.
	above := h * (2*top - h) / (l + r + rho) * (l + rho - r)
	below := max(0, rho+r-l) * (rho + r + l)
	half := AngleFromRadians(2 * math.Atan2(math.Sqrt(above), math.Sqrt(below)))
	mid := c.mid(rho, h)
	return mid - half, mid + half, nil
}

// mid returns how far after the piston's top the middle of the two contacts
// lies at which the piston stands h below its top and its pin ρ from the crank
// axis. Taken as the difference of two arcsines, asin(d/ρ) − asin(d/(r+l)), it
// would keep no digits near the top.
func (c Crank) mid(rho, h float64) Angle {
	r, l, d := c.parts()
	return AngleFromRadians(math.Asin(d / rho * h / (r + l)))
}

// triangle returns what the triangle of crank axis, crankpin and piston pin
// holds when the contacts lie half an arc to either side: ρ, the height x of
// the piston pin, and √(l² − r² sin² α), the rod's part of ρ.
func (c Crank) triangle(halfArc Angle) (rho, x, along float64) {
	r, l, d := c.parts()
	sin, cos := math.Sincos(halfArc.Radians())
	along = math.Sqrt((l - r*sin) * (l + r*sin))
	rho = r*cos + along
	return rho, math.Sqrt((rho - d) * (rho + d)), along
}

// MidCorrection returns β, how far after the piston's top the middle of the
// two contacts at one height lies when the contacts are twice halfArc apart.
// It has the sign of the offset and is good to 1e-12°. A half arc outside
// (0°, 180°) is an error, and so is a crank that does not pass [Crank.Check].
//
//	β = (t₁ + t₂)/2 − t_p = asin(d·h / (ρ(r + l))),   ρ = r cos α + √(l² − r² sin² α)
//
// with h the drop at the contacts.
func (c Crank) MidCorrection(halfArc Angle) (Angle, error) {
	if err := c.Check(); err != nil {
		return 0, err
	}
	if !(halfArc > 0 && halfArc < 180) {
		return 0, fmt.Errorf("found a half arc of %v, expected one between 0 and 180°", halfArc)
	}
	rho, x, _ := c.triangle(halfArc)
	return c.mid(rho, c.top()-x), nil
}

// DropPerDegree returns how many millimetres the piston falls for each degree
// by which the half arc grows, where the contacts are twice halfArc apart. It
// is the harmonic mean of the slopes at the two contacts, so that contacts
// which differ by h in height move the middle by h/(2·DropPerDegree). It is
// good to 1e-12 of itself for half arcs within (0°, 180°).
//
//	dx/dα = ρ² r sin α / (x √(l² − r² sin² α)),   x = √(ρ² − d²)
func (c Crank) DropPerDegree(halfArc Angle) Length {
	r, _, _ := c.parts()
	rho, x, along := c.triangle(halfArc)
	perRadian := rho * rho * r * math.Sin(halfArc.Radians()) / (x * along)
	return Length(perRadian * Angle(1).Radians())
}

// DropOfHalfArc returns how far the piston stands below its top at two contacts
// that are twice halfArc apart, in [0°, 180°].
func (c Crank) DropOfHalfArc(halfArc Angle) Length {
	_, x, _ := c.triangle(halfArc)
	return Length(c.top() - x)
}
