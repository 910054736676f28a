package words

import "testing"

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
		if got := Clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}
