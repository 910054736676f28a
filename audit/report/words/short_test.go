package words

import (
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/sheet"
)

// Every code and every reason has its short form, and each fits where it is to stand.
func TestShortForms(t *testing.T) {
	for _, c := range codes(t) {
		if s := Short(c); s == "" || len([]rune(s)) > 28 || avoided.MatchString(s) {
			t.Errorf("%s: got %q, want 1 to 28 letters", c, s)
		}
	}
	for w := advise.WithheldSuspect; w <= advise.WithheldEyeCheck; w++ {
		if s := ShortWithheld(w); s == "" || len([]rune(s)) > 32 || avoided.MatchString(s) {
			t.Errorf("%v: got %q, want 1 to 32 letters", w, s)
		}
	}
	if s := ShortWithheld(advise.WithheldEyeCheck + 1); s != "" {
		t.Errorf("got %q of a reason after the last: add it to the test", s)
	}
}

// A name that cannot be printed is shown by its number, wherever it stands, also where
// another name begins like it; names that can be printed stay.
func TestLettered(t *testing.T) {
	var r audit.Result
	r.Sheet.Title = "船"
	r.Sheet.Marks = []sheet.Mark{{Name: "TDC", AtText: "0"}, {Name: "点火", AtText: "14 BTDC"}, {Name: "点火十度", AtText: "10 BTDC"}}
	v := NewAudit(r, nil)
	replace, key := Lettered(v, func(text string) bool {
		return !strings.ContainsFunc(text, func(r rune) bool { return r > 0x3000 })
	})
	if got, want := replace("船: 点火十度 lies between 点火 and TDC"), "name 1: line 3 lies between line 2 and TDC"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := replace("towards line 点火"), "towards line 2"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if len(key) != 3 || !strings.Contains(key[0], "line 2 is line number 2 of the sheet, at 14 BTDC") || !strings.Contains(key[2], "the title") {
		t.Errorf("got %q", key)
	}
}
