package report

import (
	"fmt"
	"math"

	"markaudit/audit"
	"markaudit/audit/repeatability"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// chart is a rectangle on paper with an axis either way, y growing upwards.
type chart struct{ x, y scale }

func (c chart) point(x, y float64) drawing.Point { return drawing.Point{X: c.x.at(x), Y: c.y.at(y)} }

// frame draws the axes with round numbers; whole names the places along x where
// they are not round numbers.
func (c chart) frame(s *drawing.Scene, unit string) {
	bottom, top := c.y.from, c.y.to
	values, n := c.y.ticks(6)
	for _, v := range values {
		at := c.y.at(v)
		stroke := drawing.Stroke{Width: 0.1, Ink: drawing.Pale}
		if math.Abs(v) < 1e-12 {
			stroke = drawing.Hair
		}
		s.Add(
			drawing.Line{From: drawing.Point{X: c.x.from, Y: at}, To: drawing.Point{X: c.x.to, Y: at}, Stroke: stroke},
			drawing.Text{At: drawing.Point{X: c.x.from - 1.5, Y: at + 0.9}, Size: drawing.NoteSize, Anchor: drawing.End, Text: rounding.Signed(v, n)},
		)
	}
	s.Add(
		drawing.Line{From: drawing.Point{X: c.x.from, Y: top}, To: drawing.Point{X: c.x.from, Y: bottom}, Stroke: drawing.Thin},
		drawing.Line{From: drawing.Point{X: c.x.from, Y: bottom}, To: drawing.Point{X: c.x.to, Y: bottom}, Stroke: drawing.Thin},
		drawing.Text{At: drawing.Point{X: c.x.from, Y: top - 2}, Size: drawing.NoteSize, Text: unit},
	)
}

// WheelFigures shows the reading error round the circle, with its 95 % band where
// it is known, and the stations.
func WheelFigures(r wheel.Result) []drawing.Scene {
	s := drawing.Titled("How wrong the readout reads, round the circle",
		"Line: the reading error; above zero it shows too much. Shaded: where the true curve lies in 95 % of cases. Discs: what the stations read.")
	reach := 0.0
	for d := 0.0; d <= 360; d++ {
		u := 0.0
		if r.Known {
			u = r.Expanded(geometry.Angle(d)).Degrees()
		}
		reach = math.Max(reach, math.Abs(r.ErrorAt(geometry.Angle(d)).Degrees())+u)
	}
	for _, p := range r.Seen {
		reach = math.Max(reach, math.Abs(p.Error.Degrees()))
	}
	reach = math.Max(reach*1.08, 1e-4)
	c := chart{scale{0, 360, 18, drawing.PageWidth - 6}, scale{-reach, reach, drawing.Top + 66, drawing.Top + 6}}
	var upper, lower, curve []drawing.Point
	for d := 0.0; d <= 360; d += 2 {
		e := r.ErrorAt(geometry.Angle(d)).Degrees()
		curve = append(curve, c.point(d, e))
		if r.Known {
			u := r.Expanded(geometry.Angle(d)).Degrees()
			upper, lower = append(upper, c.point(d, e+u)), append(lower, c.point(d, e-u))
		}
	}
	if r.Known {
		band := upper
		for i := len(lower) - 1; i >= 0; i-- {
			band = append(band, lower[i])
		}
		s.Add(drawing.Polygon{Points: band, Fill: drawing.Pale})
	}
	c.frame(&s, "degrees too much")
	for _, p := range r.Seen {
		s.Add(drawing.Circle{Centre: c.point(p.Reading.Turn().Degrees(), p.Error.Degrees()), Radius: 0.55, Fill: drawing.Deep})
	}
	s.Add(drawing.Polygon{Points: curve, Stroke: drawing.Stroke{Width: 0.45, Ink: drawing.Black}, Open: true})
	for d := 0.0; d <= 360; d += 30 {
		s.Add(
			drawing.Line{From: c.point(d, -reach), To: c.point(d, -reach).Plus(0, 1.2), Stroke: drawing.Thin},
			drawing.Text{At: c.point(d, -reach).Plus(0, 4.4), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: rounding.Fixed(d, 0)},
		)
	}
	s.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth - 6, Y: drawing.Top + 75}, Size: drawing.NoteSize, Anchor: drawing.End, Text: "what the readout shows"})
	s.Height = drawing.Top + 78
	s.Description += fmt.Sprintf(" The largest error is %s where it shows %s.", rounding.Degrees(r.Largest, 3), rounding.Fixed(r.LargestAt.Degrees(), 0))
	return []drawing.Scene{s}
}

// PeopleFigures shows where each person sits, and how far a hand scatters.
func PeopleFigures(r repeatability.Result) []drawing.Scene {
	parts := parted(r.People, func(repeatability.Person) geometry.Length { return 8 }, drawing.Tallest-drawing.Top-20)
	reach := 0.0
	for _, p := range r.People {
		if p.Deviation.Known {
			spread := 0.0
			if p.SD.Known {
				spread = p.SD.Value
			}
			reach = math.Max(reach, math.Abs(p.Deviation.Value)+spread)
		}
	}
	reach = math.Max(reach*1.1, 1e-3)
	var all []drawing.Scene
	for i, part := range parts {
		s := drawing.Titled("Who sits where, and how far each hand scatters"+rounding.PartOf(i, len(parts)),
			"Disc: a person's mean against that of all, marks allowed for. Bar: one standard deviation of a single value either way.")
		axis := scale{-reach, reach, 48, 132}
		y := drawing.Top + 8
		for _, p := range part {
			name := drawing.Wrap(words.Clean(p.By), drawing.TextSize, 44, 1)
			s.Add(drawing.Text{At: drawing.Point{X: 0, Y: y + 1}, Size: drawing.TextSize, Text: name[0]})
			told := "not known"
			if p.Deviation.Known {
				at := axis.at(p.Deviation.Value)
				if p.SD.Known {
					s.Add(drawing.Line{From: drawing.Point{X: axis.at(p.Deviation.Value - p.SD.Value), Y: y}, To: drawing.Point{X: axis.at(p.Deviation.Value + p.SD.Value), Y: y}, Stroke: drawing.Thick})
				}
				s.Add(drawing.Circle{Centre: drawing.Point{X: at, Y: y}, Radius: 1.1, Fill: drawing.Deep})
				told = rounding.OffBy(geometry.Angle(p.Deviation.Value), 2)
				if p.SD.Known {
					told += ", sd " + rounding.Fixed(p.SD.Value, 2) + "°"
				}
			}
			s.Add(drawing.Text{At: drawing.Point{X: 136, Y: y + 1}, Size: drawing.NoteSize, Text: told})
			s.Description += " " + words.Clean(p.By) + ": " + told + "."
			y += 8
		}
		s.Add(drawing.Line{From: drawing.Point{X: axis.at(0), Y: drawing.Top + 3}, To: drawing.Point{X: axis.at(0), Y: y}, Stroke: drawing.Hair})
		values, n := axis.ticks(6)
		for _, v := range values {
			s.Add(
				drawing.Line{From: drawing.Point{X: axis.at(v), Y: y}, To: drawing.Point{X: axis.at(v), Y: y + 1.2}, Stroke: drawing.Thin},
				drawing.Text{At: drawing.Point{X: axis.at(v), Y: y + 4.4}, Size: drawing.NoteSize, Anchor: drawing.Middle, Text: rounding.Signed(v, n)},
			)
		}
		s.Add(
			drawing.Line{From: drawing.Point{X: axis.from, Y: y}, To: drawing.Point{X: axis.to, Y: y}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: axis.from, Y: y + 8}, Size: drawing.NoteSize, Text: "degrees early"},
			drawing.Text{At: drawing.Point{X: axis.to, Y: y + 8}, Size: drawing.NoteSize, Anchor: drawing.End, Text: "degrees late"},
		)
		s.Height = y + 10
		all = append(all, s)
	}
	return all
}

// HistoryFigures shows each line's offset with its interval, audit by audit.
func HistoryFigures(c audit.Comparison, paths []string) []drawing.Scene {
	v := words.Comparison{Result: c, Paths: paths}
	var names []string
	seen := map[string]bool{} // only looked up
	low, high := 0.0, 0.0
	for _, r := range c.Audits {
		for _, m := range r.Marks {
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
				for _, m := range r.Marks {
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

// ForFolder is a document as it goes into the job's folder: with its figures after
// the first table or list, and room to sign.
func ForFolder(d document.Doc, figures []drawing.Scene) document.Doc {
	at := len(d)
	for i, b := range d {
		switch b.(type) {
		case document.Table, document.Steps:
			at = min(at, i+1)
		}
	}
	out := append(document.Doc{}, d[:at]...)
	for _, s := range figures {
		out = append(out, document.Figure{Scene: s})
	}
	return append(append(out, d[at:]...), document.Signature{})
}
