package stats

import "math"

// CommonSlope returns the slope that several lines have in common, each with a
// level of its own, its standard error and its degrees of freedom: the values
// less one a group and one for the slope (analysis of covariance; Snedecor and
// Cochran, Statistical Methods, 8th ed., chapter 18). x and y hold a group each. With
// all x of every group alike, or without a degree of freedom, dof is 0 and
// there is no slope. One group is [SlopeOn].
func CommonSlope(x, y [][]float64) (slope, standardError, dof float64) {
	var sxx, sxy float64
	centred := make([][2][]float64, len(x))
	dof = -1
	for g := range x {
		if len(x[g]) == 0 {
			continue
		}
		mx, _ := MeanStdDev(x[g])
		my, _ := MeanStdDev(y[g])
		for i := range x[g] {
			dx, dy := x[g][i]-mx, y[g][i]-my
			centred[g][0], centred[g][1] = append(centred[g][0], dx), append(centred[g][1], dy)
			sxx += dx * dx
			sxy += dx * dy
		}
		dof += float64(len(x[g]) - 1)
	}
	if sxx == 0 || dof < 1 {
		return 0, 0, 0
	}
	slope = sxy / sxx
	var rss float64
	for _, c := range centred {
		for i, dx := range c[0] {
			r := c[1][i] - slope*dx
			rss += r * r
		}
	}
	return slope, math.Sqrt(rss / dof / sxx), dof
}
