package figure

import (
	"fmt"
	"math"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Wheel shows the reading error round the circle, with its 95 % band where
// it is known, and the stations.
func Wheel(r wheel.Result) []drawing.Scene {
	s := drawing.Titled("How wrong the readout reads, round the circle",
		"Line: the reading error; above zero it shows too much. Shaded: where the true curve lies in 95 % of cases. Discs: what the stations read.")
	reach := 0.0
	for d := 0.0; d <= 360; d++ {
		u := 0.0
		if r.CurveKnown() {
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
		if r.CurveKnown() {
			u := r.Expanded(geometry.Angle(d)).Degrees()
			upper, lower = append(upper, c.point(d, e+u)), append(lower, c.point(d, e-u))
		}
	}
	if r.CurveKnown() {
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
