package studyrates

import (
	"fmt"
	"math/rand/v2"
	"strconv"

	"markaudit/audit/qualify"
	"markaudit/audit/repeatability"
	"markaudit/geometry"
)

// Against ask how often the interval of a class against marks that are known holds
// how far such people are off. One bench gave all the marks, so one error is in all
// that is known of them.
func Against() (cells []Cell) {
	const off, between, sd = 0.2, 0.1, 0.15
	for _, people := range []int{4, 8} {
		for _, expanded := range []float64{0.02, 0.2} {
			cells = append(cells, Cell{
				Name: fmt.Sprintf("known marks: %d people, known to ± %g", people, expanded), Draws: 1000, Asks: []Ask{about(0.93, 0.985, "the interval holds how far the class is off")},
				Draw: func(rng *rand.Rand) ([]Answer, error) {
					var d repeatability.Data
					wrong := expanded / 2 * rng.NormFloat64()
					hands := make([]float64, people)
					for p := range hands {
						hands[p] = off + between*rng.NormFloat64()
					}
					for m := range 3 {
						at, mark := 0.5*rng.NormFloat64(), fmt.Sprint("m", m)
						d.Known = append(d.Known, repeatability.Known{Mark: mark, Value: geometry.Angle(at + wrong), Expanded: geometry.Angle(expanded)})
						for p, hand := range hands {
							for round := range 3 {
								d.Values = append(d.Values, repeatability.Value{By: name(p), Mark: mark, Trial: round + 1, Value: geometry.Angle(at + hand + sd*rng.NormFloat64())})
							}
						}
					}
					bias := repeatability.Analyse(d, repeatability.PoolAuto).Reference.Bias
					return []Answer{answered(bias.Low <= off && off <= bias.High)}, nil
				},
			})
		}
	}
	return cells
}

// Forecast asks how often four setups more settle a study of three, where it was said
// with which chance they would.
func Forecast() (cells []Cell) {
	for _, c := range []struct {
		name          string
		bias, fitting float64
	}{{"a good stop", 0, 0.04}, {"a stop off by half of what is allowed", 0.05, 0.04}} {
		cells = append(cells, Cell{
			Name: "four setups more of " + c.name, Draws: 500,
			Asks: []Ask{atLeast(0.3, "settled, where 0.3 to 0.5 was said"), atLeast(0.5, "settled, where 0.5 to 0.8 was said")},
			Draw: func(rng *rand.Rand) ([]Answer, error) {
				s := goodStops()
				s.Setups, s.Bias, s.Fitting = 7, c.bias, c.fitting
				all := s.draw(rng)
				var first qualify.Study
				for _, t := range all.Trials {
					if n, err := strconv.Atoi(t.Setup); err == nil && n <= 3 {
						first.Trials = append(first.Trials, t)
					}
				}
				r, err := qualify.Run(first, s.options(0.1))
				if err != nil {
					return nil, err
				}
				answers := []Answer{NotAsked, NotAsked}
				for _, f := range r.Further() {
					if f.Setups != 4 || f.Settled < 0.3 || f.Settled > 0.8 {
						continue
					}
					then, err := qualify.Run(all, s.options(0.1))
					if err != nil {
						return nil, err
					}
					at := 0
					if f.Settled >= 0.5 {
						at = 1
					}
					answers[at] = answered(then.Verdict != qualify.NotProven)
				}
				return answers, nil
			},
		})
	}
	return cells
}
