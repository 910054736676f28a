package diagnosis

import (
	"fmt"
	"testing"

	"markaudit/geometry"
)

// job is a sheet of p lines in k setups as it comes from the bench: each line off
// in its own way, a closing pair, no quarter turn.
func job(p, k int) Evidence {
	setups := make([][]float64, k)
	for i := range setups {
		for j := range p {
			setups[i] = append(setups[i], float64((7*j)%11)/5-1+0.013*float64((5*i+3*j)%7))
		}
	}
	e := bench(setups...)
	for j := range e.Lines {
		e.Lines[j].At = geometry.Angle(360*j/p - 10)
	}
	e.QuarterTurn = false
	e.closing(0.1, .08, 8)
	return e
}

// The explanations that are tried are few enough for a sheet to be audited in less
// than a millisecond. Common practice, no source.
func TestExplanationsTried(t *testing.T) {
	for _, c := range []struct{ lines, setups, most int }{{6, 1, 150}, {12, 1, 400}, {12, 2, 400}, {24, 1, 600}, {60, 1, 600}} {
		e := job(c.lines, c.setups)
		w := newWeigher(&e, nil)
		w.weighAll()
		if w.tried > c.most || w.tried < c.lines {
			t.Errorf("%d lines in %d setups: %d explanations, at most %d", c.lines, c.setups, w.tried, c.most)
		}
		t.Logf("%d lines in %d setups: %d", c.lines, c.setups, w.tried)
	}
}

func BenchmarkExplain(b *testing.B) {
	for _, c := range []struct{ lines, setups int }{{4, 1}, {6, 1}, {12, 1}, {12, 2}} {
		e := job(c.lines, c.setups)
		b.Run(fmt.Sprintf("%dlines%dsetups", c.lines, c.setups), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Explain(e, nil)
			}
		})
	}
}
