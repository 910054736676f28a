package audit

import (
	"markaudit/audit/advise"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
)

// LineResult is one line with what every stage says of it.
type LineResult struct {
	lines.Line
	Verdict uncertainty.Verdict
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
