package report

import (
	"os"
	"slices"
	"sort"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
)

// No heading stands alone at the foot of a page, and none has another of its rank, or a
// higher one, straight below it: on the pages of every good sheet, and of sheets with so
// many lines that tables break at many places, on A4 and on Letter.
func TestNoHeadingStandsAlone(t *testing.T) {
	records := map[string]audit.Result{}
	for name, r := range reporttest.GoodAudits(t, os.DirFS("../../testdata")) {
		records[name] = r
	}
	for _, n := range []int{2, 11, 13, 17, 24} {
		r := reporttest.ManyLines(t, n, "", "clockwise", "part", 0.8)
		records[r.Sheet.Title+string(rune('A'+n))] = r
	}
	var names []string
	for name := range records {
		names = append(names, name)
	}
	slices.Sort(names)
	headings := 0
	for i, name := range names {
		r := records[name]
		paper := []document.Paper{document.A4, document.Letter}[i%2]
		for at, page := range Record(r, make([]advise.Next, len(r.Lines)), document.Options{Path: name, Software: "markaudit"}, paper)[1:] {
			var all []drawing.Text
			for _, item := range page.Items {
				if x, ok := item.(drawing.Text); ok {
					all = append(all, x)
				}
			}
			sort.SliceStable(all, func(i, j int) bool { return all[i].At.Y < all[j].At.Y })
			for k, x := range all {
				if !x.Bold || x.Size < 3.6 { // that of a heading in a document
					continue
				}
				headings++
				switch {
				case k == len(all)-1:
					t.Errorf("%s, page %d: %q stands alone at the foot", name, at+2, x.Text)
				case all[k+1].Bold && all[k+1].Size >= x.Size && all[k+1].At.Y-x.At.Y > 7: // nearer it is the heading's second line
					t.Errorf("%s, page %d: %q has nothing below it but %q", name, at+2, x.Text, all[k+1].Text)
				}
			}
		}
	}
	if headings < 200 {
		t.Errorf("found %d headings on all pages, want some on each", headings)
	}
}
