package figure

import (
	"os"
	"strings"
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/repeatability"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
	"markaudit/audit/wheel"
)

// charts are the figures of wheel, study and history, of plain and of awkward
// results.
func charts(t *testing.T) map[string][]drawing.Scene {
	t.Helper()
	var a wheel.Accumulator
	if err := readTable(t, "../../../testdata/wheel/wheel-4.csv", &a); err != nil {
		t.Fatal(err)
	}
	w, err := a.Audit(wheel.Options{Diameter: 280})
	if err != nil {
		t.Fatal(err)
	}
	people := repeatability.Result{}
	for i := range 40 {
		people.People = append(people.People, repeatability.Person{
			By:        strings.Repeat("<name> of a long person ", 1+i%4),
			Deviation: repeatability.Estimate{Value: 0.1 * float64(i-20), Known: i%7 != 3}, SD: repeatability.Estimate{Value: 0.02 * float64(i), Known: i%5 != 2},
		})
	}
	sheets := reporttest.GoodSheets(t, os.DirFS("../../../testdata"))
	first, second := sheets["demo"], sheets["demo"]
	second.Setups = second.Setups[:1]
	c, err := compare.Sheets([]sheet.Sheet{first, second, first})
	if err != nil {
		t.Fatal(err)
	}
	return map[string][]drawing.Scene{
		"wheel": Wheel(w), "people": Repeat(people), "history": History(c, []string{"a", "b", "c"}),
	}
}

// Every item of a chart lies on its paper, the figure fits a page, and its text is
// escaped.
func TestChartsStayOnPaper(t *testing.T) {
	for name, scenes := range charts(t) {
		if len(scenes) == 0 {
			t.Errorf("%s: no figure", name)
		}
		for _, s := range scenes {
			if s.Height <= 0 || s.Height > drawing.Tallest+1 || s.Description == "" || s.Title == "" {
				t.Errorf("%s: %v high, %q, %q", name, s.Height, s.Title, s.Description)
			}
			reporttest.CheckScene(t, s)
			checkLegible(t, s)
			if drawn := drawing.Inline(s); strings.Contains(drawn, "<name>") {
				t.Errorf("%s: a name is not escaped", name)
			}
		}
	}
}

// readTable adds the rows of a table.
func readTable(t *testing.T, path string, a *wheel.Accumulator) error {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = wheel.ReadTable(path, f, a.Add)
	return err
}
