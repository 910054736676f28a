package paper

import (
	"fmt"
	"math"
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
		if pictures != 1+2+3+2+2+2 { // setups, sides, wheels, part with a piece of its rim, scales, chalk line
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
		for _, angle := range w.at {
			at := int(angle.Degrees())
			if want := fmt.Sprint(shown[i](at)); w.shows != want {
				t.Errorf("%s: the example shows %s, want %s", w.says[0], w.shows, want)
			}
			wants := []string{w.shows}
			if i == 2 { // each 40 has its own number beside it, by a pen
				wants = append(wants, fmt.Sprintf("%s at %d: write %d.0", w.shows, at, whole(at)))
			}
			for _, want := range wants {
				if !strings.Contains(examples, want) {
					t.Errorf("%s: %q lacks %s", w.says[0], examples, want)
				}
			}
		}
	}
}

// A needle shows tenths and hundredths of its turn, whichever way it went; one that is
// numbered both ways shows how far it is from its 0. What is to be written differs from
// that by whole turns or by its sign, and goes on one way by the same step.
func TestExamplesOfTheNeedles(t *testing.T) {
	number := func(text string) float64 {
		x, err := geometry.ParseNumber(text)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for _, n := range needles {
		var written []float64
		for i, text := range n.write {
			w := number(text)
			written = append(written, w)
			for _, shown := range strings.Split(n.shows[i], " or ") {
				s := number(shown)
				if turns := w - s; math.Abs(turns-math.Round(turns)) > 1e-9 && math.Abs(w+s) > 1e-9 {
					t.Errorf("%s: %s shown, %s written", n.when, shown, text)
				}
			}
		}
		step := written[1] - written[0]
		for i := 1; i < len(written); i++ {
			if by := written[i] - written[i-1]; math.Abs(by-step) > 1e-9 || math.Abs(by) >= 0.5 {
				t.Errorf("%s: from %v to %v", n.when, written[i-1], written[i])
			}
		}
	}
}

// A sweep of 30 degrees to each side needs a travel of a tenth of the stroke: at most for
// the rods of usual engines (one stroke to three and a half, geometry.LongStroke and
// LongRod), and not half of it for any. Computed with the crank's own formula; by hand for
// an endless rod (1 - cos 30°)/2 = 0.067.
func TestTravelOfASweep(t *testing.T) {
	for _, rod := range []geometry.Length{100, 130, 165, 250, 350} {
		if drop := (geometry.Crank{Stroke: 100, Rod: rod}).Drop(30); drop > 10 || drop < 6.7 {
			t.Errorf("a rod of %v: the piston drops %v of 100 mm", rod, drop)
		}
	}
}
