package audit

import (
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/geometry"
)

// LineResult is one line with what every stage says of it.
type LineResult struct {
	lines.Line
	Verdict diagnosis.Verdict
	Scribe  advise.Scribe
	Forced  advise.Scribe // the instruction with nothing withheld, for who insists
}

// Risk is how probable it is that the line is in truth not what the verdict says, the
// sheet being right. It reports false where nothing is decided.
func (l LineResult) Risk() (float64, bool) {
	p := l.Conformity
	switch l.Verdict {
	case diagnosis.Within:
		return 1 - p.Within, true
	case diagnosis.Outside:
		return 1 - max(p.Early, p.Late), true
	}
	return 0, false
}

// Interval is from where to where the line may be off, early with a minus, and whether
// that is known. By piston travel it need not lie evenly round the offset.
func (l LineResult) Interval() (low, high geometry.Angle, known bool) {
	switch {
	case l.Offset == nil || !l.Offset.Known:
		return 0, 0, false
	case l.ByDial != nil:
		return l.ByDial.Low, l.ByDial.High, true
	}
	return l.Offset.Value - l.Offset.Expanded, l.Offset.Value + l.Offset.Expanded, true
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
