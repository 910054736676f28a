package stats

import "markaudit/geometry"

// leastResultant is the mean resultant length below which readings of one thing
// lie so far round the circle that their mean means nothing. Readings within
// ±60° of each other keep it.
const leastResultant = 0.5

// Gather unwraps readings around their circular mean. It reports false when they
// lie all round the circle.
func Gather(readings []geometry.Angle) ([]geometry.Angle, bool) {
	mean, resultant := geometry.CircularMean(readings)
	return geometry.Unwrap(readings, mean), resultant >= leastResultant
}

// Degrees hands typed angles to the statistics, which know no units.
func Degrees(angles []geometry.Angle) []float64 {
	out := make([]float64, len(angles))
	for i, a := range angles {
		out[i] = a.Degrees()
	}
	return out
}

// MeanAngle is the mean of angles that are unwrapped around each other. It panics
// on none.
func MeanAngle(angles []geometry.Angle) geometry.Angle {
	m, _ := MeanStdDev(Degrees(angles))
	return geometry.Angle(m)
}

// Spread returns the sum of the squared deviations of angles from their mean, in
// degrees squared, and its degrees of freedom.
func Spread(angles []geometry.Angle) (squares, dof float64) {
	if len(angles) < 2 {
		return 0, 0
	}
	dof = float64(len(angles) - 1)
	_, sd := MeanStdDev(Degrees(angles))
	return sd * sd * dof, dof
}

// Extremes are the smallest and the largest of some angles.
func Extremes(angles []geometry.Angle) (lo, hi geometry.Angle) {
	lo, hi = angles[0], angles[0]
	for _, a := range angles {
		lo, hi = min(lo, a), max(hi, a)
	}
	return lo, hi
}

// Nearest is the turn of an angle that comes nearest to another.
func Nearest(angle, to geometry.Angle) geometry.Angle {
	return geometry.Unwrap([]geometry.Angle{angle}, to)[0]
}

// Square is x².
func Square(x float64) float64 { return x * x }
