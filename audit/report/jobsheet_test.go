package report

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/net/html"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/report/jobsheet"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

func allFigures(r audit.Result) []drawing.Scene {
	return slices.Concat(figure.Part(r), figure.Offsets(r), figure.Trials(r), figure.Budget(r))
}

// A job sheet is one page that fetches nothing and runs nothing, whatever the names
// on the sheet, and says what the folder needs.
func TestJobSheetPage(t *testing.T) {
	const evil = `<script>alert(1)</script>`
	r := reporttest.ManyLines(t, 5, evil, "clockwise", "part", 0.8)
	r.Sheet.Title = evil + `" onload="x`
	o := document.Options{Path: "a<b.yaml", Software: "markaudit 9.9"}
	var page bytes.Buffer
	if err := document.HTML(&page, JobSheet(r, audit.Next(r), o)); err != nil {
		t.Fatal(err)
	}
	reporttest.WellFormed(t, page.Bytes())
	root, err := html.Parse(bytes.NewReader(page.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	var text strings.Builder
	for n := range root.Descendants() {
		switch n.Type {
		case html.TextNode:
			text.WriteString(n.Data)
		case html.ElementNode:
			count[n.Data]++
			for _, a := range n.Attr {
				if a.Key == "src" || a.Key == "href" || strings.HasPrefix(a.Key, "on") {
					t.Errorf("<%s %s=%q>", n.Data, a.Key, a.Val)
				}
			}
		}
	}
	for _, name := range []string{"script", "img", "link", "iframe", "object"} {
		if count[name] > 0 {
			t.Errorf("the page has <%s>", name)
		}
	}
	if count["svg"] != len(allFigures(r)) || count["h1"] != 1 || count["table"] < 5 {
		t.Errorf("found %v", count)
	}
	if regexp.MustCompile(`url\(|@import`).Match(page.Bytes()) {
		t.Error("the style fetches something")
	}
	for _, want := range []string{
		evil, "338.2 (STRUCK: knocked the wheel)", r.Sheet.Digest, "markaudit 9.9", "signature", "JCGM 100", "Take the stop out", "a<b.yaml", "Where the doubt comes from", "standard uncertainty, all",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

// The same audit gives the same bytes, on the page and in the PDF of its figures.
func TestJobSheetIsRepeatable(t *testing.T) {
	s, _, err := sheet.Read("demo.yaml", []byte(sheet.Demo()), nil)
	if err != nil {
		t.Fatal(err)
	}
	var first []byte
	for range 5 {
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		var page, pdf bytes.Buffer
		if err := document.HTML(&page, JobSheet(r, audit.Next(r), document.Options{Path: "demo.yaml"})); err != nil {
			t.Fatal(err)
		}
		if err := drawing.PDF(&pdf, "demo", allFigures(r)); err != nil {
			t.Fatal(err)
		}
		all := slices.Concat(page.Bytes(), pdf.Bytes())
		if first == nil {
			first = all
		}
		if !bytes.Equal(all, first) {
			t.Fatal("two runs differ")
		}
	}
}

// A job sheet takes work that grows with its lines and no faster: of twice as many
// lines at most 2.2 times the allocations.
func TestJobSheetGrowsWithItsLines(t *testing.T) {
	work := func(lines int) float64 {
		r := reporttest.ManyLines(t, lines, "", "clockwise", "part", 0.8)
		next := audit.Next(r)
		return testing.AllocsPerRun(3, func() {
			if err := document.HTML(io.Discard, JobSheet(r, next, document.Options{Path: "job.yaml"})); err != nil {
				t.Fatal(err)
			}
		})
	}
	for _, n := range []int{12, 24} {
		if once, twice := work(n), work(2*n); twice > 2.2*once {
			t.Errorf("%d lines take %g allocations, %d lines %g", n, once, 2*n, twice)
		}
	}
}

// A tenth of a second is what a person takes for at once.
func BenchmarkJobSheet(b *testing.B) {
	s, _, err := sheet.Read("demo.yaml", []byte(sheet.Demo()), nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r, err := audit.Run(s)
		if err != nil {
			b.Fatal(err)
		}
		if err := document.HTML(io.Discard, JobSheet(r, audit.Next(r), document.Options{Path: "demo.yaml"})); err != nil {
			b.Fatal(err)
		}
	}
}

// A record of five lines takes five sheets at most, one of 24 lines nine; every sheet
// says which job, which digest and which of how many it is, none is clipped, and the
// same audit gives the same sheets.
func TestRecordOnPaper(t *testing.T) {
	results := reporttest.GoodAudits(t, os.DirFS("../../testdata"))
	results["24 lines"] = reporttest.ManyLines(t, 24, "line", "anticlockwise", "part", 0.45)
	for name, r := range results {
		o := document.Options{Path: "job.yaml", Software: "markaudit 0.2.0"}
		next := audit.Next(r)
		sheets := Record(r, next, o, document.A4)
		if most := map[bool]int{true: 5, false: 9}[len(r.Lines) <= 5]; len(sheets) > most {
			t.Errorf("%s: %d sheets for %d lines, want at most %d", name, len(sheets), len(r.Lines), most)
		}
		for i, s := range sheets {
			reporttest.CheckScene(t, s)
			text := ""
			for _, item := range s.Items {
				if x, ok := item.(drawing.Text); ok {
					text += x.Text + "\n"
				}
			}
			known := "sheet job.yaml"
			if r.Sheet.Job != "" {
				known = r.Sheet.Job
			}
			if i == 0 && r.Sheet.Job == "" {
				known = "\njob\n" // a cell to write in
			}
			for _, want := range []string{known, r.Sheet.Digest[:12], fmt.Sprintf("%d of %d", i+1, len(sheets))} {
				if !strings.Contains(text, want) {
					t.Errorf("%s: sheet %d does not say %q", name, i+1, want)
				}
			}
		}
		if name != "demo" {
			continue
		}
		if diff := cmp.Diff(sheets, Record(r, next, o, document.A4)); diff != "" {
			t.Errorf("another record of the same audit: %s", diff)
		}
	}
}

// What has to be read at the bench is black and no smaller than nine points, speaks of
// what a sheet's keys hold and not of the keys, has a picture with a disc, no stroke in
// place of a word, and no heading twice. Nine points: common practice, no source.
func TestRecordIsReadAtTheBench(t *testing.T) {
	key := regexp.MustCompile(`\b(engine|part|readout|limits)\.[a-z]`)
	results := reporttest.GoodAudits(t, os.DirFS("../../testdata"))
	crowd, err := os.ReadFile("../../testdata/figures/crowd.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, _, err := sheet.Read("crowd.yaml", crowd, nil)
	if err != nil {
		t.Fatal(err)
	}
	if results["crowd"], err = audit.Run(s); err != nil {
		t.Fatal(err)
	}
	for name, r := range results {
		o := document.Options{Path: "job.yaml", Software: "markaudit 0.2.0"}
		sheets := append(Record(r, audit.Next(r), o, document.A4), jobsheet.Customer(words.NewAudit(r, audit.Next(r)), o))
		seen := map[string]int{} // only looked up
		for i, s := range sheets {
			for _, item := range s.Items {
				x, ok := item.(drawing.Text)
				if !ok {
					continue
				}
				if x.Text != "pointer" || x.Anchor == drawing.Middle { // that over the disc; a row and the key may have one too
					seen[x.Text]++
				}
				if x.Size.Millimetres() < 9*25.4/72 {
					t.Errorf("%s, sheet %d: %q is set in %v", name, i+1, x.Text, x.Size)
				}
				if x.Ink == drawing.Grey {
					t.Errorf("%s, sheet %d: %q is grey", name, i+1, x.Text)
				}
				if key.MatchString(x.Text) {
					t.Errorf("%s, sheet %d: %q has a key of the sheet", name, i+1, x.Text)
				}
				if strings.Contains(x.Text, "as it stands below") || x.Text == "comes to" && seen["comes to"] > 2 {
					t.Errorf("%s, sheet %d: %q", name, i+1, x.Text)
				}
			}
			if i > 0 {
				continue
			}
			if !r.TDC.Any() || len(r.Lines) == 0 {
				continue
			}
			if where := seen["2 Where"]; where != 1 || seen["pointer"]+seen["fixed scale;"] != 1 {
				t.Errorf("%s: %d pictures on the first sheet, with a disc: %d", name, where, seen["pointer"]+seen["fixed scale;"])
			}
		}
		if n := seen["Where the doubt comes from"]; n > 1 {
			t.Errorf("%s: where the doubt comes from stands %d times", name, n)
		}
	}
}

// One way is one number on all sheets of the record: that of the order, of the table to
// fill in, of all distances and of the figures.
func TestRecordPrintsOneWayOnce(t *testing.T) {
	for name, numbers := range map[string][2][]string{
		"demo":      {{"1.9 mm", "1.9 ± 0.3 mm", "18.4 ± 0.8 mm", "◄ 1.9 mm"}, {"1.92", "18.45", "16.53", "170.11"}},
		"pump.yaml": {{"10.0 mm", "10.0 ± 0.3 mm"}, {"10.02"}},
		// What a dial, or dividers after scribing, showed keeps its hundredths.
		"plug-hole.yaml": {{"stood at most 0.01 mm from where", "0.00 mm"}, nil},
		"papers.yaml":    {{"Dividers from “T” to “fire 10”: 14.10 mm, should be 14.0 ± 1.1 mm"}, nil},
	} {
		r, err := audit.Run(reporttest.GoodSheets(t, os.DirFS("../../testdata"))[name])
		if err != nil {
			t.Fatal(err)
		}
		o := document.Options{Path: "job.yaml"}
		var all strings.Builder
		for _, s := range append(Record(r, audit.Next(r), o, document.A4), jobsheet.Customer(words.NewAudit(r, audit.Next(r)), o)) {
			for _, item := range s.Items {
				if x, ok := item.(drawing.Text); ok {
					all.WriteString(x.Text + "\n")
				}
			}
		}
		for _, want := range numbers[0] {
			if !strings.Contains(all.String(), want) {
				t.Errorf("%s: no %q", name, want)
			}
		}
		for _, other := range numbers[1] {
			if strings.Contains(all.String(), other) {
				t.Errorf("%s: %q is another number for the same way", name, other)
			}
		}
	}
}
