package drawing

import (
	"math"

	"markaudit/geometry"
)

// Point is a place on a scene.
type Point struct{ X, Y geometry.Length }

// Polar returns the point at a distance from a centre, the angle counted
// clockwise from straight up.
func Polar(centre Point, radius geometry.Length, clockwise geometry.Angle) Point {
	sin, cos := math.Sincos(clockwise.Radians())
	return Point{centre.X + radius*geometry.Length(sin), centre.Y - radius*geometry.Length(cos)}
}

// Arc returns points along a circle from one angle to another, both clockwise
// from straight up, at most a degree apart: the chord of a degree leaves a circle
// of 100 mm by 0.004 mm.
func Arc(centre Point, radius geometry.Length, from, to geometry.Angle) []Point {
	n := int(math.Ceil((to - from).Abs().Degrees()))
	n = min(max(n, 1), 3600)
	points := make([]Point, n+1)
	for i := range points {
		points[i] = Polar(centre, radius, from+(to-from)*geometry.Angle(i)/geometry.Angle(n))
	}
	return points
}

// Ink is one of a few tones that stay apart in black and white print and for
// every kind of colour vision. The zero value draws nothing.
type Ink uint8

// The inks. Deep is a dark blue that prints as dark grey.
const (
	None Ink = iota
	Black
	Grey
	Pale
	White
	Deep
)

var inks = [...]struct{ r, g, b int }{
	Black: {0x1a, 0x1a, 0x1a},
	Grey:  {0x70, 0x70, 0x70},
	Pale:  {0xdd, 0xdf, 0xe1},
	White: {0xff, 0xff, 0xff},
	Deep:  {0x12, 0x4a, 0x78},
}

// Stroke is a line's width and ink. A zero stroke is not drawn.
type Stroke struct {
	Width  geometry.Length
	Ink    Ink
	Dashed bool
}

// Item is one of the kinds below.
type Item interface{ item() }

// Line is a straight line with flat ends.
type Line struct {
	From, To Point
	Stroke   Stroke
}

// Polygon is a closed shape or, open, a line with corners.
type Polygon struct {
	Points []Point
	Fill   Ink
	Stroke Stroke
	Open   bool
}

// Circle is a circle.
type Circle struct {
	Centre Point
	Radius geometry.Length
	Fill   Ink
	Stroke Stroke
}

// Anchor says which end of a text stands at its point.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text. Size is that of the type; capitals are 0.72 of it
// high.
type Text struct {
	At     Point // on the baseline
	Size   geometry.Length
	Anchor Anchor
	Ink    Ink // None means Black
	Text   string
	Bold   bool
	Turn   geometry.Angle // about At, clockwise; -90 reads from bottom to top
}

// Extent returns how long the text is.
func (t Text) Extent() geometry.Length { return faceOf(t.Bold).width(t.Text, t.Size) }

func (Line) item() {}

func (Polygon) item() {}

func (Circle) item() {}

func (Text) item() {}

// Scene is a drawing. Title and Description are its alternative text.
type Scene struct {
	Title, Description string
	Width, Height      geometry.Length
	Items              []Item
}

// Rectangle returns a closed shape from its top left corner and its size.
func Rectangle(at Point, width, height geometry.Length, fill Ink, stroke Stroke) Polygon {
	return Polygon{
		Points: []Point{at, at.Plus(width, 0), at.Plus(width, height), at.Plus(0, height)},
		Fill:   fill, Stroke: stroke,
	}
}

// Plus returns the point moved by dx and dy.
func (p Point) Plus(dx, dy geometry.Length) Point { return Point{p.X + dx, p.Y + dy} }

// Add puts items on top of those already there.
func (s *Scene) Add(items ...Item) { s.Items = append(s.Items, items...) }

// Said returns the scene with each of its texts as say says it, such as with other
// names.
func (s Scene) Said(say func(text string) string) Scene {
	out := s
	out.Title, out.Description, out.Items = say(s.Title), say(s.Description), make([]Item, len(s.Items))
	for i, item := range s.Items {
		if x, ok := item.(Text); ok {
			x.Text = say(x.Text)
			item = x
		}
		out.Items[i] = item
	}
	return out
}

// Placed returns the scene with its origin at a point of a larger one.
func (s Scene) Placed(at Point, width, height geometry.Length) Scene {
	out := Scene{Title: s.Title, Description: s.Description, Width: width, Height: height, Items: make([]Item, len(s.Items))}
	for i, item := range s.Items {
		switch x := item.(type) {
		case Line:
			x.From, x.To = x.From.Plus(at.X, at.Y), x.To.Plus(at.X, at.Y)
			item = x
		case Polygon:
			points := make([]Point, len(x.Points))
			for j, p := range x.Points {
				points[j] = p.Plus(at.X, at.Y)
			}
			x.Points = points
			item = x
		case Circle:
			x.Centre = x.Centre.Plus(at.X, at.Y)
			item = x
		case Text:
			x.At = x.At.Plus(at.X, at.Y)
			item = x
		}
		out.Items[i] = item
	}
	return out
}
