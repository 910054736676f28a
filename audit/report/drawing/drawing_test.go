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

// Every ink that texts are set in stands out from white by 4.5 to 1, and black and
// white from each other's ground (WCAG 2.1, 1.4.3 and the definition of relative
// luminance; from memory). Tones stay apart in grey print: each differs from the
// next by a tenth of the way from black to white.
func TestInksStandOut(t *testing.T) {
	luminance := func(i Ink) float64 {
		linear := func(c int) float64 {
			x := float64(c) / 255
			if x <= 0.04045 {
				return x / 12.92
			}
			return math.Pow((x+0.055)/1.055, 2.4)
		}
		return 0.2126*linear(inks[i].r) + 0.7152*linear(inks[i].g) + 0.0722*linear(inks[i].b)
	}
	contrast := func(a, b Ink) float64 {
		x, y := luminance(a), luminance(b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	for _, text := range []Ink{Black, Grey, Deep} {
		if c := contrast(text, White); c < 4.5 {
			t.Errorf("ink %d on white stands out by %.2f to 1, want 4.5", text, c)
		}
	}
	for _, text := range []Ink{Black, Deep} {
		if c := contrast(text, Pale); c < 4.5 {
			t.Errorf("ink %d on grey stands out by %.2f to 1, want 4.5", text, c)
		}
	}
	if got := contrast(Black, White); got < 15 || got > 21 {
		t.Errorf("black stands out from white by %.2f to 1, want nearly 21", got)
	}
	tone := func(i Ink) float64 {
		return (0.299*float64(inks[i].r) + 0.587*float64(inks[i].g) + 0.114*float64(inks[i].b)) / 255
	}
	for _, pair := range [][2]Ink{{Grey, Black}, {Pale, Grey}, {White, Pale}} {
		if d := tone(pair[0]) - tone(pair[1]); d < 0.1 {
			t.Errorf("inks %v differ by %.2f in grey print", pair, d)
		}
	}
}

// A ± goes on the next line with its number.
func TestWrapKeepsASignWithItsNumber(t *testing.T) {
	text := "round the rim shows 973.9 ± 3.1 mm."
	for width := geometry.Length(20); width < 60; width += 0.5 {
		lines := Wrap(text, 3.2, width, 10)
		if strings.Join(lines, " ") != text {
			t.Errorf("%v: %q", width, lines)
		}
		for _, line := range lines {
			if strings.HasSuffix(line, "±") || Width(line, 3.2) > width {
				t.Errorf("%v: %q", width, lines)
			}
		}
	}
}
