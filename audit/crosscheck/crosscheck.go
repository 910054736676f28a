package crosscheck

import (
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Checks is what was found twice.
type Checks struct {
	LostMotion geometry.Angle // seen from both sides beyond what the sheet states; zero if it agrees
	Cylinders  []Bank         // in the order of the sheet
	Ways       []WayDifference
	Spacings   []Spacing   // as the sheet states them
	Arcs       []Centring  // of the stops that stayed in their place
	Odd        *OddReading // nil where no reading is more than two steps from those beside it
	Warnings   []warning.Warning
}

// input is what stands before this stage.
type input struct {
	sheet   *sheet.Sheet
	readout readout.Readout
	top     tdc.Found
	lines   []lines.Line
}

// All makes every check that the sheet allows.
func All(s sheet.Sheet, r readout.Readout, top tdc.Found, placed []lines.Line) Checks {
	in := input{&s, r, top, placed}
	var c Checks
	if top.Any() {
		every := []func(input, *Checks){readings, lostMotion, setups, cylinders, ways, spacings, blockedArcs}
		if s.Readout.Kind == sheet.Dial { // which finds no angle of TDC that could be found twice
			every = []func(input, *Checks){readings, spacings}
		}
		for _, check := range every {
			check(in, &c)
		}
	}
	c.Warnings = append(c.Warnings, unchecked(in)...)
	return c
}

func (c *Checks) warn(w warning.Warning) { c.Warnings = append(c.Warnings, w) }
