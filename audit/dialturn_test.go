package audit

import (
	"slices"
	"strings"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
)

// missedTurn is a sheet with a dial, stroke 54 and rod 110 mm: the piston stands 0.510,
// 1.638 and 4.449 mm below its top at 10, 18 and 30 degrees (the triangle of crank and
// rod, computed outside the project), and at 30 a turn of 1 mm was not counted.
const missedTurn = `engine: {turns: clockwise, stroke: 54 mm, rod: 110 mm}
part: {marks_on: part}
readout: {kind: dial, step: 0.01 mm, revolution: 1 mm}
limits: {tolerance: 1}
marks: [{name: spark, at: 18 BTDC}, {name: adv, at: 30 BTDC}, {name: low, at: 10 BTDC}]
setups:
  - top: [0.00 mm, 0.01 mm, 0.00 mm]
    marks: {spark: [1.64 mm BTDC, 1.65 mm BTDC, 1.64 mm BTDC], adv: [3.45 mm BTDC, 3.46 mm BTDC, 3.45 mm BTDC], low: [0.51 mm BTDC, 0.50 mm BTDC, 0.51 mm BTDC]}
    closing: {top: 0.01 mm}
`

// A line that fits with a turn of the hand more is not scribed before it was read
// again. Without the dial's revolution, and for one who looked, there is no such doubt;
// any sense of the dial and either side of TDC are alike.
func TestATurnOfTheHandWasMissed(t *testing.T) {
	for _, c := range []struct {
		name  string
		edit  func(text string) string
		found bool
	}{
		{"missed", func(s string) string { return s }, true},
		{"after TDC", func(s string) string { return strings.ReplaceAll(s, "BTDC", "ATDC") }, true},
		{"a dial that falls as the piston sinks", func(s string) string {
			return strings.NewReplacer("[0.00 mm, 0.01 mm, 0.00 mm]", "[9.00 mm, 8.99 mm, 9.00 mm]", "1.64 mm", "7.36 mm", "1.65 mm", "7.35 mm", "3.45 mm", "5.55 mm", "3.46 mm", "5.54 mm", "0.51 mm", "8.49 mm", "0.50 mm", "8.50 mm", "top: 0.01 mm", "top: 8.99 mm").Replace(s)
		}, true},
		{"one turn too many", func(s string) string {
			return strings.NewReplacer("3.45 mm", "5.45 mm", "3.46 mm", "5.46 mm").Replace(s)
		}, true},
		{"not stated", func(s string) string { return strings.Replace(s, ", revolution: 1 mm", "", 1) }, false},
		{"looked at", func(s string) string { return "checked: [line adv]\n" + s }, false},
		{"another revolution", func(s string) string { return strings.Replace(s, "revolution: 1 mm", "revolution: 2.5 mm", 1) }, false},
	} {
		s, _, err := sheet.Read("a.yaml", []byte(c.edit(missedTurn)), nil)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		r, err := Run(s)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		at := slices.IndexFunc(r.Diagnosis.Standing, func(e diagnosis.Explanation) bool { return e.Code == diagnosis.Revolution })
		if (at >= 0) != c.found {
			t.Errorf("%s: found %v, standing %+v", c.name, at >= 0, r.Diagnosis.Standing)
			continue
		}
		if !c.found {
			continue
		}
		e := r.Diagnosis.Standing[at]
		if !slices.Equal(e.Lines, []int{1}) || e.Offset[1].Abs() > 0.15 || r.Advice.Lines[1].Worthwhile || len(r.Diagnosis.Ask) != 1 || r.Diagnosis.Ask[0].Kind != diagnosis.ReadAgain {
			t.Errorf("%s: %+v, asked %+v", c.name, e, r.Diagnosis.Ask)
		}
	}
}
