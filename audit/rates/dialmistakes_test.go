package rates

import (
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit"
	"markaudit/audit/compare"
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// plainDial is a sheet with a dial and four lines, the last of them two degrees late and
// the others where they belong; after the lines the top is read once more.
func plainDial(rng *rand.Rand) sheet.Sheet {
	c := dialCells[2]
	c.at, c.off = []float64{12, 18, 24, 32}, 0
	s, _ := c.sheetOf(rng)
	s.Checked = sheet.Checked{}
	for i := range s.Marks {
		s.Marks[i].Tolerance = 1
	}
	last := &s.Marks[3]
	last.At -= 2 // the line stays; what belongs moves
	top := s.Setups[0].Top[rng.IntN(3)]
	s.Setups[0].ClosingTop = &top
	return s
}

// shiftLine puts all readings of a line so much higher.
func shiftLine(s sheet.Sheet, name string, by geometry.Length) {
	for i := range s.Setups[0].Marks[name] {
		s.Setups[0].Marks[name][i].Length += by
	}
}

// moveDial puts the dial elsewhere after the top was read, and leaves it there.
func moveDial(s sheet.Sheet, by geometry.Length) {
	for _, m := range s.Marks {
		shiftLine(s, m.Name, by)
	}
	s.Setups[0].ClosingTop.Length += by
}

// furtherOn reads every line and five degrees further the way the engine runs.
func furtherOn(s sheet.Sheet) {
	e := s.Engine
	for i := range s.Marks {
		m := &s.Marks[i]
		at := m.At
		if i == 3 {
			at += 2
		}
		here := s.Setups[0].Marks[m.Name][0]
		there := here
		there.Length += geometry.Length(dialDrop(e.Stroke.Millimetres(), e.Rod.Millimetres(), (at+5).Degrees()) - dialDrop(e.Stroke.Millimetres(), e.Rod.Millimetres(), at.Degrees()))
		m.Further = &[2]sheet.Reading{here, there}
	}
}

func dialResult(t *testing.T, s sheet.Sheet) audit.Result {
	t.Helper()
	r, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// orderedAt reports whether a line is ordered to be scribed anew, or all to be moved.
func orderedAt(r audit.Result, i int) bool {
	return r.Advice.Lines[i].Worthwhile || r.Advice.Together.Worthwhile
}

// orderedWrongly reports whether anything is ordered for a line that is right.
func orderedWrongly(r audit.Result) bool {
	return slices.ContainsFunc([]int{0, 1, 2}, func(i int) bool { return orderedAt(r, i) })
}

// TestDialMistakes is a dial that moved, a turn of the hand that was missed, letters
// that were exchanged, with and without a reading further on. The truth is drawn from
// the triangle of crank and rod.
func TestDialMistakes(t *testing.T) {
	measure(t, []cell{
		{
			name: "a dial that stood still", draws: 1000, quick: 15,
			asks: []ask{
				atMost(0.02, "said to have moved", claims), atMost(0.02, "something right is ordered anew", claims),
				atLeast(0.9, "what is off is ordered", promise), atLeast(0.9, "the same with the turn of the hand stated", promise),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				s := plainDial(rng)
				furtherOn(s)
				r := dialResult(t, s)
				s.Readout.Revolution = 1
				turn := dialResult(t, s)
				return answers(r.Diagnosis.ReadoutMoved(), orderedWrongly(r) || orderedWrongly(turn), orderedAt(r, 3), orderedAt(turn, 3))
			},
		},
		{
			name: "moved by 0.1 mm", draws: 1000, quick: 15,
			asks: []ask{atLeast(0.95, "said to have moved", promise), atMost(0.02, "anything is ordered", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				s := plainDial(rng)
				furtherOn(s)
				moveDial(s, geometry.Length(0.1*(1-2*float64(rng.IntN(2)))))
				for i := range s.Marks {
					s.Marks[i].Further = nil
				}
				r := dialResult(t, s)
				return answers(r.Diagnosis.ReadoutMoved(), orderedWrongly(r) || orderedAt(r, 3))
			},
		},
		{
			name: "moved by 0.1 mm, the top not read again", draws: 1000, quick: 15,
			asks: []ask{atMost(0.05, "something right is ordered anew", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				s := plainDial(rng)
				moveDial(s, geometry.Length(0.1*(1-2*float64(rng.IntN(2)))))
				s.Setups[0].ClosingTop = nil
				return answers(orderedWrongly(dialResult(t, s)))
			},
		},
		{
			name: "a turn missed at a line", draws: 1000, quick: 15,
			asks: []ask{atLeast(0.95, "it is told", promise), atMost(0.02, "that line is ordered anew", promise), atLeast(0.95, "it is told of one turn too many", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				s := plainDial(rng)
				s.Marks[3].At += 2
				s.Readout.Revolution = 1
				shiftLine(s, s.Marks[3].Name, -1)
				told := func(r audit.Result) bool { return r.Diagnosis.Stands(diagnosis.Revolution) }
				missed := dialResult(t, s)
				shiftLine(s, s.Marks[3].Name, 2)
				return answers(told(missed), orderedAt(missed, 3), told(dialResult(t, s)))
			},
		},
		{
			name: "letters exchanged at a line", draws: 1000, quick: 15,
			asks: []ask{
				atMost(0.02, "that line is ordered anew", promise), atLeast(0.99, "refused where the dial was read further on", promise),
				atMost(0.005, "refused where the letters are right", promise),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				s := plainDial(rng)
				name := s.Marks[1].Name
				exchange := func() {
					for i := range s.Setups[0].Marks[name] {
						r := &s.Setups[0].Marks[name][i]
						r.Side = map[geometry.Letters]geometry.Letters{geometry.BTDC: geometry.ATDC, geometry.ATDC: geometry.BTDC}[r.Side]
					}
				}
				exchange()
				r := dialResult(t, s)
				furtherOn(s)
				_, err := audit.Run(s)
				exchange()
				_, right := audit.Run(s)
				return answers(orderedAt(r, 1), err != nil, right != nil)
			},
		},
		{
			name: "two sheets by a dial", draws: 500, quick: 12,
			asks: []ask{
				atMost(0.06, "a change where nothing changed", claims), atLeast(0.95, "a common change of 1.5 degrees is found", promise),
				atLeast(0.95, "its interval holds it", coverage),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				first, second, third := plainDial(rng), sheet.Sheet{}, sheet.Sheet{}
				again := func(late float64, year string) sheet.Sheet {
					s := plainDial(rng)
					for i, m := range first.Marks { // the same part: only the readings are new
						at := m.At.Degrees()
						if i == 3 {
							at += 2
						}
						drop := dialDrop(54, 110, at+late)
						for k := range s.Setups[0].Marks[m.Name] {
							r := &s.Setups[0].Marks[m.Name][k]
							slope := dialDrop(54, 110, at+late+0.5) - dialDrop(54, 110, at+late-0.5)
							r.Length = s.Setups[0].Top[0].Length + geometry.Length(float64(int((drop+slope*0.15*rng.NormFloat64())*100+0.5))/100)
							r.Side, r.Approach = first.Setups[0].Marks[m.Name][0].Side, first.Setups[0].Marks[m.Name][0].Approach
						}
					}
					s.Marks, s.Date = first.Marks, year+"-04-01"
					return s
				}
				first.Date = "2021-04-01"
				second, third = again(0, "2022"), again(1.5, "2023")
				c, err := compare.Sheets([]sheet.Sheet{first, second, third})
				if err != nil {
					t.Fatal(err)
				}
				changed := c.Steps[0].Finding == lines.Common
				for _, x := range c.Changes {
					changed = changed || x.Differs && x.To == 1
				}
				step, held := c.Steps[1], notAsked
				found := step.Finding == lines.Common && step.Common.Value > 0
				if found {
					held = answered(holds(step.Common, 1.5))
				}
				return []answer{answered(changed), answered(found), held}
			},
		},
	})
}
