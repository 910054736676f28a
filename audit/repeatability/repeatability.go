package repeatability

import (
	"math"
	"slices"
)

// Analyse says what a study tells. It panics on a study without values. Values that
// a slip of the pen explains are named first, and take no part unless they were
// looked up.
func Analyse(d Data, pooling Pooling) Result {
	if len(d.Values) == 0 {
		panic("study: no values")
	}
	found := slips(d)
	r := Result{Data: d, Pooling: pooling, Slips: found}
	if len(found) > 0 && len(found) < len(d.Values) && !d.AsRead {
		r.Data.Values, r.Data.Lines, r.Data.Texts = nil, nil, nil
		for i, v := range d.Values {
			if !slices.ContainsFunc(found, func(s Slip) bool { return s.at == i }) {
				r.Data.Values = append(r.Data.Values, v)
			}
		}
	}
	t := tabulate(r.Data.Values)
	r.Near = nearNames(t)
	r.gaps(t)

	ofCell, dof := r.components(t)
	r.between(t)
	c := r.Components
	switch squares, dof := t.squaresWithin(); {
	case squares == 0 && dof > 0 || c.Repeatability.Known && c.Repeatability.Value == 0:
		r.Gaps = append(r.Gaps, Rounded)
	case c.Repeatability.Known && c.Repeatability.Value < r.Data.Step.Degrees()/math.Sqrt(12):
		r.Gaps = append(r.Gaps, StepHides)
	}
	if c.Reproducibility.Known && c.Reproducibility.Value > 0 && d.Tolerance > 0 {
		per := 3 / d.Tolerance.Degrees() // 6 over the whole width
		r.ShareOfTolerance = scaled(c.Reproducibility, per)
	}
	if c.Mark.Known && c.Reproducibility.Known && c.Reproducibility.Value > 0 {
		r.Categories = know(1.41 * c.Mark.Value / c.Reproducibility.Value)
	}
	r.Marks = levels(r.Data.Values[0].Value, t)
	r.people(t, ofCell, dof)
	r.disagreement(t)
	r.Reference = reference(r, t)
	return r
}

// components finds the components, and returns the variance of a cell's mean, nil
// where it is not known, with its degrees of freedom.
func (r *Result) components(t *table) (ofCell func(*cell) float64, dof float64) {
	switch n := t.balanced(); {
	case n > 0:
		if a := r.anova(t, n, r.Pooling); a.dof > 0 {
			ofCell, dof = func(*cell) float64 { return a.variance / float64(n) }, a.dof
		}
	case t.connected():
		r.Method = REML
		ofCell, dof = reml(&r.Components, t)
	default:
		r.Method = REML
		if squares, dof := t.squaresWithin(); dof > 0 {
			r.Components.Repeatability = deviation(squares/dof, dof)
			r.Components.RepeatabilityDOF = dof
		}
	}
	return ofCell, dof
}

// between looks at whether people differ at all, and in a study with gaps bounds
// the reproducibility closer than restricted maximum likelihood does.
func (r *Result) between(t *table) {
	for _, s := range r.Anova {
		if s.Name == "people" {
			r.BetweenChance = s.P
			return
		}
	}
	u, ok := t.squares()
	if !ok || r.Method != REML {
		return
	}
	r.BetweenChance = u.chance()
	if e := &r.Components.Reproducibility; e.Known {
		if low, high, ok := u.limits(); ok {
			*e = bounded(e.Value, low, high)
			r.ByMeans = true
		}
	}
}

func scaled(e Estimate, by float64) Estimate {
	e.Value, e.Low, e.High = e.Value*by, e.Low*by, e.High*by
	return e
}

// gaps names what the values cannot tell, whatever they are.
func (r *Result) gaps(t *table) {
	gap := func(is bool, g Gap) {
		if is {
			r.Gaps = append(r.Gaps, g)
		}
	}
	_, within := t.squaresWithin()
	spare := len(t.cells) - len(t.people) - len(t.marks) + 1
	crossed := len(t.people) > 1 && len(t.marks) > 1
	gap(len(t.people) == 1, OnePerson)
	gap(len(t.marks) == 1, OneMark)
	gap(within == 0 && crossed && spare > 0, OneRepeat)
	gap(within == 0 && !(crossed && spare > 0), NoRepeat)
	gap(within > 0 && crossed && spare <= 0, NoInteraction)
	gap(!t.connected(), NotConnected)
	gap(r.Data.Nameless > 0, SomeNameless)
	gap(r.Data.Each == PerReading, ReadingsOnly)
	gap(r.Data.Tolerance == 0, NoTolerance)
}

// disagreement names the person and mark that differ most beyond what either
// does, where people do not see all marks alike.
func (r *Result) disagreement(t *table) {
	for _, s := range r.Anova {
		if s.Name != "interaction" || r.Pooled || !s.P.Known || s.P.Value >= significant {
			continue
		}
		people, marks := make([]float64, len(t.people)), make([]float64, len(t.marks))
		var grand float64
		for i := range t.cells {
			c := &t.cells[i]
			people[c.by] += c.mean / float64(len(marks))
			marks[c.mark] += c.mean / float64(len(people))
			grand += c.mean / float64(len(t.cells))
		}
		var far float64
		var at *cell
		for i := range t.cells {
			c := &t.cells[i]
			if d := c.mean - people[c.by] - marks[c.mark] + grand; math.Abs(d) > math.Abs(far) {
				far, at = d, c
			}
		}
		if at != nil {
			r.Flags = append(r.Flags, Flag{
				Code: Disagreement, By: t.people[at.by], Mark: t.marks[at.mark],
				Statistic: s.F, Values: []float64{far, s.P.Value},
			})
		}
	}
}

// significant is the level of all tests of a study, for all people together
// where each is tested: common practice.
const significant = 0.05
