package paper

import (
	"bytes"
	"regexp"
	"slices"
	"testing"

	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
)

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
		reporttest.CheckScene(t, f.scene)
	}
	for _, k := range []string{"turns", "marks_on", "step", "counts", "tolerance", "marks", "setups", "stop", "closing", "quarter_turn", "btdc_lines"} {
		if !asked[k] {
			t.Errorf("the form does not ask for %s", k)
		}
	}
	var page bytes.Buffer
	if err := FormHTML(&page); err != nil {
		t.Fatal(err)
	}
	reporttest.WellFormed(t, page.Bytes())
}
