package compare_test

import (
	"fmt"
	"strings"

	"markaudit/audit/compare"
	"markaudit/audit/sheet"
)

// Two audits of one part: has a line moved since?
func ExampleSheets() {
	const pump = `
engine: {turns: clockwise}
part: {marks_on: part, diameter: 158.0 ± 0.2 mm, btdc_lines: clockwise}
readout: {step: 0.1, counts: up, quarter_turn: [12, 102]}
limits: {tolerance: 0.5, remount: ± 0.05}
marks: [{name: TDC, at: 0}, {name: fire 10, at: 10 BTDC}]
setups:
  - stop: {forward: [338.0, 338.1, 338.0, 338.1], backward: [22.1, 22.0, 22.0, 22.1]}
    marks: {TDC: [0.1, 0.1, 0.0, 0.1], fire 10: [352.0, 352.1, 352.1, 352.0]}
    closing: {forward: 338.0, backward: 22.1}
`
	var sheets []sheet.Sheet
	for _, text := range []string{pump, strings.ReplaceAll(pump, "352.", "351.")} {
		s, _, err := sheet.Read("pump.yaml", []byte(text), nil)
		if err != nil {
			fmt.Println(err)
			return
		}
		sheets = append(sheets, s)
	}
	c, err := compare.Sheets(sheets)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, ch := range c.Changes {
		fmt.Printf("%s comes %.2f later than before: changed %v\n", ch.Mark, ch.Difference.Value, ch.Differs)
	}
	// Output:
	// TDC comes 0.00° later than before: changed false
	// fire 10 comes -1.00° later than before: changed true
}
