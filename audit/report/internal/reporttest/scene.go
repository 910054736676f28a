package reporttest

import (
	"testing"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// box is where a text stands: above the baseline by its capitals, below by what
// a g needs.
type box struct {
	text                   string
	left, right, top, foot geometry.Length
}

func boxes(s drawing.Scene) []box {
	var all []box
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok && x.Text != "" {
			w := x.Extent()
			left := x.At.X - w*geometry.Length(x.Anchor)/2
			all = append(all, box{x.Text, left, left + w, x.At.Y - 0.72*x.Size, x.At.Y + 0.21*x.Size})
		}
	}
	return all
}

// CheckScene fails for what is clipped, and for texts that overlap.
func CheckScene(t *testing.T, s drawing.Scene) {
	t.Helper()
	all := boxes(s)
	for i, b := range all {
		if b.left < -1e-9 || b.right > s.Width+1e-9 || b.top < 0 || b.foot > s.Height {
			t.Errorf("%s: %q is clipped", s.Title, b.text)
		}
		for _, c := range all[:i] {
			if b.left < c.right && c.left < b.right && b.top < c.foot && c.top < b.foot {
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
