package figure

import (
	"math"

	"markaudit/audit/repeatability"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Repeat shows where each person sits, and how far a hand scatters.
func Repeat(r repeatability.Result) []drawing.Scene {
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
