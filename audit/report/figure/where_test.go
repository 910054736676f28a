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
				if length := x.To.Y - x.From.Y; x.From.X == x.To.X && x.Stroke == stubStroke && (length-stubUp-stubDown).Millimetres() < 1e-9 && length > stubDown {
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
			case x.Stroke == stubStroke && (length-stubUp-stubDown).Millimetres() < 1e-9 && length > stubDown:
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

// Where the turning line or the whole scale is to be moved, the picture shows the scale,
// on which nothing moves: it says so. Else nothing is said of it.
func TestWhereOfAScaleThatIsLeftAlone(t *testing.T) {
	all := reporttest.GoodAudits(t, os.DirFS("../../../testdata"))
	for name, want := range map[string]bool{"window.yaml": true, "fixed-scale.yaml": false, "pump.yaml": false} {
		r, ok := all[name]
		if !ok {
			t.Fatalf("%s is gone", name)
		}
		scenes := Where(r, 60)
		if len(scenes) == 0 {
			t.Fatalf("%s: no picture", name)
		}
		if got := strings.Contains(scenes[0].Title, "scribe no line on it"); got != want {
			t.Errorf("%s: %q", name, scenes[0].Title)
		}
	}
}
