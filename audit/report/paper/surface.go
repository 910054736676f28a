package paper

import (
	"math"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// surface is what a strip lies on: the rim of a part, the chamfer beside it or its
// face. All three are one cone, of which a rim is the end that never closes. A strip is
// drawn in places of its own: x along its working edge, y up from it on the paper with
// a minus sign, as a scene has y down. Lengths at the working edge are true.
type surface struct {
	corner    geometry.Length // diameter of the rim, or of the corner along which the black bar lies
	width     geometry.Length // of the strip
	thickness geometry.Length // of the paper
	slope     geometry.Angle  // 0: the rim; 90: a face; between them a chamfer that faces the viewer
	half      bool            // the part turns at half the crank's speed
}

func (s surface) flat() bool { return s.slope == 0 }

// radius is that of the working edge, on the paper laid flat: the distance from the
// cone's tip to the corner, in the middle of the paper's thickness, less the width.
//
//	ρ = (D/2 + t/2 · cos φ) / sin φ − W
func (s surface) radius() geometry.Length {
	sin, cos := math.Sincos(s.slope.Radians())
	return (s.corner/2+s.thickness/2*geometry.Length(cos))/geometry.Length(sin) - s.width
}

// along is the length at the working edge, unsigned, of an angle of the crank.
func (s surface) along(crank geometry.Angle) geometry.Length {
	if s.half {
		crank /= 2
	}
	if s.flat() {
		return geometry.Rim{Diameter: s.corner}.Tape(crank.Abs(), s.thickness)
	}
	return s.radius() * geometry.Length(math.Sin(s.slope.Radians())*crank.Abs().Radians())
}

// metal is the circle on the part under the working edge.
func (s surface) metal() geometry.Rim {
	return geometry.Rim{Diameter: s.corner - 2*s.width*geometry.Length(math.Sin(s.slope.Radians()))}
}

// apartAtCorner is how far apart two lines stand at the corner, straight across the part,
// that are an angle of the crank apart.
func (s surface) apartAtCorner(crank geometry.Angle) geometry.Length {
	if s.half {
		crank /= 2
	}
	return geometry.Rim{Diameter: s.corner}.Chord(crank.Abs())
}

// turn is once round the part.
func (s surface) turn() geometry.Length {
	if s.half {
		return s.along(720)
	}
	return s.along(360)
}

// size is what a piece of so much length takes on a sheet, with its waste and what
// stands out beyond its ends; above is how far its highest point lies above the middle
// of its working edge.
func (s surface) size(length geometry.Length) (width, height, above geometry.Length) {
	if s.flat() {
		return length, s.width + wasteDeep, s.width
	}
	q := math.Min(float64(length/s.radius())/2, math.Pi)
	outer, inner := s.radius()+s.width, s.radius()-wasteDeep
	wide := geometry.Length(1)
	if q < math.Pi/2 {
		wide = geometry.Length(math.Sin(q))
	}
	low := min(inner*geometry.Length(math.Cos(q)), outer*geometry.Length(math.Cos(q)))
	return 2 * outer * wide, outer - low, s.width
}

// longest is the longest piece that fits into so much room.
func (s surface) longest(width, height geometry.Length) geometry.Length {
	if s.flat() {
		return width
	}
	low, high := geometry.Length(0), 2*math.Pi*s.radius()
	for range 50 {
		middle := (low + high) / 2
		if w, h, _ := s.size(middle); w <= width && h <= height {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// laid puts a strip onto a sheet.
type laid struct {
	on     surface
	middle geometry.Length // the place on the strip that comes to stand at the top of its curve
	at     drawing.Point   // where on the sheet that place of the working edge comes
	scale  float64         // what the printer's fault asks for, of all that is drawn
}

// point is where a place on the strip comes on the sheet.
func (l laid) point(p drawing.Point) drawing.Point {
	k := geometry.Length(l.scale)
	if l.on.flat() {
		return l.at.Plus((p.X-l.middle)*k, p.Y*k)
	}
	rho := l.on.radius()
	sin, cos := math.Sincos(float64((p.X - l.middle) / rho))
	r := rho - p.Y
	return l.at.Plus(r*geometry.Length(sin)*k, (rho-r*geometry.Length(cos))*k)
}

// turned is by how much what stands upright on the strip is turned on the sheet.
func (l laid) turned(x geometry.Length) geometry.Angle {
	if l.on.flat() {
		return 0
	}
	return geometry.AngleFromRadians(float64((x - l.middle) / l.on.radius()))
}

// put returns what is drawn on the strip as it comes on the sheet.
func (l laid) put(items []drawing.Item) []drawing.Item {
	var out []drawing.Item
	for _, item := range items {
		switch x := item.(type) {
		case drawing.Line:
			if path := l.path(x.From, x.To); len(path) > 1 {
				out = append(out, drawing.Polygon{Points: append([]drawing.Point{l.point(x.From)}, path...), Stroke: x.Stroke, Open: true})
			} else {
				x.From, x.To = l.point(x.From), l.point(x.To)
				out = append(out, x)
			}
		case drawing.Polygon:
			points := []drawing.Point{l.point(x.Points[0])}
			for i, p := range x.Points[1:] {
				points = append(points, l.path(x.Points[i], p)...)
			}
			if !x.Open {
				back := l.path(x.Points[len(x.Points)-1], x.Points[0])
				points = append(points, back[:len(back)-1]...)
			}
			x.Points = points
			out = append(out, x)
		case drawing.Circle:
			x.Centre, x.Radius = l.point(x.Centre), x.Radius*geometry.Length(l.scale)
			out = append(out, x)
		case drawing.Text:
			out = append(out, l.text(x)...)
		}
	}
	return out
}

// sagitta is the most by which a drawn curve leaves its arc.
const sagitta geometry.Length = 0.008

// path leads from one place on the strip to another, without the first: a straight way
// along the strip becomes an arc on a slope.
func (l laid) path(from, to drawing.Point) []drawing.Point {
	n := 1
	if !l.on.flat() && from.X != to.X {
		outer := l.on.radius() + l.on.width
		step := 2 * math.Acos(1-float64(sagitta/outer))
		n = int(math.Ceil(math.Abs(float64((to.X-from.X)/l.on.radius())) / step))
	}
	var out []drawing.Point
	for i := 1; i <= n; i++ {
		part := geometry.Length(float64(i) / float64(n))
		out = append(out, l.point(from.Plus((to.X-from.X)*part, (to.Y-from.Y)*part)))
	}
	return out
}

// text puts a text onto the sheet: on a slope word by word, and letter by letter where
// a word would leave its row.
func (l laid) text(t drawing.Text) []drawing.Item {
	set := func(t drawing.Text) drawing.Text {
		t.Turn += l.turned(t.At.X)
		t.At, t.Size = l.point(t.At), t.Size*geometry.Length(l.scale)
		return t
	}
	if l.on.flat() {
		return []drawing.Item{set(t)}
	}
	r := l.on.radius() - t.At.Y
	widest := geometry.Length(math.Sqrt(8 * 0.2 * r.Millimetres())) // its ends rise 0.2 mm
	start := t.At.X - t.Extent()*geometry.Length(t.Anchor)/2*(l.on.radius()/r)
	var out []drawing.Item
	before := ""
	put := func(word string) {
		if strings.TrimSpace(word) != "" {
			one := t
			one.Text = word
			lead := drawing.Text{Text: before, Size: t.Size, Bold: t.Bold}.Extent()
			one.At.X, one.Anchor = start+(lead+one.Extent()/2)*(l.on.radius()/r), drawing.Middle
			out = append(out, set(one))
		}
		before += word
	}
	for _, word := range strings.SplitAfter(t.Text, " ") {
		if (drawing.Text{Text: word, Size: t.Size, Bold: t.Bold}).Extent() <= widest {
			trimmed := strings.TrimSuffix(word, " ")
			put(trimmed)
			before += word[len(trimmed):]
			continue
		}
		for _, letter := range word {
			put(string(letter))
		}
	}
	return out
}
