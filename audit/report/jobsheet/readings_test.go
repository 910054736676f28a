package jobsheet

import (
	"strings"
	"testing"

	"markaudit/audit/sheet"
)

// The record of a comparison has every reading of its sheets, and why one was struck.
func TestReadings(t *testing.T) {
	s, _, err := sheet.Read("a.yaml", []byte(`
engine: {turns: clockwise, stroke: 92 mm, rod: 152 mm}
part: {marks_on: part}
readout: {step: 0.5, counts: up}
limits: {tolerance: 1}
marks: [{name: T, at: 0}, {name: 10 B, at: 10 BTDC}]
setups:
  - stop: {forward: [338, 338.5], backward: [22, 23 struck the lock was open]}
    marks: {10 B: [350], T: [0.5, 1]}
    closing: {forward: 338, backward: 22}
  - equal_drop: [{drop: 2 mm, approach: rising, before: [330], after: [30]}]
  - sweep: {height: mm, approach: forward, points: [[340, 1.4], [350, 0.3], [0, 0], [10, 0.3], [20, 1.4]]}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	var got strings.Builder
	for _, r := range Readings("a.yaml", s) {
		got.WriteString(r.Where + ": " + r.Text)
		if r.Struck != "" {
			got.WriteString(", struck: " + r.Struck)
		}
		got.WriteString("\n")
	}
	want := `a.yaml, setup 1, stop, pair 1, forward: 338
a.yaml, setup 1, stop, pair 1, backward: 22
a.yaml, setup 1, stop, pair 2, forward: 338.5
a.yaml, setup 1, stop, pair 2, backward: 23, struck: the lock was open
a.yaml, setup 1, T, reading 1, forward: 0.5
a.yaml, setup 1, T, reading 2, forward: 1
a.yaml, setup 1, 10 B, reading 1, forward: 350
a.yaml, setup 1, closing, forward: 338
a.yaml, setup 1, closing, backward: 22
`
	if !strings.HasPrefix(got.String(), want) {
		t.Errorf("got\n%s\nwant\n%s", got.String(), want)
	}
	for _, more := range []string{"setup 2, drop of 2 mm, pair 1, after", "setup 3, sweep, point 2 at 0.3 mm"} {
		if !strings.Contains(got.String(), more) {
			t.Errorf("no %q in\n%s", more, got.String())
		}
	}
}
