package drawing

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"markaudit/geometry"
)

// Widths agree with those that the PDF library reads from the same type; it
// rounds a letter to a thousandth of the size.
func TestWidth(t *testing.T) {
	p := fpdf.New("P", "mm", "A4", "")
	p.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	p.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	const size = 10
	for _, text := range []string{"", "inject 14", "0.04° late ± 0.34°", "WWW iii", "Ø µ ≤ √ ν δ – ä ß Ж ◄ ►"} {
		within := 1e-3 * size * float64(len([]rune(text)))
		for style, set := range map[string]Text{"": {Text: text, Size: size}, "B": {Text: text, Size: size, Bold: true}} {
			p.SetFont("sans", style, size*pointsPerMillimetre)
			want := p.GetStringWidth(text)
			if got := set.Extent().Millimetres(); math.Abs(got-want) > within {
				t.Errorf("%q %s: got %g mm, want %g", text, style, got, want)
			}
		}
		if got := printable(text, false); got != text {
			t.Errorf("%q prints as %q", text, got)
		}
	}
}

func TestWrap(t *testing.T) {
	tests := []struct {
		text string
		most int
		want []string
	}{
		{"", 3, nil},
		{"one", 3, []string{"one"}},
		{"one two  three", 3, []string{"one two", "three"}},
		{"one two three four five", 2, []string{"one two", "three…"}},
		{"onetwothreefour", 3, []string{"onetwot", "hreefour"}},
		{"onetwothreefourfivesixseven", 2, []string{"onetwot", "hreef…"}},
	}
	for _, tt := range tests {
		if got := Wrap(tt.text, 4, 15, tt.most); !slices.Equal(got, tt.want) {
			t.Errorf("%q: got %q, want %q", tt.text, got, tt.want)
		}
	}
	long := strings.Repeat("x", 1<<20) + " \xff\xfe"
	for _, line := range Wrap(long, 4, 15, 3) {
		if Width(line, 4) > 15 {
			t.Errorf("a line of %v", Width(line, 4))
		}
	}
}

// Text stays text, and a drawing holds nothing that XML cannot; in a PDF a letter
// that the type lacks is an empty box, and none is a panic.
func TestAnyText(t *testing.T) {
	for _, text := range []string{`<script>&"'`, "\x00\x1b[31m", "点火 10", "🔧", "\U0010ffff", "\xff", `\) Tj`} {
		s := Scene{Title: text, Description: text, Width: 100, Height: 50, Items: []Item{Text{At: Point{X: 1, Y: 10}, Size: 4, Text: text}, Text{Turn: -90, Bold: true, Text: text, Size: 3, At: Point{X: 5, Y: 40}}}}
		svg := Inline(s)
		if strings.Contains(svg, "<script>") || strings.ContainsRune(svg, 0) || strings.ContainsRune(svg, 0x1b) {
			t.Errorf("%q: got %s", text, svg)
		}
		var pdf bytes.Buffer
		if err := PDF(&pdf, text, []Scene{s}); err != nil || pdf.Len() == 0 {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestPolar(t *testing.T) {
	for _, tt := range []struct {
		clockwise geometry.Angle
		want      Point
	}{{0, Point{10, 5}}, {90, Point{15, 10}}, {180, Point{10, 15}}, {-90, Point{5, 10}}} {
		got := Polar(Point{10, 10}, 5, tt.clockwise)
		if math.Hypot(float64(got.X-tt.want.X), float64(got.Y-tt.want.Y)) > 1e-12 {
			t.Errorf("%v: got %v, want %v", tt.clockwise, got, tt.want)
		}
	}
	// A chord leaves the circle by R(1 - cos(a/2)).
	arc := Arc(Point{}, 100, -30, 47.3)
	for i := 1; i < len(arc); i++ {
		mid := math.Hypot(float64(arc[i].X+arc[i-1].X)/2, float64(arc[i].Y+arc[i-1].Y)/2)
		if 100-mid > 0.004 {
			t.Errorf("%g mm inside the circle", 100-mid)
		}
	}
}

func TestPlaced(t *testing.T) {
	s := Scene{Title: "x", Items: []Item{Line{From: Point{1, 2}}, Circle{Centre: Point{1, 2}}, Text{At: Point{1, 2}}, Polygon{Points: []Point{{1, 2}}}}}
	got := s.Placed(Point{10, 20}, 210, 297)
	want := Point{11, 22}
	if got.Items[0].(Line).From != want || got.Items[1].(Circle).Centre != want || got.Items[2].(Text).At != want || got.Items[3].(Polygon).Points[0] != want {
		t.Errorf("got %v", got.Items)
	}
	if s.Items[3].(Polygon).Points[0] != (Point{1, 2}) || got.Width != 210 {
		t.Error("the scene itself moved")
	}
}
