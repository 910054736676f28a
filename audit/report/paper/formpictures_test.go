package paper

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// bounds is what an item covers.
func bounds(item drawing.Item) area {
	var points []drawing.Point
	switch x := item.(type) {
	case drawing.Text:
		_, texts := areas(drawing.Scene{Items: []drawing.Item{x}})
		return texts[0]
	case drawing.Line:
		points = []drawing.Point{x.From, x.To}
	case drawing.Polygon:
		points = x.Points
	case drawing.Circle:
		points = []drawing.Point{x.Centre.Plus(-x.Radius, -x.Radius), x.Centre.Plus(x.Radius, x.Radius)}
	}
	a := area{points[0].X, points[0].Y, points[0].X, points[0].Y, ""}
	for _, p := range points {
		a.left, a.right, a.top, a.bottom = min(a.left, p.X), max(a.right, p.X), min(a.top, p.Y), max(a.bottom, p.Y)
	}
	return a
}

// A picture stays in its room, its room stays on the page, and nothing else stands there.
// The circle in which lines are drawn by hand is 60 mm across at least.
func TestPicturesOfTheForm(t *testing.T) {
	for _, high := range []geometry.Length{document.A4.Height - 2*document.Margin, document.Letter.Height - 2*document.Margin, formHeight} {
		pictures, largest := 0, geometry.Length(0)
		for i, f := range forms(high) {
			for _, d := range f.drawn {
				pictures++
				r := area{d.left, d.top, d.right, d.bottom, ""}
				if page := (area{0, 0, drawing.PageWidth + 1e-6, high, ""}); !page.holds(r) {
					t.Errorf("page %d: a picture in the margin: %+v", i+1, r)
				}
				r = area{d.left - 1e-6, d.top - 1e-6, d.right + 1e-6, d.bottom + 1e-6, ""}
				for j, item := range f.scene.Items {
					b := bounds(item)
					own := j >= d.from && j < d.to
					if own && !r.holds(b) {
						t.Errorf("page %d: %+v leaves the picture's room %+v", i+1, item, r)
					}
					if b.left, b.right, b.top, b.bottom = b.left-1e-3, b.right+1e-3, b.top-1e-3, b.bottom+1e-3; !own && r.meets(b) {
						t.Errorf("page %d: %+v stands in the picture's room %+v", i+1, item, r)
					}
				}
			}
			for _, item := range f.scene.Items {
				if x, ok := item.(drawing.Circle); ok {
					largest = max(largest, x.Radius)
				}
			}
		}
		if pictures != 1+2+3+2+2 { // setups, sides, wheels, part with a piece of its rim, chalk line
			t.Errorf("%d pictures", pictures)
		}
		if largest < 30 {
			t.Errorf("%v high: the lines are drawn on a circle of radius %v", high, largest)
		}
	}
}

// A clockwise answer shows the BTDC line right of the TDC line on top, and an
// anticlockwise one left of it: how a clock's hand goes.
func TestPicturesOfTheSides(t *testing.T) {
	f := forms(formHeight)[enginePage-1]
	var at []drawing.Text
	for _, item := range f.scene.Items {
		if x, ok := item.(drawing.Text); ok && slices.Contains([]string{"TDC", "BTDC", "clockwise", "anticlockwise"}, x.Text) {
			at = append(at, x)
		}
	}
	at = at[2:8] // before them the way it runs, after them the arrows about the large circle
	if at[0].Text != "clockwise" || at[1].Text != "TDC" || at[2].Text != "BTDC" || bounds(at[2]).left <= bounds(at[1]).right {
		t.Errorf("clockwise: %+v", at[:3])
	}
	if at[3].Text != "anticlockwise" || at[4].Text != "TDC" || at[5].Text != "BTDC" || bounds(at[5]).right >= bounds(at[4]).left {
		t.Errorf("anticlockwise: %+v", at[3:])
	}
}

// A wheel bears the numbers that its name says, and its example is what its pointer
// shows: how far it is, in degrees, from the nearest 0 that counts up on both sides.
func TestExamplesOfTheWheels(t *testing.T) {
	whole := func(a int) int { return (a + 360) % 360 }
	shown := []func(a int) int{
		whole,
		func(a int) int { return min(whole(a), 360-whole(a)) },
		func(a int) int { return min(whole(a)%180, 180-whole(a)%180) },
	}
	for i, w := range numberings {
		for quarter := range 4 {
			if want := fmt.Sprint(shown[i](90 * quarter)); w.printed[quarter] != want {
				t.Errorf("%s: %s printed at %d, want %s", w.says[0], w.printed[quarter], 90*quarter, want)
			}
			if want := fmt.Sprint(90 * quarter); w.pen[quarter] != "" && w.pen[quarter] != want {
				t.Errorf("%s: %s written at %d", w.says[0], w.pen[quarter], 90*quarter)
			}
		}
		examples := strings.Join(w.says[1:], " ")
		at := int(w.at.Degrees())
		wants := []string{fmt.Sprint(shown[i](at))}
		if i == 2 {
			wants = append(wants, fmt.Sprintf("write %d.0", whole(at)))
		}
		for _, want := range wants {
			if !strings.Contains(examples, want) {
				t.Errorf("%s: %q lacks %s", w.says[0], examples, want)
			}
		}
	}
}
