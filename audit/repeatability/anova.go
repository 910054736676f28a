package repeatability

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// against is the variance, of a single value, that differences between people
// are judged against.
type against struct {
	variance, dof float64
}

// anova analyses a balanced study with n values in each cell: the two-way random
// model with interaction (Montgomery, Design and Analysis of Experiments, 13.3;
// the automotive measurement systems handbook, 4th edition, appendix A). A study
// of one mark or of one person is the one-way model.
func (r *Result) anova(t *table, n int, pooling Pooling) against {
	people, marks := len(t.people), len(t.marks)
	a, b, k := float64(people), float64(marks), float64(n)
	ofPeople, ofMarks := make([]float64, people), make([]float64, marks)
	var grand float64
	for i := range t.cells {
		c := &t.cells[i]
		ofPeople[c.by] += c.mean / b
		ofMarks[c.mark] += c.mean / a
		grand += c.mean / (a * b)
	}
	var personSS, markSS, bothSS float64
	for _, m := range ofPeople {
		personSS += b * k * (m - grand) * (m - grand)
	}
	for _, m := range ofMarks {
		markSS += a * k * (m - grand) * (m - grand)
	}
	for i := range t.cells {
		c := &t.cells[i]
		d := c.mean - ofPeople[c.by] - ofMarks[c.mark] + grand
		bothSS += k * d * d
	}
	if bothSS < float64(len(t.cells))*nothing { // what computing left behind
		bothSS = 0
	}
	withinSS, withinDOF := t.squaresWithin()
	within := Source{Name: "repeatability", DOF: withinDOF, Squares: withinSS}
	person := Source{Name: "people", DOF: a - 1, Squares: personSS}
	mark := Source{Name: "marks", DOF: b - 1, Squares: markSS}
	both := Source{Name: "interaction", DOF: (a - 1) * (b - 1), Squares: bothSS}

	total := Source{Name: "total", DOF: a*b*k - 1, Squares: personSS + markSS + bothSS + withinSS}
	denominator := within
	switch {
	case both.DOF > 0 && withinDOF == 0: // one value a cell: both together are what is left
		both.Name = "interaction and repeatability"
		denominator = both
	case both.DOF > 0:
		both.F, both.P = fTest(both, within)
		both.FWithin, both.WithinChance = both.F, both.P
		// Without any scatter within cells there is nothing to pool with.
		r.Pooled = pooling == PoolAlways || pooling == PoolAuto && both.P.Known && both.P.Value > poolAbove
		denominator = both
		if r.Pooled {
			denominator = Source{Name: "pooled", DOF: both.DOF + within.DOF, Squares: both.Squares + within.Squares}
		}
	}
	for _, s := range []*Source{&person, &mark} {
		if s.DOF > 0 {
			s.F, s.P = fTest(*s, denominator)
			s.FWithin, s.WithinChance = fTest(*s, within)
		}
	}
	for _, s := range []Source{person, mark, both, within, total} {
		if s.DOF > 0 {
			r.Anova = append(r.Anova, s)
		}
	}
	r.fromSquares(person, mark, both, within, denominator, a, b, k)
	if denominator.DOF == 0 {
		return against{}
	}
	return against{variance: denominator.MeanSquare(), dof: denominator.DOF}
}

// fTest tests a mean square against another.
func fTest(of, by Source) (f, chance Estimate) {
	if by.DOF == 0 || by.Squares == 0 {
		return Estimate{}, Estimate{}
	}
	x := of.MeanSquare() / by.MeanSquare()
	return know(x), know(stats.FSurvival(x, of.DOF, by.DOF))
}

// fromSquares takes the components from the expected mean squares, none below
// zero, with their intervals.
func (r *Result) fromSquares(person, mark, both, within, denominator Source, a, b, k float64) {
	c := &r.Components
	term := func(weight float64, s Source) stats.Term {
		return stats.Term{Weight: weight, MeanSquare: s.MeanSquare(), DOF: s.DOF}
	}
	error := within
	if r.Pooled || within.DOF == 0 {
		error = denominator
	}
	if error.DOF > 0 {
		c.Repeatability = deviation(error.MeanSquare(), error.DOF)
		c.RepeatabilityDOF = error.DOF
	}
	switch {
	case person.DOF > 0 && denominator.DOF > 0:
		c.Person = difference(term(1/(b*k), person), term(1/(b*k), denominator))
	case person.DOF > 0 && mark.DOF == 0: // one value each of one mark: they differ by everything
		c.Reproducibility = deviation(person.MeanSquare(), person.DOF)
	}
	if mark.DOF > 0 && denominator.DOF > 0 {
		c.Mark = difference(term(1/(a*k), mark), term(1/(a*k), denominator))
	}
	separate := both.DOF > 0 && within.DOF > 0 && !r.Pooled
	switch {
	case separate:
		c.Interaction = difference(term(1/k, both), term(1/k, within))
	case r.Pooled:
		c.Interaction = know(0)
	}
	if !c.Person.Known {
		return
	}
	terms := []stats.Term{term(1/(b*k), person)}
	if separate {
		terms = append(terms, term((1-1/b)/k, both), term(1-1/k, within))
	} else {
		terms = append(terms, term(1-1/(b*k), denominator))
	}
	low, high := stats.SumLimits(nonzero(terms), Confidence)
	c.Reproducibility = bounded(hypot(c.Repeatability, c.Person, c.Interaction), math.Sqrt(low), math.Sqrt(high))
}

func nonzero(terms []stats.Term) []stats.Term {
	var out []stats.Term
	for _, t := range terms {
		if t.Weight > 0 {
			out = append(out, t)
		}
	}
	return out
}

// deviation is a standard deviation from a mean square, with its chi-square
// interval.
func deviation(meanSquare, dof float64) Estimate {
	sd := math.Sqrt(meanSquare)
	low, high := stats.DeviationFactors(dof, Confidence)
	return bounded(sd, sd*low, sd*high)
}

// difference is a standard deviation from the difference of two mean squares.
func difference(plus, minus stats.Term) Estimate {
	low, high := stats.DifferenceLimits(plus, minus, Confidence)
	v := plus.Weight*plus.MeanSquare - minus.Weight*minus.MeanSquare
	return bounded(math.Sqrt(math.Max(0, v)), math.Sqrt(low), math.Sqrt(high))
}

// nothing is the square of a difference below which two values are equal, degrees
// squared.
var nothing = square(geometry.Tie.Degrees())

// bounded is an estimate with an interval; one that overflows is none, nor is one
// without width: values that are all equal do not show how far others would lie.
func bounded(v, low, high float64) Estimate {
	e := know(v)
	if ok := !math.IsNaN(low) && !math.IsNaN(high) && !math.IsInf(high, 0) && square(high-low) > nothing; ok {
		e.Low, e.High, e.Bounded = math.Min(low, v), math.Max(high, v), true
	}
	return e
}

func hypot(parts ...Estimate) float64 {
	var v float64
	for _, p := range parts {
		v += p.Value * p.Value
	}
	return math.Sqrt(v)
}
