package diagnosis

import "markaudit/audit/uncertainty"

// verdict is that of one line: undecided where the readout moved, or where two
// setups disagree on it.
func (e evidence) verdict(line int) uncertainty.Verdict {
	l := e.lines[line]
	switch {
	case l.Offset == nil || !l.Offset.Known, e.checks.Moved:
		return uncertainty.Undecided
	case e.checks.SetupsDiffer && len(l.Seen) < uncertainty.EnoughSetups:
		return uncertainty.Undecided
	}
	return uncertainty.Decide(l.Conformity, e.sheet.Limits.Confidence)
}
