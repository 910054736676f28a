package words

import (
	"fmt"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/rounding"
)

// DecisionRule is the rule by which lines are judged, with its clause.
func (v Audit) DecisionRule() string {
	return fmt.Sprintf("A line is within when at least %s of that distribution lies within its tolerance, outside when at least as much lies beyond it on one side, and undecided otherwise (JCGM 106:2012, 8.3).",
		rounding.Confidence(v.Result.Sheet.Limits.Threshold()))
}

// Rule is the decision rule by itself, for a title block.
func (v Audit) Rule() string {
	return fmt.Sprintf("Within: at least %[1]s of where the true offset may lie is within the tolerance. Outside: at least %[1]s is beyond it on one side. Else undecided (JCGM 106:2012, 8.3).",
		rounding.Confidence(v.Result.Sheet.Limits.Threshold()))
}

// AboutRisks leads to the probabilities of each line.
func (v Audit) AboutRisks() string {
	at := v.Result.Sheet.Limits.Threshold()
	text := fmt.Sprintf("How probable each side of the tolerance is, the sheet being right. A verdict is given from %s on, outside on one side alone (JCGM 106:2012, 8.3). Risk: that the line is in truth not what its verdict says.",
		rounding.Confidence(at))
	for _, m := range v.Result.ByLine() {
		if p := m.Conformity; m.Verdict == diagnosis.Undecided && m.Offset != nil && m.Offset.Known && max(p.Early, p.Within, p.Late) >= at {
			return text + " A line whose row is clear has no verdict where something else may explain it: see what to do."
		}
	}
	return text
}

// Risks are, of a line with an interval, how probable it is too early, within and
// too late, and the risk of its verdict, "-" where nothing is decided.
func Risks(m audit.LineResult) []string {
	p := m.Conformity
	out := []string{inHundred(p.Early), inHundred(p.Within), inHundred(p.Late), "-"}
	if risk, decided := m.Risk(); decided {
		out[3] = inHundred(risk)
	}
	return out
}

// inHundred is a probability in per cent, never quite none nor all.
func inHundred(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.1 %"
	case p > 0.999:
		return "> 99.9 %"
	}
	return rounding.Fixed(100*p, 1) + " %"
}
