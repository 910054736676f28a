package report

import (
	"bytes"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/figure"
	"markaudit/audit/report/internal/reporttest"
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
		evil, "338.2 (STRUCK: knocked the wheel)", r.Sheet.Digest, "markaudit 9.9", "signature", "JCGM 100", "Take the stop out", "a<b.yaml", "Budget of",
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
