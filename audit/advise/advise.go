package advise

import (
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
)

// Advice is what follows from a diagnosis, but for what to measure next.
type Advice struct {
	Lines     []Scribe // one for each line, in the order of the sheet
	Forced    []Scribe // the same with nothing withheld, for who insists
	Together  Scribe   // of the pointer, or of the line that turns
	Distances []Distance
	Check     EyeCheck
}

// Give finds the advice for one sheet.
func Give(s sheet.Sheet, top tdc.Found, placed []lines.Line, told diagnosis.Diagnosis) Advice {
	a := Advice{Check: eyeCheck(s, placed)}
	a.scribe(s, placed, told)
	a.distances(s, top, placed)
	return a
}
