package tdc

import (
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// equalDrop finds TDC between readings with the piston equally far below its top.
type equalDrop struct{}

// find takes the middle of every pair of readings at equal drop. Each drop has
// a half arc and so an offset correction of its own; the middles are brought to
// the mean correction, so that what scatter is left is scatter.
func (equalDrop) find(in input, setup *sheet.Setup) (*reached, []warning.Warning, inputerror.List) {
	found := &reached{}
	var warnings []warning.Warning
	var faults inputerror.List
	var betas []geometry.Angle
	var gains, across float64
	var of []int // the drop that each trial belongs to
	for i := range setup.Drops {
		d := &setup.Drops[i]
		for _, t := range d.Trials() {
			if !t.Usable() {
				continue
			}
			m, h := in.readout.Pair(t)
			found.Middles, found.HalfArcs = append(found.Middles, m), append(found.HalfArcs, h)
			beta, wrong := in.correction(d.Path, h)
			gain := 1 / in.crank.DropPerDegree(h).Millimetres()
			slack := found.hang(in, d.Taken, gain/2)
			betas, faults = append(betas, beta+slack), append(faults, wrong...)
			gains += gain
			across += math.Cos(h.Radians())
			of = append(of, i)
			found.reach = found.reach.Plus(readout.OneWay(d.Taken), 1).Plus(in.readout.Middle(t), 1)
		}
	}
	n := float64(len(found.Middles))
	if n == 0 {
		return nil, []warning.Warning{{Code: warning.NoPair, Setup: setup.Name}}, faults
	}
	var together bool
	if found.Middles, together = stats.Gather(found.Middles); !together {
		return nil, nil, append(faults, scattered(setup.Path+".equal_drop")...)
	}
	found.reach.Wheel = complex(across, 0)
	found.reach = found.reach.Over(n)
	found.PerDegree = geometry.Length(n / gains)
	found.Hangs, found.MayHang, found.Slack = found.Hangs/n, found.MayHang/n, found.Slack/geometry.Angle(n)
	found.HalfArc, found.Correction = stats.MeanAngle(found.HalfArcs), stats.MeanAngle(betas)
	for i := range found.Middles {
		found.Middles[i] -= in.readout.Counts() * (betas[i] - found.Correction)
	}
	in.settle(found)
	if found.reach.Unsaid != 0 {
		warnings = append(warnings, warning.Warning{Code: warning.ApproachUnsaid, Setup: setup.Name})
	}
	return found, append(warnings, doubtDrops(in, setup, found, of)...), faults
}

// dropMismatch is how far the drop that a half arc stands for may differ from the
// stated one before stroke, rod or a slanting indicator is suspected. A crown
// that is not flat does as much. Common practice, no source.
const dropMismatch = 0.05

// doubtDrops asks whether the half arcs fit the stated drops, and whether the
// middles of different drops agree or follow the half arc: a tilted indicator
// or a wrong crank shows there.
func doubtDrops(in input, setup *sheet.Setup, found *reached, of []int) (out []warning.Warning) {
	var means, depths []geometry.Angle
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
		ss, n := stats.Spread(middles)
		within, dof = within+ss, dof+n
		means, depths = append(means, stats.MeanAngle(middles)), append(depths, stats.MeanAngle(arcs))
		between += float64(len(middles)) * stats.Square((stats.MeanAngle(middles) - found.Middle).Degrees())
		stated := d.Drop.Millimetres() * math.Cos(d.Probe.Radians())
		arc := stats.MeanAngle(arcs)
		if seen := in.crank.DropOfHalfArc(arc).Millimetres(); math.Abs(seen-stated) > dropMismatch*stated+in.crank.DropPerDegree(arc).Millimetres()*in.readout.Step().Degrees() {
			out = append(out, warning.Warning{Code: warning.DropMismatch, Setup: setup.Name, Values: []float64{stated, seen}})
		}
	}
	k := float64(len(means))
	if k < 2 {
		return out
	}
	// Two readings round their middle by step/√24 (JCGM 100, F.2.2.1). Pairs that scatter
	// less than that round alike: the mean of a drop's errs as one middle does.
	rounding := stats.Square(in.readout.Step().Degrees()) / 24
	if n := float64(len(found.Middles)); n >= 4 {
		arcs := stats.Degrees(found.HalfArcs)
		slope, se := stats.SlopeOn(arcs, stats.Degrees(found.Middles))
		if all, _ := stats.Spread(found.HalfArcs); se*se*all < rounding {
			apart, _ := stats.Spread(depths)
			se = math.Sqrt(rounding / apart)
		}
		if math.Abs(slope) > stats.TQuantile(0.995, n-2)*se {
			lo, hi := stats.Extremes(found.HalfArcs)
			return append(out, warning.Warning{Code: warning.DropsTrend, Setup: setup.Name, Values: []float64{slope * (hi - lo).Degrees()}})
		}
	}
	if dof == 0 {
		return out
	}
	scatter := within / dof
	if scatter < rounding {
		between, _ = stats.Spread(means)
		scatter = rounding
	}
	if between/(k-1) > scatter*stats.FQuantile(0.05, k-1, dof) {
		lo, hi := stats.Extremes(means)
		out = append(out, warning.Warning{Code: warning.DropsDisagree, Setup: setup.Name, Values: []float64{(hi - lo).Degrees()}})
	}
	return out
}
