package rates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"markaudit/audit/repeatability"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

func study(values []simulate.Value) repeatability.Data {
	var d repeatability.Data
	for _, v := range values {
		d.Values = append(d.Values, repeatability.Value(v))
	}
	return d
}

func flagged(r repeatability.Result, code repeatability.Code) bool {
	for _, f := range r.Flags {
		if f.Code == code {
			return true
		}
	}
	return false
}

// A 95 % interval of a component holds its true value. Those of restricted maximum
// likelihood are approximate. Where a component is zero its interval must reach
// down to it.
func componentCells() (cells []cell) {
	for _, c := range []struct {
		simulate.Class
		pooling repeatability.Pooling
		least   float64
		draws   int
	}{
		{simulate.Class{People: 6, Marks: 3, Repeats: 3, Person: 0.2, Interaction: 0.1, Mark: 0.5, Scatter: 0.1}, repeatability.PoolNever, nearly95, 1000},
		{simulate.Class{People: 6, Marks: 3, Repeats: 3, Person: 0.2, Mark: 0.5, Scatter: 0.1}, repeatability.PoolAuto, nearly95, 1000},
		{simulate.Class{People: 3, Marks: 10, Repeats: 3, Person: 0.1, Interaction: 0.05, Mark: 1, Scatter: 0.2}, repeatability.PoolNever, nearly95, 1000},
		{simulate.Class{People: 10, Marks: 2, Repeats: 2, Person: 0.05, Interaction: 0.1, Mark: 1, Scatter: 0.1}, repeatability.PoolNever, nearly95, 1000},
		{simulate.Class{People: 8, Marks: 1, Repeats: 3, Person: 0.1, Scatter: 0.1}, repeatability.PoolAuto, nearly95, 1000},
		{simulate.Class{People: 6, Marks: 4, Repeats: 3, Person: 0.2, Interaction: 0.1, Mark: 0.5, Scatter: 0.1, Missing: 0.3}, repeatability.PoolAuto, 0.93, 250},
		{simulate.Class{People: 10, Marks: 5, Repeats: 2, Person: 0.1, Interaction: 0.05, Mark: 0.5, Scatter: 0.1, Missing: 0.2}, repeatability.PoolAuto, 0.93, 250},
	} {
		type component struct {
			name  string
			truth float64
			of    func(repeatability.Components) repeatability.Estimate
		}
		components := []component{
			{"repeatability", c.Scatter, func(x repeatability.Components) repeatability.Estimate { return x.Repeatability }},
			{
				"reproducibility", math.Sqrt(c.Person*c.Person + c.Interaction*c.Interaction + c.Scatter*c.Scatter),
				func(x repeatability.Components) repeatability.Estimate { return x.Reproducibility },
			},
			{"person", c.Person, func(x repeatability.Components) repeatability.Estimate { return x.Person }},
		}
		if c.Marks > 1 {
			components = append(components,
				component{"mark", c.Mark, func(x repeatability.Components) repeatability.Estimate { return x.Mark }})
		}
		if c.pooling == repeatability.PoolNever || c.Missing > 0 {
			components = append(components,
				component{"interaction", c.Interaction, func(x repeatability.Components) repeatability.Estimate { return x.Interaction }})
		}
		var asks []ask
		for _, x := range components {
			asks = append(asks, atLeast(c.least, "the interval holds the "+x.name, coverage))
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("%+v", c.Class), draws: c.draws, asks: asks,
			draw: func(_ *testing.T, rng *rand.Rand) []answer {
				found := repeatability.Analyse(study(c.Draw(rng)), c.pooling).Components
				out := make([]answer, len(components))
				for i, x := range components {
					if e := x.of(found); e.Bounded {
						out[i] = answered(e.Low <= x.truth && x.truth <= e.High)
					} else {
						out[i] = notAsked
					}
				}
				return out
			},
		})
	}
	return cells
}

// In a class where nobody differs each kind of finding is claimed of somebody in
// at most 5 % of studies.
func evenCells() (cells []cell) {
	claimed := func(codes ...repeatability.Code) (asks []ask) {
		for _, code := range codes {
			asks = append(asks, atMost(0.05, fmt.Sprintf("%s is claimed", code), claims))
		}
		return asks
	}
	kinds := []repeatability.Code{repeatability.SitsOff, repeatability.Scatters, repeatability.StandsOut, repeatability.Drifts, repeatability.Disagreement}
	for _, c := range []simulate.Class{
		{People: 6, Marks: 3, Repeats: 3, Mark: 0.5, Scatter: 0.1},
		{People: 3, Marks: 10, Repeats: 3, Mark: 1, Scatter: 0.2},
		{People: 12, Marks: 2, Repeats: 4, Mark: 1, Scatter: 0.1},
		{People: 6, Marks: 4, Repeats: 4, Mark: 0.5, Scatter: 0.1, Missing: 0.25},
	} {
		draws := 1000
		if c.Missing > 0 {
			draws = 250
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("even %+v", c), draws: draws, asks: claimed(kinds...),
			draw: func(_ *testing.T, rng *rand.Rand) (out []answer) {
				r := repeatability.Analyse(study(c.Draw(rng)), repeatability.PoolAuto)
				for _, k := range kinds {
					out = append(out, answered(flagged(r, k)))
				}
				return out
			},
		})
	}
	// Values of one setup share its TDC: nine values are then worth little more than
	// three, and an even class must still not be accused.
	shared := []repeatability.Code{repeatability.SitsOff, repeatability.Scatters, repeatability.Drifts}
	return append(cells, cell{
		name: "even, setups shared", draws: 1000, asks: claimed(shared...),
		draw: func(_ *testing.T, rng *rand.Rand) (out []answer) {
			d := study(simulate.Class{People: 6, Marks: 3, Repeats: 3, Mark: 0.5, Scatter: 0.05}.Draw(rng))
			tops := map[string]geometry.Angle{} // only looked up
			for i, v := range d.Values {
				key := v.By + strconv.Itoa(v.Trial)
				if _, ok := tops[key]; !ok {
					tops[key] = geometry.Angle(0.2 * rng.NormFloat64())
				}
				d.Values[i].Value += tops[key]
			}
			d.Each = repeatability.PerSetup
			r := repeatability.Analyse(d, repeatability.PoolAuto)
			for _, k := range shared {
				out = append(out, answered(flagged(r, k)))
			}
			return out
		},
	})
}

// Where the zero is free, an even hand is accused at most as often as allowed,
// whatever its scatter; one that rounds to whole degrees is found.
func digitCells() (cells []cell) {
	for _, c := range []struct {
		setups     int
		step, coin float64 // coin: how often the hand rounds to twice the step
		a          ask
	}{
		{6, 0.5, 0, atMost(0.05, "a preferred digit is claimed", claims)},
		{20, 0.1, 0, atMost(0.05, "a preferred digit is claimed", claims)},
		{20, 0.5, 1, atLeast(0.94, "a preferred digit is found", promise)}, // one zero in twenty is taken for alike
	} {
		cells = append(cells, cell{
			name: fmt.Sprintf("digits, %d setups, step %g, rounded to twice that in %g", c.setups, c.step, c.coin), draws: 1000, asks: []ask{c.a},
			draw: func(_ *testing.T, rng *rand.Rand) []answer {
				d := repeatability.Data{
					Values: []repeatability.Value{{By: "p", Mark: "m", Trial: 1}, {By: "p", Mark: "m", Trial: 2}}, Step: geometry.Angle(c.step),
				}
				for range c.setups {
					zero := 360 * rng.Float64()
					s := repeatability.Setup{By: "p", Top: geometry.Angle(zero)}
					for _, at := range []float64{0, 120, 240, 346, -20, 20} {
						step := c.step
						if rng.Float64() < c.coin {
							step *= 2
						}
						s.Places = append(s.Places, geometry.Angle(math.Round((zero+at+0.1*rng.NormFloat64())/step)*step))
					}
					d.Setups = append(d.Setups, s)
				}
				return answers(flagged(repeatability.Analyse(d, repeatability.PoolAuto), repeatability.Digit))
			},
		})
	}
	return cells
}

// TestRepeatability is studies of people.
func TestRepeatability(t *testing.T) {
	measure(t, componentCells())
	measure(t, evenCells())
	measure(t, digitCells())
}
