package crosscheck

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// WayDifference is how far one way of finding TDC puts it after another.
type WayDifference struct {
	First, Second sheet.Method
	Difference    uncertainty.Estimate // Second later than First: positive
	Together      bool                 // taken in the same mountings; else over the lines that both saw
	Differ        bool                 // the interval leaves out zero
}

// ways holds the ways of finding TDC against the first one used: in the mountings
// that used both where there are any, else by the lines' offsets.
func ways(in input, c *Checks) {
	first := in.top.Setups[0].Method
	for _, second := range []sheet.Method{sheet.Stop, sheet.EqualDrop, sheet.Sweep} {
		if second == first || !used(in, second) {
			continue
		}
		d, ok := waysInOne(in, first, second)
		if !ok {
			d, ok = waysByLines(in, first, second)
		}
		if !ok {
			continue
		}
		d.Differ = d.Difference.Known && d.Difference.Value.Abs() > d.Difference.Expanded
		c.Ways = append(c.Ways, d)
		if d.Differ {
			c.warn(warning.Warning{
				Code: warning.MethodsDiffer, Names: []string{first.String(), second.String()},
				Values: []float64{d.Difference.Value.Degrees(), d.Difference.Expanded.Degrees()},
			})
		}
	}
}

func used(in input, m sheet.Method) bool {
	for _, s := range in.top.Setups {
		if s.Method == m {
			return true
		}
	}
	return false
}

// ofWay gives rock, slack and offsets a name of their own: they reach each way in
// its own way.
func ofWay(c uncertainty.Combination, way sheet.Method) uncertainty.Combination {
	return c.Renamed(func(id uncertainty.ID) uncertainty.ID {
		switch id.Source {
		case uncertainty.ContactHeight, uncertainty.Slack, uncertainty.PinOffset, uncertainty.BoreOffset:
			id.Of = way.String()
		}
		return id
	})
}

// waysInOne compares two ways where the readout stayed.
func waysInOne(in input, first, second sheet.Method) (WayDifference, bool) {
	d := WayDifference{First: first, Second: second, Together: true}
	var gaps []geometry.Angle
	var parts []uncertainty.Combination
	for _, m := range in.top.Mountings {
		for _, t := range m.Tops {
			one, ok := t.By(first)
			other, also := t.By(second)
			if !ok || !also {
				continue
			}
			gaps = append(gaps, tdc.Apart(*in.sheet, one, other))
			parts = append(parts, uncertainty.Add(ofWay(other.At, second), ofWay(one.At, first).Times(-1)))
		}
	}
	if len(gaps) == 0 {
		return d, false
	}
	d.Difference, _ = uncertainty.Mean(parts, false).WithinMountings().Evaluate(in.sheet.Limits.Confidence)
	d.Difference.Value = stats.MeanAngle(geometry.Unwrap(gaps, gaps[0]))
	return d, true
}

// waysByLines compares two ways that were used in different mountings, by what
// the lines that all of these saw are off on average. A later TDC makes every line
// come earlier.
func waysByLines(in input, first, second sheet.Method) (WayDifference, bool) {
	d := WayDifference{First: first, Second: second}
	group, _ := lines.LargestGroup(in.lines)
	if len(group) == 0 {
		return d, false
	}
	p := float64(len(group))
	var offsets [2][]geometry.Angle
	var tops [2][]uncertainty.Combination
	for j, z := range in.lines[group[0]].Zeros() {
		t, side := in.top.At(z), -1
		for i, m := range []sheet.Method{first, second} {
			if one, ok := t.By(m); ok && len(one.Setups) == len(t.Setups) {
				side = i
			}
		}
		if side < 0 {
			continue
		}
		var sum geometry.Angle
		for _, i := range group {
			sum += in.lines[i].Offsets()[j] / geometry.Angle(p)
		}
		offsets[side] = append(offsets[side], sum)
		tops[side] = append(tops[side], t.At.Without(uncertainty.OfReadout()...))
	}
	if len(offsets[0]) == 0 || len(offsets[1]) == 0 {
		return d, false
	}
	var both uncertainty.Combination
	for side, way := range []sheet.Method{first, second} {
		n := float64(len(offsets[side]))
		mean := ofWay(uncertainty.Mean(tops[side], false), way)
		if limit := in.sheet.Limits.Remount; limit.Half > 0 {
			for _, m := range mean.Groups[0].Mountings {
				mean = mean.With(uncertainty.By(uncertainty.Limited(uncertainty.Remounting, m, limit), 1/n))
			}
		}
		g := &mean.Groups[0]
		g.Mountings = []string{way.String()}
		for _, i := range group {
			l := in.lines[i]
			alone := l.Alone.Groups[0]
			share := math.Sqrt(float64(len(l.Seen)) / n) // of the mountings, these n saw the line this way
			for _, x := range alone.Scatter {
				g.Scatter = append(g.Scatter, uncertainty.By(x.Input, x.Sensitivity[0]*share/p))
			}
			for _, x := range alone.Rounding {
				g.Rounding = append(g.Rounding, uncertainty.By(x.Input, x.Sensitivity[0]/p))
			}
		}
		both.Groups, both.Inputs = append(both.Groups, mean.Groups...), append(both.Inputs, mean.Inputs...)
	}
	d.Difference, _ = both.Evaluate(in.sheet.Limits.Confidence)
	d.Difference.Value = (stats.MeanAngle(offsets[0]) - stats.MeanAngle(offsets[1])).Wrap()
	if in.sheet.Limits.Remount.Half == 0 { // nothing says what remounting does
		d.Difference.Known = d.Difference.Known && min(len(offsets[0]), len(offsets[1])) > 1
	}
	return d, true
}
