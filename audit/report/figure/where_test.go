package figure

import (
	"os"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/geometry"
)

// The picture on the sheet to sign is no higher than it may be, shows a place with a
// line that is not within, takes the disc where there is room, and is left out where
// there is none, or nothing is asked.
func TestWhere(t *testing.T) {
	r, err := audit.Run(reporttest.GoodSheets(t, os.DirFS("../../../testdata"))["demo"])
	if err != nil {
		t.Fatal(err)
	}
	if got := Where(r, 20); got != nil {
		t.Errorf("drawn in 20 mm: %v high", got[0].Height)
	}
	for most, disc := range map[geometry.Length]bool{40: false, 120: true} {
		got := Where(r, most)
		if len(got) != 1 || got[0].Height > most {
			t.Fatalf("%v: %d pictures", most, len(got))
		}
		reporttest.CheckScene(t, got[0])
		if !strings.Contains(got[0].Description, "inject 14: 1.04° late ± 0.31°, OUTSIDE") || strings.Contains(got[0].Description, "2-5") {
			t.Errorf("got %s", got[0].Description)
		}
		if strings.Contains(got[0].Title, "The disc") != disc {
			t.Errorf("%v: %s", most, got[0].Title)
		}
	}
	within := reporttest.ManyLines(t, 4, "line", "clockwise", "part", 0.01)
	for _, m := range within.ByLine() {
		if m.Verdict.String() != "within" {
			t.Skip("the sheet has a line that is not within")
		}
	}
	if got := Where(within, 120); got != nil {
		t.Error("a picture of nothing that is asked")
	}
}
