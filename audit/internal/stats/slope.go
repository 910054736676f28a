package stats

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Slope returns the slope of the least-squares line through y against the
// order 0, 1, 2 …, and its standard error with n - 2 degrees of freedom
// (NIST/SEMATECH e-Handbook, 4.1.4.1). It panics on fewer than three values,
// which leave no scatter to judge a slope by.
func Slope(y []float64) (slope, standardError float64) {
	n := len(y)
	if n < 3 {
		panic("stats: slope of fewer than three values")
	}
	x := make([]float64, n)
	d := make([]float64, n) // differences from the first value, as in MeanStdDev
	for i := range x {
		x[i] = float64(i)
		d[i] = y[i] - y[0]
	}
	intercept, slope := stat.LinearRegression(x, d, nil, false)
	var rss float64
	for i := range x {
		r := d[i] - (intercept + slope*x[i])
		rss += r * r
	}
	k := float64(n)
	sxx := k * (k*k - 1) / 12 // Σ(x - mean)² of 0 … n-1
	return slope, math.Sqrt(rss / (k - 2) / sxx)
}
