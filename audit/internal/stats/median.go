package stats

import "slices"

// Median returns the middle one of values, or the mean of the two in the middle.
// It panics on an empty slice.
func Median(x []float64) float64 {
	if len(x) == 0 {
		panic("stats: median of nothing")
	}
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}
