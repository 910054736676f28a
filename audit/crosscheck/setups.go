package crosscheck

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
)

// setups asks, for every set of setups that lines share, whether the setups agree
// as well as their own scatter, or the stated remounting limit, lets one expect.
func setups(in input, c *Checks) {
	if slices.ContainsFunc(in.lines, func(l lines.Line) bool { return l.Offset != nil && l.Covers == lines.Repeatability }) {
		c.warn(warning.Warning{Code: warning.NoRemounting})
	}
	for _, same := range lines.SameSetups(in.lines) {
		in.compareSetups(same, c)
	}
}

// compareSetups tests the setups that some lines share.
func (in input) compareSetups(same []int, c *Checks) {
	k, p := len(in.lines[same[0]].Seen), float64(len(same))
	remount := in.sheet.Limits.Remount
	if k < 2 || k == 2 && remount.Half > 0 {
		return
	}
	means, scatter, weights := make([]float64, k), make([]float64, len(same)), make([]float64, len(same))
	var within float64 // the variance of one setup's mean offset, as its own readings have it
	for i, index := range same {
		l := in.lines[index]
		weights[i] = 1 / p
		for j, x := range stats.Degrees(l.Offsets()) {
			means[j] += x / p
			v := stats.Square(l.Scatter.SD.Degrees()) * l.Seen[j].PerLine
			scatter[i] += v
			within += math.Max(v, stats.Square(in.readout.Step().Degrees())/12) / (float64(k) * p * p)
		}
	}
	mean := lines.Weighted(in.lines, same, weights).Groups[0]
	stops := uncertainty.OfTDC(mean.Scatter)
	within += math.Max(uncertainty.Variance(stops)*float64(k), uncertainty.Variance(uncertainty.OfTDC(mean.Rounding)))
	_, sd := stats.MeanStdDev(means)
	between := sd * sd
	switch dof := uncertainty.ScatterDOF(stops); {
	case k == 2 && dof > 0:
		// Lines without a scatter of their own or lent add no degrees of freedom.
		if nu := lines.ScatterDOF(in.lines, same, scatter); !math.IsInf(nu, 1) && !math.IsNaN(nu) {
			dof += nu
		}
		if between > within*stats.FQuantile(0.05, 1, dof) {
			c.SetupsDiffer = true
			c.warn(warning.Warning{Code: warning.SetupsDiffer, Values: []float64{means[1] - means[0]}})
		}
	case k >= uncertainty.EnoughSetups && remount.Half > 0:
		expected := stats.Square(remount.Standard().Degrees()) + within
		if between/expected > stats.ChiSquaredQuantile(0.05, float64(k-1))/float64(k-1) {
			c.warn(warning.Warning{Code: warning.RemountExceeded, Values: []float64{math.Sqrt(between), remount.Standard().Degrees()}})
		}
	}
}
