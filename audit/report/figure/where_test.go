package figure

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The picture on the sheet to sign is no higher than it may be, and left out where not
// even the disc fits; it has the lines that are asked, the disc beside them with its
// pointer, and of the other lines of a place a stub each.
func TestWhere(t *testing.T) {
	r, err := audit.Run(reporttest.GoodSheets(t, os.DirFS("../../../testdata"))["demo"])
	if err != nil {
		t.Fatal(err)
	}
	if got := Where(r, 15); got != nil {
		t.Errorf("drawn in 15 mm: %v high", got[0].Height)
	}
	for most, disc := range map[geometry.Length]bool{27: false, 40: true, 120: true} {
		got := Where(r, most)
		if len(got) != 1 || got[0].Height > most {
			t.Fatalf("%v: %d pictures", most, len(got))
		}
		reporttest.CheckScene(t, got[0])
		checkLegible(t, got[0])
		if !strings.Contains(got[0].Description, "inject 14: 1.04° late ± 0.31°, OUTSIDE") || strings.Contains(got[0].Description, "2-5") {
			t.Errorf("got %s", got[0].Description)
		}
		texts, stubs := map[string]bool{}, 0 // only looked up
		for _, item := range got[0].Items {
			switch x := item.(type) {
			case drawing.Text:
				texts[x.Text] = true
			case drawing.Line: // down from the rim of the strip
				if length := x.To.Y - x.From.Y; x.From.X == x.To.X && x.Stroke == stubStroke && math.Abs((length-stubDown).Millimetres()) < 1e-9 {
					stubs++
				}
			}
		}
		// The names of places that are not unrolled stand on the disc itself.
		if texts["pointer"] != disc || texts["2-5"] != disc || texts["3-4"] != disc || !texts["◄ 1.9 mm"] {
			t.Errorf("%v: got %v", most, texts)
		}
		// The other lines of the place would leave the way to the new line too short to see:
		// the strip says where the nearest of them goes on, and the disc has them all.
		if way := wayOnPaper(got[0]); way < 8 || stubs != 0 || !texts["static 4 ►"] {
			t.Errorf("%v: the way is %.1f mm long, want 8 at least; %d stubs, want none; and a name at the end: %v", most, way, stubs, texts)
		}
	}
}

// wayOnPaper is how long the arrow in a row to a new line is, in mm.
func wayOnPaper(s drawing.Scene) float64 {
	var found, made geometry.Length
	for _, item := range s.Items {
		switch x := item.(type) {
		case drawing.Line:
			if x.Stroke == drawing.Thick && x.From.X == x.To.X && x.From.X > stripLeft && x.From.X < whereRight {
				found = x.From.X
			}
		case drawing.Polygon: // its head, which lies below the rim
			if x.Fill == drawing.Black && len(x.Points) == 3 && x.Points[0].X > stripLeft && x.Points[0].X < whereRight && x.Points[0].Y > placeHead && made == 0 {
				made = x.Points[0].X
			}
		}
	}
	return math.Abs((found - made).Millimetres())
}

// Every bar on the sheet to sign goes as far as the table above it says, and the signs of
// few lines do not stand on each other: the arrow keeps clear of the bar.
func TestWhereBarsAreAsPrinted(t *testing.T) {
	checked := 0
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		for _, most := range []geometry.Length{36, 44, 70} {
			for _, s := range Where(r, most) {
				reporttest.CheckScene(t, s)
				checkLegible(t, s)
				for _, item := range s.Items {
					x, ok := item.(drawing.Line)
					if !ok || x.Stroke != drawing.Thick || x.From.X != x.To.X || x.From.X < stripLeft || x.From.X > whereRight {
						continue
					}
					mid := (x.From.Y + x.To.Y) / 2
					row := drawnRow{arrow: math.NaN(), barLow: math.NaN()}
					row.take(s, mid)
					for _, m := range r.ByLine() {
						if !slices.ContainsFunc(s.Items, func(item drawing.Item) bool {
							text, ok := item.(drawing.Text)
							return ok && text.At.X == 0 && text.Text == words.Clean(m.Name) && math.Abs((text.At.Y-mid-1).Millimetres()) < 1e-6
						}) {
							continue
						}
						checked++
						perCrank, way := scaleOf(r, row)
						checkBar(t, m, row, perCrank, way)
						if t.Failed() {
							t.Fatalf("%s, %v", name, most)
						}
					}
				}
			}
		}
	}
	if checked < 30 {
		t.Errorf("%d bars, want those of every good sheet", checked)
	}
}

// Of a crowd of 24 lines those to be scribed have their rows in one picture that the
// sheet has room for, and every other line between them is there as a stub, so that who
// counts lines on the metal counts the same.
func TestWhereOfACrowd(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/figures/crowd.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, _, err := sheet.Read("crowd.yaml", data, nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	got := Where(r, 36)
	if len(got) != 1 {
		t.Fatalf("%d pictures in 36 mm", len(got))
	}
	reporttest.CheckScene(t, got[0])
	checkLegible(t, got[0])
	var stubs []float64
	var found []float64
	pointer := false
	for _, item := range got[0].Items {
		switch x := item.(type) {
		case drawing.Text:
			pointer = pointer || x.Text == "pointer"
		case drawing.Line:
			length := x.To.Y - x.From.Y
			switch {
			case x.From.X != x.To.X || x.From.X > whereRight || x.From.X < stripLeft: // of the key
			case x.Stroke == drawing.Thick:
				found = append(found, x.From.X.Millimetres())
			case x.Stroke == stubStroke && math.Abs((length-stubDown).Millimetres()) < 1e-9:
				stubs = append(stubs, x.From.X.Millimetres())
			}
		}
	}
	slices.Sort(stubs)
	if !pointer || len(found) != 3 {
		t.Fatalf("a disc: %v, %d rows, want three", pointer, len(found))
	}
	between := 0
	for _, x := range stubs {
		if x > found[0] && x < found[2] {
			between++
		}
	}
	// Lines 3 and 17 are to be scribed: 4 to 16 lie between them, of which 9 has a row.
	if between != 12 {
		t.Errorf("%d stubs between the outer ones, want 12", between)
	}
}

// Where every line is within, the picture shows where they are.
func TestWhereAllAreWithin(t *testing.T) {
	within := reporttest.ManyLines(t, 4, "line", "clockwise", "part", 0.01)
	for _, m := range within.ByLine() {
		if m.Verdict != diagnosis.Within {
			t.Fatalf("%s is %v", m.Name, m.Verdict)
		}
	}
	got := Where(within, 60)
	if len(got) != 1 || !strings.Contains(got[0].Description, "within") {
		t.Fatalf("got %v", got)
	}
	reporttest.CheckScene(t, got[0])
}

// Where one order moves the pointer or the turning line, the picture has that alone, and
// its arrow goes the way that the order says: where the lines belong lies the other way,
// and nobody must scribe there. By hand: a line of a scale that comes up late stands
// before TDC as the line runs; the turning line has to come to it, so the way it runs.
func TestWhereShowsWhatTheOrderMoves(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, want := range map[string]struct {
		row, title string
		texts      []string
	}{
		"window.yaml": {"turning line", "scribe no line on it. The arrow is case b), the turning line.", []string{"THE SCALE,", "it stands still", "T", "B", "◄ 2.4 mm", "LEFT", "running, the line goes LEFT"}},
		"banks.yaml":  {"pointer", "the crank at TDC of cylinder 1. Right is clockwise. No line is scribed. The arrow is case a), the pointer.", []string{"TDC 1", "◄ 1.6 mm"}},
	} {
		r := all[name]
		scenes := Where(r, 40)
		if len(scenes) != 1 {
			t.Fatalf("%s: no picture", name)
		}
		s := scenes[0]
		reporttest.CheckScene(t, s)
		checkLegible(t, s)
		if !strings.Contains(s.Title, want.title) {
			t.Errorf("%s: %q, want %q", name, s.Title, want.title)
		}
		texts, belongs := map[string]bool{}, 0 // only looked up
		var now, new geometry.Length
		for _, item := range s.Items {
			switch x := item.(type) {
			case drawing.Text:
				texts[x.Text] = true
			case drawing.Polygon: // the foot of where something belongs
				if x.Fill == drawing.White && len(x.Points) == 3 && x.Points[0].X > stripLeft && x.Points[0].X < whereRight && x.Points[0].Y < s.Height-whereLegend {
					belongs++
					new = x.Points[0].X
				}
			case drawing.Line:
				if x.Stroke == drawing.Thick && x.From.X == x.To.X && x.From.X > stripLeft && x.From.X < whereRight && x.From.Y < s.Height-whereLegend {
					now = x.From.X
				}
			}
		}
		if belongs != 1 || !texts[want.row] || !(new < now) || r.Advice.Together.Rotation != geometry.Anticlockwise {
			t.Errorf("%s: %d places to go to, from %v to %v, %v", name, belongs, now, new, texts)
		}
		if perDegree := float64(now-new) / r.Advice.Together.Angle.Degrees(); math.Abs(perDegree-20*math.Pi*r.Sheet.Part.Diameter.Millimetres()/360) > 0.05 {
			t.Errorf("%s: a degree is %.3f mm, drawn at 20 : 1", name, perDegree)
		}
		for _, text := range want.texts {
			if !texts[text] {
				t.Errorf("%s: no %q in %v", name, text, texts)
			}
		}
		if texts["A"] && !texts["In A, clockwise: “TDC 1”, “10 of 1”"] || texts["OUTSIDE"] {
			t.Errorf("%s: a letter that leads nowhere, or a verdict, in %v", name, texts)
		}
	}
	if s := Where(all["pump.yaml"], 40)[0]; strings.Contains(s.Title, "scribe no line") || strings.Contains(s.Title, "No line is scribed") {
		t.Errorf("a line of the part is scribed: %q", s.Title)
	}
}

// Where two pieces find no room, one at a smaller scale that holds all lines does.
func TestWhereTakesASmallerScaleBeforeItLeavesLinesOut(t *testing.T) {
	r := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))["plug-hole.yaml"]
	s := Where(r, 38)[0]
	for _, m := range r.ByLine() {
		if !strings.Contains(s.Description, m.Name+": ") {
			t.Errorf("%s is left out: %s", m.Name, s.Description)
		}
	}
	reporttest.CheckScene(t, s)
	checkLegible(t, s)
	if strings.Contains(s.Title, "annex") {
		t.Errorf("nothing is left out: %q", s.Title)
	}
}

// The letter of a place is in a box, on the disc and beside its strip, so that it reads
// as no line called A; and lines of the place stand below the rim, ticks over it.
func TestWhereBoxesThePlaces(t *testing.T) {
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		for _, s := range Where(r, 44) {
			var rim []drawing.Line
			for _, item := range s.Items {
				if x, ok := item.(drawing.Line); ok && x.From.X == stripLeft && x.To.X == whereRight {
					rim = append(rim, x)
				}
			}
			for _, item := range s.Items {
				switch x := item.(type) {
				case drawing.Text:
					if x.Bold && len(x.Text) == 1 && x.Size > textSize && !slices.ContainsFunc(s.Items, func(item drawing.Item) bool { return around(item, x) }) {
						t.Errorf("%s: the place %s has no box", name, x.Text)
					}
				case drawing.Line:
					if x.Stroke == stubStroke && x.From.X > stripLeft && x.From.X < whereRight && x.From.Y < s.Height-whereLegend && !slices.ContainsFunc(rim, func(l drawing.Line) bool { return l.From.Y == x.From.Y && x.To.Y > x.From.Y }) {
						t.Errorf("%s: a line of the place does not stand below the rim", name)
					}
				}
			}
		}
	}
}

// around reports whether an item is a frame around a text.
func around(item drawing.Item, text drawing.Text) bool {
	x, ok := item.(drawing.Polygon)
	if !ok || len(x.Points) != 4 || x.Open {
		return false
	}
	left, right, top, foot := x.Points[0].X, x.Points[0].X, x.Points[0].Y, x.Points[0].Y
	for _, p := range x.Points {
		left, right, top, foot = min(left, p.X), max(right, p.X), min(top, p.Y), max(foot, p.Y)
	}
	mid := text.At.X
	if text.Anchor == drawing.Start {
		mid += text.Extent() / 2
	}
	return left < mid-text.Extent()/2 && right > mid+text.Extent()/2 && right-left < 8 && top < text.At.Y-text.Size/2 && foot > text.At.Y
}
