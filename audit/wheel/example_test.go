package wheel_test

import (
	"fmt"
	"math"

	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// A wheel that sits off centre errs once round.
func ExampleAccumulator_Audit() {
	var a wheel.Accumulator
	for i := range 24 {
		at := geometry.Angle(15 * i)
		a.Add(wheel.Row{Reference: at, Reading: at + geometry.Angle(0.4*math.Sin(at.Radians()))})
	}
	r, err := a.Audit(wheel.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Stations, "stations")
	// Output:
	// 24 stations
}
