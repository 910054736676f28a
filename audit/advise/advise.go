package advise

import (
	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
)

// Advice is what follows from a diagnosis, but for what to measure next.
type Advice struct {
	Lines        []Scribe              // one for each line, in the order of the sheet
	Forced       []Scribe              // the same with nothing withheld: what is held back, or for who insists
	Together     Scribe                // of the pointer, or of the line that turns
	TogetherHeld Scribe                // the same where it is held back
	Shared       *uncertainty.Estimate // what Together puts right; nil where there is no one order
	Check        EyeCheck
}

// Give finds the advice for one sheet.
func Give(s sheet.Sheet, top tdc.Found, placed []lines.Line, checks crosscheck.Checks, together lines.Alike, told diagnosis.Diagnosis) Advice {
	a := Advice{Check: eyeCheck(s, placed)}
	a.scribe(s, top, placed, checks, together, told)
	return a
}
