package sheet_test

import (
	"errors"
	"fmt"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// What cannot be right comes back with its place, all of it at once.
func ExampleRead() {
	_, _, err := sheet.Read("pump.yaml", []byte(`
engine: {turns: clockwise}
part: {marks_on: part, diameter: 158.0}
readout: {step: 0.1, cuonts: up}
limits: {tolerance: 1}
marks: [{name: TDC, at: 0}]
`), nil)
	fmt.Println(err)
	var faults inputerror.List
	fmt.Println(errors.As(err, &faults), len(faults))
	// Output:
	// pump.yaml:2:1: setups: missing, expected the readings, or readings: with the name of a CSV file
	// pump.yaml:3:34: part.diameter: found 158.0, expected a length with a unit, such as 158.0 mm
	// pump.yaml:4:22: readout.cuonts: unknown key
	//   hint: did you mean "counts"?
	// true 3
}
