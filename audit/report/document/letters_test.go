package document

import (
	"strings"
	"testing"

	"markaudit/audit/report/drawing"
)

// Paper shows a name in letters that it lacks by one number wherever the name stands,
// also where a picture broke it, and ends with a key. Names that it has stay as they are,
// and a document of such names gets no key.
func TestPaperNumbersNamesThatItCannotPrint(t *testing.T) {
	picture := drawing.Scene{Title: "Hands", Items: []drawing.Item{drawing.Text{Text: "Дизель"}, drawing.Text{Text: "美奈…"}, drawing.Text{Text: "مريم"}}}
	d := Doc{
		Heading{"Repeatability"},
		Figure{picture},
		Table{Header: []string{"by", "sd"}, Rows: [][]string{{"美奈子", "0.1"}, {"Дизель", "0.2"}}},
		Sentence{Text: "美奈子: carry on, مريم too. 点火 10."},
	}
	got := d.inPrint()
	var said []string
	got.Said(func(text string) string {
		if !drawing.Has(text) {
			t.Errorf("%q cannot be printed", text)
		}
		said = append(said, text)
		return text
	})
	all := strings.Join(said, "\n")
	for _, want := range []string{"Дизель", "name 1…", "name 1\n0.1", "name 1: carry on, name 2 too. name 3 10.", "name 1 to name 3 are in letters that this print lacks."} {
		if !strings.Contains(all, want) {
			t.Errorf("found no %q in %s", want, all)
		}
	}
	plain := Doc{Heading{"Ζεύς, Żółć, ירייה"}}
	if got := plain.inPrint(); len(got) != 1 || got[0] != plain[0] {
		t.Errorf("got %v, want it as it was", got)
	}
}
