package crosscheck

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
)

// setups asks, for every set of three setups or more that lines share, whether the
// setups differ by no more than the stated remounting limit and their own scatter
// let one expect. Whether setups contradict each other is weighed by the diagnosis.
func setups(in input, c *Checks) {
	if slices.ContainsFunc(in.lines, func(l lines.Line) bool { return l.Offset != nil && l.Covers == lines.Repeatability }) {
		c.warn(warning.Warning{Code: warning.NoRemounting})
	}
	for _, same := range lines.SameSetups(in.lines) {
		compareSetups(in, same, c)
	}
}

// compareSetups tests the setups that some lines share.
func compareSetups(in input, same []int, c *Checks) {
	k, p := len(in.lines[same[0]].Seen), float64(len(same))
	remount := in.sheet.Limits.Remount
	if k < uncertainty.EnoughSetups || remount.Half == 0 {
		return
	}
	means, weights := make([]float64, k), make([]float64, len(same))
	var within float64 // the variance of one setup's mean offset, as its own readings have it
	for i, index := range same {
		l := in.lines[index]
		weights[i] = 1 / p
		for j, x := range stats.Degrees(l.Offsets()) {
			means[j] += x / p
			v := stats.Square(l.Scatter.SD.Degrees()) * l.Seen[j].PerLine
			within += math.Max(v, stats.Square(in.readout.Step().Degrees())/12) / (float64(k) * p * p)
		}
	}
	mean := lines.Weighted(in.lines, same, weights).Groups[0]
	within += math.Max(uncertainty.Variance(uncertainty.OfTDC(mean.Scatter))*float64(k), uncertainty.Variance(uncertainty.OfTDC(mean.Rounding)))
	_, between := stats.MeanStdDev(means)
	expected := stats.Square(remount.Standard().Degrees()) + within
	if between*between/expected > stats.ChiSquaredQuantile(0.05, float64(k-1))/float64(k-1) {
		c.warn(warning.Warning{Code: warning.RemountExceeded, Values: []float64{between, remount.Standard().Degrees()}})
	}
}
