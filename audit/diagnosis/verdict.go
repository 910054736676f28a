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
	return ifRight(l.Conformity, e.sheet.Limits.Threshold())
}

// ifRight is what a line's probabilities say, the sheet being right: within or
// outside where that is at least as probable as a verdict has to be, and outside
// on one side alone, for nobody can put a line right of which the side is not
// known (JCGM 106, 8.3; ISO 14253-1). at is above 0.5. A probability that is not a
// number decides nothing.
func ifRight(p uncertainty.Sides, at float64) uncertainty.Verdict {
	switch {
	case p.Within >= at:
		return uncertainty.Within
	case p.Late >= at || p.Early >= at:
		return uncertainty.Outside
	}
	return uncertainty.Undecided
}
