package export_test

import (
	"bytes"
	"fmt"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/export"
	"markaudit/audit/sheet"
)

// An audit is written for other programs, and can be read back.
func ExampleReadAudit() {
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
	var file bytes.Buffer
	if err := export.Audit(&file, result, audit.Next(result), document.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	again, err := export.ReadAudit(&file)
	fmt.Println(again.Lines[1], err)
	// Output:
	// fire 10: 2.00° ± 0.09° <nil>
}
