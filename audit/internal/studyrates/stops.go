package studyrates

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"markaudit/audit/qualify"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// stops is a study of two stops.
type stops struct{ simulate.TwoStops }

func goodStops() stops {
	return stops{simulate.TwoStops{Setups: 5, Pairs: 5, SD: 0.03, Ratio: 1, Fitting: 0.02, Step: 0.01}}
}

func (s stops) draw(rng *rand.Rand) (study qualify.Study) {
	for _, x := range s.Draw(rng) {
		tool := qualify.ReferenceTool
		if x.New {
			tool = qualify.NewTool
		}
		study.Trials = append(study.Trials, qualify.Trial{
			Tool: tool, Setup: fmt.Sprint(x.Setup), Name: fmt.Sprint(x.Trial), Trial: x.Pair,
			Lines: map[sheet.Approach]int{sheet.Forward: x.Line, sheet.Backward: x.Line + 1},
		})
	}
	return study
}

func (s stops) options(allowed float64) qualify.Options {
	return qualify.Options{AllowedBias: geometry.Angle(allowed), Step: geometry.Angle(s.Step)}
}

// stopCell asks of a kind of study how often the new stop is qualified, and how
// often rejected.
func stopCell(name string, s stops, allowed float64, asks ...Ask) Cell {
	return Cell{Name: name, Draws: 2000, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
		r, err := qualify.Run(s.draw(rng), s.options(allowed))
		if err != nil {
			return nil, err
		}
		answers := []Answer{answered(r.Verdict == qualify.Qualified), answered(r.Verdict == qualify.Rejected)}
		return answers[:len(asks)], nil
	}}
}

const (
	isQualified = "qualified"
	isRejected  = "rejected"
)

// Bias are cells where the bias is the allowed one or beyond it: what is asked for
// is that at most one in twenty is qualified (D. J. Schuirmann, J. Pharmacokinet.
// Biopharm. 15 (1987) 657).
func Bias() (cells []Cell) {
	never := atMost(0.001, isQualified)
	kind := func(step, bias float64, setups int, zero simulate.Zeroing, tweak func(*stops)) stops {
		s := goodStops()
		s.Step, s.Bias, s.Setups, s.Zero = step, bias, setups, zero
		if tweak != nil {
			tweak(&s)
		}
		return s
	}
	flat := func(s *stops) { s.SD, s.Fitting = 0.001, 0.001 }
	whole := func(s *stops) { s.WholeHalves = true }
	cells = append(cells,
		stopCell("zeroed alike, step 0.5, allowed 0.1, bias 0.14", kind(0.5, 0.14, 5, simulate.Alike, nil), 0.1, never),
		stopCell("zeroed on a graduation, step 0.5, allowed 0.1, bias 0.14", kind(0.5, 0.14, 5, simulate.OnStep, nil), 0.1, never),
		stopCell("zeroed alike, step 1, allowed 0.1, bias 0.2", kind(1, 0.2, 5, simulate.Alike, nil), 0.1, never),
		stopCell("zeroed on a graduation, step 1, allowed 0.1, bias 0.2", kind(1, 0.2, 5, simulate.OnStep, nil), 0.1, never),
		stopCell("free zero, whole half arcs, step 0.25, bias 0.1 as allowed, 3 setups", kind(0.25, 0.1, 3, simulate.Anywhere, whole), 0.1, never),
		stopCell("the same with flat readings", kind(0.25, 0.1, 3, simulate.Anywhere, func(s *stops) { whole(s); flat(s) }), 0.1, never),
		stopCell("same phase of a step of 0.25, bias 0.2 as allowed", kind(0.25, 0.2, 5, simulate.ModuloStep, nil), 0.2, never),
	)
	for _, step := range []float64{0.01, 0.25} {
		for _, steps := range []float64{0.2, 0.5, 1, 3} { // a middle's scatter
			for _, setups := range []int{3, 5, 8} {
				s := kind(step, 0, setups, simulate.ModuloStep, nil)
				s.SD, s.Fitting = steps*step, 0.3*step
				allowed := step * (1 + 2*steps)
				s.Bias = allowed
				cell := stopCell(fmt.Sprintf("step %g, middles to %g steps, %d setups, bias %.3g as allowed", step, steps, setups, allowed), s, allowed, atMost(0.06, isQualified))
				cell.Draws = 6000 // of 24 cells at the level, 2,000 studies put one well above it by chance
				cells = append(cells, cell)
			}
		}
	}
	return cells
}

// Scatter are cells where the new stop scatters more.
func Scatter() []Cell {
	kind := func(ratio float64, setups, pairs int) stops {
		s := goodStops()
		s.Ratio, s.Setups, s.Pairs = ratio, setups, pairs
		return s
	}
	return []Cell{
		stopCell("three times the scatter, 3 setups of 2 pairs", kind(3, 3, 2), 0.4, atMost(0.03, isQualified)),
		stopCell("five times the scatter, 5 setups of one pair", kind(5, 5, 1), 0.4, atMost(0.001, isQualified)),
		stopCell("twice the scatter, 3 setups of 5", kind(2, 3, 5), 0.4, atMost(0.06, isQualified), atMost(0.035, isRejected)),
		stopCell("twice the scatter, 5 setups of 5", kind(2, 5, 5), 0.4, atMost(0.06, isQualified), atMost(0.035, isRejected)),
		stopCell("twice the scatter, 8 setups of 5", kind(2, 8, 5), 0.4, atMost(0.06, isQualified), atMost(0.035, isRejected)),
		stopCell("half as much again, 5 setups of 5", kind(1.5, 5, 5), 0.4, about(0.3, 0.4, isQualified), atMost(0.005, isRejected)),
		stopCell("as good as the trusted one, 5 setups of 5", kind(1, 5, 5), 0.4, about(0.88, 0.95, isQualified), atMost(0.003, isRejected)),
		stopCell("as good, 3 setups of 3, allowed 0.1", kind(1, 3, 3), 0.1, about(0.2, 0.5, isQualified), atMost(0.003, isRejected)),
		stopCell("a coarse step, 5 setups of 5", func() stops {
			s := kind(1, 5, 5)
			s.SD, s.Step = 0.1, 0.25
			return s
		}(), 0.2, about(0.4, 0.75, isQualified), atMost(0.003, isRejected)),
	}
}

// Creep are cells where the new stop works its way in, so much a trial.
func Creep() []Cell {
	kind := func(creep float64, setups int) stops {
		s := goodStops()
		s.Creep, s.Setups = creep, setups
		return s
	}
	return []Cell{
		stopCell("creep of 0.006 a trial, 8 setups", kind(0.006, 8), 0.1, atLeast(0.85, isQualified), atMost(0.001, isRejected)),
		stopCell("creep of 0.02 a trial over 5, allowed 0.1", kind(0.02, 5), 0.1, atLeast(0, isQualified), atMost(0.005, isRejected)),
		stopCell("creep of 0.04 a trial over 5, allowed 0.1", kind(0.04, 5), 0.1, atMost(0.5, isQualified), atLeast(0.88, isRejected)),
		stopCell("creep of 0.08 a trial over 5, allowed 0.1", kind(0.08, 5), 0.1, atMost(0.001, isQualified), atLeast(0.975, isRejected)),
	}
}

// Slips are cells where one thing was written down wrongly.
func Slips() (cells []Cell) {
	one := func(by float64) func(*rand.Rand, []qualify.Trial) []int {
		return func(rng *rand.Rand, trials []qualify.Trial) []int {
			t := &trials[rng.IntN(len(trials))]
			contact := t.Forward
			if rng.IntN(2) == 1 {
				contact = t.Backward
			}
			contact.Value += geometry.Angle(by)
			return []int{t.Lines[contact.Approach]}
		}
	}
	swap := func(of func(chosen, t qualify.Trial) bool) func(*rand.Rand, []qualify.Trial) []int {
		return func(rng *rand.Rand, trials []qualify.Trial) (lines []int) {
			chosen := trials[rng.IntN(len(trials))]
			for i := range trials {
				if t := &trials[i]; of(chosen, *t) {
					t.Tool = 1 - t.Tool
					lines = append(lines, t.Lines[sheet.Forward], t.Lines[sheet.Backward])
				}
			}
			return lines
		}
	}
	add := func(name string, s stops, allowed float64, slip func(*rand.Rand, []qualify.Trial) []int, asks ...Ask) {
		cells = append(cells, Cell{Name: name, Draws: 2000, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
			study := s.draw(rng)
			var lines []int
			if slip != nil {
				lines = slip(rng, study.Trials)
			}
			r, err := qualify.Run(study, s.options(allowed))
			if err != nil {
				return nil, err
			}
			var named []int
			for _, found := range r.Slips {
				named = append(named, found.Lines...)
			}
			slices.Sort(named)
			right := slices.Equal(named, lines)
			if slip == nil {
				right = len(named) > 0
			}
			return []Answer{answered(right), answered(r.Verdict == qualify.Qualified)}, nil
		}})
	}
	good := goodStops()
	const rows = "named with its rows and no other"
	add("one contact 1° off", good, 0.1, one(1), atLeast(0.97, rows), atMost(0.001, isQualified))
	add("one contact 0.5° off", good, 0.1, one(0.5), atLeast(0.95, rows), atMost(0.001, isQualified))
	add("labels of one trial exchanged", good, 0.1, swap(func(a, b qualify.Trial) bool { return a.Setup == b.Setup && a.Name == b.Name }), atLeast(0.98, rows), atMost(0.001, isQualified))
	add("labels of one setup exchanged", good, 0.1, swap(func(a, b qualify.Trial) bool { return a.Setup == b.Setup }), atLeast(0.98, rows), atMost(0.001, isQualified))
	add("nothing wrong", good, 0.1, nil, atMost(0.015, "something is named"), atLeast(0.86, isQualified))
	coarse := good
	coarse.SD, coarse.Step = 0.1, 0.25
	add("one contact 1° off, middles to 0.1, step 0.25", coarse, 0.3, one(1), atLeast(0.25, rows), atMost(0.6, isQualified))
	return cells
}

// chainCell is a stop that is qualified by one whose own study was read, both together
// off by what is allowed. Either study has its own number of setups.
func chainCell(setups [2]int, fitting float64) Cell {
	const allowed, ofTrusted = 0.4, 0.05
	return Cell{
		Name: fmt.Sprintf("chain of %d and %d setups, fittings to %g and 0.02, both together 0.4 as allowed", setups[0], setups[1], fitting), Draws: 6000,
		Asks: []Ask{atMost(0.06, isQualified), atLeast(0.93, "interval holds the truth")},
		Draw: func(rng *rand.Rand) ([]Answer, error) {
			before, now := goodStops(), goodStops()
			before.Setups, before.Fitting, before.Bias = setups[0], fitting, ofTrusted
			now.Setups, now.Bias = setups[1], allowed-ofTrusted
			earlier, err := qualify.Run(before.draw(rng), before.options(allowed))
			if err != nil {
				return nil, err
			}
			b := earlier.Bias
			trusted, err := qualify.Chained([]qualify.Link{{Stop: "B", Against: "A", Bias: b.Value, StandardError: b.StandardError, DOF: b.DOF, Limit: b.Open + earlier.Hidden}})
			if err != nil {
				return nil, err
			}
			o := now.options(allowed)
			o.Trusted = &trusted
			r, err := qualify.Run(now.draw(rng), o)
			if err != nil {
				return nil, err
			}
			return []Answer{answered(r.Verdict == qualify.Qualified), answered(r.Bias.Low <= allowed && allowed <= r.Bias.High)}, nil
		},
	}
}

// Trusted are cells where the trusted stop's own bias is known with doubt, and both
// biases together are the allowed one.
func Trusted() (cells []Cell) {
	for _, setups := range []int{3, 8} {
		for _, expanded := range []float64{0.02, 0.1} {
			s := goodStops()
			s.Setups = setups
			const allowed = 0.2
			cells = append(cells, Cell{
				Name: fmt.Sprintf("trusted stop known to ± %g, %d setups, both together 0.2 as allowed", expanded, setups), Draws: 2000,
				Asks: []Ask{atMost(0.06, isQualified), about(0.93, 0.97, "interval holds the truth")},
				Draw: func(rng *rand.Rand) ([]Answer, error) {
					truth := 0.05 + expanded/2*rng.NormFloat64()
					s := s
					s.Bias = allowed - truth
					o := s.options(allowed)
					o.Trusted = &qualify.Stated{Bias: 0.05, Expanded: geometry.Angle(expanded)}
					r, err := qualify.Run(s.draw(rng), o)
					if err != nil {
						return nil, err
					}
					return []Answer{answered(r.Verdict == qualify.Qualified), answered(r.Bias.Low <= allowed && allowed <= r.Bias.High)}, nil
				},
			})
		}
	}
	for _, setups := range [][2]int{{3, 3}, {3, 8}, {8, 3}} {
		for _, fitting := range []float64{0.02, 0.1} { // of the trusted stop's own study
			cells = append(cells, chainCell(setups, fitting))
		}
	}
	return cells
}

// Fitting asks how often a further fitting lies where the report says.
func Fitting() []Cell {
	s := goodStops()
	return []Cell{{
		Name: "a further fitting of the new stop, 5 setups of 5", Draws: 2000, Asks: []Ask{about(0.94, 0.96, "within what is said")},
		Draw: func(rng *rand.Rand) ([]Answer, error) {
			r, err := qualify.Run(s.draw(rng), s.options(0.1))
			if err != nil {
				return nil, err
			}
			one := s
			one.Setups = 1
			next, err := qualify.Run(one.draw(rng), s.options(0.1))
			if err != nil {
				return nil, err
			}
			return []Answer{answered((next.Bias.OfTrusted - r.Bias.OfTrusted).Abs() <= r.Bias.Fitting)}, nil
		},
	}}
}

// Stops are all cells of studies of two stops.
func Stops() []Cell {
	return slices.Concat(Bias(), Scatter(), Creep(), Slips(), Trusted(), Fitting(), Forecast())
}
