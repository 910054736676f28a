package paper

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
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

// half a tenth of a millimetre, the least that a steel rule shows; the PDF has
// its places to 0.004 mm.
const onPaperWithin = 0.05

// On every sheet the check line is 100 mm, and the lines are as far apart as the
// tape round the rim says: π(D + t)·a/360, worked out here from the readings.
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
			if err := drawing.PDF(&pdf, d.Title, d.Pages); err != nil {
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
				check := false
				var lines []float64 // those that cross a strip
				for _, s := range page {
					check = check || s.across() && near(s.length(), 100*stretch, onPaperWithin)
					if s.upright() && s.length() > firstLane.Millimetres() {
						lines = append(lines, s.x1)
					}
				}
				if !check {
					t.Errorf("sheet %d has no check line of %g mm", i+1, 100*stretch)
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
		s := stripper{Audit: words.NewAudit(r, nil), o: StripOptions{Thickness: 0.1}, tape: geometry.Rim{Diameter: r.Sheet.Part.Diameter}}
		strip := s.round(r.ByLine()[1:2])
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

// The right of a strip is clockwise, as one looks at the marks. A new line goes
// the way that the audit says, and the graduations agree with it: from the line
// as found to the new one they go from where it comes up to where it belongs.
func TestStripGoesTheAuditsWay(t *testing.T) {
	for _, turns := range []string{"clockwise", "anticlockwise"} {
		for _, marksOn := range []string{"part", "engine"} {
			for _, half := range []bool{false, true} {
				for _, late := range []float64{3, -3} {
					j := reporttest.Job{Diameter: 158, Turns: turns, MarksOn: marksOn, Half: half, Late: late}
					r := j.Audit(t)
					m := r.ByLine()[1]
					s := stripper{Audit: words.NewAudit(r, nil), o: StripOptions{Thickness: 0.1}, tape: geometry.Rim{Diameter: 158}}
					strip := s.single(m)
					found, belongs := strip.lines[0].x, strip.lines[1].x
					if (m.Scribe.Rotation == geometry.Clockwise) != (belongs > found) {
						t.Errorf("%+v: the audit says %v, the strip goes by %v to the right", j, m.Scribe.Rotation, belongs-found)
					}
					// Late on a part that turns: on in the running direction; on a
					// fixed scale: back (method, section 5).
					ahead := (late > 0) == (marksOn == "part")
					if right := ahead == (turns == "clockwise"); right != (belongs > found) {
						t.Errorf("%+v: the strip goes by %v to the right", j, belongs-found)
					}
					if got := found + s.perDegree()*geometry.Length(m.At-m.ComesUpAt); !near(got.Millimetres(), belongs.Millimetres(), 1e-9) {
						t.Errorf("%+v: the graduations put the new line at %v, the instruction at %v", j, got, belongs)
					}
				}
			}
		}
	}
}

// A tape on the part begins to the right where the part runs clockwise, for what
// lies ahead passes the pointer first; on a fixed scale it is the other way round.
func TestTapeBeginsWhereItPassesFirst(t *testing.T) {
	tests := []struct {
		turns, marksOn string
		right          bool
		says           string
	}{
		{"clockwise", "part", true, "FIRST goes first past the pointer"},
		{"anticlockwise", "part", false, "FIRST goes first past the pointer"},
		{"clockwise", "engine", false, "the turning line passes the end marked FIRST before the other"},
		{"anticlockwise", "engine", true, "the turning line passes the end marked FIRST before the other"},
	}
	for _, tt := range tests {
		r := reporttest.Job{Diameter: 158, Turns: tt.turns, MarksOn: tt.marksOn, Late: 3}.Audit(t)
		s := stripper{Audit: words.NewAudit(r, nil), o: StripOptions{Thickness: 0.1}, tape: geometry.Rim{Diameter: 158}}
		for _, ends := range [][2]geometry.Angle{{20, -60}, {-60, 20}} {
			strip, err := s.graduated(ends[0], ends[1])
			if err != nil {
				t.Fatal(err)
			}
			i := slices.IndexFunc(strip.labels, func(l stripLabel) bool { return strings.Contains(l.text, "FIRST") })
			if first := strip.labels[i]; (first.x > strip.length/2) != tt.right {
				t.Errorf("%s, on %s: FIRST stands at %v of %v", tt.turns, tt.marksOn, first.x, strip.length)
			}
			earliest := slices.IndexFunc(strip.ticks, func(k stripTick) bool { return k.text == "60 BTDC" })
			if (strip.ticks[earliest].x > strip.length/2) != tt.right {
				t.Errorf("%s, on %s: 60 BTDC stands at %v of %v", tt.turns, tt.marksOn, strip.ticks[earliest].x, strip.length)
			}
			if !strings.Contains(strings.Join(strip.head, " "), tt.says) {
				t.Errorf("%s, on %s: %q lacks %q", tt.turns, tt.marksOn, strip.head, tt.says)
			}
		}
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
		{"withheld, tape", withheld, StripOptions{Tape: &[2]geometry.Angle{-60, 20}}, "the readout moved", true},
		{"no diameter", noRim, StripOptions{}, "no part.diameter", false},
		{"long tape", small, StripOptions{Tape: &[2]geometry.Angle{-300, 100}}, "at most a turn", false},
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

func TestStripsAreNotClippedAndDoNotOverlap(t *testing.T) {
	for _, diameter := range []geometry.Length{25, 158, 600} {
		for _, n := range []int{1, 5, 24} {
			for _, off := range []float64{0.01, 0.8, 40} {
				for _, name := range []string{"", reporttest.LongName} {
					r := reporttest.ManyLines(t, n, name, "clockwise", "part", off)
					r.Sheet.Part.Diameter = diameter
					for _, o := range []StripOptions{
						{Force: true},
						{Force: true, Paper: Letter, Measured: 99.6},
						{Force: true, Full: true},
						{Force: true, Full: true, Paper: Letter, Measured: 100.7},
						{Force: true, Tape: &[2]geometry.Angle{20, -60}},
						{Force: true, Tape: &[2]geometry.Angle{-180, 180}},
					} {
						o.Thickness = 0.1
						t.Run(fmt.Sprintf("%v %d lines off by %g %.8q %+v", diameter, n, off, name, o), func(t *testing.T) {
							d, err := Strip(r, o)
							if err != nil {
								t.Fatal(err)
							}
							for _, s := range append(d.Pages, d.Whole) {
								reporttest.CheckScene(t, s)
							}
						})
					}
				}
			}
		}
	}
}
