package sheet

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

const dropsForm = `engine: {turns: clockwise, stroke: 92 mm, rod: 152 mm}
part: {marks_on: part}
readout: {step: 0.5, counts: up}
limits: {tolerance: 1}
marks: [{name: TDC, at: 0}]
`

// Drops and sweeps in a readings file say the same as under setups.
func TestDropsAndSweepsAsRows(t *testing.T) {
	tests := []struct{ name, rows, setups string }{
		{"rising", `1,1,drop,forward,340,,before,2 mm
1,1,drop,backward,20,,after,2 mm
1,2,drop,forward,340.5,hand slipped,before,2 mm
1,2,drop,backward,20,,after,2 mm
1,3,drop,forward,330,,before,4 mm
1,3,drop,backward,30,,after,4 mm
1,,TDC,forward,0,,,
`, `setups:
  - equal_drop:
      - {drop: 2 mm, before: [340, 340.5 struck hand slipped], after: [20, 20], approach: rising}
      - {drop: 4 mm, before: [330], after: [30], approach: rising}
    marks: {TDC: [0]}
`},
		{"one way", `1,1,drop,forward,340,,before,2 mm
1,1,drop,forward,20.5,,after,2 mm
`, `setups:
  - equal_drop:
      - {drop: 2 mm, before: [340], after: [20.5], approach: forward}
`},
		{"sweep", `1,,sweep,forward,335,,,2.61 mm
1,,sweep,forward,348,,,4.42 mm
1,,sweep,forward,0,,,5.0 mm
1,,sweep,forward,12,,,4.40 mm
1,,sweep,forward,25,,,2.60 mm
`, `setups:
  - sweep: {height: mm, approach: forward, points: [[335, 2.61], [348, 4.42], [0, 5.0], [12, 4.40], [25, 2.60]]}
`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			want, _, err := Read("a.yaml", []byte(dropsForm+tt.setups), nil)
			if err != nil {
				t.Fatal(err)
			}
			got, _, err := Read("a.yaml", []byte(dropsForm+"readings: a.csv\n"), func(string) ([]byte, error) {
				return []byte("setup,trial,item,approach,reading,struck,side,height\n" + tt.rows), nil
			})
			if err != nil {
				t.Fatal(err)
			}
			notes := cmp.FilterPath(func(p cmp.Path) bool {
				name := p.Last().String()
				return name == ".Path" || name == ".Readings"
			}, cmp.Ignore())
			if diff := cmp.Diff(want.Setups, got.Setups, notes, cmpopts.EquateEmpty()); diff != "" {
				t.Errorf("- under setups, + as rows\n%s", diff)
			}
		})
	}
}

// What a readings file cannot mean is said, with its line.
func TestFaultsOfDropsAsRows(t *testing.T) {
	const header = "setup,trial,item,approach,reading,mounting,side,height\n"
	tests := []struct{ name, marks, rows, want string }{
		{"no side", "", "1,1,drop,forward,340,,,2 mm\n", "a.csv:2:23: side: found nothing, expected before or after"},
		{"wrong side", "", "1,1,drop,forward,340,,left,2 mm\n", "found left, expected before or after"},
		{"no length", "", "1,1,drop,forward,340,,before,much\n", "found much, expected how far the piston stands below its top"},
		{"two drops in a pair", "", "1,1,drop,forward,340,,before,2 mm\n1,1,drop,forward,20,,after,3 mm\n", "expected one drop a pair"},
		{"twice", "", "1,1,drop,forward,340,,before,2 mm\n1,1,drop,forward,341,,before,2 mm\n", "a second reading before TDC"},
		{"backward before", "", "1,1,drop,backward,340,,before,2 mm\n", "before TDC the drop is come to turning the way the engine runs"},
		{"half a pair", "", "1,1,drop,forward,340,,before,2 mm\n", "without its reading after TDC"},
		{"no pair", "", "1,,drop,forward,340,,before,2 mm\n", "expected the number of the pair"},
		{"no height", "", "1,,sweep,forward,340,,,\n", "expected what the indicator shows"},
		{"few points", "", "1,,sweep,forward,340,,,2 mm\n", "expected at least 5"},
		{"two methods", "", "1,1,stop,forward,340,,,\n1,1,drop,forward,340,,before,2 mm\n", "found drop, after stop"},
		{"two mountings", "", "1,1,stop,forward,340,A,,\n1,1,stop,backward,20,B,,\n", "found B, after A in the same setup"},
		{"a line called drop", "[{name: drop, at: 0}]", "1,1,drop,forward,340,,before,2 mm\n", "expected another name for the line"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			form := dropsForm
			if tt.marks != "" {
				form = strings.Replace(form, "[{name: TDC, at: 0}]", tt.marks, 1)
			}
			_, _, err := Read("a.yaml", []byte(form+"readings: a.csv\n"), func(string) ([]byte, error) { return []byte(header + tt.rows), nil })
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q in it", err, tt.want)
			}
		})
	}
	// While readings are taken, what is not there yet is no fault.
	for _, rows := range []string{"1,1,drop,forward,340,,before,2 mm\n", "1,,sweep,forward,340,,,2 mm\n"} {
		u, _, err := ReadUnfinished("a.yaml", []byte(dropsForm+"readings: a.csv\n"), func(name string) ([]byte, error) {
			if name != "a.csv" {
				return nil, fs.ErrNotExist
			}
			return []byte(header + rows), nil
		})
		if err != nil || len(u.Rows) != 1 {
			t.Errorf("%s: got %v and %d rows", rows, err, len(u.Rows))
		}
	}
}
