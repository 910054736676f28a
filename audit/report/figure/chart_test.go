package figure

import (
	"os"
	"strings"
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/past"
	"markaudit/audit/repeatability"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/rounding"
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

// A control chart has a sign for every sheet in each of its panels, and each value
// in its words; of many sheets the days are written as far as there is room.
func TestControlChart(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/sheets/good/wheel-4.history.json")
	if err != nil {
		t.Fatal(err)
	}
	read, err := sheet.ReadHistory(data)
	if err != nil {
		t.Fatal(err)
	}
	h := *read
	few := ControlChart(h, "")
	for len(h.Sheets) < 60 {
		h.Sheets = append(h.Sheets, h.Sheets...)
	}
	for _, scenes := range [][]drawing.Scene{few, ControlChart(h, strings.Repeat("unknown ", 40))} {
		if len(scenes) != 1 {
			t.Fatalf("%d figures", len(scenes))
		}
		reporttest.CheckScene(t, scenes[0])
		checkLegible(t, scenes[0])
	}
	signs, values := 0, 0
	for _, item := range few[0].Items {
		switch x := item.(type) {
		case drawing.Circle:
			signs++
		case drawing.Polygon:
			if x.Fill == drawing.Black {
				signs++
			}
		}
	}
	for _, k := range past.Kinds() {
		for _, p := range past.Chart(h, k) {
			if p.Sheet < len(read.Sheets) {
				values++
				if says := rounding.Fixed(p.SD.Degrees(), 3); !strings.Contains(few[0].Description, says) {
					t.Errorf("the text alternative lacks %s of %v", says, k)
				}
			}
		}
	}
	if signs == 0 || signs != values {
		t.Errorf("%d signs for %d values", signs, values)
	}
}
