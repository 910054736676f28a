package rates

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// rubber is a bonded pulley, three lines on its ring and two on its hub, as its
// maker left them.
func rubber(rng *rand.Rand, slipped geometry.Angle, makers float64) simulate.Rig {
	r := believable(rng)
	r.Part.Bent, r.Part.Bonded, r.Part.RingSlip, r.Part.MarksOn = 0, true, slipped, sheet.OnPart
	r.Setups[0].Closing = true
	r.Lines = nil
	for _, l := range []struct {
		name, on string
		at       geometry.Angle
	}{{"T", simulate.Ring, 0}, {"F", simulate.Ring, -10}, {"T2", simulate.Ring, 120}, {"key", "hub", 0}, {"witness", "hub", 120}} {
		r.Lines = append(r.Lines, simulate.Line{Name: l.name, At: l.at, On: l.on, Tolerance: 1, Offset: geometry.Angle(makers * rng.NormFloat64())})
	}
	return r
}

// rubberCells are bonded pulleys, sound and slipped, and slips on sound ones.
func rubberCells() (cells []cell) {
	for _, makers := range []float64{0, 0.1, 0.25, 0.5, 1} {
		cells = append(cells, cell{
			name: fmt.Sprintf("a sound ring, makers' lines off by %v", makers), draws: harmDraws, quick: harmQuick,
			asks: []ask{atMost(0.01, "it is called slipped", promise), atMost(0.01, spoils, promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := rubber(rng, 0, makers)
				s, truth := r.Measure(rng)
				out := job{stand: r, truth: truth, sheet: s}.obeyed(t)
				return answers(out.replaced, out.harmed)
			},
		})
	}
	for _, c := range []struct {
		slipped geometry.Angle
		makers  float64
		least   float64
	}{
		{1, 0.1, 0},
		{1.5, 0.1, 0.95},
		{2, 0.1, 0.97},
		{3, 0.1, 0.97},
		{6, 0.1, 0.97},
		{1, 0.25, 0},
		{1.5, 0.25, 0.75},
		{2, 0.25, 0.9},
		{3, 0.25, 0.97},
		{6, 0.25, 0.97},
		{1, 0.5, 0},
		{1.5, 0.5, 0.3},
		{2, 0.5, 0.6},
		{3, 0.5, 0.9},
		{6, 0.5, 0.97},
	} {
		most := 0.01
		if c.slipped <= 1 { // no more than a line's tolerance: makers' lines differ as much
			most = 0.05
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("a ring slipped by %v, makers' lines off by %v", c.slipped, c.makers), draws: harmDraws, quick: harmQuick,
			asks: []ask{atLeast(c.least, "it is said to have slipped", promise), atMost(most, "a line on it is scribed or the pointer moved", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				way := geometry.Angle(1 - 2*rng.IntN(2))
				r := rubber(rng, c.slipped*way, c.makers)
				s, truth := r.Measure(rng)
				out := job{stand: r, truth: truth, sheet: s}.obeyed(t)
				return answers(out.replaced, out.acted)
			},
		})
	}
	key := func(s *sheet.Sheet) func(int) bool { return func(j int) bool { return s.Marks[j].On == "hub" } }
	for _, c := range []struct {
		name    string
		closing bool
		stand   func(r *simulate.Rig, rng *rand.Rand)
		pen     func(s *sheet.Sheet, rng *rand.Rand)
	}{
		{"a bad line on the ring", true, func(r *simulate.Rig, rng *rand.Rand) { r.Lines[rng.IntN(3)].Offset += shift(rng) }, nil},
		{"a bad line on the hub", true, func(r *simulate.Rig, rng *rand.Rand) { r.Lines[3+rng.IntN(2)].Offset += shift(rng) }, nil},
		{"two bad lines on the hub", true, func(r *simulate.Rig, rng *rand.Rand) {
			x := shift(rng)
			r.Lines[3].Offset, r.Lines[4].Offset = r.Lines[3].Offset+x, r.Lines[4].Offset+x
		}, nil},
		{"letters of a line on the ring", true, nil, func(s *sheet.Sheet, _ *rand.Rand) { s.Marks[1].At, s.Marks[1].AtText = 10, "" }},
		{"moved before the keyway was read", false, nil, func(s *sheet.Sheet, rng *rand.Rand) { add(s, all, key(s), shift(rng)) }},
		{"moved before the lines", false, func(r *simulate.Rig, rng *rand.Rand) { r.Setups[0].Bumped = shift(rng) }, nil},
		{"the keyway never read", false, func(r *simulate.Rig, rng *rand.Rand) { r.Lines, r.Setups[0].Bumped = r.Lines[:3], shift(rng) }, nil},
	} {
		cells = append(cells, cell{
			name: fmt.Sprintf("a sound ring, %s, closing pair %v", c.name, c.closing), draws: harmDraws, quick: harmQuick,
			asks: []ask{atMost(0.01, spoils, promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := rubber(rng, 0, []float64{0.1, 0.25, 0.5}[rng.IntN(3)])
				r.Setups[0].Closing = c.closing
				if c.stand != nil {
					c.stand(&r, rng)
				}
				s, truth := r.Measure(rng)
				if c.pen != nil {
					c.pen(&s, rng)
				}
				return answers(job{stand: r, truth: truth, sheet: s, moved: !c.closing}.obeyed(t).harmed)
			},
		})
	}
	// A pulley whose pointer is bent is no pulley with bad lines.
	for _, makers := range []float64{0.12, 0.25, 0.5} {
		cells = append(cells, cell{
			name: fmt.Sprintf("a bent pointer, five lines, makers' lines off by %v", makers), draws: harmDraws, quick: harmQuick,
			asks: []ask{atMost(0.01, "three lines or more are scribed", promise), atMost(0.01, spoils, promise), atLeast(0.9, "the pointer is moved", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := believable(rng)
				r.Lines = simulate.Steady(1, pulley...).Lines
				for i := range r.Lines {
					r.Lines[i].Offset = geometry.Angle(makers * rng.NormFloat64())
				}
				r.Setups[0].Closing, r.Part.Bent = true, geometry.Angle(2+2*rng.Float64())
				s, truth := r.Measure(rng)
				out := job{stand: r, truth: truth, sheet: s}.obeyed(t)
				return answers(out.scribed >= 3, out.harmed, out.result.Advice.Together.Worthwhile)
			},
		})
	}
	return cells
}

// wideCells are readings so wild that only one thing is known: not where the line
// is. A verdict of outside has to be right on its side, which is not known
// (JCGM 106, 8.3).
func wideCells() (cells []cell) {
	for _, sd := range []geometry.Angle{2, 6, 20} {
		cells = append(cells, cell{
			name: fmt.Sprintf("readings that scatter by %v", sd), draws: harmDraws, quick: harmQuick,
			asks: []ask{atMost(0.05, "a line at its place is called outside", decision), atMost(0.05, spoils, decision)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := believable(rng)
				for i := range r.Lines {
					r.Lines[i].Offset = 0
				}
				r.Part.Bent = 0
				r.Setups[0].Closing, r.Setups[0].Trials, r.Setups[0].Readings = true, 2, 2
				r.Setups[0].Hand = simulate.Hand{MiddleSD: sd / 2, ReadSD: sd}
				s, truth := r.Measure(rng)
				out := job{stand: r, truth: truth, sheet: s}.obeyed(t)
				outside := notAsked
				if !out.refused {
					outside = answered(verdict(out.result, rng.IntN(len(r.Lines)), diagnosis.Outside))
				}
				return append([]answer{outside}, answered(out.harmed))
			},
		})
	}
	return cells
}
