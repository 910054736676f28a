package report

import (
	"strings"
	"testing"
)

// A name cannot move the cursor, ring a bell or reorder the line.
func TestCleanHidesNothingAndRunsNothing(t *testing.T) {
	for in, want := range map[string]string{
		"fire 10":        "fire 10",
		"a\x1b[31mb":     `a\x1b[31mb`,
		"bell\a":         `bell\a`,
		"two\nlines":     `two\nlines`,
		"flip\u202egnp":  `flip\u202egnp`,
		"Zündung ü 10°":  "Zündung ü 10°",
		"next\u0085line": `next\u0085line`,
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	text := strings.Repeat("ß° drop half arc ", 30) + strings.Repeat("x", 100)
	out := wrap(text, "1  ", "   ")
	if got, want := strings.Join(strings.Fields(out), " "), "1 "+text; got != want {
		t.Errorf("words changed: got %q, want %q", got, want)
	}
	for _, line := range strings.Split(out, "\n") {
		if columns(line) > width && !strings.Contains(line, strings.Repeat("x", 100)) {
			t.Errorf("line of %d columns: %q", columns(line), line)
		}
	}
}

func TestMarkdownIsNotMarkup(t *testing.T) {
	var b strings.Builder
	if err := Markdown(&b, Doc{Sentence{Text: "<script>*a*|b`c`[d](e)"}}); err != nil {
		t.Fatal(err)
	}
	if got, want := b.String(), "&lt;script&gt;\\*a\\*\\|b\\`c\\`\\[d\\](e)\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
