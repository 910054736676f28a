package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"markaudit/audit"
	"markaudit/audit/figure"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

const longName = "a rather long name of a line, as somebody in a workshop may well write it down, second from the left side of the window"

// manyLines is the audit of a part with n lines all round, the first of each
// three off by so much, the second hardly, the third half as much the other way.
func manyLines(t *testing.T, n int, name, turns, marksOn string, off float64) audit.Result {
	t.Helper()
	var marks, readings strings.Builder
	for i := range n {
		at := float64(i) * 360 / float64(n)
		o := []float64{off, 0.01, -off / 2}[i%3]
		fmt.Fprintf(&marks, "  - {name: %q, at: %g}\n", strings.TrimSpace(fmt.Sprint(i+1, " ", name)), at)
		fmt.Fprintf(&readings, "      %q: [%g, %g, %g]\n", strings.TrimSpace(fmt.Sprint(i+1, " ", name)), at+o, at+o+0.1, at+o)
	}
	text := fmt.Sprintf("engine: {turns: %s, stroke: 92 mm, rod: 152 mm}\npart: {marks_on: %s, diameter: 158 mm}\nreadout: {step: 0.1, counts: up, quarter_turn: [10, 100]}\nlimits: {tolerance: 0.5}\nmarks:\n%ssetups:\n", turns, marksOn, &marks)
	for range 2 {
		text += "  - by: Ana\n    stop: {forward: [338.0, 338.1, 338.0, 338.2 struck knocked the wheel, 338.0], backward: [22.0, 22.0, 22.1, 22, 22]}\n    marks:\n" + readings.String()
	}
	return read(t, text)
}

func read(t *testing.T, text string) audit.Result {
	t.Helper()
	s, positions, err := sheet.Read("job.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatalf("%v %v", err, positions)
	}
	return r
}

// goodAudits audits the good sheets.
func goodAudits(t *testing.T) map[string]audit.Result {
	t.Helper()
	all := map[string]audit.Result{}
	for name, s := range goodSheets(t) {
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		all[name] = r
	}
	return all
}

func allFigures(r audit.Result) []figure.Scene {
	return slices.Concat(PartFigures(r), OffsetFigures(r), TrialFigures(r), BudgetFigures(r))
}

// box is where a text stands: above the baseline by its capitals, below by what
// a g needs.
type box struct {
	text                   string
	left, right, top, foot geometry.Length
}

func boxes(s figure.Scene) []box {
	var all []box
	for _, item := range s.Items {
		if x, ok := item.(figure.Text); ok && x.Text != "" {
			w := figure.Width(x.Text, x.Size)
			left := x.At.X - w*geometry.Length(x.Anchor)/2
			all = append(all, box{x.Text, left, left + w, x.At.Y - 0.72*x.Size, x.At.Y + 0.21*x.Size})
		}
	}
	return all
}

// checkScene fails for what is clipped, and for texts that overlap.
func checkScene(t *testing.T, s figure.Scene) {
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
	inside := func(p figure.Point) bool {
		return p.X >= -0.01 && p.X <= s.Width+0.01 && p.Y >= -0.01 && p.Y <= s.Height+0.01
	}
	for _, item := range s.Items {
		var points []figure.Point
		switch x := item.(type) {
		case figure.Line:
			points = []figure.Point{x.From, x.To}
		case figure.Polygon:
			points = x.Points
		case figure.Circle:
			points = []figure.Point{x.Centre.Plus(x.Radius, x.Radius), x.Centre.Plus(-x.Radius, -x.Radius)}
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

func TestFiguresAreNotClippedAndDoNotOverlap(t *testing.T) {
	results := goodAudits(t)
	for _, n := range []int{1, 5, 24, 60} {
		for _, off := range []float64{0.01, 0.8, 40} {
			for _, name := range []string{"", longName, strings.Repeat("unbroken", 60)} {
				for _, turns := range []string{"clockwise", "anticlockwise"} {
					for _, on := range []string{"part", "engine"} {
						key := fmt.Sprintf("%d lines %.10q off by %g, %s, on %s", n, name, off, turns, on)
						if n == 60 && (turns != "clockwise" || on != "part") {
							continue
						}
						results[key] = manyLines(t, n, name, turns, on, off)
					}
				}
			}
		}
	}
	for name, r := range results {
		t.Run(name, func(t *testing.T) {
			scenes := allFigures(r)
			if len(r.Marks) > 0 && len(scenes) < 2 {
				t.Errorf("only %d figures", len(scenes))
			}
			for _, s := range scenes {
				checkScene(t, s)
				if s.Width != figureWidth || s.Height > 250 {
					t.Errorf("%s is %v by %v and would be cut on Letter", s.Title, s.Width, s.Height)
				}
				checkXML(t, s)
			}
		})
	}
}

func checkXML(t *testing.T, s figure.Scene) {
	t.Helper()
	var b bytes.Buffer
	if err := figure.SVG(&b, s); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(&b)
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%s: %v", s.Title, err)
		}
	}
}

// From the line as found to where it belongs a figure goes the way that the
// audit says; BTDC lines lie where the audit's check says.
func TestPartFigureGoesTheAuditsWay(t *testing.T) {
	for _, turns := range []string{"clockwise", "anticlockwise"} {
		for _, on := range []string{"part", "engine"} {
			for _, half := range []bool{false, true} {
				for _, late := range []float64{3, -3} {
					r := stripJob{diameter: 158, turns: turns, marksOn: on, half: half, late: late}.audit(t)
					m := r.Marks[1]
					c := newVoice(r, nil).callout(m, 1)
					if way := c.belongs - c.found; (way > 0) != (m.Scribe.Rotation == geometry.Clockwise) {
						t.Errorf("%s, on %s, late %g: goes %v, the audit says %v", turns, on, late, way, m.Scribe.Rotation)
					}
					if !r.Check.BTDC || (c.belongs > 0) != (r.Check.Rotation == geometry.Clockwise) {
						t.Errorf("%s, on %s: 14 BTDC lies at %v, the check says %v", turns, on, c.belongs, r.Check)
					}
				}
			}
		}
	}
}

func TestExaggeration(t *testing.T) {
	for _, tt := range []struct {
		off  float64
		want float64
	}{{0.01, 100}, {0.8, 10}, {40, 1}} {
		if got := exaggeration(manyLines(t, 1, "", "clockwise", "part", tt.off)); got != tt.want {
			t.Errorf("one line off by %g: drawn %g times as large, want %g", tt.off, got, tt.want)
		}
	}
}

// wellFormed fails where an element is not closed by its own end.
func wellFormed(t *testing.T, page []byte) {
	t.Helper()
	void := []string{"meta", "br", "hr", "img", "link", "input"}
	var open []string
	z := html.NewTokenizer(bytes.NewReader(page))
	for {
		switch z.Next() {
		case html.ErrorToken:
			if !errors.Is(z.Err(), io.EOF) || len(open) > 0 {
				t.Errorf("ends with %v open: %v", open, z.Err())
			}
			return
		case html.StartTagToken:
			if name, _ := z.TagName(); !slices.Contains(void, string(name)) {
				open = append(open, string(name))
			}
		case html.EndTagToken:
			name, _ := z.TagName()
			if len(open) == 0 || open[len(open)-1] != string(name) {
				t.Fatalf("</%s> ends %v", name, open)
			}
			open = open[:len(open)-1]
		}
	}
}

// A record is one page that fetches nothing and runs nothing, whatever the names
// on the sheet, and says what the folder needs.
func TestRecordPage(t *testing.T) {
	const evil = `<script>alert(1)</script>`
	r := manyLines(t, 5, evil, "clockwise", "part", 0.8)
	r.Sheet.Title = evil + `" onload="x`
	o := Options{Path: "a<b.yaml", Software: "markaudit 9.9"}
	var page bytes.Buffer
	if err := HTML(&page, AuditRecord(r, audit.Further(r), o)); err != nil {
		t.Fatal(err)
	}
	wellFormed(t, page.Bytes())
	root, err := html.Parse(bytes.NewReader(page.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	var text strings.Builder
	for n := range root.Descendants() {
		switch n.Type {
		case html.TextNode:
			text.WriteString(n.Data)
		case html.ElementNode:
			count[n.Data]++
			for _, a := range n.Attr {
				if a.Key == "src" || a.Key == "href" || strings.HasPrefix(a.Key, "on") {
					t.Errorf("<%s %s=%q>", n.Data, a.Key, a.Val)
				}
			}
		}
	}
	for _, name := range []string{"script", "img", "link", "iframe", "object"} {
		if count[name] > 0 {
			t.Errorf("the page has <%s>", name)
		}
	}
	if count["svg"] != len(allFigures(r)) || count["h1"] != 1 || count["table"] < 5 {
		t.Errorf("found %v", count)
	}
	if regexp.MustCompile(`url\(|@import`).Match(page.Bytes()) {
		t.Error("the style fetches something")
	}
	for _, want := range []string{
		evil, "338.2° (STRUCK: knocked the wheel)", r.Sheet.Digest, "markaudit 9.9", "signature", "JCGM 100", "Take the stop out", "a<b.yaml", "Budget of",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// The same audit gives the same bytes.
func TestRecordIsRepeatable(t *testing.T) {
	s, _, err := sheet.Read("demo.yaml", []byte(sheet.Demo()), nil)
	if err != nil {
		t.Fatal(err)
	}
	var first []byte
	for range 3 {
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		var page, pdf bytes.Buffer
		if err := HTML(&page, AuditRecord(r, audit.Further(r), Options{Path: "demo.yaml"})); err != nil {
			t.Fatal(err)
		}
		if err := figure.PDF(&pdf, "demo", allFigures(r)); err != nil {
			t.Fatal(err)
		}
		all := slices.Concat(page.Bytes(), pdf.Bytes())
		if first == nil {
			first = all
		}
		if !bytes.Equal(all, first) {
			t.Fatal("two runs differ")
		}
	}
}

// A page should be there at once: within a tenth of a second.
func BenchmarkRecord(b *testing.B) {
	s, _, err := sheet.Read("demo.yaml", []byte(sheet.Demo()), nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r, err := audit.Run(s)
		if err != nil {
			b.Fatal(err)
		}
		if err := HTML(io.Discard, AuditRecord(r, audit.Further(r), Options{Path: "demo.yaml"})); err != nil {
			b.Fatal(err)
		}
	}
}

// Text and Markdown pass over what only paper can hold.
func TestFiguresOnlyOnPages(t *testing.T) {
	d := Doc{Heading{"x"}, Figure{figure.Scene{Title: "a drawing"}}, Signature{}}
	var text, markdown bytes.Buffer
	if err := errors.Join(Text(&text, d), Markdown(&markdown, d)); err != nil {
		t.Fatal(err)
	}
	if text.String() != "x\n=\n" || markdown.String() != "# x\n" {
		t.Errorf("got %q and %q", text.String(), markdown.String())
	}
}

// The form asks in the order of the sheet, for keys that the sheet has, and for
// everything that a sheet is refused without.
func TestPaperFormFollowsTheSheet(t *testing.T) {
	key := regexp.MustCompile(`(?m)^[ #-]*([a-z_]+):`)
	var keys []string
	for _, m := range key.FindAllStringSubmatch(sheet.Blank(), -1) {
		keys = append(keys, m[1])
	}
	at, asked := 0, map[string]bool{}
	for _, f := range forms() {
		for _, k := range f.keys {
			i := slices.Index(keys[at:], k)
			if i < 0 {
				t.Errorf("%s is out of the sheet's order", k)
				continue
			}
			at += i + 1
			asked[k] = true
		}
		if f.y > formHeight-3 {
			t.Errorf("%s is %v high", f.scene.Title, f.y)
		}
		checkScene(t, f.scene)
	}
	for _, k := range []string{"turns", "marks_on", "step", "counts", "tolerance", "marks", "setups", "stop", "closing", "quarter_turn", "btdc_lines"} {
		if !asked[k] {
			t.Errorf("the form does not ask for %s", k)
		}
	}
	var page bytes.Buffer
	if err := PaperFormHTML(&page); err != nil {
		t.Fatal(err)
	}
	wellFormed(t, page.Bytes())
}
