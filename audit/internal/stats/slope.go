package stats

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Slope returns the slope of the least-squares line through y against the
// order 0, 1, 2 …, and its standard error, as [SlopeOn] does.
func Slope(y []float64) (slope, standardError float64) {
	x := make([]float64, len(y))
	for i := range x {
		x[i] = float64(i)
	}
	return SlopeOn(x, y)
}

// SlopeOn returns the slope of the least-squares line through y against x, and
// its standard error with n - 2 degrees of freedom (NIST/SEMATECH e-Handbook,
// 4.1.4.1). It panics on fewer than three values, which leave no scatter to
// judge a slope by. Where all x are alike neither is a number.
func SlopeOn(x, y []float64) (slope, standardError float64) {
	n := len(y)
	if n < 3 {
		panic("stats: slope of fewer than three values")
	}
	d := make([]float64, n) // differences from the first value, as in MeanStdDev
	for i := range d {
		d[i] = y[i] - y[0]
	}
	intercept, slope := stat.LinearRegression(x, d, nil, false)
	var rss float64
	for i := range x {
		r := d[i] - (intercept + slope*x[i])
		rss += r * r
	}
	_, sd := MeanStdDev(x)
	return slope, math.Sqrt(rss/float64(n-2)/float64(n-1)) / sd
}
