package reporttest

import (
	"math"
	"testing"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// box is where a text stands: above the baseline by its capitals, below by what
// a g needs. Its corners go round from the upper left; a turned text has a turned box.
type box struct {
	text    string
	turned  bool
	corners [4]drawing.Point
	middle  drawing.Point
	reach   geometry.Length // from the middle to a corner
}

func boxes(s drawing.Scene) []box {
	var all []box
	for _, item := range s.Items {
		x, ok := item.(drawing.Text)
		if !ok || x.Text == "" {
			continue
		}
		w := x.Extent()
		left := -w * geometry.Length(x.Anchor) / 2
		b := box{text: x.Text, turned: x.Turn != 0}
		sin, cos := math.Sincos(x.Turn.Radians())
		for i, c := range [4]drawing.Point{{X: left, Y: -0.72 * x.Size}, {X: left + w, Y: -0.72 * x.Size}, {X: left + w, Y: 0.21 * x.Size}, {X: left, Y: 0.21 * x.Size}} {
			b.corners[i] = x.At.Plus(c.X*geometry.Length(cos)-c.Y*geometry.Length(sin), c.X*geometry.Length(sin)+c.Y*geometry.Length(cos))
		}
		b.middle = drawing.Point{X: (b.corners[0].X + b.corners[2].X) / 2, Y: (b.corners[0].Y + b.corners[2].Y) / 2}
		b.reach = geometry.Length(math.Hypot(float64(b.corners[0].X-b.corners[2].X), float64(b.corners[0].Y-b.corners[2].Y))) / 2
		all = append(all, b)
	}
	return all
}

// overlaps reports whether two boxes share a place: no side of either parts them
// (the separating axis theorem for convex shapes). Letters set one by one along a curve
// touch at their feet, by less than a tenth of a millimetre.
func (b box) overlaps(c box) bool {
	const feet = 0.1
	slack := 0.0
	if b.turned && c.turned {
		slack = feet
	}
	if apart := b.middle.Plus(-c.middle.X, -c.middle.Y); apart.X*apart.X+apart.Y*apart.Y > (b.reach+c.reach)*(b.reach+c.reach) {
		return false
	}
	for _, one := range []box{b, c} {
		for i := range 2 {
			from, to := one.corners[i], one.corners[i+1]
			x, y := float64(to.Y-from.Y), float64(from.X-to.X) // across that side
			side := math.Hypot(x, y)
			x, y = x/side, y/side
			reach := func(b box) (low, high float64) {
				low, high = math.Inf(1), math.Inf(-1)
				for _, p := range b.corners {
					along := float64(p.X)*x + float64(p.Y)*y
					low, high = math.Min(low, along), math.Max(high, along)
				}
				return low, high
			}
			low, high := reach(b)
			otherLow, otherHigh := reach(c)
			if high <= otherLow+slack || otherHigh <= low+slack {
				return false
			}
		}
	}
	return true
}

// CheckScene fails for what is clipped, and for texts that overlap.
func CheckScene(t *testing.T, s drawing.Scene) {
	t.Helper()
	all := boxes(s)
	for i, b := range all {
		for _, p := range b.corners {
			if p.X < -1e-9 || p.X > s.Width+1e-9 || p.Y < 0 || p.Y > s.Height {
				t.Errorf("%s: %q is clipped", s.Title, b.text)
				break
			}
		}
		for _, c := range all[:i] {
			if b.overlaps(c) {
				t.Errorf("%s: %q and %q overlap", s.Title, b.text, c.text)
			}
		}
	}
	inside := func(p drawing.Point) bool {
		return p.X >= -0.01 && p.X <= s.Width+0.01 && p.Y >= -0.01 && p.Y <= s.Height+0.01
	}
	for _, item := range s.Items {
		var points []drawing.Point
		switch x := item.(type) {
		case drawing.Line:
			points = []drawing.Point{x.From, x.To}
		case drawing.Polygon:
			points = x.Points
		case drawing.Circle:
			points = []drawing.Point{x.Centre.Plus(x.Radius, x.Radius), x.Centre.Plus(-x.Radius, -x.Radius)}
		}
		for _, p := range points {
			if !inside(p) {
				t.Errorf("%s: %v lies outside %v by %v: %+v", s.Title, p, s.Width, s.Height, item)
			}
		}
	}
	if s.Title == "" || s.Description == "" {
		t.Errorf("%q has no alternative text", s.Title)
	}
}
