package audit

import (
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
)

// LineResult is one line with what every stage says of it.
type LineResult struct {
	lines.Line
	Verdict diagnosis.Verdict
	Scribe  advise.Scribe
	Forced  advise.Scribe // the instruction with nothing withheld, for who insists
}

// ByLine returns the result line by line, in the order of the sheet.
func (r Result) ByLine() []LineResult {
	out := make([]LineResult, len(r.Lines))
	for i, l := range r.Lines {
		out[i] = LineResult{l, r.Diagnosis.Decisions[i].Verdict, r.Advice.Lines[i], r.Advice.Forced[i]}
	}
	return out
}

// OffTogether reports whether lines are off together so far that what shifts them
// comes before any one line.
func (r Result) OffTogether() bool { return r.Advice.Shared != nil }
