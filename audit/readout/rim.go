package readout

import (
	"math"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// RimLimit is the relative limit of the diameter where the rim is the readout,
// zero elsewhere.
func (r Readout) RimLimit() geometry.Limit[geometry.Angle] {
	if r.of.Kind != sheet.Rim || r.part.Diameter == 0 {
		return geometry.Limit[geometry.Angle]{}
	}
	return geometry.Limit[geometry.Angle]{Half: geometry.Angle(r.part.DiameterLimit.Half / r.part.Diameter), K: r.part.DiameterLimit.K}
}

// stretch is how many degrees a reading of the rim shrinks by where the diameter
// is larger by its whole self, to first order: all of it along a tape, more of
// it across a chord. The reading counts from the chalk line, whole turns
// included.
func (r Readout) stretch(reading geometry.Angle) float64 {
	if r.of.Kind != sheet.Rim || !r.of.Chord {
		return reading.Degrees()
	}
	turned := geometry.AngleFromRadians(2 * math.Tan(r.part.Turned(reading).Radians()/2))
	return r.part.OfCrank(turned).Degrees()
}
