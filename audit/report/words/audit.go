package words

import (
	"fmt"
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
	shown     []string // the key of the names that a print shows by their number; nil before [InPrint]
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
