package simulate

import (
	"math"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Shows is what the readout shows, before it is rounded to its step, with the
// crank theta past the piston's top, come to in the way given. A perfect one
// would show zero at the top.
func (r Readout) Shows(zero, theta geometry.Angle, approach sheet.Approach) geometry.Angle {
	lag := float64(r.Lost) / 2
	if approach == sheet.Forward {
		lag = -lag
	}
	reading := float64(r.Counts)*(float64(theta)+lag) + float64(zero)
	if r.Diameter > 0 && r.OffCentre != 0 {
		reading = r.fromOwnCentre(reading, float64(zero))
	}
	return geometry.Angle(r.misdivided(reading))
}

// fromOwnCentre is what a wheel shows that turns about a point beside its own
// centre: the angle under which its centre sees the pointer's tip.
func (r Readout) fromOwnCentre(reading, zero float64) float64 {
	towards := float64(r.Towards)
	if !r.Bored {
		towards += zero
	}
	radius := float64(r.Diameter) / 2
	x := radius*math.Cos(rad(reading)) - float64(r.OffCentre)*math.Cos(rad(towards))
	y := radius*math.Sin(rad(reading)) - float64(r.OffCentre)*math.Sin(rad(towards))
	return reading + math.Remainder(deg(math.Atan2(y, x))-reading, 360)
}

// misdivided adds the harmonics. They belong to the reading that is shown, which
// therefore is found step by step; each makes what is missing smaller by the
// slope of the error, a few thousandths.
func (r Readout) misdivided(reading float64) float64 {
	shown := reading
	for range 20 {
		before := shown
		shown = reading
		for _, h := range r.Harmonics {
			shown += float64(h.Amplitude) * math.Sin(rad(float64(h.Order)*before-float64(h.Phase)))
		}
		if len(r.Harmonics) == 0 || shown == before {
			break
		}
	}
	return shown
}

// written rounds a reading to the step that is read, as the decimals that a
// person writes.
func (r Readout) written(shown geometry.Angle, rounds geometry.Angle) geometry.Angle {
	step := math.Max(float64(r.Step), float64(rounds))
	if step == 0 {
		return shown
	}
	return geometry.Angle(decimal(math.Round(float64(shown)/step) * step))
}

// decimal is a number with the nine decimals that are as many as anybody writes;
// beyond these a multiple of a step is not what is written.
func decimal(x float64) float64 {
	const digits = 1e9
	return math.Round(x*digits) / digits
}

// length is what is read along a rim of this diameter, or across it, with the
// part turned so far from where the chalk line meets the pointer.
func (r Readout) length(turned, diameter float64) float64 {
	length := diameter / 2 * rad(turned)
	if r.Chord { // the distance of two points of the plane
		sin, cos := math.Sincos(rad(turned))
		length = math.Copysign(math.Hypot(diameter/2*(1-cos), diameter/2*sin), turned)
	}
	if step := float64(r.StepLength); step > 0 {
		return decimal(math.Round(length/step) * step)
	}
	return length
}

// withinHalfATurn brings degrees to within half a turn either way.
func withinHalfATurn(x float64) float64 { return math.Remainder(x, 360) }
