package stats

import "gonum.org/v1/gonum/stat"

// MeanStdDev returns the arithmetic mean and the standard deviation with n - 1
// degrees of freedom, 0 for a single value. Equal values have exactly that
// mean and no deviation. It panics on an empty slice.
func MeanStdDev(x []float64) (mean, sd float64) {
	if len(x) == 0 {
		panic("stats: mean of nothing")
	}
	// Readings near 338.5 that differ by hundredths: differences from the
	// first are exact, so that rounding enters at their size, not at 338.5.
	if len(x) == 1 {
		return x[0], 0
	}
	var few [16]float64 // so many readings of one thing need no memory of their own
	d := few[:0]
	for _, v := range x {
		d = append(d, v-x[0])
	}
	mean, sd = stat.MeanStdDev(d, nil)
	return x[0] + mean, sd
}
