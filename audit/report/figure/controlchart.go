package figure

import (
	"math"

	"markaudit/audit/past"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// ControlChart shows the standard deviations of a history, sheet by sheet, and the
// offsets of one line where it is named. An open circle is inside its limit, a filled
// square outside.
func ControlChart(h sheet.History, line string) []drawing.Scene {
	const panel geometry.Length = 38
	s := titled("Control chart of "+words.Clean(h.Readout), "Circle: one sheet, from left to right. Bar: the limit that the sheets before give. Square: outside.")
	y := drawing.Top
	one := func(caption string, points []controlPoint) {
		if len(points) == 0 {
			return
		}
		y += panel
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			for _, x := range append([]float64{p.value}, p.limits...) {
				low, high = math.Min(low, x), math.Max(high, x)
			}
		}
		margin := math.Max(0.08*(high-low), 1e-3)
		c := chart{scale{-0.5, float64(len(h.Sheets)) - 0.5, 18, drawing.PageWidth - 6}, scale{low - margin, high + margin, y - 8, y - panel + 6}}
		c.frame(&s, caption)
		for _, p := range points {
			x := float64(p.sheet)
			for _, limit := range p.limits {
				s.Add(drawing.Line{From: c.point(x-0.4, limit), To: c.point(x+0.4, limit), Stroke: drawing.Thin})
			}
			at := c.point(x, p.value)
			if p.outside {
				s.Add(drawing.Rectangle(at.Plus(-1.3, -1.3), 2.6, 2.6, drawing.Black, drawing.Stroke{}))
			} else {
				s.Add(drawing.Circle{Centre: at, Radius: 1, Fill: drawing.Deep})
			}
		}
	}
	for _, k := range past.Kinds() {
		var points []controlPoint
		for _, p := range past.Chart(h, k) {
			point := controlPoint{sheet: p.Sheet, value: p.SD.Degrees(), outside: p.Outside || p.InRun}
			if p.Limit > 0 {
				point.limits = []float64{p.Limit.Degrees()}
			}
			points = append(points, point)
		}
		one("standard deviation of "+k.String()+", degrees", points)
	}
	var points []controlPoint
	for _, x := range past.Values(h, line) {
		point := controlPoint{sheet: x.Sheet, value: x.Offset.Degrees(), outside: x.Outside}
		if x.Half > 0 {
			point.limits = []float64{(x.Mean - x.Half).Degrees(), (x.Mean + x.Half).Degrees()}
		}
		points = append(points, point)
	}
	one(words.Clean(line)+", degrees", points)
	if y == drawing.Top {
		return nil
	}
	s.Height = y
	return []drawing.Scene{s}
}

// controlPoint is one sheet on a panel of a control chart.
type controlPoint struct {
	sheet   int
	value   float64
	limits  []float64
	outside bool
}
