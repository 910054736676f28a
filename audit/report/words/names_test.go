package words

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// saidOfAll is all that is said of the good sheets, their lines renamed so that each mention is found.
func saidOfAll(t *testing.T, each func(sheet string, v Audit, text string)) {
	t.Helper()
	for name, s := range reporttest.GoodSheets(t, os.DirFS("../../../testdata")) {
		names := map[string]string{} // only looked up
		for i, m := range s.Marks {
			names[m.Name] = "zq" + strings.Repeat("x", i)
		}
		s = renamed(reflect.ValueOf(s), func(text string) string {
			if to, ok := names[text]; ok {
				return to
			}
			return text
		}).Interface().(sheet.Sheet)
		r, err := audit.Run(s)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		v := NewAudit(r, audit.Next(r))
		texts := append(append(append(Steps(v), Warnings(v)...), Findings(v)...), v.Meaning(), v.MoveOne(), Circumstances(v), EyeStep(v))
		for _, m := range r.ByLine() {
			if m.Scribe.Worthwhile {
				texts = append(texts, v.Scribe(m), v.ScribeOnSheet(m), v.ScribeInShort(m))
			}
		}
		for _, text := range texts {
			each(name, v, text)
		}
	}
}

// A line's name in a sentence is quoted, so that a line called "check" or "4" is no
// command and no number.
func TestNamesOfLinesAreQuoted(t *testing.T) {
	bare := regexp.MustCompile(`(^|[^“])zqx*`)
	n := 0
	saidOfAll(t, func(sheet string, _ Audit, text string) {
		n += strings.Count(text, "“zq")
		if at := bare.FindString(text); at != "" {
			t.Errorf("%s: a name without quotes, %q, in: %s", sheet, at, text)
		}
	})
	if n < 100 {
		t.Errorf("%d names in all, want those of every good sheet", n)
	}
}

// Whoever holds a print does not hold the sheet: no key of it, and nothing to type, is
// on paper.
func TestInPlainWordsLeavesNoKey(t *testing.T) {
	key := regexp.MustCompile("`|\\b(engine|part|readout|limits)\\.[a-z]|[a-z]_[a-z]|further:")
	all, plain := 0, 0
	check := func(sheet, text string) {
		all++
		if key.MatchString(text) {
			plain++
		}
		if at := key.FindString(InPlainWords(text)); at != "" {
			t.Errorf("%s: %q is a key of the sheet, in: %s", sheet, at, InPlainWords(text))
		}
	}
	saidOfAll(t, func(sheet string, _ Audit, text string) { check(sheet, text) })
	for _, c := range codes(t) { // those too that no good sheet raises
		var r audit.Result
		r.Sheet.Readout.Step = 0.5
		check(string(c), Warning(NewAudit(r, nil), warning.Warning{Code: c, Setup: "S-9", Mark: "M-7", Values: []float64{1.25, 2.5, 0.75}, Names: []string{"N-1", "N-2"}}))
	}
	if plain < 20 {
		t.Errorf("%d of %d texts hold a key before, want more to be put into words", plain, all)
	}
}

// Never surer than the readings: where nothing confirms which way the engine runs, the
// eye has to before lines are said to need nothing, and a side that only letters tell is
// said to be one.
func TestNothingToScribeIsNoSurerThanTheSheet(t *testing.T) {
	sheets := reporttest.GoodSheets(t, os.DirFS("../../../testdata"))
	of := func(s sheet.Sheet) (Audit, string) {
		r, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		v := NewAudit(r, audit.Next(r))
		return v, strings.Join(Steps(v), "\n")
	}
	s := sheets["plug-hole.yaml"]
	v, text := of(s)
	for _, want := range []string{"Before any verdict is gone by, check by eye: as you look at the marks, the shorter way round", "If that is so, nothing is to be scribed: every line is within. Line “check” is so only if it lies on the side of TDC that its readings say (ATDC)."} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if !v.Unseen() || v.Scribes() {
		t.Errorf("unseen: %v, scribes: %v", v.Unseen(), v.Scribes())
	}
	s.After = &sheet.AfterScribing{EyeCheck: sheet.AsSaid}
	if v, text := of(s); v.Unseen() || strings.Contains(text, "by eye") || !strings.Contains(text, "Nothing is to be scribed: every line is within.") {
		t.Errorf("once an eye has seen it: %s", text)
	}
}
