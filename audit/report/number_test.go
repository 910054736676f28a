package report

import (
	"strings"
	"testing"

	"markaudit/geometry"
)

// Two significant digits of the uncertainty, the value to the same place:
// JCGM 100:2008, 7.2.6. The cases are worked by hand from that rule.
func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		u    float64
		want int
	}{
		{0.1523, 2},
		{0.15, 2},
		{0.0996, 2},
		{0.0994, 3},
		{0.995, 1},
		{0.994, 2},
		{1.23, 1},
		{9.96, 0},
		{12.3, 0},
		{123, 0},
		{0.00123, 4},
		{1e-12, 6},
		{0, unsure},
	} {
		if got := places(c.u); got != c.want {
			t.Errorf("places(%v) = %d, want %d", c.u, got, c.want)
		}
	}
}

func TestOffBy(t *testing.T) {
	for _, c := range []struct {
		a    geometry.Angle
		n    int
		want string
	}{
		{0.934, 2, "0.93° late"}, {-0.114, 2, "0.11° early"}, {0.004, 2, "0°"}, {-0.004, 2, "0°"}, {12.6, 0, "13° late"},
	} {
		if got := offBy(c.a, c.n); got != c.want {
			t.Errorf("offBy(%v, %d) = %q, want %q", c.a, c.n, got, c.want)
		}
	}
}

func TestLengths(t *testing.T) {
	mm, in := lengths{geometry.Millimetre}, lengths{geometry.Inch}
	for got, want := range map[string]string{
		mm.of(1.2823):          "1.28 mm",
		in.of(25.4):            "1.000 in (25.40 mm)",
		mm.sure(1.2823, 0.221): "1.28 ± 0.22 mm",
		mm.sure(1.2823, 0.001): "1.28 ± 0.01 mm", // never rounded down to nothing
		in.sure(2.54, 0.254):   "0.100 ± 0.010 in (2.54 ± 0.25 mm)",
		mm.of(-0.001):          "0.00 mm",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// A name cannot move the cursor, ring a bell or reorder the line.
func TestCleanHidesNothingAndRunsNothing(t *testing.T) {
	for in, want := range map[string]string{
		"fire 10":        "fire 10",
		"a\x1b[31mb":     `a\x1b[31mb`,
		"bell\a":         `bell\a`,
		"two\nlines":     `two\nlines`,
		"flip\u202egnp":  `flip\u202egnp`,
		"Zündung ü 10°":  "Zündung ü 10°",
		"next\u0085line": `next\u0085line`,
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	text := strings.Repeat("ß° drop half arc ", 30) + strings.Repeat("x", 100)
	out := wrap(text, "1  ", "   ")
	if got, want := strings.Join(strings.Fields(out), " "), "1 "+text; got != want {
		t.Errorf("words changed: got %q, want %q", got, want)
	}
	for _, line := range strings.Split(out, "\n") {
		if columns(line) > width && !strings.Contains(line, strings.Repeat("x", 100)) {
			t.Errorf("line of %d columns: %q", columns(line), line)
		}
	}
}

func TestMarkdownIsNotMarkup(t *testing.T) {
	var b strings.Builder
	if err := Markdown(&b, Doc{Sentence{Text: "<script>*a*|b`c`[d](e)"}}); err != nil {
		t.Fatal(err)
	}
	if got, want := b.String(), "&lt;script&gt;\\*a\\*\\|b\\`c\\`\\[d\\](e)\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
