package audit

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// drops takes the middle of every pair of readings at equal drop. Each drop has
// a half arc and so an offset correction of its own; the middles are brought to
// the mean correction, so that what scatter is left is scatter.
func (a *analysis) drops(setup *sheet.Setup, found *SetupTDC) bool {
	crank, _ := a.sheet.Engine.Crank()
	counts := geometry.Angle(a.sheet.Readout.Counts)
	var betas []geometry.Angle
	var gains, across float64
	var of []int // the drop that each trial belongs to
	for i := range setup.Drops {
		d := &setup.Drops[i]
		for _, pairOf := range d.Trials() {
			if !pairOf.Usable() {
				continue
			}
			m, h := a.sheet.Readout.Counts.Middle(a.value(pairOf.Forward), a.value(pairOf.Backward))
			found.Middles, found.HalfArcs = append(found.Middles, m), append(found.HalfArcs, h)
			betas = append(betas, a.correction(d.Path, crank, h))
			gains += 1 / crank.DropPerDegree(h).Millimetres()
			across += math.Cos(h.Radians())
			of = append(of, i)
			found.reach = found.reach.plus(oneWay(d.Taken), 1).plus(a.pairReach(pairOf), 1)
			found.slack = found.slack || d.Taken != sheet.Rising
		}
	}
	n := float64(len(found.Middles))
	if n == 0 {
		a.warn(Warning{Code: NoPair, Setup: setup.Name})
		return false
	}
	var together bool
	if found.Middles, together = gather(found.Middles); !together {
		a.faultf(setup.Path+".equal_drop", "the middles of the pairs lie all round the circle, expected them within a few degrees of each other",
			"press no zero between pairs; begin a new setup after one")
		return false
	}
	found.reach.wheel = complex(across, 0)
	found.reach = found.reach.over(n)
	found.perDegree = geometry.Length(n / gains)
	found.HalfArc, found.Correction = mean(found.HalfArcs), mean(betas)
	for i := range found.Middles {
		found.Middles[i] -= counts * (betas[i] - found.Correction)
	}
	a.settle(found)
	if found.reach.unsaid > 0 {
		a.warn(Warning{Code: ApproachUnsaid, Setup: setup.Name})
	}
	a.doubtDrops(setup, found, of)
	return true
}

// oneWay is how the lost motion reaches a middle: not at all when it was reached
// from both sides, half of it when both readings were reached turning forward,
// and by up to half either way when the sheet does not say.
func oneWay(t sheet.Taken) reach {
	switch t {
	case sheet.OneWay:
		return reach{lost: 0.5}
	case sheet.Unknown:
		return reach{unsaid: 0.5}
	}
	return reach{}
}

// dropMismatch is how far the drop that a half arc stands for may differ from the
// stated one before stroke, rod or a slanting indicator is suspected. A crown
// that is not flat does as much. Common practice, no source.
const dropMismatch = 0.05

// doubtDrops asks whether the half arcs fit the stated drops, and whether the
// middles of different drops agree or follow the half arc: a tilted indicator
// or a wrong crank shows there.
func (a *analysis) doubtDrops(setup *sheet.Setup, found *SetupTDC, of []int) {
	crank, _ := a.sheet.Engine.Crank()
	var means []geometry.Angle
	var between, within, dof float64
	for i, d := range setup.Drops {
		var middles, arcs []geometry.Angle
		for j, m := range found.Middles {
			if of[j] == i {
				middles, arcs = append(middles, m), append(arcs, found.HalfArcs[j])
			}
		}
		if len(middles) == 0 {
			continue
		}
		ss, n := spread(middles)
		within, dof = within+ss, dof+n
		means = append(means, mean(middles))
		between += float64(len(middles)) * square((mean(middles) - found.Middle).Degrees())
		stated := d.Drop.Millimetres() * math.Cos(d.Probe.Radians())
		if seen := crank.DropOfHalfArc(mean(arcs)).Millimetres(); math.Abs(seen-stated) > dropMismatch*stated+crank.DropPerDegree(mean(arcs)).Millimetres()*a.sheet.Readout.Step.Degrees() {
			a.warn(Warning{Code: DropMismatch, Setup: setup.Name, Values: []float64{stated, seen}})
		}
	}
	k := float64(len(means))
	if k < 2 {
		return
	}
	if n := float64(len(found.Middles)); n >= 4 {
		if slope, se := stats.SlopeOn(degrees(found.HalfArcs), degrees(found.Middles)); math.Abs(slope) > stats.TQuantile(0.995, n-2)*se {
			lo, hi := extremes(found.HalfArcs)
			a.warn(Warning{Code: DropsTrend, Setup: setup.Name, Values: []float64{slope * (hi - lo).Degrees()}})
			return
		}
	}
	floor := square(a.sheet.Readout.Step.Degrees()) / 24
	if dof > 0 && between/(k-1) > math.Max(within/dof, floor)*stats.FQuantile(0.05, k-1, dof) {
		lo, hi := extremes(means)
		a.warn(Warning{Code: DropsDisagree, Setup: setup.Name, Values: []float64{(hi - lo).Degrees()}})
	}
}
