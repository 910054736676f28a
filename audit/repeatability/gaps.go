package repeatability

import (
	"math"

	"markaudit/audit/internal/stats"
)

const mostEmpty = 0.1 // part of the cells that may be empty for unweighted mean squares

// unweighted are the mean squares of the cells' means, each on the scale of a value
// by the harmonic mean of the cells' sizes.
type unweighted struct {
	people, both, within stats.Term // weights are those in the variance of reproducibility
	size                 float64
}

// squares takes the cells' means as they are, whatever the cells' sizes. Empty
// cells are filled by what person and mark let expect, and cost the interaction a
// degree of freedom each. It reports false where too many are empty for that, or
// two in one row or column.
func (t *table) squares() (u unweighted, ok bool) {
	a, b := len(t.people), len(t.marks)
	if a < 2 {
		return u, false
	}
	empty := a*b - len(t.cells)
	if float64(empty) > mostEmpty*float64(a*b) {
		return u, false
	}
	mean, missing := make([]float64, a*b), []int{}
	rows, columns := make([]int, a), make([]int, b)
	var inverse float64
	for i := range mean {
		if c := t.cell(i/b, i%b); c != nil {
			mean[i] = c.mean
			inverse += 1 / c.n()
			continue
		}
		missing = append(missing, i)
		rows[i/b]++
		columns[i%b]++
		if rows[i/b] > 1 || columns[i%b] > 1 {
			return u, false
		}
	}
	if len(missing) > 0 && b < 2 {
		return u, false
	}
	fit := func() (people, marks []float64, grand float64) {
		people, marks = make([]float64, a), make([]float64, b)
		for i, m := range mean {
			people[i/b] += m / float64(b)
			marks[i%b] += m / float64(a)
			grand += m / float64(a*b)
		}
		return people, marks, grand
	}
	for range 200 { // each round leaves a part of at most 1/a + 1/b - 1/(ab) of the error
		people, marks, grand := fit()
		moved := 0.0
		for _, i := range missing {
			next := people[i/b] + marks[i%b] - grand
			moved = math.Max(moved, math.Abs(next-mean[i]))
			mean[i] = next
		}
		if moved < 1e-15 {
			break
		}
	}
	people, marks, grand := fit()
	u.size = float64(len(t.cells)) / inverse
	var ofPeople, ofBoth float64
	for _, m := range people {
		ofPeople += float64(b) * u.size * square(m-grand)
	}
	for i, m := range mean {
		ofBoth += u.size * square(m-people[i/b]-marks[i%b]+grand)
	}
	if ofBoth < u.size*float64(a*b)*nothing { // what computing left behind
		ofBoth = 0
	}
	squares, dof := t.squaresWithin()
	u.people = stats.Term{Weight: 1 / (float64(b) * u.size), MeanSquare: ofPeople / float64(a-1), DOF: float64(a - 1)}
	if free := float64((a-1)*(b-1) - empty); free > 0 {
		u.both = stats.Term{Weight: (1 - 1/float64(b)) / u.size, MeanSquare: ofBoth / free, DOF: free}
	}
	if dof > 0 {
		u.within = stats.Term{Weight: 1 - 1/u.size, MeanSquare: squares / dof, DOF: dof}
	}
	return u, true
}

// limits are those of the reproducibility, interaction kept (Graybill and Wang 1980).
func (u unweighted) limits() (low, high float64, ok bool) {
	if u.both.DOF == 0 && u.both.Weight > 0 || u.within.DOF == 0 {
		return 0, 0, false
	}
	low, high = stats.SumLimits(nonzero([]stats.Term{u.people, u.both, u.within}), Confidence)
	return math.Sqrt(low), math.Sqrt(high), true
}

// chance is that of people who differ as much where nobody does: F against the
// interaction, or what it is pooled with.
func (u unweighted) chance() Estimate {
	by := u.within
	if u.both.DOF > 0 {
		by = u.both
		if u.within.DOF > 0 && u.within.MeanSquare > 0 && stats.FSurvival(u.both.MeanSquare/u.within.MeanSquare, u.both.DOF, u.within.DOF) > poolAbove {
			dof := u.both.DOF + u.within.DOF
			by = stats.Term{MeanSquare: (u.both.MeanSquare*u.both.DOF + u.within.MeanSquare*u.within.DOF) / dof, DOF: dof}
		}
	}
	if by.DOF == 0 || by.MeanSquare == 0 {
		return Estimate{}
	}
	return know(stats.FSurvival(u.people.MeanSquare/by.MeanSquare, u.people.DOF, by.DOF))
}
