package diagnosis

import (
	"markaudit/audit/crosscheck"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
)

// Diagnosis is what the readings of one sheet mean.
type Diagnosis struct {
	Decisions []Decision  // one for each line, in the order of the sheet
	Together  lines.Shift // what the lines say together
	Act       bool        // what shifts the lines together comes before any single line
	Pointer   Decision    // of the pointer, or of the line that turns
	Groups    []Group     // of lines on different parts, in the order of the sheet
	Between   []Between   // those groups
	Slip      Slip
	Warnings  []warning.Warning
}

// Decision is what follows for one line.
type Decision struct {
	Verdict  uncertainty.Verdict
	Withheld Withheld // why no instruction is given
}

// evidence is what stands before this stage.
type evidence struct {
	sheet  sheet.Sheet
	top    tdc.Found
	lines  []lines.Line
	checks crosscheck.Checks
}

// Explain weighs what was found.
func Explain(s sheet.Sheet, top tdc.Found, placed []lines.Line, checks crosscheck.Checks) Diagnosis {
	e := evidence{s, top, placed, checks}
	var d Diagnosis
	if top.Any() && !checks.Moved && !checks.SetupsDiffer { // both shift lines too
		some, leftOut := lines.LargestGroup(placed)
		d.Together = lines.Together(s, top, placed, some)
		d.Together.LeftOut = leftOut
	}
	if top.Any() {
		e.groups(&d)
	}
	found := suspicions(s, top, placed)
	if len(found) > 0 {
		d.Warnings = append(d.Warnings, warning.Warning{Code: warning.DeclarationSuspect, Suspicions: found})
	}
	for i := range placed {
		d.Decisions = append(d.Decisions, Decision{Verdict: e.verdict(i)})
	}
	e.order(&d, len(found) > 0)
	return d
}
