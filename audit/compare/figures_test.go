package compare_test

import (
	"path"
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
)

// A whole comparison, as it is: what each figure should be is the matter of the
// other tests.
func TestFiguresOfYears(t *testing.T) {
	var all []sheet.Sheet
	for _, file := range testkit.Files(t, "past/*.yaml") {
		s, _, err := sheet.Read(path.Base(file), testkit.Read(t, file), testkit.Beside(t, "past"))
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	c, err := compare.Sheets(all)
	if err != nil {
		t.Fatal(err)
	}
	c.Audits = nil // their figures are those of package audit
	testkit.Figures(t, "figures/compare-past.txt", c)
}
