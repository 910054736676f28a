package export

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"slices"

	"markaudit/audit/report/rounding"
)

// The forms of studies to fill in: every row is there but for its number. An empty
// number is a fault when the file is read, so that half a form is never taken for a
// whole one.

// BlankStops is a form for a study of two stops, in the order reference, new, new,
// reference.
func (c CSV) BlankStops(setups, trials int) string {
	t := newTable("tool", "setup", "trial", "approach", "reading", "by", "note", "struck")
	t.CSV = c
	for setup := range setups {
		for trial := range trials {
			tools := []string{"reference", "new"}
			if trial%2 == 1 {
				slices.Reverse(tools)
			}
			for _, tool := range tools {
				for _, approach := range []string{"forward", "backward"} {
					t.row(tool, setup+1, trial+1, approach, "", "", "", "")
				}
			}
		}
	}
	return t.text()
}

// BlankWheel is a form for a table of a readout: stations evenly round, up and down
// again. An odd number of stations does not lie on a wheel's graduations.
func (c CSV) BlankWheel(stations int) string {
	t := newTable("reference", "reading", "approach")
	t.CSV = c
	at := func(i int) float64 { return rounding.Trimmed(360 * float64(i) / float64(stations)) }
	for i := range stations {
		t.row(at(i), "", "forward")
	}
	for i := range stations {
		t.row(at(stations-1-i), "", "backward")
	}
	return t.text()
}

// BlankClass is a form for a class: people in turn, the lines in another order each
// time, which comes from name, that of the file.
func (c CSV) BlankClass(name string, people, lines []string, times int) string {
	t := newTable("by", "mark", "value", "trial")
	t.CSV = c
	for round := range times {
		for i := range people {
			by := people[(i+round)%len(people)] // whoever was first goes to the end
			order := slices.Clone(lines)
			slices.SortFunc(order, func(a, b string) int {
				x, y := turnOf(name, by, a, round), turnOf(name, by, b, round)
				return bytes.Compare(x[:], y[:])
			})
			for _, line := range order {
				t.row(by, line, "", round+1)
			}
		}
	}
	return t.text()
}

func turnOf(name, by, line string, round int) [sha256.Size]byte {
	return sha256.Sum256([]byte(fmt.Sprintf("%s\n%s\n%s\n%d", name, by, line, round)))
}

// text is the table as it is written.
func (t *table) text() string {
	var b bytes.Buffer
	_ = t.write(&b) // into memory
	return b.String()
}
