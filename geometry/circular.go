package geometry

import "math"

// CircularMean returns the direction of the resultant of unit vectors at the
// given angles, in (-180°, 180°], and the mean resultant length between 0 and
// 1. Near 0 the mean has no meaning: opposite readings have none. It panics
// on an empty slice. (Zar, Biostatistical Analysis, 5th ed., 26.4; the sums are
// taken here because gonum's stat.CircularMean keeps the resultant to itself.)
func CircularMean(angles []Angle) (mean Angle, resultant float64) {
	if len(angles) == 0 {
		panic("geometry: circular mean of nothing")
	}
	var c, s float64
	for _, a := range angles {
		c += math.Cos(a.Radians())
		s += math.Sin(a.Radians())
	}
	return AngleFromRadians(math.Atan2(s, c)).Wrap(), math.Hypot(c, s) / float64(len(angles))
}

// Unwrap returns the angles moved by whole turns to within half a turn of
// around, in the order given.
func Unwrap(angles []Angle, around Angle) []Angle {
	out := make([]Angle, len(angles))
	for i, a := range angles {
		out[i] = around + (a - around).Wrap()
	}
	return out
}
