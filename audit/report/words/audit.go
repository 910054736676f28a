package words

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/rounding"
)

// Audit says the audit of one sheet in sentences.
type Audit struct {
	Result audit.Result
	Next   []advise.Next
	rounding.Lengths
	Scribed   bool // what it orders is said to be done, by the sheet or by whoever reads it out
	lettered  bool // readings carry BTDC or ATDC
	distances func() []advise.Distance
}

// NewAudit speaks for an audit. Next is what would decide its lines, one a mark; nil
// where nothing of that is asked.
func NewAudit(r audit.Result, next []advise.Next) Audit {
	return Audit{Result: r, Next: next, Lengths: rounding.Lengths{Unit: r.Sheet.Part.Unit}, Scribed: r.Sheet.Scribed(), lettered: lettered(r.Sheet), distances: sync.OnceValue(r.Distances)}
}

// Distances is what dividers should find, asked when it is first read.
func (v Audit) Distances() []advise.Distance { return v.distances() }

// Confidence is how often an interval holds: "95 %".
func (v Audit) Confidence() string {
	return rounding.Confidence(v.Result.Sheet.Limits.Confidence)
}

// viewpoint follows every clockwise.
func (v Audit) viewpoint() string {
	if s := v.Result.Sheet.Part.SeenFrom; s != "" {
		return "as you look at the marks (" + Clean(s) + ")"
	}
	return "as you look at the marks"
}

// Title names the job: what it is of, its number and its day; else the sheet by
// its path.
func (v Audit) Title(path string) string {
	s := v.Result.Sheet
	var parts []string
	for _, p := range []string{s.Title, s.Part.Name} {
		if p != "" && !strings.Contains(strings.Join(parts, " "), p) {
			parts = append(parts, Clean(p))
		}
	}
	for _, p := range [][2]string{{"job ", s.Job}, {"engine ", s.Engine.Number}, {"part ", s.Part.Number}, {"", s.Date}} {
		if p[1] != "" {
			parts = append(parts, p[0]+Clean(p[1]))
		}
	}
	if len(parts) == 0 {
		return "Sheet " + Clean(path)
	}
	return strings.Join(parts, ", ")
}

// Subject is what was measured: engine and part; else the sheet by its path.
func (v Audit) Subject(path string) string {
	s := v.Result.Sheet
	var parts []string
	for _, p := range []string{s.Title, s.Part.Name} {
		if p != "" && !strings.Contains(strings.Join(parts, " "), p) {
			parts = append(parts, Clean(p))
		}
	}
	if len(parts) == 0 {
		return "Sheet " + Clean(path)
	}
	return strings.Join(parts, ", ")
}

// MadeBy says what made a report, and from which sheet.
func (v Audit) MadeBy(software string) string {
	return fmt.Sprintf("%s; sheet digest %.12s", software, v.Result.Sheet.Digest)
}

// Origin says what made a job sheet and from which sheet, with its digest.
func (v Audit) Origin(software, path string) string {
	return fmt.Sprintf("Made by %s from the sheet %s; SHA-256 of the sheet and its files: %s.", software, Clean(path), v.Result.Sheet.Digest)
}

// Lettered replaces, in any text made from an audit, the names whose letters a print
// lacks, and says what it did. A line is then shown by its number on the sheet, and
// other names by theirs in the order in which the sheet has them; whatever else it says
// stays. Has reports whether the print has all letters of a text.
func (v Audit) Lettered(has func(text string) bool) (replace func(text string) string, key []string) {
	s := v.Result.Sheet
	type name struct{ text, shown string }
	var names []name
	known := func(text string) bool {
		return text == "" || has(text) || slices.ContainsFunc(names, func(n name) bool { return n.text == text })
	}
	for i, m := range s.Marks {
		if text := Clean(m.Name); !known(text) {
			shown := fmt.Sprintf("line %d", i+1)
			names = append(names, name{text, shown})
			key = append(key, fmt.Sprintf("%s is line number %d of the sheet, at %s: its name has letters that this print lacks.", shown, i+1, m.AtText))
		}
	}
	others := 0
	for _, other := range []struct{ what, text string }{
		{"the title", s.Title},
		{"the part's name", s.Part.Name},
		{"the job", s.Job},
		{"the engine's number", s.Engine.Number},
		{"the part's number", s.Part.Number},
		{"where one stands", s.Part.SeenFrom},
		{"the readout's name", s.Readout.Name},
	} {
		if text := Clean(other.text); !known(text) {
			others++
			shown := fmt.Sprintf("name %d", others)
			names = append(names, name{text, shown})
			key = append(key, fmt.Sprintf("%s is %s on the sheet: it has letters that this print lacks.", shown, other.what))
		}
	}
	slices.SortStableFunc(names, func(a, b name) int { return len(b.text) - len(a.text) }) // of two that begin alike the longer one
	var pairs []string
	for _, n := range names {
		pairs = append(pairs, n.text, n.shown)
	}
	if len(pairs) == 0 {
		return func(text string) string { return text }, nil
	}
	shown := strings.NewReplacer(pairs...)
	return func(text string) string {
		if changed := shown.Replace(text); changed != text {
			return strings.ReplaceAll(changed, "line line ", "line ") // "towards line" and then its number
		}
		return text
	}, key
}
