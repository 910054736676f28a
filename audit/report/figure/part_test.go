package figure

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// drawnRow is a row of a part figure as it can be taken off the paper.
type drawnRow struct {
	number       int
	scale        float64 // paper over rim; 0 without a diameter
	perCrank     float64 // mm of paper for a degree of the crank; 0 with a diameter
	found        float64 // mm on the paper
	belongs      float64
	arrow        float64 // where the arrow's tip stands; NaN without
	read         bool
	band         float64 // width of the tolerance
	barLow, high float64 // of the bar of doubt; NaN without
}

var (
	scaleText = regexp.MustCompile(`^(\d+) : (\d+)$`)
	crankText = regexp.MustCompile(`^1° = ([0-9.]+) mm$`)
)

// rowsOf takes the rows off figures: what stands at the height of each number in its
// circle or box left of the strips.
func rowsOf(t *testing.T, scenes []drawing.Scene) []drawnRow {
	t.Helper()
	var all []drawnRow
	for _, s := range scenes {
		for _, item := range s.Items {
			n, ok := item.(drawing.Text)
			if !ok || n.Anchor != drawing.Middle || n.At.X > stripLeft {
				continue
			}
			if number, err := strconv.Atoi(n.Text); err == nil {
				row := drawnRow{number: number, arrow: math.NaN(), barLow: math.NaN()}
				mid := ringAround(t, s, n)
				row.take(s, mid)
				all = append(all, row)
			}
		}
	}
	return all
}

// ringAround returns the middle of the circle or box that a number stands in, whole: a
// bare number beside a name would be taken for a part of it.
func ringAround(t *testing.T, s drawing.Scene, n drawing.Text) geometry.Length {
	t.Helper()
	inside := func(low, high drawing.Point) bool {
		return n.At.X-n.Extent()/2 > low.X && n.At.X+n.Extent()/2 < high.X && n.At.Y-0.72*n.Size > low.Y && n.At.Y < high.Y
	}
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Circle:
			if inside(x.Centre.Plus(-x.Radius, -x.Radius), x.Centre.Plus(x.Radius, x.Radius)) {
				return x.Centre.Y
			}
		case drawing.Polygon:
			if x.Fill == drawing.White && len(x.Points) == 4 && inside(x.Points[0], x.Points[2]) {
				return (x.Points[0].Y + x.Points[2].Y) / 2
			}
		}
	}
	t.Errorf("%s: the number %s stands bare", s.Title, n.Text)
	return 0
}

func (r *drawnRow) take(s drawing.Scene, mid geometry.Length) {
	best := geometry.Length(-1)
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Text: // the nearest scale above
			if x.At.Y > mid || x.At.Y < best {
				continue
			}
			if m := scaleText.FindStringSubmatch(x.Text); m != nil {
				up, _ := strconv.ParseFloat(m[1], 64)
				down, _ := strconv.ParseFloat(m[2], 64)
				best, r.scale = x.At.Y, up/down
			} else if m := crankText.FindStringSubmatch(x.Text); m != nil {
				best = x.At.Y
				r.perCrank, _ = strconv.ParseFloat(m[1], 64)
			}
		case drawing.Line:
			around := (x.From.Y+x.To.Y)/2 - mid
			switch {
			case x.From.X == x.To.X && x.Stroke == drawing.Thick && math.Abs(around.Millimetres()) < 1e-6:
				r.found, r.read = x.From.X.Millimetres(), true
			case x.From.X == x.To.X && x.Stroke.Ink == drawing.Deep && x.Stroke.Width == 0.3 && math.Abs(around.Millimetres()) < 0.3:
				r.belongs = x.From.X.Millimetres()
			case x.From.Y == x.To.Y && math.Abs(around.Millimetres()) < 1e-6 && x.Stroke.Width == 0.4 && x.From.X > 0 && x.To.X < stripRight:
				r.barLow, r.high = x.From.X.Millimetres(), x.To.X.Millimetres()
			}
		case drawing.Polygon:
			if x.Fill == drawing.Pale && x.Points[0].Y < mid && x.Points[2].Y > mid {
				r.band = (x.Points[1].X - x.Points[0].X).Millimetres()
			}
			// The head of an arrow to a new line lies in the upper half of its row.
			if x.Fill == drawing.Black && len(x.Points) == 3 && x.Points[0].Y < mid && x.Points[0].Y > mid-2.5 && x.Points[0].X < stripRight {
				r.arrow = x.Points[0].X.Millimetres()
			}
		}
	}
}

// partCases are audits whose part figures are measured.
func partCases(t *testing.T) map[string]audit.Result {
	t.Helper()
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for _, lines := range []int{1, 5, 24} {
		for _, gap := range []float64{0.2, 1, 7, 15, 29} {
			for _, diameter := range []string{"", "25 mm", "158 mm", "35.5 in"} {
				c := reporttest.Crowd{Lines: lines, Gap: gap, Diameter: diameter, Turns: "clockwise", MarksOn: "part", Off: 0.92}
				if gap*float64(lines-1) > 350 {
					continue
				}
				switch lines + len(diameter) {
				case 5:
					c.Turns, c.MarksOn = "anticlockwise", "engine"
				case 12:
					c.Half, c.Moves = true, "right"
				case 10:
					c.Name = reporttest.LongName + ", " + strings.Repeat("x", 20)
				}
				all[fmt.Sprintf("%+v", c)] = c.Audit(t)
			}
		}
	}
	return all
}

// Every line has one row; from old to where it belongs is as far as the scale and
// the arc say, and to the side that the running direction says; tolerance and doubt
// likewise; the arrow ends where the instruction does.
func TestPartFigureIsTrue(t *testing.T) {
	for name, r := range partCases(t) {
		t.Run(name, func(t *testing.T) {
			scenes := Part(r)
			rows := rowsOf(t, scenes)
			seen := map[int]bool{} // only looked up
			for _, row := range rows {
				if seen[row.number] {
					t.Errorf("line %d has two rows", row.number)
				}
				seen[row.number] = true
				checkRow(t, r, r.ByLine()[row.number-1], row)
			}
			if len(rows) != len(r.Lines) {
				t.Errorf("%d rows, want %d", len(rows), len(r.Lines))
			}
			for _, s := range scenes {
				reporttest.CheckScene(t, s)
				checkLegible(t, s)
				if n := len(rowsOf(t, []drawing.Scene{s})); n == 0 || n > mostRows {
					t.Errorf("%d rows in one figure, want 1 to %d", n, mostRows)
				}
				if s.Height > drawing.Tallest+1e-6 {
					t.Errorf("%v high, want at most %v", s.Height, drawing.Tallest)
				}
			}
		})
	}
}

// scaleOf is how many mm of paper a degree of the crank is, from the scale that is
// written alone, and to which side late goes.
func scaleOf(r audit.Result, row drawnRow) (perCrank, way float64) {
	part := r.Sheet.Part
	perCrank = row.perCrank
	if part.Diameter > 0 {
		perCrank = row.scale * math.Pi * part.Diameter.Millimetres() / 360
		if part.HalfSpeed {
			perCrank /= 2
		}
	}
	// What comes later lies further back on a part that turns.
	way = -1.0
	if (r.Sheet.Engine.Turns == geometry.Anticlockwise) != (part.MarksOn == sheet.OnEngine) {
		way = 1
	}
	if (part.Moves == "right" || part.Moves == "up") != (r.Sheet.Engine.Turns == geometry.Clockwise) && part.Moves != "" {
		way = -way
	}
	return perCrank, way
}

func checkRow(t *testing.T, r audit.Result, m audit.LineResult, row drawnRow) {
	t.Helper()
	part := r.Sheet.Part
	perCrank, way := scaleOf(r, row)
	const within = 0.05
	near := func(what string, got, want float64) {
		if !(math.Abs(got-want) <= within) {
			t.Errorf("%s: %s is %.3f mm on the paper, want %.3f", m.Name, what, got, want)
		}
	}
	early, late := m.Allowed()
	near("the tolerance", row.band, (early+late).Degrees()*perCrank)
	if m.Offset == nil {
		if row.read {
			t.Errorf("%s was not read, and has a line", m.Name)
		}
		return
	}
	near("old to where it belongs", row.found-row.belongs, way*m.Offset.Value.Degrees()*perCrank)
	checkBar(t, m, row, perCrank, way)
	if m.Scribe.Worthwhile == math.IsNaN(row.arrow) {
		t.Errorf("%s: an arrow is there: %v, a new line wanted: %v", m.Name, !math.IsNaN(row.arrow), m.Scribe.Worthwhile)
	} else if m.Scribe.Worthwhile {
		side := 1.0
		if (m.Scribe.Rotation == geometry.Clockwise) != (part.Moves == "" || (part.Moves == "right" || part.Moves == "up") == (r.Sheet.Engine.Turns == geometry.Clockwise)) {
			side = -1
		}
		near("the way of the arrow", row.arrow-row.found, side*m.Scribe.Angle.Degrees()*perCrank)
	}
}

// checkBar fails where a bar does not go as far as the line may be off as printed, the
// scale being so many mm of paper for a degree of the crank, and late that way.
func checkBar(t *testing.T, m audit.LineResult, row drawnRow, perCrank, way float64) {
	t.Helper()
	const within = 0.05
	early, late := m.Allowed()
	if low, high := printed(t, m); m.Offset.Known && max(high-m.Offset.Value.Degrees(), m.Offset.Value.Degrees()-low) <= 3*(early+late).Degrees() {
		if way < 0 {
			low, high = -high, -low
		}
		rounded := within + math.Pow(10, -float64(words.MarkPlaces(m)))*perCrank // of the two numbers of what is printed
		for what, ends := range map[string][2]float64{"the left end of the bar": {row.barLow, low}, "the right end of the bar": {row.high, high}} {
			if got := ends[0] - row.belongs; math.Abs(got-ends[1]*perCrank) > rounded {
				t.Errorf("%s: %s is %.3f mm from where it belongs, want %.3f as printed, %s", m.Name, what, got, ends[1]*perCrank, words.OffBy(m))
			}
		}
		if low, high, _ := m.Interval(); math.Abs(row.high-row.barLow-(high-low).Degrees()*perCrank) > within {
			t.Errorf("%s: the bar is %.3f mm long, want %.3f", m.Name, row.high-row.barLow, (high-low).Degrees()*perCrank)
		}
	}
}

var (
	evenly = regexp.MustCompile(`^([0-9.]+)°(?: (late|early))? ± ([0-9.]+)°$`)
	fromTo = regexp.MustCompile(`(?:, between|, side not told:) ([0-9.]+)°( early| late)? (?:and|to) ([0-9.]+)°( early| late)$`)
)

// printed is from where to where a line may be off in degrees, late with a plus, as the
// table beside the figure says it.
func printed(t *testing.T, m audit.LineResult) (low, high float64) {
	t.Helper()
	number := func(text string) float64 {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	text := words.OffBy(m)
	if in := fromTo.FindStringSubmatch(text); in != nil {
		low, high := number(in[1]), number(in[3])
		if in[2] == " early" || in[2] == "" && in[4] == " early" { // said once of both
			low = -low
		}
		if in[4] == " early" {
			high = -high
		}
		return low, high
	}
	in := evenly.FindStringSubmatch(text)
	if in == nil {
		if m.Offset.Known {
			t.Errorf("%s: no interval in %q", m.Name, text)
		}
		return 0, 0
	}
	mid, u := number(in[1]), number(in[3])
	if in[2] == "early" {
		mid = -mid
	}
	return mid - u, mid + u
}

// 24 lines a degree apart on a pulley of 158 mm are two places at 5 : 1, in one
// figure that a page holds and that is no large file.
func TestPartFigureOfACrowd(t *testing.T) {
	r := reporttest.Crowd{Lines: 24, Gap: 1, Diameter: "158 mm", Turns: "clockwise", MarksOn: "part", Off: 0.92}.Audit(t)
	scenes := Part(r)
	if len(scenes) != 1 {
		t.Fatalf("%d figures, want 1", len(scenes))
	}
	var places []string
	for _, item := range scenes[0].Items {
		if x, ok := item.(drawing.Text); ok && (scaleText.MatchString(x.Text) || x.Size == placeName) {
			places = append(places, x.Text)
		}
	}
	if got := fmt.Sprint(places); got != "[A1 5 : 1 A2 5 : 1]" {
		t.Errorf("places %v, want A1 and A2 at 5 : 1", got)
	}
	if n := len(drawing.Inline(scenes[0])); n > 60_000 {
		t.Errorf("%d bytes, want at most 60,000", n)
	}
}

// The disc is true: each line stands at the angle at which it was found, nothing
// enlarged, and what is told in words holds every line's numbers.
func TestPartFigureDisc(t *testing.T) {
	for _, turns := range []string{"clockwise", "anticlockwise"} {
		for _, on := range []string{"part", "engine"} {
			for _, half := range []bool{false, true} {
				r := reporttest.Job{Diameter: 158, Turns: turns, MarksOn: on, Half: half, Late: 3}.Audit(t)
				scenes := Part(r)
				lines := 0
				for _, m := range r.ByLine() {
					a := m.Place + m.Offset.Value
					if half {
						a /= 2
					}
					if (turns == "clockwise") == (on == "part") {
						a = -a
					}
					want := partDisc.at(partDisc.radius, a)
					for _, item := range scenes[0].Items {
						if x, ok := item.(drawing.Line); ok && math.Hypot((x.To.X-want.X).Millimetres(), (x.To.Y-want.Y).Millimetres()) < 1e-6 {
							lines++
						}
					}
					if says := words.Offset(m.Offset); !strings.Contains(scenes[0].Description, says) {
						t.Errorf("the text alternative lacks %q: %s", says, scenes[0].Description)
					}
				}
				if lines != len(r.Lines) {
					t.Errorf("%s, on %s, half %v: %d lines of the disc stand where they were found, want %d", turns, on, half, lines, len(r.Lines))
				}
			}
		}
	}
}

// checkLegible fails for type that is too small or grey, for a note that is cut, and for
// anything that only a colour or a dash would tell.
func checkLegible(t *testing.T, s drawing.Scene) {
	t.Helper()
	const smallest = 3.175 // mm: nine points, for greasy hands and old eyes; common practice, no source
	for _, item := range s.Items {
		x, ok := item.(drawing.Text)
		if !ok {
			continue
		}
		if x.Size.Millimetres() < smallest {
			t.Errorf("%s: %q is set in %v", s.Title, x.Text, x.Size)
		}
		if x.Ink == drawing.Grey {
			t.Errorf("%s: %q is grey", s.Title, x.Text)
		}
		if x.At.Y < drawing.Top && !x.Bold && strings.HasSuffix(x.Text, "…") {
			t.Errorf("%s: the note is cut: %q", s.Title, x.Text)
		}
	}
}
