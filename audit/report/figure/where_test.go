package figure

import (
	"os"
	"slices"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
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
		if stubs != 2 || !texts["static 4"] || !texts["1-6"] { // the other lines of the place
			t.Errorf("%v: %d stubs, want two with their names: %v", most, stubs, texts)
		}
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
			case x.From.X != x.To.X || x.From.X > whereRight:
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
