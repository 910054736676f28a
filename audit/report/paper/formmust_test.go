package paper

import (
	"strings"
	"testing"

	"markaudit/audit/sheet"
)

// A sheet with the answers in thick frames alone is read, whichever way TDC is found, and
// none of them can be left out. For drops and a sweep stroke and rod come to that, which
// the form asks for in words.
func TestThickFramesAreWhatASheetIsRefusedWithout(t *testing.T) {
	const all = `engine:
  turns: clockwise
%part:
  marks_on: part
readout:
  step: 0.5
  counts: up
limits:
  tolerance: 1
marks:
  - name: T
    at: 0
setups:
  - `
	const crank = "  stroke: 92 mm\n  rod: 152 mm\n"
	for way, s := range map[string]string{
		"stop":   strings.Replace(all, "%", "", 1) + "stop:\n      forward: [338]\n      backward: [22]\n",
		"drops":  strings.Replace(all, "%", crank, 1) + "equal_drop:\n      - drop: 2.0 mm\n        before: [338]\n        after: [22]\n",
		"sweep":  strings.Replace(all, "%", crank, 1) + "sweep:\n      height: mm\n      points: [[335, -1.1], [345, 4.2], [0, 7.3], [15, 4.1], [25, -1.2]]\n",
		"points": strings.Replace(all, "%", crank, 1) + "sweep:\n      height: mm\n      points: [[335, -1.1], [345, 4.2], [0, 7.3], [15, 4.1]]\n",
	} {
		_, _, err := sheet.Read(way, []byte(s), nil)
		if refused := err != nil; refused != (way == "points") {
			t.Errorf("%s: %v", way, err)
		}
		if points := strings.Count(s, "], ["); way == "sweep" && points+1 != leastPoints {
			t.Errorf("%d points, want %d", points+1, leastPoints)
		}
		for _, key := range []string{"turns", "stroke", "rod", "marks_on", "step", "counts", "tolerance", "- name", "at", "forward", "backward", "- drop", "before", "after", "height", "points"} {
			lines := strings.Split(s, "\n")
			for i, line := range lines {
				if !strings.HasPrefix(strings.TrimSpace(line), key+":") {
					continue
				}
				without := append([]string{}, lines[:i]...)
				if strings.HasPrefix(key, "- ") { // the dash of the list stays
					lines[i+1] = line[:strings.Index(line, "-")] + "- " + strings.TrimSpace(lines[i+1])
				}
				without = append(without, lines[i+1:]...)
				if _, _, err := sheet.Read(way, []byte(strings.Join(without, "\n")), nil); err == nil {
					t.Errorf("%s: read without %s", way, key)
				}
				lines = strings.Split(s, "\n")
			}
		}
	}
}
