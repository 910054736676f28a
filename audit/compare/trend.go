package compare

import (
	"slices"
	"time"

	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// addTrend fits a straight line over time through three dates or more: of one line,
// or of the plain mean of several.
func addTrend(c *Comparison, name string, of []string) {
	if len(of) == 0 || name == "" && len(of) < 2 {
		return
	}
	var audits []int
	var years []float64
	days := map[time.Time]bool{} // only counted
	for i := range c.Audits {
		read := !c.Taken[i].IsZero() && !moved(c.Audits[i])
		for _, n := range of {
			read = read && c.line(i, n) >= 0
		}
		if read {
			audits, years = append(audits, i), append(years, c.Taken[i].Sub(c.Taken[0]).Hours()/24/365.25)
			days[c.Taken[i]] = true
		}
	}
	if len(days) < 3 {
		return
	}
	mean, _ := stats.MeanStdDev(years)
	var sxx float64
	for _, x := range years {
		sxx += stats.Square(x - mean)
	}
	var parts []uncertainty.Combination
	known := true
	var slope geometry.Angle
	for k, i := range audits {
		weight := (years[k] - mean) / sxx
		indexes, weights := make([]int, len(of)), make([]float64, len(of))
		var offset geometry.Angle
		first := c.Audits[audits[0]]
		for j, n := range of {
			indexes[j], weights[j] = c.line(i, n), 1/float64(len(of))
			from := first.Lines[c.line(audits[0], n)].Offset.Value
			offset += stats.Nearest(c.Audits[i].Lines[indexes[j]].Offset.Value, from) / geometry.Angle(len(of))
		}
		slope += geometry.Angle(weight) * offset
		known = known && sameMountings(c.Audits[i].Lines, indexes)
		parts = append(parts, c.weighted(i, c.Audits[i].Lines, indexes, weights).Times(weight))
	}
	t := Trend{Mark: name}
	t.PerYear, _ = uncertainty.Add(parts...).Evaluate(c.Audits[len(c.Audits)-1].Sheet.Limits.Confidence)
	t.PerYear.Value, t.PerYear.Known = slope, t.PerYear.Known && known
	t.Rising = t.PerYear.Known && t.PerYear.Value.Abs() > t.PerYear.Expanded
	c.Trends = append(c.Trends, t)
}

// sameMountings reports whether some lines were read in the same mountings.
func sameMountings(all []lines.Line, some []int) bool {
	for _, i := range some[1:] {
		if !slices.Equal(all[i].Mountings(), all[some[0]].Mountings()) {
			return false
		}
	}
	return true
}
