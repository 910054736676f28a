package repeatability_test

import (
	"fmt"

	"markaudit/audit/repeatability"
	"markaudit/geometry"
)

// Three people read one mark three times each.
func ExampleAnalyse() {
	var d repeatability.Data
	for by, readings := range map[string][]geometry.Angle{"Ana": {0.1, 0.2, 0.1}, "Bo": {0.1, 0.1, 0.2}, "Cy": {0.9, 1.0, 0.9}} {
		for i, v := range readings {
			d.Values = append(d.Values, repeatability.Value{By: by, Mark: "TDC", Value: v, Trial: i + 1})
		}
	}
	r := repeatability.Analyse(d, repeatability.PoolAuto)
	fmt.Println(len(r.People), "people")
	// Output:
	// 3 people
}
