package geometry

import (
	"fmt"
	"math"
)

// Rim is a circle on which lines are scribed. Its diameter is above zero. Arc,
// chord and tape carry the sign of the angle: positive is late, as the angle
// is. (Plane geometry; method, section 5.)
type Rim struct{ Diameter Length }

// DiameterFromCircumference returns the diameter c/π of a rim whose
// circumference was measured.
func DiameterFromCircumference(c Length) Length { return c / math.Pi }

// Arc returns the length along the rim that belongs to an angle: πDa/360.
func (r Rim) Arc(a Angle) Length { return arc(r.Diameter, a) }

// AngleFromArc returns the angle that belongs to a length along the rim.
func (r Rim) AngleFromArc(l Length) Angle { return angleFromArc(r.Diameter, l) }

// Chord returns the straight distance, as dividers span it, between two lines
// that are an angle of at most a turn apart: D sin(a/2).
func (r Rim) Chord(a Angle) Length {
	return r.Diameter * Length(math.Sin(a.Radians()/2))
}

// AngleFromChord returns the angle, at most half a turn, between two lines a
// straight distance apart. A distance beyond the diameter is an error.
func (r Rim) AngleFromChord(l Length) (Angle, error) {
	ratio := float64(l / r.Diameter)
	if !(r.Diameter > 0 && math.Abs(ratio) <= 1) {
		return 0, fmt.Errorf("found a chord of %v, expected at most the diameter of %v", l, r.Diameter)
	}
	return AngleFromRadians(2 * math.Asin(ratio)), nil
}

// AnglePerChord returns how many degrees a chord of length l grows by for each
// millimetre: the slope of [Rim.AngleFromChord], (360/π)/√(D² − l²). It is
// infinite at the diameter and NaN beyond it.
func (r Rim) AnglePerChord(l Length) Angle {
	return AngleFromRadians(2 / math.Sqrt(float64((r.Diameter-l)*(r.Diameter+l))))
}

// Tape returns the length that belongs to an angle on a tape of the given
// thickness, laid round the rim: π(D+t)a/360. A bent tape keeps its length at
// half its thickness, so the circle on which it measures is one thickness
// wider than the rim.
func (r Rim) Tape(a Angle, thickness Length) Length { return arc(r.Diameter+thickness, a) }

// AngleFromTape returns the angle that belongs to a length read on a tape of
// the given thickness, laid round the rim.
func (r Rim) AngleFromTape(l, thickness Length) Angle { return angleFromArc(r.Diameter+thickness, l) }

func arc(diameter Length, a Angle) Length {
	return diameter * Length(math.Pi*float64(a)/360)
}

func angleFromArc(diameter, l Length) Angle {
	return Angle(360 * float64(l) / (math.Pi * float64(diameter)))
}

// Teeth returns an angle as a number of teeth of a ring gear: N·a/360. Zero
// teeth, which means not counted, gives zero.
func Teeth(a Angle, teeth int) float64 { return float64(teeth) * float64(a) / 360 }
