package report

import (
	"fmt"
	"math"
	"time"

	"markaudit/audit"
	"markaudit/audit/figure"
	"markaudit/audit/repeatability"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// chart is a rectangle on paper with an axis either way, y growing upwards.
type chart struct{ x, y scale }

func (c chart) point(x, y float64) figure.Point { return figure.Point{X: c.x.at(x), Y: c.y.at(y)} }

// frame draws the axes with round numbers; whole names the places along x where
// they are not round numbers.
func (c chart) frame(s *figure.Scene, unit string) {
	bottom, top := c.y.from, c.y.to
	values, n := c.y.ticks(6)
	for _, v := range values {
		at := c.y.at(v)
		stroke := figure.Stroke{Width: 0.1, Ink: figure.Pale}
		if math.Abs(v) < 1e-12 {
			stroke = hair
		}
		s.Add(
			figure.Line{From: figure.Point{X: c.x.from, Y: at}, To: figure.Point{X: c.x.to, Y: at}, Stroke: stroke},
			figure.Text{At: figure.Point{X: c.x.from - 1.5, Y: at + 0.9}, Size: noteSize, Anchor: figure.End, Text: signed(v, n)},
		)
	}
	s.Add(
		figure.Line{From: figure.Point{X: c.x.from, Y: top}, To: figure.Point{X: c.x.from, Y: bottom}, Stroke: thin},
		figure.Line{From: figure.Point{X: c.x.from, Y: bottom}, To: figure.Point{X: c.x.to, Y: bottom}, Stroke: thin},
		figure.Text{At: figure.Point{X: c.x.from, Y: top - 2}, Size: noteSize, Text: unit},
	)
}

// WheelFigures shows the reading error round the circle, with its 95 % band where
// it is known, and the stations.
func WheelFigures(r wheel.Result) []figure.Scene {
	s := newFigure("How wrong the readout reads, round the circle",
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
	c := chart{scale{0, 360, 18, figureWidth - 6}, scale{-reach, reach, figureTop + 66, figureTop + 6}}
	var upper, lower, curve []figure.Point
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
		s.Add(figure.Polygon{Points: band, Fill: figure.Pale})
	}
	c.frame(&s, "degrees too much")
	for _, p := range r.Seen {
		s.Add(figure.Circle{Centre: c.point(p.Reading.Turn().Degrees(), p.Error.Degrees()), Radius: 0.55, Fill: figure.Deep})
	}
	s.Add(figure.Polygon{Points: curve, Stroke: figure.Stroke{Width: 0.45, Ink: figure.Black}, Open: true})
	for d := 0.0; d <= 360; d += 30 {
		s.Add(
			figure.Line{From: c.point(d, -reach), To: c.point(d, -reach).Plus(0, 1.2), Stroke: thin},
			figure.Text{At: c.point(d, -reach).Plus(0, 4.4), Size: noteSize, Anchor: figure.Middle, Text: fixed(d, 0)},
		)
	}
	s.Add(figure.Text{At: figure.Point{X: figureWidth - 6, Y: figureTop + 75}, Size: noteSize, Anchor: figure.End, Text: "what the readout shows"})
	s.Height = figureTop + 78
	s.Description += fmt.Sprintf(" The largest error is %s° where it shows %s.", fixed(r.Largest.Degrees(), 3), fixed(r.LargestAt.Degrees(), 0))
	return []figure.Scene{s}
}

// PeopleFigures shows where each person sits, and how far a hand scatters.
func PeopleFigures(r repeatability.Result) []figure.Scene {
	parts := parted(r.People, func(repeatability.Person) geometry.Length { return 8 }, tallest-figureTop-20)
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
	var all []figure.Scene
	for i, part := range parts {
		s := newFigure("Who sits where, and how far each hand scatters"+ofAll(i, len(parts)),
			"Disc: a person's mean against that of all, marks allowed for. Bar: one standard deviation of a single value either way.")
		axis := scale{-reach, reach, 48, 132}
		y := figureTop + 8
		for _, p := range part {
			name := figure.Wrap(clean(p.By), textSize, 44, 1)
			s.Add(figure.Text{At: figure.Point{X: 0, Y: y + 1}, Size: textSize, Text: name[0]})
			told := "not known"
			if p.Deviation.Known {
				at := axis.at(p.Deviation.Value)
				if p.SD.Known {
					s.Add(figure.Line{From: figure.Point{X: axis.at(p.Deviation.Value - p.SD.Value), Y: y}, To: figure.Point{X: axis.at(p.Deviation.Value + p.SD.Value), Y: y}, Stroke: thick})
				}
				s.Add(figure.Circle{Centre: figure.Point{X: at, Y: y}, Radius: 1.1, Fill: figure.Deep})
				told = offBy(geometry.Angle(p.Deviation.Value), 2)
				if p.SD.Known {
					told += ", sd " + fixed(p.SD.Value, 2) + "°"
				}
			}
			s.Add(figure.Text{At: figure.Point{X: 136, Y: y + 1}, Size: noteSize, Text: told})
			s.Description += " " + clean(p.By) + ": " + told + "."
			y += 8
		}
		s.Add(figure.Line{From: figure.Point{X: axis.at(0), Y: figureTop + 3}, To: figure.Point{X: axis.at(0), Y: y}, Stroke: hair})
		values, n := axis.ticks(6)
		for _, v := range values {
			s.Add(
				figure.Line{From: figure.Point{X: axis.at(v), Y: y}, To: figure.Point{X: axis.at(v), Y: y + 1.2}, Stroke: thin},
				figure.Text{At: figure.Point{X: axis.at(v), Y: y + 4.4}, Size: noteSize, Anchor: figure.Middle, Text: signed(v, n)},
			)
		}
		s.Add(
			figure.Line{From: figure.Point{X: axis.from, Y: y}, To: figure.Point{X: axis.to, Y: y}, Stroke: thin},
			figure.Text{At: figure.Point{X: axis.from, Y: y + 8}, Size: noteSize, Text: "degrees early"},
			figure.Text{At: figure.Point{X: axis.to, Y: y + 8}, Size: noteSize, Anchor: figure.End, Text: "degrees late"},
		)
		s.Height = y + 10
		all = append(all, s)
	}
	return all
}

// HistoryFigures shows each line's offset with its interval, audit by audit.
func HistoryFigures(c audit.Comparison, paths []string) []figure.Scene {
	v := comparing{c: c, paths: paths}
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
	var all []figure.Scene
	parts := parted(names, func(string) geometry.Length { return panel }, tallest-figureTop-12)
	for i, part := range parts {
		s := newFigure("Each line, audit by audit"+ofAll(i, len(parts)), "Disc: the offset; above zero late. Bar: where the true offset lies. Audits of one part from left to right.")
		y := figureTop
		for _, name := range part {
			y += panel
			chart := chart{scale{-0.5, float64(len(c.Audits)) - 0.5, 18, figureWidth - 6}, scale{low - margin, high + margin, y - 8, y - panel + 6}}
			chart.frame(&s, clean(name)+", degrees")
			for k, r := range c.Audits {
				for _, m := range r.Marks {
					if m.Name != name || m.Offset == nil {
						continue
					}
					d, u := m.Offset.Value.Degrees(), m.Offset.Expanded.Degrees()
					x := float64(k)
					if m.Offset.Known {
						s.Add(figure.Line{From: chart.point(x, d-u), To: chart.point(x, d+u), Stroke: thin})
					}
					s.Add(figure.Circle{Centre: chart.point(x, d), Radius: 1, Fill: figure.Deep})
				}
				s.Add(figure.Text{At: figure.Point{X: chart.x.at(float64(k)), Y: y - 4.2}, Size: noteSize, Anchor: figure.Middle, Text: v.label(k)})
			}
		}
		s.Height = y
		all = append(all, s)
	}
	return all
}

// label is an audit's day, or its number where it has none.
func (v comparing) label(i int) string {
	if t := v.c.Taken[i]; !t.IsZero() {
		return t.Format(time.DateOnly)
	}
	return fmt.Sprint(i + 1)
}

// ForFolder is a document as it goes into the job's folder: with its figures after
// the first table or list, and room to sign.
func ForFolder(d Doc, figures []figure.Scene) Doc {
	at := len(d)
	for i, b := range d {
		switch b.(type) {
		case Table, Steps:
			at = min(at, i+1)
		}
	}
	out := append(Doc{}, d[:at]...)
	for _, s := range figures {
		out = append(out, Figure{s})
	}
	return append(append(out, d[at:]...), Signature{})
}
