package webserver

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit/guide"
	"markaudit/audit/sheet/readings"
	"markaudit/cmd/markaudit/internal/testsheet"
)

// luminance is the relative luminance of a colour #rrggbb, and ratio the contrast of two:
// WCAG 2.1, definitions of "relative luminance" and "contrast ratio".
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	v, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 32)
	if err != nil || len(colour) != 7 {
		t.Fatalf("no colour: %q", colour)
	}
	part := func(shift uint) float64 {
		c := float64(v>>shift&255) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

func ratio(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// What is read has a contrast of 4.5 at least, what is only seen (arrows, edges of
// buttons, focus) one of 3: WCAG 2.1, 1.4.3 and 1.4.11.
func TestContrast(t *testing.T) {
	if got := ratio(t, "#000000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Fatalf("black on white: %g", got)
	}
	data, err := os.ReadFile("web/style.css")
	if err != nil {
		t.Fatal(err)
	}
	tones := map[string]string{"white": "#ffffff"}
	for _, m := range regexp.MustCompile(`--([a-z]+):(#[0-9a-f]{6})\b`).FindAllStringSubmatch(string(data), -1) {
		tones[m[1]] = m[2]
	}
	for least, pairs := range map[float64][]string{
		4.5: {
			"ink paper", "ink card", "ink white", "ink kept", "ink zone", "ink amber", "ink metal", "faint paper", "faint white", "faint zone", "faint card", "faint metal", "white navy",
		},
		3: {"turn metal", "turn paper", "navy white", "navy zone", "edge white", "edge zone", "edge paper", "edge card"},
	} {
		for _, pair := range pairs {
			a, b, _ := strings.Cut(pair, " ")
			if got := ratio(t, tones[a], tones[b]); got < least {
				t.Errorf("%s on %s: %.2f, want %g", a, b, got, least)
			}
		}
	}
}

// manyLines is a job that is read to its end, with so many lines; its path.
func manyLines(t *testing.T, n int) string {
	t.Helper()
	path := testsheet.New(t)
	before, _, _ := strings.Cut(testsheet.Unfinished, "marks:")
	text := before + "marks:\n"
	var rows []readings.Row
	row := func(trial, item, approach string, reading float64) {
		rows = append(rows, readings.Row{Setup: "1", Trial: trial, Item: item, Approach: approach, Reading: fmt.Sprint(reading), Time: "2026-03-14T12:00:00Z"})
	}
	for i := range 3 {
		row(strconv.Itoa(i+1), "stop", "forward", 338)
		row(strconv.Itoa(i+1), "stop", "backward", 22+0.5*float64(i%2))
	}
	for range 3 {
		for i := range n {
			at := 360 * i / n
			row("", fmt.Sprintf("line %d", at), "forward", float64(at))
		}
	}
	row("1", "closing", "forward", 338)
	row("1", "closing", "backward", 22)
	for i := range n {
		at := 360 * i / n
		text += fmt.Sprintf("  - name: line %d\n    at: %d\n", at, at)
	}
	testsheet.Write(t, path, guide.Attach(text, "mill.csv"))
	testsheet.Write(t, testsheet.Readings(path), string(readings.Write(rows)))
	return path
}

// overlaps lists texts of the pictures that lie on each other.
const overlaps = `(() => { const out = []; for (const svg of document.querySelectorAll("svg.rim, svg.face")) { const all = [...svg.querySelectorAll("text")].map((t) => [t.textContent, t.getBoundingClientRect()]); for (let i = 0; i < all.length; i++) for (let j = i + 1; j < all.length; j++) { const a = all[i][1], b = all[j][1]; if (a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3) out.push(all[i][0] + " / " + all[j][0]); } } return out.slice(0, 5).join("; "); })()`

// Twelve and twenty-four lines stay readable, at the end of a job in three sizes: no
// text lies on another, and nothing scrolls sideways.
func manyLinesInBrowser(t *testing.T, b *browser) {
	t.Helper()
	for _, n := range []int{12, 24} {
		s := openPage(t, manyLines(t, n))
		for _, form := range []string{"do=answer&text=no", "do=answer&text=out", "do=answer&text=yes"} {
			v, err := url.ParseQuery(form)
			if err != nil {
				t.Fatal(err)
			}
			if status, body := s.press(t, v); status != http.StatusOK {
				t.Fatalf("%s: status %d: %s", form, status, body)
			}
		}
		b.call("Page.navigate", map[string]any{"url": s.base + "/enter/" + s.code()})
		b.until(`location.origin === "` + s.base + `" && location.pathname === "/" && document.readyState === "complete"`)
		if got := b.eval(`document.querySelector("h1").textContent`); got != "All read, and the stop is out" {
			t.Fatalf("%d lines: %v", n, got)
		}
		for _, size := range [][2]int{{390, 844}, {800, 1280}, {1280, 800}} {
			b.size(size[0], size[1])
			if got := b.eval(overlaps); got != "" {
				t.Errorf("%d lines, %v: %v", n, size, got)
			}
			if b.eval(`document.documentElement.scrollWidth <= innerWidth`) != true {
				t.Errorf("%d lines, %v: scrolls sideways", n, size)
			}
		}
		s.end()
	}
}
