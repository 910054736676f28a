package paper

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// segment is a straight line as the content of a PDF has it, in millimetres.
type segment struct{ x1, y1, x2, y2 float64 }

var drawn = regexp.MustCompile(`(?m)^(-?[\d.]+) (-?[\d.]+) m (-?[\d.]+) (-?[\d.]+) l S$`)

// segments reads the content streams of a PDF, page by page.
func segments(t *testing.T, pdf []byte) [][]segment {
	t.Helper()
	var pages [][]segment
	for rest := pdf; ; {
		_, after, found := bytes.Cut(rest, []byte("stream\n"))
		if !found {
			break
		}
		data, next, _ := bytes.Cut(after, []byte("\nendstream"))
		rest = next
		z, err := zlib.NewReader(bytes.NewReader(data))
		if err != nil {
			continue // not compressed: no content of a page
		}
		text, err := io.ReadAll(z)
		if err != nil || !bytes.Contains(text, []byte(" Tj ")) {
			continue
		}
		var page []segment
		for _, m := range drawn.FindAllSubmatch(text, -1) {
			var v [4]float64
			for i := range v {
				points, err := strconv.ParseFloat(string(m[i+1]), 64)
				if err != nil {
					t.Fatal(err)
				}
				v[i] = points * 25.4 / 72 // ISO 32000-1, 8.3.2.3
			}
			page = append(page, segment{v[0], v[1], v[2], v[3]})
		}
		pages = append(pages, page)
	}
	return pages
}

func (s segment) length() float64 { return math.Hypot(s.x2-s.x1, s.y2-s.y1) }

func (s segment) across() bool { return math.Abs(s.y2-s.y1) < 0.01 }

func (s segment) upright() bool { return math.Abs(s.x2-s.x1) < 0.01 }

func near(a, b, within float64) bool { return math.Abs(a-b) <= within }

// onPaperWithin is less than a tenth of a millimetre, the least that a steel rule
// shows; the PDF has its places to 0.004 mm.
const onPaperWithin = 0.02

// stripperFor is a stripper for an audit, as Strip makes it.
func stripperFor(r audit.Result, o StripOptions) stripper {
	o.Thickness = 0.1
	return newStripper(r, o)
}

// On every sheet both check lines are as long as they say, and the lines are as far
// apart as the tape round the rim says: π(D + t)·a/360, worked out here from the
// readings.
func TestStripMeasuresOnPaper(t *testing.T) {
	tests := []struct {
		name     string
		job      reporttest.Job
		measured geometry.Length
		paper    Size
		sheets   int // at least
		full     bool
	}{
		{name: "25 mm", job: reporttest.Job{Diameter: 25, Late: 3}, sheets: 1},
		{name: "25 mm full", job: reporttest.Job{Diameter: 25, Late: 3}, full: true, sheets: 1},
		{name: "600 mm", job: reporttest.Job{Diameter: 600, Late: 3}, sheets: 1},
		{name: "600 mm far", job: reporttest.Job{Diameter: 600, Late: 40}, sheets: 1},
		{name: "600 mm full", job: reporttest.Job{Diameter: 600, Late: -3}, full: true, sheets: 2},
		{name: "600 mm full on Letter", job: reporttest.Job{Diameter: 600, Late: -3}, paper: Letter, full: true, sheets: 2},
		{name: "printer", job: reporttest.Job{Diameter: 600, Late: 3}, measured: 99.6, sheets: 1},
		{name: "half speed", job: reporttest.Job{Diameter: 250, Late: 3, Half: true}, sheets: 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.job.Turns, tt.job.MarksOn = "clockwise", "part"
			r := tt.job.Audit(t)
			const thickness = 0.1
			d, err := Strip(r, StripOptions{Thickness: thickness, Measured: tt.measured, Paper: tt.paper, Full: tt.full, Force: tt.job.Late > 5})
			if err != nil {
				t.Fatal(err)
			}
			var pdf bytes.Buffer
			if err := drawing.TrueSizePDF(&pdf, d.Title, d.Pages); err != nil {
				t.Fatal(err)
			}
			pages := segments(t, pdf.Bytes())
			if len(pages) != len(d.Pages) || len(pages) < tt.sheets {
				t.Fatalf("found %d pages of %d, want at least %d", len(pages), len(d.Pages), tt.sheets)
			}
			stretch := 1.0
			if tt.measured != 0 {
				stretch = 100 / tt.measured.Millimetres()
			}
			apart := math.Pi * (tt.job.Diameter + thickness) * r.ByLine()[1].Offset.Value.Abs().Degrees() / 360 * stretch
			if tt.job.Half {
				apart /= 2
			}
			spacing := false
			for i, page := range pages {
				check, inches := false, false
				var lines []float64 // those that run on into the waste
				for _, s := range page {
					check = check || s.across() && near(s.length(), 100*stretch, onPaperWithin)
					inches = inches || s.across() && near(s.length(), 101.6*stretch, onPaperWithin) // 4 in of 25.4 mm
					if s.upright() && s.length() > 9 {
						lines = append(lines, s.x1)
					}
				}
				if !check || !inches {
					t.Errorf("sheet %d has no check lines of %g and %g mm", i+1, 100*stretch, 101.6*stretch)
				}
				for _, a := range lines {
					spacing = spacing || slices.ContainsFunc(lines, func(b float64) bool { return near(b-a, apart, onPaperWithin) })
				}
			}
			if !spacing {
				t.Errorf("no two lines are %.3f mm apart", apart)
			}
		})
	}
}

// A line all the way round is as long on the paper as the tape round the rim, its
// pieces less what they share.
func TestStripAllTheWayRound(t *testing.T) {
	for _, diameter := range []float64{25, 158, 600} {
		r := reporttest.Job{Diameter: diameter, Turns: "anticlockwise", MarksOn: "engine", Late: 3}.Audit(t)
		strip := allRound(stripperFor(r, StripOptions{}), r.ByLine()[1:2]).build(0, 0, "")
		var sum geometry.Length
		pieces := strip.pieces(200)
		for i, p := range pieces {
			if p[1]-p[0] > 200+1e-9 {
				t.Errorf("%g mm: a piece of %v", diameter, p[1]-p[0])
			}
			if sum += p[1] - p[0]; i > 0 {
				sum -= overlap
			}
		}
		if want := math.Pi * (diameter + 0.1); !near(sum.Millimetres(), want, 1e-9) {
			t.Errorf("%g mm: pieces make %v, want %g", diameter, sum, want)
		}
	}
}

// The right of a strip is clockwise, as one looks at the marks. A new line goes the
// way that the audit says, and the graduations agree with it: from the line as found to
// the new one they go from where it comes up to where it belongs. The flags lean away
// from each other, the big arrow points the way the engine runs, and what is said on
// the sheet is what is drawn.
func TestStripGoesTheAuditsWay(t *testing.T) {
	for _, turns := range []string{"clockwise", "anticlockwise"} {
		for _, marksOn := range []string{"part", "engine"} {
			for _, half := range []bool{false, true} {
				for _, late := range []float64{3, -3} {
					for _, slope := range []geometry.Angle{0, 45, 90} {
						j := reporttest.Job{Diameter: 158, Turns: turns, MarksOn: marksOn, Half: half, Late: late}
						r := j.Audit(t)
						m := r.ByLine()[1]
						s := stripperFor(r, StripOptions{Slope: slope})
						made := s.single(m)
						strip := made.build(40, 0, "")
						found, belongs := strip.flags[0].x, strip.flags[1].x
						if (m.Scribe.Rotation == geometry.Clockwise) != (belongs > found) {
							t.Errorf("%+v: the audit says %v, the strip goes by %v to the right", j, m.Scribe.Rotation, belongs-found)
						}
						// Late on a part that turns: on in the running direction; on a
						// fixed scale: back (method, section 5).
						ahead := (late > 0) == (marksOn == "part")
						toRight := ahead == (turns == "clockwise")
						if toRight != (belongs > found) {
							t.Errorf("%+v: the strip goes by %v to the right", j, belongs-found)
						}
						if strip.flags[0].left != toRight || strip.flags[1].left == toRight || strip.flags[0].fresh || !strip.flags[1].fresh {
							t.Errorf("%+v: the flags are %+v", j, strip.flags)
						}
						for _, says := range []string{map[bool]string{true: ": clockwise, to the right", false: ": anticlockwise, to the left"}[toRight]} {
							if !strings.Contains(made.heading, says) {
								t.Errorf("%+v: %q lacks %q", j, made.heading, says)
							}
						}
						if got := found + strip.scale.per*geometry.Length(m.At-m.ComesUpAt); !near(got.Millimetres(), belongs.Millimetres(), 1e-9) {
							t.Errorf("%+v: the graduations put the new line at %v, the instruction at %v", j, got, belongs)
						}
						tail, tip := arrowOf(t, strip)
						if (tip > tail) != (turns == "clockwise") {
							t.Errorf("%+v: the arrow goes from %v to %v", j, tail, tip)
						}
					}
				}
			}
		}
	}
}

// arrowOf finds where the big arrow of a strip begins and ends: the one polygon with
// seven corners.
func arrowOf(t *testing.T, r ribbon) (tail, tip geometry.Length) {
	t.Helper()
	items, _, _ := r.draw(0, r.length, 0, 1)
	for _, item := range items {
		if p, ok := item.(drawing.Polygon); ok && len(p.Points) == 7 && p.Fill == drawing.White { // in outline: the way it runs
			return p.Points[0].X, p.Points[3].X
		}
	}
	t.Fatal("found no arrow")
	return 0, 0
}

// Distances of the specimens, worked out by hand from their readings: pump 2.20833
// degrees on 520 mm, its TDC 25.16667 degrees away; the demonstration 1.04028 degrees
// on 212 mm, static 4 at 8.94444, 1-6 at 13; window 0.87689 on 310; banks 1.06572 on
// 172. On a slope the radius at the edge is D/2 − W·sin φ, and half of the paper's
// thickness more across the slope (a cone laid flat, plane geometry).
func TestStripVectors(t *testing.T) {
	audits := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	tests := []struct {
		sheet, line  string
		slope        geometry.Angle
		width        geometry.Length
		way          float64 // to the right
		proofs       map[string]float64
		arrowToRight bool
	}{
		{"pump.yaml", "inject 23", 0, 0, 10.0230, map[string]float64{"TDC": 114.2246}, false},
		{"demo", "inject 14", 0, 0, -1.9255, map[string]float64{"static 4": 16.5555, "1-6": 24.0620}, false},
		{"demo", "inject 14", 45, 13, -1.7583, nil, false},
		{"demo", "inject 14", 90, 16, -1.6341, nil, false},
		{"window.yaml", "", 0, 0, -2.3730, map[string]float64{}, false},
		{"banks.yaml", "", 0, 0, -1.6006, map[string]float64{}, true},
	}
	for _, tt := range tests {
		r := audits[tt.sheet]
		s := stripperFor(r, StripOptions{Slope: tt.slope, Width: tt.width})
		var strip ribbon
		if given, ok := s.offAlike(); tt.line == "" && ok {
			strip = s.alike(given).build(100, 0, "")
		} else {
			i := slices.IndexFunc(r.ByLine(), func(m audit.LineResult) bool { return m.Name == tt.line })
			strip = s.single(r.ByLine()[i]).build(100, 0, "")
		}
		if got := (strip.flags[1].x - strip.flags[0].x).Millimetres(); !near(got, tt.way, 1e-3) {
			t.Errorf("%s on %v: old to new %.4f, want %.4f", tt.sheet, tt.slope, got, tt.way)
		}
		if tt.proofs != nil && len(strip.proofs) != len(tt.proofs) {
			t.Errorf("%s: got %d proofs, want %d", tt.sheet, len(strip.proofs), len(tt.proofs))
		}
		for _, p := range strip.proofs {
			if got := (p.x - strip.flags[0].x).Millimetres(); tt.proofs != nil && !near(got, tt.proofs[p.name], 1e-3) {
				t.Errorf("%s: %s at %.4f, want %.4f", tt.sheet, p.name, got, tt.proofs[p.name])
			}
		}
		if tail, tip := arrowOf(t, strip); (tip > tail) != tt.arrowToRight {
			t.Errorf("%s: the arrow goes from %v to %v", tt.sheet, tail, tip)
		}
	}
}

// A field is as wide as the doubt about the way between the two lines, and 0.3 mm for
// laying the strip; one that would reach a third of the way to another line is left out.
func TestProofFields(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["demo"]
	s := stripperFor(r, StripOptions{})
	byName := map[string]audit.LineResult{}
	for _, m := range r.ByLine() {
		byName[m.Name] = m
	}
	old := byName["inject 14"]
	proofs := proofLines(s, old, -1.9255)
	if len(proofs) != 2 {
		t.Fatalf("got %d proofs, want 2", len(proofs))
	}
	for _, p := range proofs {
		_, u := advise.AlongRim(r.Sheet, r.TDC, old.Line, byName[p.name].Line)
		if !near((p.half-u).Millimetres(), 0.3, 1e-9) || u <= 0 {
			t.Errorf("%s: half a field %v with ± %v", p.name, p.half, u)
		}
		if p.half > 16.5/3 || p.x-p.half < 6-1.9 {
			t.Errorf("%s: a field of %v at %v", p.name, p.half, p.x)
		}
	}
	// Read so coarsely that the field would reach the next line, it is no proof.
	if wide := (proofLine{proof: proof{half: 3}}); tellsApart(s, wide, byName["static 4"].Line) {
		t.Error("a field of 3 mm tells static 4 from 1-6, 7.5 mm away")
	}
}

func TestStripRefuses(t *testing.T) {
	small := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: 0.2}.Audit(t)
	noRim := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: 3}.Audit(t)
	noRim.Sheet.Part.Diameter = 0
	withheld := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: 3}.Audit(t)
	for i, given := range withheld.Advice.Lines {
		withheld.Advice.Lines[i] = advise.Scribe{Move: given.Move, Withheld: advise.WithheldMoved}
	}
	tiny := reporttest.Job{Diameter: 21, Turns: "clockwise", MarksOn: "part", Late: 3}.Audit(t)
	tests := []struct {
		name   string
		r      audit.Result
		o      StripOptions
		says   string
		forced bool
	}{
		{"within", small, StripOptions{}, "fire is within", true},
		{"withheld", withheld, StripOptions{}, "the readout moved", true},
		{"withheld, full", withheld, StripOptions{Full: true}, "the readout moved", true},
		{"withheld, tape", withheld, StripOptions{Tape: []geometry.Angle{-60, 20}}, "the readout moved", true},
		{"no diameter", noRim, StripOptions{}, "no part.diameter", false},
		{"half a turn", small, StripOptions{Tape: []geometry.Angle{-90, 90}}, "half a turn", false},
		{"narrow", small, StripOptions{Width: 10.9}, "over the groove", false},
		{"wide", small, StripOptions{Width: 60.1}, "at most 60.0 mm", false},
		{"face too small", tiny, StripOptions{Slope: 90, Width: 11}, "room round the shaft", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.o.Thickness = 0.1
			if _, err := Strip(tt.r, tt.o); err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("got %v, want an error with %q", err, tt.says)
			}
			tt.o.Force = true
			if d, err := Strip(tt.r, tt.o); (err == nil) != tt.forced || err == nil && len(d.Pages) == 0 {
				t.Errorf("forced: got %v", err)
			}
		})
	}
}

// What is printed on a strip stays on it when it is cut out, and says what has to be
// said: on every piece the arrow, which side is towards the viewer, the bar, the piece's
// number, and FORCED where nobody asked for it. OLD and NEW run from well above the
// edge into the waste. Nothing is dashed, and no text touches another or the outline.
func checkPieces(t *testing.T, o StripOptions, all []fits) {
	t.Helper()
	for _, both := range all {
		f := both.paged
		w := f.ribbon.on.width
		for i, p := range f.pieces {
			items, _, _ := f.ribbon.draw(p[0], p[1], i, len(f.pieces))
			var said []string
			bar := false
			for _, item := range items {
				switch x := item.(type) {
				case drawing.Line:
					if x.Stroke.Dashed {
						t.Errorf("a dashed line: %+v", x)
					}
				case drawing.Polygon:
					bar = bar || x.Fill == drawing.Black && near(float64(x.Points[0].Y), float64(-w), 1e-9) && near(float64(x.Points[2].Y), float64(barDeep-w), 1e-9)
				case drawing.Text:
					said = append(said, x.Text)
					extent := x.Extent() // along the edge: farther out on a cone it spans less of it
					if on := f.ribbon.on; !on.flat() {
						extent *= on.radius() / (on.radius() - x.At.Y)
					}
					left := x.At.X - extent*geometry.Length(x.Anchor)/2
					if low, high := -x.At.Y-0.21*x.Size, -x.At.Y+0.72*x.Size; left < p[0]+0.4 || left+extent > p[1]-0.4 || low < 0.4 || high > w-barDeep-0.4 {
						t.Errorf("%q is cut off: it reaches from %v to %v and from %v to %v of %v by %v", x.Text, left, left+extent, low, high, p, w)
					}
				}
			}
			all := strings.Join(said, "|")
			for _, want := range []string{"TAPE", "RUNS THIS WAY", "measure yours", pieceWords(i, len(f.pieces))} {
				if !strings.Contains(all, want) {
					t.Errorf("piece %d of %d lacks %q: %s", i+1, len(f.pieces), want, all)
				}
			}
			if !bar || o.Force && len(o.Tape) == 0 && !strings.Contains(all, "FORCED") {
				t.Errorf("piece %d: bar %v, %s", i+1, bar, all)
			}
			for _, flag := range f.ribbon.flags {
				if flag.x < p[0] || flag.x > p[1] {
					continue
				}
				if !slices.ContainsFunc(items, func(item drawing.Item) bool {
					l, ok := item.(drawing.Line)
					return ok && l.From.X == flag.x && l.To.X == flag.x && l.From.Y <= -1 && l.To.Y >= 3
				}) {
					t.Errorf("the line at %v does not run past the edge", flag.x)
				}
			}
		}
	}
}

func TestStripsAreNotClippedAndDoNotOverlap(t *testing.T) {
	cases := 0
	for _, diameter := range []geometry.Length{25, 158, 600} {
		for _, n := range []int{1, 5, 24} {
			for _, off := range []float64{0.01, 0.8, 40} {
				for _, name := range []string{"", reporttest.LongName} {
					if name != "" && off != 0.8 && n == 24 { // two dozen strips of which nothing is new
						continue
					}
					r := reporttest.ManyLines(t, n, name, "clockwise", "part", off)
					r.Sheet.Part.Diameter = diameter
					for _, o := range []StripOptions{
						{Force: true},
						{Force: true, Paper: Letter, Measured: 99.6},
						{Force: true, Full: true},
						{Force: true, Full: true, Paper: Letter, Measured: 100.7},
						{Force: true, Tape: []geometry.Angle{20, -60}},
						{Force: true, Tape: []geometry.Angle{-180, 0, 180}},
						{Force: true, Slope: 45, Width: 13},
						{Force: true, Slope: 90, Width: 16},
					} {
						if o.Slope > 0 && (diameter == 25 || n != 5 || off != 0.8) { // too small is refused; the rest is as on a rim
							continue
						}
						if cases++; !testkit.Drawn(cases) {
							continue
						}
						o.Thickness = 0.1
						t.Run(fmt.Sprintf("%v %d lines off by %g %.8q %+v", diameter, n, off, name, o), func(t *testing.T) {
							s := newStripper(r, o)
							jobs, err := s.jobs()
							if err != nil {
								t.Fatal(err)
							}
							all, err := s.fitAll(jobs)
							if err != nil {
								t.Fatal(err)
							}
							d := s.lay(all)
							for _, s := range append(d.Pages, d.Whole) {
								reporttest.CheckScene(t, s)
							}
							checkPieces(t, o, all)
						})
					}
				}
			}
		}
	}
}

// Names that no type here has are shown by the line's number, and the key says so.
func TestStripShowsForeignNamesByNumber(t *testing.T) {
	r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Late: 3, Name: "点火"}.Audit(t)
	r.Sheet.Part.MarksOn = sheet.OnPart
	d, err := Strip(r, StripOptions{Thickness: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, item := range d.Whole.Items {
		if x, ok := item.(drawing.Text); ok {
			if !drawing.Has(x.Text) || strings.Contains(x.Text, "?") {
				t.Errorf("%q cannot be printed", x.Text)
			}
			all = append(all, x.Text)
		}
	}
	if said := strings.Join(all, " "); !strings.Contains(said, "line 2 is line number 2 of the sheet, at 14 BTDC: its name has letters that this print lacks.") {
		t.Errorf("found no key in %q", said)
	}
	if !slices.ContainsFunc(all, func(text string) bool {
		return strings.Contains(text, "OLD LINE HERE: line 2") || strings.Contains(text, "line 2: OLD LINE HERE")
	}) {
		t.Error("the old line has no number")
	}
}
