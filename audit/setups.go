package audit

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// compareSetups asks whether the setups agree as well as their own scatter, or
// the stated remounting limit, lets one expect.
func (a *analysis) compareSetups() {
	lines, _ := a.largestGroup()
	if len(lines) == 0 || a.result.TDC == nil {
		return
	}
	stations := a.lines[lines[0]].stations()
	k := len(stations)
	remount := a.sheet.Limits.Remount
	if k < enough && remount.Half == 0 {
		a.warn(Warning{Code: NoRemounting})
	}
	if k < 2 || k == 2 && remount.Half > 0 {
		return
	}
	means := make([]float64, k)
	line, dof := 0.0, 0.0
	for _, i := range lines {
		l := &a.lines[i]
		for j, x := range degrees(l.offsets()) {
			means[j] += x / float64(len(lines))
			line += l.seen[j].perLine * math.Max(square(l.scatter.sd.Degrees()), square(a.sheet.Readout.Step.Degrees())/12/l.seen[j].perLine)
		}
	}
	// The variance of one setup's mean offset, as its own readings have it.
	within := line / float64(k) / square(float64(len(lines)))
	r := a.contactRepeats(stations)
	within += math.Max(square(r.stop.Degrees())*r.perStop*float64(k), square(r.step.Degrees())/24)
	dof = r.stopDOF + a.lines[lines[0]].scatter.dof
	between := stat.Variance(means, nil)
	switch {
	case k == 2 && r.stopDOF > 0 && between > within*stats.FQuantile(0.05, 1, dof):
		a.setupsDiffer = true
		a.warn(Warning{Code: SetupsDiffer, Values: []float64{means[1] - means[0]}})
		for i := range a.result.Marks {
			if m := &a.result.Marks[i]; m.Setups < enough {
				m.Verdict = uncertainty.Undecided
			}
		}
	case k >= enough && remount.Half > 0:
		expected := square(remount.Standard().Degrees()) + within
		if between/expected > stats.ChiSquaredQuantile(0.05, float64(k-1))/float64(k-1) {
			a.warn(Warning{Code: RemountExceeded, Values: []float64{math.Sqrt(between), remount.Standard().Degrees()}})
		}
	}
}

// observeLostMotion reports what lines read from both sides say of the lost
// motion. It corrects nothing: the person decides, with a line for the sheet.
func (a *analysis) observeLostMotion() {
	var weight, sum, variance, dof float64
	for i := range a.lines {
		l := &a.lines[i]
		for _, s := range l.seen {
			if len(s.forward) == 0 || len(s.backward) == 0 || l.scatter.dof == 0 {
				continue
			}
			per := 4 * s.perLine // of the difference of the side means
			v := math.Max(square(l.scatter.sd.Degrees())*per, square(a.sheet.Readout.Step.Degrees())/6)
			b := geometry.Angle(a.sheet.Readout.Counts) * (mean(s.backward) - mean(s.forward))
			weight += 1 / v
			sum += b.Degrees() / v
			dof = l.scatter.dof
		}
	}
	if weight == 0 {
		return
	}
	variance = 1 / weight
	seen, u := sum/weight, stats.TQuantile(0.975, dof)*math.Sqrt(variance)
	readout := a.sheet.Readout
	switch {
	case !readout.HasLostMotion && math.Abs(seen) > u:
		a.lostMotion = geometry.Angle(seen)
		a.warn(Warning{Code: LostMotionSeen, Values: []float64{seen, u}})
	case readout.HasLostMotion && math.Abs(seen-readout.LostMotion.Degrees()) > u+readout.LostLimit.Half.Degrees():
		a.warn(Warning{Code: LostMotionDiffers, Values: []float64{seen, readout.LostMotion.Degrees()}})
	}
}
