package readout

import (
	"math"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// OneWay is how the lost motion reaches a middle: not at all when it was reached
// from both sides, half of it when both readings were reached turning forward,
// and by up to half either way when the sheet does not say.
func OneWay(t sheet.Taken) Sensitivity {
	switch t {
	case sheet.OneWay:
		return Sensitivity{Lost: 0.5}
	case sheet.Unknown:
		// Taken with a sign that makes it add up with what the lines lose.
		return Sensitivity{Unsaid: -0.5}
	}
	return Sensitivity{}
}

// LostMotion is by how much a result that is reached so must be corrected. Where
// the approach is not stated nothing is corrected, and all that the readout may
// have lost goes into the doubt: the second result is then the sensitivity to it.
func (r Readout) LostMotion(s Sensitivity) (geometry.Angle, Sensitivity) {
	if s.Unsaid == 0 {
		return geometry.Angle(s.Lost) * r.of.LostMotion, s
	}
	s.Lost, s.Unsaid = 0, s.Unsaid+math.Abs(s.Lost)
	return 0, s
}

// ByLostMotion is how a combination is reached by the lost motion, that of an approach
// which is not stated apart.
func ByLostMotion(c uncertainty.Combination) Sensitivity {
	return Sensitivity{Lost: c.Sensitivity(uncertainty.LostMotion), Unsaid: c.Sensitivity(uncertainty.LostMotionUnsaid)}
}
