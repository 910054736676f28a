package rates

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/plan"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// TestPlan is that what is predicted agrees with what simulated engines give on
// average, to a tenth, over readouts, scatters, limits and amounts. These are means
// and no rates, and so have no cells.
func TestPlan(t *testing.T) {
	const bound = 0.10 // what docs/plan.md promises
	n := quickDraws
	if long {
		n = 300
	}
	for _, c := range []struct {
		name                      string
		step, stop, read, remount geometry.Angle
		wheel                     geometry.Length
		setups, trials, readings  int
	}{
		{"encoder, one setup", 0.01, 0.05, 0.04, 0, 0, 1, 4, 3},
		{"encoder, one setup, much", 0.01, 0.05, 0.04, 0, 0, 1, 8, 5},
		{"wheel by eye, one setup", 0.1, 0.2, 0.15, 0, 0.2, 1, 5, 3},
		{"coarse wheel, one setup", 0.5, 0.03, 0.03, 0, 0.2, 1, 5, 3},
		{"wheel, two setups", 0.1, 0.2, 0.2, 0, 0.2, 2, 4, 3},
		{"encoder, three setups", 0.01, 0.05, 0.04, 0.1, 0, 3, 4, 3},
		{"wheel, three setups", 0.1, 0.15, 0.1, 0.1, 0.2, 3, 4, 3},
		{"wheel, five setups", 0.25, 0.15, 0.1, 0.1, 0.2, 5, 5, 3},
		{"coarse, four setups", 0.5, 0.05, 0.05, 0.05, 0, 4, 3, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rng := testkit.Rand(t, streamOf(t.Name()))
			var sums, squares [3]float64
			var planned sheet.Sheet
			for range n {
				r := drawn(rng, 1, 0, 120, -20)
				for i := range r.Lines { // off the graduations: on them roundings cancel
					r.Lines[i].Offset = geometry.Angle(rng.Float64() - 0.5)
				}
				r.Readout.Step, r.Told.Contact, r.Told.Sighting = c.step, 0.02, 0.1
				first := &r.Setups[0]
				first.HalfArc, first.Trials, first.Readings = 27+geometry.Angle(rng.Float64()-0.5), c.trials, c.readings
				first.Hand = simulate.Hand{MiddleSD: c.stop, ReadSD: c.read, RemountSD: c.remount}
				if c.wheel > 0 {
					r = onWheel(r, c.wheel)
				}
				planned, _ = r.Repeated(c.setups).Measure(rng)
				for i, m := range judged(t, planned).ByLine() {
					u := m.Offset.Expanded.Degrees()
					sums[i], squares[i] = sums[i]+u/float64(n), squares[i]+u*u/float64(n)
				}
			}
			for i, m := range planned.Marks { // one line at a time, as if it were the worst
				one := planned
				one.Marks = []sheet.Mark{m, m, m}
				one.Marks[1].Name, one.Marks[2].Name = "b", "c"
				plan, err := plan.For(one, plan.Guess{Middle: c.stop, Reading: c.read, Remount: c.remount}, 27, 0)
				if err != nil {
					t.Fatal(err)
				}
				predicted := plan.Predict(c.setups, c.trials, c.readings).Degrees()
				// Three standard errors of the simulated mean come on top.
				sampling := 3 * math.Sqrt((squares[i]-sums[i]*sums[i])/float64(n)) / sums[i]
				away := predicted/sums[i] - 1
				t.Logf("| %s | line %d | %d | predicted %.4f°, simulated %.4f°, %+.0f %% |", c.name, i+1, n, predicted, sums[i], 100*away)
				if math.Abs(away) > bound+sampling {
					t.Errorf("line %d: predicted %.4f, simulated %.4f", i+1, predicted, sums[i])
				}
			}
		})
	}
}
