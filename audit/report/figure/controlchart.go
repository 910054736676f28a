package figure

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/past"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// ControlChart shows the standard deviations of a history, sheet by sheet, and the
// offsets of one line where it is named. A disc is inside its limit, a square
// outside.
func ControlChart(h sheet.History, line string) []drawing.Scene {
	const panel geometry.Length = 38
	s := titled("Control chart of "+words.Clean(h.Readout), "Disc: one sheet, in the order of their days. Bar: the limit that the sheets before give. Square: outside it, or in a run.")
	y := drawing.Top + 2
	var told []string
	one := func(caption string, points []controlPoint, fromZero bool) {
		if len(points) == 0 {
			return
		}
		y += panel
		low, high := math.Inf(1), math.Inf(-1)
		if fromZero {
			low = 0
		}
		says := caption + ":"
		for _, p := range points {
			for _, x := range append([]float64{p.value}, p.limits...) {
				low, high = math.Min(low, x), math.Max(high, x)
			}
			says += " " + dayOf(h, p.sheet) + " " + rounding.Fixed(p.value, 3)
			if p.outside {
				says += " outside"
			}
		}
		told = append(told, says)
		margin := math.Max(0.08*(high-low), 1e-3)
		c := chart{scale{-0.5, float64(len(h.Sheets)) - 0.5, 18, drawing.PageWidth - 6}, scale{low - margin, high + margin, y - 8, y - panel + 6}}
		if fromZero {
			c.y.low = 0
		}
		c.frame(&s, caption)
		for _, p := range points {
			x := float64(p.sheet)
			for _, limit := range p.limits {
				s.Add(drawing.Line{From: c.point(x-0.4, limit), To: c.point(x+0.4, limit), Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}})
			}
			at := c.point(x, p.value)
			if p.outside {
				s.Add(drawing.Rectangle(at.Plus(-1.3, -1.3), 2.6, 2.6, drawing.Black, drawing.Stroke{}))
			} else {
				s.Add(drawing.Circle{Centre: at, Radius: 1, Fill: drawing.Deep})
			}
		}
		days(&s, h, c)
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
		one("standard deviation of "+k.String()+", degrees", points, true)
	}
	var points []controlPoint
	for _, x := range past.Values(h, line) {
		point := controlPoint{sheet: x.Sheet, value: x.Offset.Degrees(), outside: x.Outside}
		if x.Half > 0 {
			point.limits = []float64{(x.Mean - x.Half).Degrees(), (x.Mean + x.Half).Degrees()}
		}
		points = append(points, point)
	}
	if len(points) > 0 {
		one(drawing.Wrap(words.Clean(line), textSize, 120, 1)[0]+", degrees late", points, false)
	}
	if len(told) == 0 {
		return nil
	}
	s.Height = y
	s.Description += " " + strings.Join(told, "; ") + "."
	return []drawing.Scene{s}
}

// dayOf is a sheet's day, or its number where it has none.
func dayOf(h sheet.History, i int) string {
	if d := h.Sheets[i].Date; d != "" {
		return d
	}
	return fmt.Sprint(i + 1)
}

// days writes the sheets' days below a panel, as far as there is room.
func days(s *drawing.Scene, h sheet.History, c chart) {
	free := geometry.Length(0)
	for i := range h.Sheets {
		label := drawing.Text{At: drawing.Point{X: c.x.at(float64(i)), Y: c.y.from + 4.8}, Size: textSize, Anchor: drawing.Middle, Text: dayOf(h, i)}
		if half := label.Extent() / 2; label.At.X-half > free && label.At.X+half < drawing.PageWidth {
			s.Add(label)
			free = label.At.X + half + 1
		}
	}
}

// controlPoint is one sheet on a panel of a control chart.
type controlPoint struct {
	sheet   int
	value   float64
	limits  []float64
	outside bool
}
