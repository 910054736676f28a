package simulate_test

import (
	"fmt"
	"math/rand/v2"

	"markaudit/audit/simulate"
)

// A stand that does not exist is measured; its truth is known.
func Example() {
	stand := simulate.Steady(0.6, 0, -10)
	stand.Lines[1].Offset = 1.5
	s, truth := stand.Measure(rand.New(rand.NewPCG(1, 0)))
	fmt.Println(len(s.Setups), "setups,", len(s.Marks), "lines")
	for _, l := range truth.Lines {
		fmt.Printf("%s is truly off by %.1f\n", l.Name, l.Offset)
	}
	// Output:
	// 1 setups, 2 lines
	// line 1 is truly off by 0.0°
	// line 2 is truly off by 1.5°
}
