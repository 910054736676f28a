package rates

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// overYears is one part audited over the years: moved is what all lines have moved
// by in each audit, from the first on.
func overYears(rng *rand.Rand, setups int, wheel bool, moved ...geometry.Angle) []sheet.Sheet {
	r := drawn(rng, 1, 0, 120, 240, -10)
	r.Readout.Step = 0.05
	first := &r.Setups[0]
	first.Hand, first.Trials, first.Readings = simulate.Hand{MiddleSD: 0.1, ReadSD: 0.1}, 4, 3
	for i := range r.Lines {
		r.Lines[i].Offset = geometry.Angle(0.6 * rng.NormFloat64())
	}
	if wheel {
		r = onWheel(r, 0.1)
	}
	r = r.Repeated(setups)
	var sheets []sheet.Sheet
	for i, m := range moved {
		r.Part.Bent = m
		s, _ := r.Measure(rng)
		s.Date = fmt.Sprintf("%d-04-0%d", 2021+2*i, 1+i)
		sheets = append(sheets, s)
	}
	return sheets
}

func compared(t *testing.T, sheets []sheet.Sheet) compare.Comparison {
	t.Helper()
	c, err := compare.Sheets(sheets)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestCompare is a part over the years. A ring that slips by 0.8 between the
// second and the third audit is found, with date and amount, and nothing is
// claimed where nothing slipped. A part that creeps by 0.3 a year shows a trend,
// whose interval holds the truth.
func TestCompare(t *testing.T) {
	var cells []cell
	for _, setups := range []int{1, 3} {
		cells = append(cells, cell{
			name: fmt.Sprintf("slip, %d setups", setups), draws: 400,
			asks: []ask{
				atLeast(0.95, "it is found", promise), atLeast(0.95, "the interval holds its size", coverage),
				atMost(0.025, "a common change where nothing changed", claims), atLeast(0.95, "nothing is claimed where nothing changed", claims),
				atMost(0.10, "a line is said to have moved in two steps without a change", claims), // each at 5 %
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				c := compared(t, overYears(rng, setups, true, 0, 0, 0.8, 0.8))
				step, before, single := c.Steps[1], c.Steps[0], false
				for _, change := range c.Changes {
					single = single || change.Differs && change.To != 2
				}
				found, held := step.Finding == lines.Common && step.Common.Value > 0, notAsked
				if found {
					held = answered(holds(step.Common, 0.8))
				}
				return []answer{
					answered(found), held, answered(before.Finding == lines.Common), answered(before.Finding == lines.None), answered(single),
				}
			},
		})
	}
	measure(t, append(cells, cell{
		name: "creep", draws: 400,
		asks: []ask{atLeast(0.97, "the trend is seen", promise), atLeast(0.93, "the interval holds it", coverage)},
		draw: func(t *testing.T, rng *rand.Rand) []answer {
			c := compared(t, overYears(rng, 1, false, 0, 0.6, 1.2, 1.8)) // two years apart, but for days
			// Where two of four audits are held to have moved there is none.
			if len(c.Trends) == 0 || c.Trends[len(c.Trends)-1].Mark != "" {
				return []answer{no, notAsked}
			}
			last := c.Trends[len(c.Trends)-1]
			return answers(last.Rising, (last.PerYear.Value-0.3).Abs() <= last.PerYear.Expanded+0.002) // the days
		},
	}))
}
