package audit_test

import (
	"fmt"

	"markaudit/audit"
	"markaudit/audit/sheet"
)

// A sheet is read, audited, and asked what each line is and what to do about it.
func Example() {
	s, _, err := sheet.Read("pump.yaml", []byte(`
engine: {turns: clockwise}
part: {marks_on: part, diameter: 158.0 ± 0.2 mm, btdc_lines: clockwise}
readout: {step: 0.1, counts: up, quarter_turn: [12, 102]}
limits: {tolerance: 0.5, remount: ± 0.05}
marks: [{name: TDC, at: 0}, {name: fire 10, at: 10 BTDC}]
setups:
  - stop: {forward: [338.0, 338.1, 338.0, 338.1], backward: [22.1, 22.0, 22.0, 22.1]}
    marks: {TDC: [0.1, 0.1, 0.0, 0.1], fire 10: [352.0, 352.1, 352.1, 352.0]}
    closing: {forward: 338.0, backward: 22.1}
`), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	result, err := audit.Run(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range result.ByLine() {
		fmt.Printf("%v: %v\n", l.Line, l.Verdict)
		if l.Scribe.Worthwhile {
			fmt.Printf("  a new line %.2f %v of the old\n", l.Scribe.Arc, l.Scribe.Rotation)
		}
	}
	for i, next := range audit.Next(result) {
		fmt.Printf("%s: %v\n", result.Lines[i].Name, next.Way)
	}
	// Output:
	// TDC: 0.03° ± 0.09°: within
	// fire 10: 2.00° ± 0.09°: outside
	//   a new line 2.76 mm clockwise of the old
	// TDC: settled
	// fire 10: settled
}
