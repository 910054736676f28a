package report_test

import (
	"fmt"
	"os"

	"markaudit/audit"
	"markaudit/audit/report"
	"markaudit/audit/report/document"
	"markaudit/audit/sheet"
)

// A result becomes a document, and any document can be printed in several forms.
func ExampleAudit() {
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
	doc := report.Audit(result, audit.Next(result), document.Options{Path: "pump.yaml"})
	_ = document.Text(os.Stdout, doc[:2]) // the title and the answer
	// Output:
	// Sheet pump.yaml
	// ===============
	// line     belongs at  comes up at  off by                within ±0.5°?
	// TDC      0           0.025 ATDC   0.025° late ± 0.090°  within
	// fire 10  10 BTDC     8.000 BTDC   2.000° late ± 0.090°  OUTSIDE
}
