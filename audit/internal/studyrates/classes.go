package studyrates

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"markaudit/audit/repeatability"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// class is a class of people at some marks.
type class struct{ simulate.Hands }

func (c class) draw(rng *rand.Rand) (values []repeatability.Value) {
	for _, v := range c.Draw(rng) {
		values = append(values, repeatability.Value{By: v.By, Mark: v.Mark, Trial: v.Trial, Value: v.Value})
	}
	return values
}

func name(i int) string { return simulate.Hands{}.Name(i) }

// flagged are the people with a finding.
func flagged(r repeatability.Result, code repeatability.Code) (who []string) {
	for _, f := range r.Flags {
		if f.Code == code && !slices.Contains(who, f.By) {
			who = append(who, f.By)
		}
	}
	return who
}

// handCell asks how often each of the first n is named, and how often anybody else is
// blamed for the same. Where n is zero, only the latter.
func handCell(what string, c class, code repeatability.Code, n int, found, blamed float64) Cell {
	asks := []Ask{atMost(blamed, "a good hand is blamed")}
	for i := range n {
		asks = append(asks, atLeast(found, fmt.Sprintf("bad hand %d is named", i+1)))
	}
	return Cell{Name: what, Draws: 1000, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
		r := repeatability.Analyse(repeatability.Data{Values: c.draw(rng)}, repeatability.PoolAuto)
		who := flagged(r, code)
		others := slices.ContainsFunc(who, func(by string) bool { return by >= name(n) })
		answers := []Answer{answered(others)}
		for i := range n {
			answers = append(answers, answered(slices.Contains(who, name(i))))
		}
		return answers, nil
	}}
}

// Hands are cells of people who scatter, and of people who sit off.
func Hands() []Cell {
	eight := class{simulate.Hands{People: 8, Marks: 3, Rounds: 3, SD: 0.15}}
	with := func(scatters, off []float64) class {
		c := eight
		c.Scatters, c.Off = scatters, off
		return c
	}
	of := func(people int) class {
		c := eight
		c.People = people
		return c
	}
	const s, o = repeatability.Scatters, repeatability.SitsOff
	return []Cell{
		handCell("scatter: one of eight at 4.5 times", with([]float64{4.5}, nil), s, 1, 0.96, 0.075),
		handCell("scatter: two of eight at 4.5 times", with([]float64{4.5, 4.5}, nil), s, 2, 0.95, 0.06),
		handCell("scatter: two of eight at 3 times", with([]float64{3, 3}, nil), s, 2, 0.78, 0.06),
		handCell("scatter: three of eight at 4.5 times", with([]float64{4.5, 4.5, 4.5}, nil), s, 3, 0.94, 0.02),
		handCell("scatter: none of six", of(6), s, 0, 0, 0.05),
		handCell("scatter: none of eight", of(8), s, 0, 0, 0.05),
		handCell("scatter: none of thirty", of(30), s, 0, 0, 0.075),
		handCell("off: two of eight by 0.2, one early, one late", with(nil, []float64{0.2, -0.2}), o, 2, 0.6, 0.08),
		handCell("off: two of eight by 0.3, both late", with(nil, []float64{0.3, 0.3}), o, 2, 0.8, 0.08),
		handCell("off: none of eight", of(8), o, 0, 0, 0.06),
		handCell("off: none of thirty", of(30), o, 0, 0, 0.06),
		handCell("off: none, two of eight scatter at 3 times", with([]float64{3, 3}, nil), o, 2, 0, 0.1),
	}
}

// Praise are cells of what is said of the steadiest hand, and of what lies between
// people.
func Praise() (cells []Cell) {
	c := class{simulate.Hands{People: 6, Marks: 3, Rounds: 3, SD: 0.15}}
	quarter, differ, small := c, c, c
	quarter.Scatters = []float64{0.25}
	differ.Between = 0.2
	small.People, small.Marks, small.Rounds = 3, 2, 2
	for _, k := range []struct {
		name             string
		of               class
		steadiest, other Ask
		between          Ask
	}{
		{"everybody alike, 6 people, 3 marks, 3 rounds", c, atMost(0.001, "the first is called the steadiest, and no other could be"), atMost(0.06, "a hand is called the steadiest"), atMost(0.06, "people are said to differ")},
		{"everybody alike, 3 people, 2 marks, 2 rounds", small, atMost(0.001, ""), atMost(0.06, "a hand is called the steadiest"), atMost(0.06, "people are said to differ")},
		{"one at a quarter of the scatter", quarter, atLeast(0.82, "the first is called the steadiest"), atMost(0.06, "another is"), atMost(0.07, "people are said to differ")},
		{"people differ by 0.2", differ, atMost(0.06, "the first is called the steadiest"), atMost(0.06, "another is"), atLeast(0.93, "people are said to differ")},
	} {
		first := k.steadiest.Most < 1 && k.steadiest.Most < 0.01
		asks := []Ask{k.steadiest, k.other, k.between}
		if first {
			asks = asks[1:]
		}
		cells = append(cells, Cell{Name: k.name, Draws: 1000, Asks: asks, Draw: func(rng *rand.Rand) ([]Answer, error) {
			r := repeatability.Analyse(repeatability.Data{Values: k.of.draw(rng)}, repeatability.PoolAuto)
			answers := []Answer{
				answered(r.Steadiest == name(0)), answered(r.Steadiest != "" && r.Steadiest != name(0)),
				answered(r.BetweenChance.Known && r.BetweenChance.Value < 0.05),
			}
			if first {
				answers = answers[1:]
				answers[0] = answered(r.Steadiest != "")
			}
			return answers, nil
		}})
	}
	return cells
}

// Pen are cells with one value typed wrong.
func Pen() (cells []Cell) {
	six := class{simulate.Hands{People: 6, Marks: 3, Rounds: 3, SD: 0.15}}
	eight := class{simulate.Hands{People: 8, Marks: 3, Rounds: 2, SD: 0.15}}
	loose, off := six, six
	loose.Scatters, off.Off = []float64{3}, []float64{0.5}
	for _, k := range []struct {
		name string
		of   class
		pen  func(float64) float64 // nil: nothing is wrong
		ask  Ask
	}{
		{"ten times, 6 people, 3 rounds", six, func(x float64) float64 { return 10 * x }, atLeast(0.5, "named")},
		{"a hundred times", six, func(x float64) float64 { return 100 * x }, atLeast(0.9, "named")},
		{"ten more", six, func(x float64) float64 { return x + 10 }, atLeast(0.99, "named")},
		{"one more", six, func(x float64) float64 { return x + 1 }, atLeast(0.1, "named")},
		{"the sign", six, func(x float64) float64 { return -x }, atLeast(0.1, "named")},
		{"ten times, 8 people, 2 rounds", eight, func(x float64) float64 { return 10 * x }, atLeast(0.4, "named")},
		{"nothing, 6 people", six, nil, atMost(0.01, "something is named")},
		{"nothing, one hand at 3 times the scatter", loose, nil, atMost(0.01, "something is named")},
		{"nothing, one hand off by 0.5", off, nil, atMost(0.01, "something is named")},
	} {
		cells = append(cells, Cell{Name: "typed wrong: " + k.name, Draws: 1000, Asks: []Ask{k.ask}, Draw: func(rng *rand.Rand) ([]Answer, error) {
			values := k.of.draw(rng)
			at := -1
			if k.pen != nil {
				at = rng.IntN(len(values))
				values[at].Value = geometry.Angle(k.pen(values[at].Value.Degrees()))
			}
			r := repeatability.Analyse(repeatability.Data{Values: values}, repeatability.PoolAuto)
			if at < 0 {
				return []Answer{answered(len(r.Slips) > 0)}, nil
			}
			v := values[at]
			return []Answer{answered(len(r.Slips) == 1 && r.Slips[0].By == v.By && r.Slips[0].Mark == v.Mark && r.Slips[0].Trial == v.Trial)}, nil
		}})
	}
	return cells
}

// Classes are all cells of studies of people.
func Classes() []Cell { return slices.Concat(Hands(), Praise(), Pen(), Against()) }
