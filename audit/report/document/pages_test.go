package document_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/geometry"
)

// texts are those of a sheet, in the order in which they were drawn.
func texts(s drawing.Scene) (all []string) {
	for _, item := range s.Items {
		if x, ok := item.(drawing.Text); ok {
			all = append(all, x.Text)
		}
	}
	return all
}

// long is a document of many sheets: a table that crosses them, with a row that is
// higher than a sheet.
func long() document.Doc {
	t := document.Table{Header: []string{"line", "what was read"}, Note: "A note below."}
	for i := range 120 {
		t.Rows = append(t.Rows, []string{fmt.Sprintf("row%03d", i), fmt.Sprintf("value%03d", i)})
	}
	t.Rows = append(t.Rows, []string{"a row of many lines", strings.Repeat("reading ", 3000)})
	return document.Doc{
		document.Heading{Text: "A title"},
		document.Head{Parts: []string{"job " + strings.Repeat("Brickworks ", 40), "0123456789ab"}},
		document.Sentence{Lead: "FIRST", Text: strings.Repeat("some words ", 400)},
		document.Space{},
		document.Steps{Items: []string{strings.Repeat("one ", 100), "two"}},
		t,
		document.NewSheet{},
		document.Sentence{Lead: "ANNEX"},
		document.Figure{Scene: drawing.Titled("A figure", "")},
		document.Signature{},
	}
}

// Every sheet carries job, digest and number; no text is lost, clipped or printed
// over another; a row stands on one sheet, below a header.
func TestSheetsOfPaper(t *testing.T) {
	for _, paper := range []document.Paper{document.A4, document.Letter} {
		front := drawing.Scene{Title: "a first sheet", Description: "of its own", Width: paper.Width, Height: paper.Height}
		asked := 0
		sheets := document.Pages(long(), document.Print{Paper: paper, Front: func(n int) drawing.Scene { asked = n; return front }})
		if asked != len(sheets) || sheets[0].Title != front.Title || len(sheets) < 5 {
			t.Fatalf("the first of %d sheets is %q, and was told of %d", len(sheets), sheets[0].Title, asked)
		}
		var all []string
		for i, s := range sheets {
			reporttest.CheckScene(t, s)
			if i == 0 {
				continue
			}
			got := texts(s)
			head := strings.Join(got, "|")
			if !strings.Contains(head, "0123456789ab") || !strings.Contains(head, "job Brickworks") || !slices.Contains(got, fmt.Sprintf("page %d of %d", i+1, len(sheets))) {
				t.Errorf("sheet %d has not its head: %q", i+1, head)
			}
			row := slices.IndexFunc(got, func(x string) bool { return strings.HasPrefix(x, "row") })
			if h := slices.Index(got, "what was read"); row >= 0 && (h < 0 || h > row) {
				t.Errorf("sheet %d has rows without their header", i+1)
			}
			for j := range got {
				if n, ok := strings.CutPrefix(got[j], "row"); ok && got[j+1] != "value"+n {
					t.Errorf("row %s is split: %q", n, got[j+1])
				}
			}
			if at := slices.Index(got, "Annex"); at > 0 {
				t.Errorf("the annex begins at %d of its sheet", at)
			}
			for _, item := range s.Items {
				if x, ok := item.(drawing.Text); ok && (x.At.Y > paper.Height-document.Margin || x.At.X < document.Margin) {
					t.Errorf("%q stands in the margin", x.Text)
				}
			}
			all = append(all, got...)
		}
		words := strings.Join(all, " ")
		for word, n := range map[string]int{"some words": 400, "one": 100, "reading": 3000, "value": 120, "A note below.": 1} {
			if got := strings.Count(words, word); got != n {
				t.Errorf("%q stands there %d times, want %d", word, got, n)
			}
		}
	}
}

// A long narrow table stands in two halves: every row once, the left half first.
func TestNarrowTablesStandAbreast(t *testing.T) {
	table := document.Table{Header: []string{"row", "value"}, Right: []bool{false, true}}
	for i := range 100 {
		table.Rows = append(table.Rows, []string{fmt.Sprintf("row%03d", i), fmt.Sprintf("value%03d", i)})
	}
	sheets := document.Pages(document.Doc{document.Heading{Text: "x"}, table}, document.Print{Paper: document.A4})
	if len(sheets) != 2 {
		t.Errorf("%d sheets", len(sheets))
	}
	at := map[string]drawing.Point{} // only looked up
	for i, s := range sheets {
		reporttest.CheckScene(t, s)
		for _, item := range s.Items {
			if x, ok := item.(drawing.Text); ok && len(x.Text) == len("row000") && strings.HasPrefix(x.Text, "row") {
				if _, twice := at[x.Text]; twice {
					t.Errorf("%s twice", x.Text)
				}
				at[x.Text] = drawing.Point{X: x.At.X, Y: x.At.Y + drawing.Tallest*2*geometry.Length(i)}
			}
		}
	}
	if len(at) != 100 || at["row000"].X >= at["row030"].X || at["row000"].Y != at["row030"].Y || at["row060"].Y <= at["row059"].Y {
		t.Errorf("%d rows; 0 at %v, 30 at %v, 59 at %v, 60 at %v", len(at), at["row000"], at["row030"], at["row059"], at["row060"])
	}
}

// A document without a head of its own is known by its title; an empty one is one
// sheet or none.
func TestSheetsWithoutHead(t *testing.T) {
	one := document.Pages(document.Doc{document.Heading{Text: "Plan of a job"}}, document.Print{Paper: document.A4})
	if len(one) != 1 || !slices.Contains(texts(one[0]), "page 1 of 1") || strings.Count(strings.Join(texts(one[0]), "|"), "Plan of a job") != 2 {
		t.Errorf("got %q", texts(one[0]))
	}
	if got := document.Pages(document.Doc{document.Space{}}, document.Print{Paper: document.A4}); len(got) != 0 {
		t.Errorf("%d sheets of nothing", len(got))
	}
	var a, b bytes.Buffer
	if err := document.PDF(&a, long()); err != nil {
		t.Fatal(err)
	}
	if err := document.PDF(&b, long()); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Errorf("%v, or the same document gives other bytes", err)
	}
}

// What says of what a table is stands on the sheet of the table, with two of its rows,
// wherever a sheet ends.
func TestSentenceStaysWithItsTable(t *testing.T) {
	for above := range 70 {
		d := document.Doc{document.Heading{Text: "A title"}}
		for i := range above {
			d = append(d, document.Steps{Items: []string{fmt.Sprint("step ", i)}})
		}
		d = append(d, document.Sentence{Lead: "OF WHAT", Text: "said of the table."}, document.Table{Header: []string{"head"}, Rows: [][]string{{"one"}, {"two"}, {"three"}}})
		for i, s := range document.Pages(d, document.Print{Paper: document.A4}) {
			all := texts(s)
			for _, with := range []string{"said of the table.", "one", "two"} {
				if slices.Contains(all, "Of what") != slices.Contains(all, with) {
					t.Fatalf("below %d steps sheet %d has %q apart from its heading: %q", above, i+1, with, all)
				}
			}
		}
	}
}

// A paragraph of a few lines is on one sheet, wherever a sheet ends: nobody turns the page
// in the middle of a sentence.
func TestShortParagraphIsNotTorn(t *testing.T) {
	const least = 3 // lines of it
	for above := range 70 {
		d := document.Doc{document.Heading{Text: "A title"}}
		for i := range above {
			d = append(d, document.Steps{Items: []string{fmt.Sprint("step ", i)}})
		}
		d = append(d, document.Sentence{Text: "Begins here, " + strings.Repeat("goes on for a while, ", 22) + "and ends."})
		for i, s := range document.Pages(d, document.Print{Paper: document.A4}) {
			all := strings.Join(texts(s), "\n")
			begins, ends := strings.Contains(all, "Begins here"), strings.Contains(all, "ends.")
			if begins != ends {
				t.Fatalf("below %d steps sheet %d has a part of it: %q", above, i+1, all)
			}
			if _, of, _ := strings.Cut(all, "Begins here"); begins && strings.Count(of, "\n") < least {
				t.Fatalf("%q is shorter than what may be torn", of)
			}
		}
	}
}
