package rates

import (
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/geometry"
)

// TestAdvise carries out what further measuring promises, on the same engine, in
// the same setups, and judges again: at least three in four are settled.
func TestAdvise(t *testing.T) {
	var cells []cell
	for _, c := range []reading{
		{trials: 3, readings: 3, setups: 1, step: 0.05, lines: 1},
		{trials: 3, readings: 3, setups: 1, step: 1, lines: 3},
		{trials: 5, readings: 3, setups: 1, step: 0.05, lines: 3, wheel: true},
		{trials: 3, readings: 3, setups: 4, step: 0.05, lines: 3},
		{trials: 3, readings: 3, setups: 3, step: 1, lines: 3},
	} {
		cells = append(cells, cell{
			name: c.String(), draws: 3000, quick: 30,
			asks: []ask{atLeast(0.78, "a promise of 0.8 and more is kept", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := c.stand(rng, 0.6, 0, -30, 120)
				if c.wheel {
					r = onWheel(r, 0.1)
				}
				r.Lines[0].Offset = geometry.Angle(3 * (rng.Float64() - 0.5))
				session := r.Begin(rng)
				s, _ := session.Sheet()
				next := audit.Next(judged(t, s))[0]
				if next.Chance < 0.8 {
					return []answer{notAsked}
				}
				again := judged(t, session.Further(s, r.Lines[0].Name, next.Trials, next.Readings, next.Setups))
				return answers(again.ByLine()[0].Verdict != diagnosis.Undecided)
			},
		})
	}
	measure(t, cells)
}
