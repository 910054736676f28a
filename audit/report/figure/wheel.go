package figure

import (
	"fmt"
	"math"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Wheel shows the wheel from its front, off centre as it sits, and the reading error
// round the circle: as it sits, with its 95 % band where it is known and the
// stations, and what remains once it is centred.
func Wheel(r wheel.Result) []drawing.Scene {
	v := words.Wheel{Result: r}
	centring, ratio := v.OffCentreSeen(), wheelRatio(r.OffCentre.By)
	note := "Left: the wheel from its front, numbered clockwise; cross: the shaft's centre. "
	switch {
	case !centring:
		note += "How far off centre it sits does not show. "
	case r.Diameter > 0:
		note += fmt.Sprintf("Off centre drawn %d : 1, the wheel not to scale. ", ratio)
	default:
		note += "Not to scale, for the diameter is not known. "
	}
	note += "Right: how much it shows too much: line as it sits; "
	if centring {
		note += "dashed once centred; "
	}
	note += "grey the true one (95 %); discs the stations."
	s := titled("How wrong the readout reads, and where to slide it", note)
	drawWheel(&s, v, ratio)
	most := drawError(&s, v)
	s.Height = drawing.Top + 76
	s.Description += fmt.Sprintf(" %s The largest error is %s where it shows %s.", most, rounding.Degrees(r.Largest, 3), rounding.Fixed(r.LargestAt.Degrees(), 0))
	if centring {
		s.Description += fmt.Sprintf(" Its centre sits towards its %s graduation.", words.Graduation(r.OffCentre.Toward))
	}
	first, second := v.Centring()
	s.Description += " " + first + " " + second
	return []drawing.Scene{s}
}

// Sizes of the wheel, in millimetres.
const (
	wheelX      geometry.Length = 34
	wheelY                      = drawing.Top + 35
	wheelRadius geometry.Length = 24
	mostOff     geometry.Length = 13 // what it is off centre, on the paper
)

// wheelRatio is how many times larger than it is an eccentricity is drawn.
func wheelRatio(by geometry.Length) int {
	for _, ratio := range []int{20, 10, 5, 2} {
		if by*geometry.Length(ratio) <= mostOff {
			return ratio
		}
	}
	return 1
}

func drawWheel(s *drawing.Scene, v words.Wheel, ratio int) {
	centre := drawing.Point{X: wheelX, Y: wheelY}
	at := func(r geometry.Length, a geometry.Angle) drawing.Point { return drawing.Polar(centre, r, a) }
	middle := func(p drawing.Point, size geometry.Length, bold bool, text string) drawing.Text {
		return drawing.Text{At: p.Plus(0, 0.36*size), Size: size, Anchor: drawing.Middle, Bold: bold, Text: text}
	}
	s.Add(drawing.Circle{Centre: centre, Radius: wheelRadius, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black}})
	for a := geometry.Angle(0); a < 360; a += 10 {
		long := geometry.Length(1.3)
		if math.Mod(a.Degrees(), 90) == 0 {
			long = 2.6
			s.Add(middle(at(wheelRadius-5, a), textSize, false, rounding.Fixed(a.Degrees(), 0)))
		}
		s.Add(drawing.Line{From: at(wheelRadius-long, a), To: at(wheelRadius, a), Stroke: drawing.Stroke{Width: 0.18, Ink: drawing.Black}})
	}
	shaft, o := centre, v.OffCentre
	if v.OffCentreSeen() {
		off := min(o.By*geometry.Length(ratio), mostOff)
		if v.Diameter == 0 {
			off = 8
		}
		shaft = at(off, o.Slide)
		way := min(2.4, off)
		s.Add(
			drawing.Line{From: centre, To: at(off-way*0.9, o.Slide), Stroke: drawing.Stroke{Width: 0.6, Ink: drawing.Black}},
			head(shaft, o.Slide, way),
			drawing.Circle{Centre: centre, Radius: 0.8, Fill: drawing.Deep},
		)
		for _, g := range []geometry.Angle{o.Toward, o.Slide} {
			tip := at(wheelRadius+0.5, g)
			s.Add(
				drawing.Polygon{Points: []drawing.Point{tip, drawing.Polar(tip, 2.8, g+24), drawing.Polar(tip, 2.8, g-24)}, Fill: drawing.Black},
				middle(at(wheelRadius+6, g), textSize, true, words.Graduation(g)),
			)
		}
	}
	cross := drawing.Stroke{Width: 0.3, Ink: drawing.Black}
	s.Add(
		drawing.Line{From: shaft.Plus(-2.5, 0), To: shaft.Plus(2.5, 0), Stroke: cross},
		drawing.Line{From: shaft.Plus(0, -2.5), To: shaft.Plus(0, 2.5), Stroke: cross},
	)
	first, second := v.Centring()
	for i, text := range []string{first, second} {
		s.Add(drawing.Text{At: drawing.Point{X: 0, Y: wheelY + wheelRadius + 11 + geometry.Length(i)*drawing.Leading}, Size: textSize, Bold: true, Text: text})
	}
}

// drawError draws the curve, and says how far it goes.
func drawError(s *drawing.Scene, v words.Wheel) string {
	r := v.Result
	centred := func(a geometry.Angle) float64 { // without the first harmonic
		sin, cos := math.Sincos(a.Radians())
		return (r.ErrorAt(a) - r.Sine[0]*geometry.Angle(sin) - r.Cosine[0]*geometry.Angle(cos)).Degrees()
	}
	var low, high, lowThen, highThen, reach float64
	for d := 0.0; d <= 360; d++ {
		a, u := geometry.Angle(d), 0.0
		if r.CurveKnown() {
			u = r.Expanded(a).Degrees()
		}
		e, then := r.ErrorAt(a).Degrees(), centred(a)
		low, high = math.Min(low, e), math.Max(high, e)
		lowThen, highThen = math.Min(lowThen, then), math.Max(highThen, then)
		reach = math.Max(reach, math.Max(math.Abs(e)+u, math.Abs(then)))
	}
	for _, p := range r.Seen {
		reach = math.Max(reach, math.Abs(p.Error.Degrees()))
	}
	reach = math.Max(reach*1.08, 1e-4)
	c := chart{scale{0, 360, 88, drawing.PageWidth - 6}, scale{-reach, reach, drawing.Top + 64, drawing.Top + 12}}
	var upper, lower, curve, then []drawing.Point
	for d := 0.0; d <= 360; d += 2 {
		e := r.ErrorAt(geometry.Angle(d)).Degrees()
		curve, then = append(curve, c.point(d, e)), append(then, c.point(d, centred(geometry.Angle(d))))
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
	c.frame(s, "degrees too much")
	for _, p := range r.Seen {
		s.Add(drawing.Circle{Centre: c.point(p.Reading.Turn().Degrees(), p.Error.Degrees()), Radius: 0.55, Fill: drawing.Deep})
	}
	s.Add(drawing.Polygon{Points: curve, Stroke: drawing.Stroke{Width: 0.5, Ink: drawing.Black}, Open: true})
	most := "From least to most " + v.Range(low, high)
	if v.OffCentreSeen() {
		s.Add(drawing.Polygon{Points: then, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Deep, Dashed: true}, Open: true})
		most += " as it sits, " + v.Range(lowThen, highThen) + " once centred"
	}
	most += "."
	for d := 0.0; d <= 360; d += 60 {
		s.Add(
			drawing.Line{From: c.point(d, -reach), To: c.point(d, -reach).Plus(0, 1.2), Stroke: drawing.Thin},
			drawing.Text{At: c.point(d, -reach).Plus(0, 4.4), Size: textSize, Anchor: drawing.Middle, Text: rounding.Fixed(d, 0)},
		)
	}
	foot := drawing.Top + 73
	s.Add(
		drawing.Text{At: drawing.Point{X: drawing.PageWidth - 6, Y: foot}, Size: textSize, Anchor: drawing.End, Text: "what the readout shows"},
		drawing.Text{At: drawing.Point{X: drawing.PageWidth - 6, Y: drawing.Top + 5.4}, Size: textSize, Anchor: drawing.End, Text: most},
	)
	return most
}
