package audit

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// compareSetups asks, for every set of setups that lines share, whether the
// setups agree as well as their own scatter, or the stated remounting limit,
// lets one expect.
func (a *analysis) compareSetups() {
	if slices.ContainsFunc(a.result.Marks, func(m Mark) bool { return m.Offset != nil && m.Covers == Repeatability }) {
		a.warn(Warning{Code: NoRemounting})
	}
	for _, lines := range a.sameSetups() {
		a.compare(lines)
	}
	if a.result.Differ {
		for i := range a.result.Marks {
			if m := &a.result.Marks[i]; m.Setups < enough {
				m.Verdict = uncertainty.Undecided
			}
		}
	}
}

// sameSetups groups the lines that were read by the setups in which they were,
// in the order of the sheet.
func (a *analysis) sameSetups() [][]int {
	var groups [][]int
	for i := range a.lines {
		if len(a.lines[i].seen) == 0 {
			continue
		}
		at := slices.IndexFunc(groups, func(g []int) bool {
			return slices.Equal(a.lines[g[0]].stations(), a.lines[i].stations())
		})
		if at < 0 {
			groups = append(groups, []int{i})
		} else {
			groups[at] = append(groups[at], i)
		}
	}
	return groups
}

// compare tests the setups that a group of lines shares.
func (a *analysis) compare(lines []int) {
	stations := a.lines[lines[0]].stations()
	k, p := len(stations), float64(len(lines))
	remount := a.sheet.Limits.Remount
	if k < 2 || k == 2 && remount.Half > 0 {
		return
	}
	means, scatter := make([]float64, k), make([]float64, len(lines))
	var within float64 // the variance of one setup's mean offset, as its own readings have it
	for i, index := range lines {
		l := &a.lines[index]
		for j, x := range degrees(l.offsets()) {
			means[j] += x / p
			v := square(l.scatter.sd.Degrees()) * l.seen[j].perLine
			scatter[i] += v
			within += math.Max(v, square(a.sheet.Readout.Step.Degrees())/12) / (float64(k) * p * p)
		}
	}
	r := a.topRepeats(a.mixOf(lines, nil), k)
	rounding, _ := r.topSteps(r.step / 2).Combined()
	within += math.Max(r.stops.variance()*float64(k), square(rounding.Degrees()))
	_, sd := stats.MeanStdDev(means)
	between := sd * sd
	switch {
	case k == 2 && r.stopKnown():
		// Lines without a scatter of their own or lent add no degrees of freedom.
		dof := r.stops.dof()
		if nu := (&group{a: a, lines: lines}).scatterDOF(scatter); !math.IsInf(nu, 1) && !math.IsNaN(nu) {
			dof += nu
		}
		if between > within*stats.FQuantile(0.05, 1, dof) {
			a.result.Differ = true
			a.warn(Warning{Code: SetupsDiffer, Values: []float64{means[1] - means[0]}})
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
	var weight, sum float64
	dof := math.Inf(1)
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
			dof = math.Min(dof, l.scatter.dof) // errs to the wider side
		}
	}
	if weight == 0 {
		return
	}
	seen, u := sum/weight, stats.TQuantile(0.975, dof)/math.Sqrt(weight)
	readout := a.sheet.Readout
	switch {
	case !readout.HasLostMotion && math.Abs(seen) > u:
		a.lostMotion = geometry.Angle(seen)
		a.warn(Warning{Code: LostMotionSeen, Values: []float64{seen, u}})
	case readout.HasLostMotion && math.Abs(seen-readout.LostMotion.Degrees()) > u+readout.LostLimit.Half.Degrees():
		a.lostMotion = geometry.Angle(seen) - readout.LostMotion
		a.warn(Warning{Code: LostMotionDiffers, Values: []float64{seen, readout.LostMotion.Degrees()}})
	}
}
