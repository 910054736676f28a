package report

import (
	"slices"
	"strings"
	"testing"

	"markaudit/audit/advise"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
)

// Whatever a sheet has in letters that paper lacks, no text of the record, of its
// pictures and of the customer's page holds such a letter, also where a name is broken
// or cut: names stand as their numbers, and the key has each once. Alike names stay
// apart.
func TestNothingOnARecordIsInLettersThatPaperLacks(t *testing.T) {
	long := "点火十度 " + strings.Repeat("上死点前の非常に長い名前 ", 6)
	r := reporttest.ManyLines(t, 5, "", "clockwise", "part", 0.8)
	s := r.Sheet
	rename := func(old, name string) {
		for i := range s.Marks {
			if s.Marks[i].Name == old {
				s.Marks[i].Name = name
			}
		}
		for _, setup := range s.Setups {
			setup.Marks[name] = setup.Marks[old]
			delete(setup.Marks, old)
		}
	}
	first, second := s.Marks[1].Name, s.Marks[2].Name
	rename(first, strings.TrimSpace(long))
	rename(second, "点火十度")
	s.Title, s.Part.Name, s.Workshop, s.Setups[0].By, s.Setups[0].Note = "ディーゼル", "滑轮", "ورشة", "مريم", "📏 สวัสดี"
	s.Setups[0].Marks["点火十度"][0].Struck, s.Setups[0].Marks["点火十度"][0].Reason = true, "नमस्ते"
	r.Sheet = s

	o := document.Options{Path: "점화.yaml", Software: "markaudit"}
	var all []string
	for _, page := range append(Record(r, make([]advise.Next, len(r.Lines)), o, document.A4), jobsheet.Customer(words.NewAudit(r, nil), o)) {
		for _, text := range append(texts(page), page.Title, page.Description) {
			if !drawing.Has(text) {
				t.Errorf("%q cannot be printed", text)
			}
			all = append(all, text)
		}
	}
	joined := strings.Join(all, "\n")
	for _, want := range []string{"line 2 is line number 2 of the sheet", "line 3 is line number 3 of the sheet", "is who measured setup 1 of the sheet", "is the name of the file"} {
		if n := strings.Count(joined, want); n == 0 {
			t.Errorf("the key lacks %q", want)
		}
	}
	for _, shown := range []string{"line 2", "line 3"} {
		if !slices.Contains(all, shown) {
			t.Errorf("no table names %q", shown)
		}
	}
	if strings.Contains(joined, "line line") || strings.Contains(joined, "□") {
		t.Error("a name is said as \"line line\", or shown as a box")
	}
}

// texts are those of a drawing.
func texts(s drawing.Scene) (all []string) {
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok {
			all = append(all, x.Text)
		}
	}
	return all
}
