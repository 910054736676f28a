package figure

import (
	"math"

	"markaudit/audit/compare"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// History shows each line's offset with its interval, audit by audit.
func History(c compare.Comparison, paths []string) []drawing.Scene {
	v := words.Comparison{Result: c, Paths: paths}
	var names []string
	seen := map[string]bool{} // only looked up
	low, high := 0.0, 0.0
	for _, r := range c.Audits {
		for _, m := range r.ByLine() {
			if m.Offset == nil {
				continue
			}
			if !seen[m.Name] {
				seen[m.Name] = true
				names = append(names, m.Name)
			}
			d, u := m.Offset.Value.Degrees(), m.Offset.Expanded.Degrees()
			low, high = math.Min(low, d-u), math.Max(high, d+u)
		}
	}
	if len(names) == 0 {
		return nil
	}
	margin := math.Max(0.06*(high-low), 1e-3)
	const panel geometry.Length = 38
	var all []drawing.Scene
	parts := parted(names, func(string) geometry.Length { return panel }, drawing.Tallest-drawing.Top-12)
	for i, part := range parts {
		s := drawing.Titled("Each line, audit by audit"+rounding.PartOf(i, len(parts)), "Disc: the offset; above zero late. Bar: where the true offset lies. Audits of one part from left to right.")
		y := drawing.Top
		for _, name := range part {
			y += panel
			chart := chart{scale{-0.5, float64(len(c.Audits)) - 0.5, 18, drawing.PageWidth - 6}, scale{low - margin, high + margin, y - 8, y - panel + 6}}
			chart.frame(&s, words.Clean(name)+", degrees")
			for k, r := range c.Audits {
				for _, m := range r.ByLine() {
					if m.Name != name || m.Offset == nil {
						continue
					}
					d, u := m.Offset.Value.Degrees(), m.Offset.Expanded.Degrees()
					x := float64(k)
					if m.Offset.Known {
						s.Add(drawing.Line{From: chart.point(x, d-u), To: chart.point(x, d+u), Stroke: drawing.Thin})
					}
					s.Add(drawing.Circle{Centre: chart.point(x, d), Radius: 1, Fill: drawing.Deep})
				}
				s.Add(drawing.Text{At: drawing.Point{X: chart.x.at(float64(k)), Y: y - 4.2}, Size: drawing.NoteSize, Anchor: drawing.Middle, Text: v.Label(k)})
			}
		}
		s.Height = y
		all = append(all, s)
	}
	return all
}
