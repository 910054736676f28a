package repeatability

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

const (
	// Several people may stand out, and two who do must not hide each other: the
	// farthest is taken away, then the next, and all up to the last one who is below
	// this level are named (after Rosner, Technometrics 25 (1983) 165, from memory).
	// At 5 % two in a hundred even classes more would have somebody named, for the
	// steps are looked at together.
	namedAt   = 0.04
	mostSteps = 8 // a class with more hands than that to name has no measure left
)

// named is a person who stands out, with the test that says so.
type named struct {
	person              int
	statistic, critical float64
	p, rest             float64
}

// steps is how many of n people may stand out: fewer than half.
func steps(n int) int { return max(1, min(mostSteps, (n-1)/2)) }

// scatterers names who repeats worse than the rest: F of the largest variance
// against those left, times the people left. Scatter below the step is rounding.
func scatterers(step geometry.Angle, variances, dof []float64) map[int]named {
	left := map[int]bool{}
	for i := range variances {
		left[i] = dof[i] > 0
	}
	var found []named
	last := 0
	count := 0
	for _, in := range left {
		if in {
			count++
		}
	}
	if count < 2 {
		return nil
	}
	for taken := range steps(count) {
		worst, squares, freedom := -1, 0.0, 0.0
		for i, v := range variances {
			if !left[i] {
				continue
			}
			squares, freedom = squares+v*dof[i], freedom+dof[i]
			if worst < 0 || v > variances[worst] {
				worst = i
			}
		}
		v, d := variances[worst], dof[worst]
		people := float64(count - taken)
		rest := math.Max(0, squares-v*d) / (freedom - d)
		x := named{person: worst, rest: math.Sqrt(rest), p: 1, critical: stats.FQuantile(namedAt/people, d, freedom-d)}
		switch {
		case v <= square(step.Degrees())/3 || v == 0:
		case rest == 0:
			x.statistic, x.p = math.Inf(1), 0
		default:
			x.statistic = v / rest
			x.p = people * stats.FSurvival(x.statistic, d, freedom-d)
		}
		found = append(found, x)
		if x.p < namedAt {
			last = len(found)
		}
		left[worst] = false
	}
	out := map[int]named{} // only looked up
	for _, x := range found[:last] {
		if x.p < 1 {
			out[x.person] = x
		}
	}
	return out
}

// scale is what people's means are judged by: the variance of a cell's mean, its
// degrees of freedom, and how far values of one trial go together.
type scale struct {
	ofCell func(*cell) float64
	dof    float64
	common *sharing
}

// of returns a variance of a mean that allows for trials, and its degrees of
// freedom.
func (s scale) of(t *table, variance float64) (float64, float64) {
	if s.common == nil {
		return variance, s.dof
	}
	return variance * math.Max(1, s.common.meanSquare/t.perValue(s.ofCell)), s.common.all
}

// off names who sits off: the same on the means of those who do not scatter, whose
// own scatter is the scale. t has only them; all is how many people there are.
func (s scale) off(t *table, all int) map[int]named {
	out := map[int]named{} // only looked up
	if s.dof == 0 || len(t.people) < 2 {
		return out
	}
	keep := make([]bool, len(t.people))
	for i := range keep {
		keep[i] = true
	}
	var found []named
	last := 0
	most := min(steps(all), max(1, len(t.people)-2)) // two are left to be the measure
	for step := range most {
		people := float64(len(t.people) - step)
		part, index := t.only(keep)
		deviations, variances := part.deviations(s.ofCell)
		if deviations == nil {
			break
		}
		x := named{person: -1}
		for i, d := range deviations {
			if variances[i] <= 0 {
				continue
			}
			variance, dof := s.of(part, variances[i])
			if statistic := math.Abs(d) / math.Sqrt(variance); x.person < 0 || statistic > x.statistic {
				x = named{
					person: index[i], statistic: statistic, p: people * stats.FSurvival(d*d/variance, 1, dof),
					critical: -stats.TQuantile(namedAt/people/2, dof),
				}
			}
		}
		if x.person < 0 {
			break
		}
		found = append(found, x)
		if x.p < namedAt {
			last = len(found)
		}
		keep[x.person] = false
	}
	for _, x := range found[:last] {
		out[x.person] = x
	}
	if len(t.people) == 2 && last > 0 { // each is as far from the other
		one := found[0]
		one.person = 1 - one.person
		out[one.person] = one
	}
	return out
}

// steadiest names who repeats better than the rest by more than chance: F of the
// smallest variance, times the people. Who scatters is not in the rest.
func steadiest(step geometry.Angle, variances, dof []float64, scatter map[int]named) int {
	best, squares, freedom, people := -1, 0.0, 0.0, 0.0
	for i, v := range variances {
		if _, out := scatter[i]; out || dof[i] == 0 {
			continue
		}
		people++
		squares, freedom = squares+v*dof[i], freedom+dof[i]
		if best < 0 || v < variances[best] {
			best = i
		}
	}
	if people < 3 {
		return -1
	}
	rest := (squares - variances[best]*dof[best]) / (freedom - dof[best])
	if rest <= square(step.Degrees())/3 { // rounding
		return -1
	}
	p := 0.0
	if v := variances[best]; v > 0 {
		p = people * stats.FSurvival(rest/v, freedom-dof[best], dof[best])
	}
	if p >= significant {
		return -1
	}
	return best
}
