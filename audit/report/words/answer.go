package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Meaning says what the ± and the verdicts stand for.
func (v Audit) Meaning() string {
	if len(v.Result.ByLine()) == 0 {
		return "The sheet declares no marks."
	}
	if !v.Result.TDC.Any() {
		if v.onDial() {
			return "The dial was not read at the piston's top. There is no TDC and no offset."
		}
		return "No pair of stop contacts can be used. There is no TDC and no offset."
	}
	var b strings.Builder
	sure, unsure := 0, 0
	for _, m := range v.Result.ByLine() {
		switch {
		case m.Offset == nil:
		case m.Offset.Known:
			sure++
		default:
			unsure++
		}
	}
	taken, holds := takenForTDC(v), "within the ±"
	switch n := len(slices.DeleteFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return Ends(m) == nil })); {
	case n > 0 && n == sure: // no ± is shown
		holds = "between the two figures"
	case n > 0:
		holds = "within the ±, or between the two figures,"
	}
	if sure > 0 {
		if v.Result.Diagnosis.ReadoutMoved() || v.Result.Diagnosis.SetupsDiffer() {
			fmt.Fprintf(&b, "If nothing had moved or changed in between, the true offset would lie %s in %s of cases. This is from %s.", holds, v.Confidence(), taken)
		} else {
			fmt.Fprintf(&b, "The true offset lies %s in %s of cases. This is from %s.", holds, v.Confidence(), taken)
		}
		if slices.ContainsFunc(v.Result.ByLine(), AsFitted) {
			b.WriteString(" \"As fitted\": the ± covers repeating the readings. It does not cover taking the readout off and fitting it again.")
		} else {
			b.WriteString(aboutRemounting(v))
		}
		if slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return len(m.NotIncluded) > 0 }) {
			b.WriteString(" What a doubt below calls \"not included\" makes the ± larger still.")
		}
	} else {
		fmt.Fprintf(&b, "Taken: %s.", taken)
	}
	if unsure > 0 {
		b.WriteString(" \"± ?\": too little was repeated, and no ± can be given.")
	}
	b.WriteString(" Late: after its place.")
	if slices.ContainsFunc(v.Result.ByLine(), lopsided) {
		b.WriteString(" \"Between\": a dial tells less near TDC, so the true offset may lie further to one side.")
	}
	if slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return lopsided(m) && !m.ByDial.SideTold }) {
		b.WriteString(" \"Side not told\": it reads alike before TDC and after.")
	}
	if slices.ContainsFunc(v.Result.ByLine(), func(m audit.LineResult) bool { return OnlyJust(m) != "" }) {
		fmt.Fprintf(&b, " \"Only just\": the ± reaches out of the tolerance, but the chance that the line is within is at least %s.", rounding.Confidence(v.Result.Sheet.Limits.Threshold()))
	}
	return b.String()
}

// ComesUp says where a line really comes up: "9.07 BTDC".
func ComesUp(m audit.LineResult) string {
	if m.ByDial != nil {
		at := m.ComesUpAt.Crank(MarkPlaces(m))
		if m.Mark.Drop > 0 { // by the piston first
			at = rounding.Fixed(m.ByDial.Found.Millimetres(), rounding.Unsure) + " mm, " + at
		}
		return at
	}
	return m.ComesUpAt.Crank(MarkPlaces(m)) + dropAt(m)
}

// MarkPlaces returns how many decimals a line's offset is shown with.
func MarkPlaces(m audit.LineResult) int {
	if m.Offset != nil && m.Offset.Known {
		return rounding.Places(m.Offset.Expanded.Degrees())
	}
	return rounding.Unsure
}

// Offset says how far off a line is, and how sure that is.
func Offset(e *uncertainty.Estimate) string {
	if e == nil {
		return "not read"
	}
	if !e.Known {
		return rounding.OffBy(e.Value, rounding.Unsure) + " ± ?"
	}
	n := rounding.Places(e.Expanded.Degrees())
	return rounding.OffBy(e.Value, n) + " ± " + rounding.TwoDigits(e.Expanded)
}

// Verdict is one word, loud when something must be done.
func Verdict(m audit.LineResult) string {
	s := m.Verdict.String()
	if s == "outside" {
		s = "OUTSIDE"
	}
	return s
}

// VerdictInRow is the verdict on a line that was read as a table has it: with the line's
// own tolerance where a head does not say that of all, and with what has to be known
// beside it.
func (v Audit) VerdictInRow(m audit.LineResult) string {
	if v.SameTolerance() {
		return Verdict(m) + beside(m)
	}
	return v.Judged(m)
}

// AllowedInDegrees is a tolerance in millimetres of the piston in the unit of the offset,
// to follow it in brackets; empty for others.
func AllowedInDegrees(m audit.LineResult) string {
	if m.Mark.DropLimit == 0 {
		return ""
	}
	early, late := m.Allowed()
	return rounding.TwoDigits(early) + " early to " + rounding.TwoDigits(late) + " late"
}

// SameTolerance reports whether all lines have one, which the head of a table then says.
func (v Audit) SameTolerance() bool {
	all := v.Result.ByLine()
	return !slices.ContainsFunc(all, func(m audit.LineResult) bool { return v.Allowed(m.Mark) != v.Allowed(all[0].Mark) })
}

// beside is what has to be known beside a verdict.
func beside(m audit.LineResult) string { return OnlyJust(m) + Fitted(m) }

// OnlyJust follows the verdict on a line that is within with little to spare: its
// interval reaches out of its tolerance. It is empty else.
func OnlyJust(m audit.LineResult) string {
	early, late := m.Allowed()
	if low, high, known := m.Interval(); known && m.Verdict == diagnosis.Within && (low < -early || high > late) {
		return ", only just"
	}
	return ""
}

// Allowed is how far a line may be off: "±1°", or "±0.3 mm" of piston travel.
func Allowed(m sheet.Mark) string {
	if m.DropLimit > 0 {
		return "±" + rounding.Plain(m.DropLimit.Millimetres()) + " mm"
	}
	return "±" + rounding.Plain(rounding.Trimmed(m.Tolerance.Degrees())) + "°"
}

// Allowed is how far a line may be off as the sheet has it: "±1°30'", "±3 mm rim".
func (v Audit) Allowed(m sheet.Mark) string {
	text, own := ownWords(v.tolerance(m))
	if computed := Allowed(m); !own || m.DropLimit > 0 && strings.HasPrefix("±"+text, computed) {
		return computed
	}
	return "±" + text
}

// tolerance is that of a line in the words of the sheet.
func (v Audit) tolerance(m sheet.Mark) string {
	if said := v.Result.Sheet.Said(m.Path + ".tolerance"); said != "" {
		return said
	}
	return v.Result.Sheet.Said("limits.tolerance")
}

// ownWords is a size or a limit as somebody wrote it, without the ±, where a report would
// write it otherwise: in fractions, inches, minutes, round the rim, with a coverage
// factor. Plain numbers, and millimetres, read the same.
func ownWords(said string) (text string, own bool) {
	text = Clean(strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(said), "±")))
	plain := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(text, "°"), "deg"), "mm"))
	return text, text != "" && strings.Trim(plain, "0123456789.") != ""
}

// asWritten is a size of the sheet in its own words, with what it comes to beside where
// that is another unit; else as it is given here.
func (v Audit) asWritten(path inputerror.Path, computed string) string {
	said := v.Result.Sheet.Said(path)
	text, own := ownWords(said)
	if !own {
		return computed
	}
	if c := strings.TrimPrefix(sheet.Converted(text), "± "); c != "" {
		text += " (" + c + ")"
	}
	return text
}

// dropAt follows where a line comes up, for a line given as a piston drop.
func dropAt(m audit.LineResult) string {
	if m.DropAt == 0 {
		return ""
	}
	if strings.Contains(m.AtText, "in ") { // a nominal in inches is compared in inches
		return " = " + rounding.Fixed(m.DropAt.In(geometry.Inch), 3) + " in"
	}
	return " = " + rounding.Fixed(m.DropAt.Millimetres(), 2) + " mm"
}

// Judged is the verdict on a line in words, with what the sheet allows in its own words.
func (v Audit) Judged(m audit.LineResult) string {
	if m.Offset == nil {
		return Judged(m)
	}
	return Verdict(m) + " " + v.Allowed(m.Mark) + beside(m)
}

// Judged is the verdict on a line in words, with what it was held against.
func Judged(m audit.LineResult) string {
	if m.Offset == nil {
		return "not read"
	}
	return Verdict(m) + " " + Allowed(m.Mark) + beside(m)
}

// Summary says an estimate in full: standard uncertainty, interval, factor.
func (v Audit) Summary(e *uncertainty.Estimate) string {
	if !e.Known {
		return "The readings show no scatter, and no ± can be given."
	}
	n := rounding.Places(e.Expanded.Degrees())
	dof := "infinite"
	if !e.DOF.Infinite() {
		dof = rounding.Fixed(float64(e.DOF), 1)
	}
	return fmt.Sprintf("Combined standard uncertainty %s, expanded %s at %s (k = %s, from the whole distribution of the sum). Effective degrees of freedom, for information: %s.",
		rounding.Degrees(e.Standard, n+1), rounding.TwoDigits(e.Expanded), v.Confidence(), rounding.Fixed(float64(e.Expanded/e.Standard), 2), dof) + budgetNote(e)
}

// AboutBudget says what the columns of a budget are.
const AboutBudget = "Size: half width, or standard deviation of the mean, in degrees. u: standard uncertainty. By A: from the scatter of readings, B: otherwise. Scatter and step rows describe one thing: where one of them is at 0 %, it is not counted twice. Rows of few readings are mixed in such a way that as many intervals hold the truth as they promise, and not more."

// AboutSetTo leads to what setting the engine by a line as it is would give.
const AboutSetTo = "As it is now, the engine stands here:"

// inDegrees says at which crank angle each line belongs that is not given as
// one from TDC on.
func (v Audit) inDegrees() string {
	var parts []string
	for _, m := range v.Result.ByLine() {
		if !strings.ContainsAny(m.AtText, "mp") && !strings.Contains(m.AtText, "BDC") {
			continue
		}
		text := m.AtText + " is " + m.At.Crank(2)
		if m.DropLimit > 0 {
			early, late := m.Allowed()
			text += fmt.Sprintf(", %s of it from %s early to %s late", v.Allowed(m.Mark), rounding.Degrees(early, 2), rounding.Degrees(late, 2))
		}
		if !slices.Contains(parts, text) {
			parts = append(parts, text)
		}
	}
	for _, m := range v.Result.ByLine() { // tolerances in other words than degrees
		said, computed := v.Allowed(m.Mark), Allowed(m.Mark)
		if text := said + " is " + computed; m.DropLimit == 0 && said != computed && !slices.Contains(parts, text) {
			parts = append(parts, text)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "In degrees of the crank " + strings.Join(parts, "; ") + "."
}

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
	text := fmt.Sprintf("How probable each side of the tolerance is, if the sheet is right. A verdict is given from %s on, outside on one side alone (JCGM 106:2012, 8.3). Risk: that the verdict is wrong.",
		rounding.Confidence(at))
	for _, m := range v.Result.ByLine() {
		if p := m.Conformity; m.Verdict == diagnosis.Undecided && m.Offset != nil && m.Offset.Known && max(p.Early, p.Within, p.Late) >= at {
			return text + " A line with a clear row has no verdict where something else may explain it. See what to do."
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
