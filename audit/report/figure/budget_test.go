package figure

import (
	"math"
	"os"
	"testing"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
)

// In the table of budgets no source stands twice, the squares of a column add up to
// that of the line's uncertainty, and the squares that are drawn have the areas of
// the shares. Rows that the audit lists are the other way to the sum.
func TestBudgetTable(t *testing.T) {
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../../testdata")) {
		b := newBudgetTable(r)
		seen := map[string]bool{} // only looked up
		for _, s := range b.sources {
			if seen[s.name] {
				t.Errorf("%s: %s stands twice", name, s.name)
			}
			seen[s.name] = true
		}
		var areas, columns float64
		for _, c := range b.columns {
			var sum, rows float64
			for _, s := range b.sources {
				sum += c.u[s.name] * c.u[s.name]
			}
			for _, row := range c.mark.Offset.Budget {
				rows += row.Standard().Degrees() * row.Standard().Degrees()
			}
			if math.Abs(sum-c.whole*c.whole) > 1e-9 || math.Abs(sum-rows) > 1e-9 {
				t.Errorf("%s, %s: the squares add up to %g, the rows to %g, want %g", name, c.mark.Name, sum, rows, c.whole*c.whole)
			}
			if c.whole > 0 {
				columns++
			}
		}
		for _, s := range Budget(r) {
			for _, item := range s.Items {
				if x, ok := item.(drawing.Polygon); ok && x.Fill == drawing.Black {
					areas += (x.Points[1].X - x.Points[0].X).Millimetres() * (x.Points[2].Y - x.Points[1].Y).Millimetres()
				}
			}
		}
		if want := columns * squareSide.Millimetres() * squareSide.Millimetres(); math.Abs(areas-want) > 1e-6*want {
			t.Errorf("%s: squares of %.3f mm² in all, want %.3f", name, areas, want)
		}
	}
}
