package calculate_test

import (
	"fmt"

	"markaudit/audit/calculate"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// One pair of contacts: where TDC is, and how to get there.
func ExamplePair_Top() {
	top, err := calculate.Pair{
		Forward: sheet.Reading{Value: 338}, Backward: sheet.Reading{Value: 22},
		Counts: geometry.CountsUp, Step: 0.5, Standing: sheet.Backward,
	}.Top()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("TDC at %.1f, half arc %.1f\n", top.Reading, top.HalfArc)
	for _, m := range top.Moves {
		fmt.Printf("turn %v by %.0f, to %.0f\n", m.Turning, m.By, m.To)
	}
	// Output:
	// TDC at 0.0°, half arc 22.0°
	// turn backward by 32°, to 350°
	// turn forward by 10°, to 0°
}
