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
	const digits = 1e9 // beyond these a multiple of the step is not what is written
	return geometry.Angle(math.Round(math.Round(float64(shown)/step)*step*digits) / digits)
}
