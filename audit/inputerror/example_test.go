package inputerror_test

import (
	"fmt"

	"markaudit/audit/inputerror"
)

// Faults of a sheet that a program built have paths and no file.
func Example() {
	faults := inputerror.List{{Path: "part.diameter", Text: "found 158.0, expected a length with a unit", Hint: "such as 158.0 mm"}}
	fmt.Println(faults)
	// Output:
	// part.diameter: found 158.0, expected a length with a unit
	//   hint: such as 158.0 mm
}
