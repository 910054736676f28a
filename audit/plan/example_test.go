package plan_test

import (
	"fmt"

	"markaudit/audit/plan"
	"markaudit/audit/sheet"
)

// How much to read for ± 0.4°: what the sheet says of engine, readout and lines
// counts, not the readings that it may hold.
func ExampleFor() {
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
	p, err := plan.For(s, plan.Guess{Middle: 0.1, Reading: 0.1, Remount: 0.1}, 0, 0.4)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("wanted ± %.2f\n", p.Wanted)
	if l := p.Least; l != nil {
		fmt.Printf("%d setups, %d pairs, %d readings a line: ± %.2f\n", l.Setups, l.Trials, l.Readings, l.U)
	}
	// Output:
	// wanted ± 0.40°
	// 1 setups, 3 pairs, 2 readings a line: ± 0.35°
}
