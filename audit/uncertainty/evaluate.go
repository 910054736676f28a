package uncertainty

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// EnoughSetups is the number of mountings from which the scatter between them is
// used (JCGM 100, H.5): below it three values are too few to judge by.
const EnoughSetups = 3

// Evaluate turns a combination into an interval, by one rule for every result:
//
//  0. Where earlier audits count: one t row from what remounting changed in them and
//     changes today, for any number of mountings.
//  1. Three mountings or more: one t row from the spread of the values over the
//     mountings, and the rounding beside it.
//  2. Fewer: for TDC, and for each line by itself, the larger of scatter and
//     rounding. A line whose scatter has one degree of freedom keeps both, with
//     the rounding in full: the scatter may be zero by chance.
//  3. Scatter of one pool makes one t row, sensitivities added as squares.
//  4. Every other input is a row of its own.
//  5. The exact sum of the rows gives the interval.
//
// It returns the distribution of the error beside the estimate.
func (c Combination) Evaluate(confidence float64) (Estimate, Sum) {
	rows, known := c.Budget()
	e := Estimate{Value: c.Value(), Budget: rows, Known: known}
	e.Standard, e.DOF = rows.Combined()
	sum := NewSum(rows.Terms())
	if known {
		e.Expanded = geometry.Angle(sum.HalfWidth(confidence))
	}
	return e, sum
}

// Budget is the rows of the combination, and whether the readings hold the
// scatter that an interval needs.
func (c Combination) Budget() (rows Budget, known bool) {
	known = true
	for _, g := range c.Groups {
		more, ok := g.rows()
		rows, known = append(rows, more...), known && ok
	}
	first := len(rows)
	for _, x := range c.Inputs {
		rows = append(rows, x.row())
	}
	slices.SortStableFunc(rows[first:], func(a, b Row) int { return int(a.Source) - int(b.Source) })
	return rows, known
}

// row is what one input that does not repeat does to the sum.
func (c Contribution) row() Row {
	r := Row{Source: c.Source, Shape: c.Shape, Scale: geometry.Angle(c.Scale), DOF: Known(), Sensitivity: c.size()}
	switch {
	case c.Covariance != nil:
		r.Scale, r.Sensitivity = geometry.Angle(math.Sqrt(math.Max(0, c.product(c.Sensitivity, c.Sensitivity)))), 1
		r.DOF = DOF(math.Floor(float64(c.DOF)))
	case sources[c.Source].folded:
		r.Scale, r.Sensitivity = geometry.Angle(c.Scale*c.size()), 1
	case c.Source == LostMotion: // its sign says from which side the line was read
		r.Sensitivity = c.Sensitivity[0]
	}
	return r
}

func (g Group) rows() (rows Budget, known bool) {
	switch {
	case g.Before != nil:
		return g.asBefore(), true
	case len(g.Mountings)+g.Further >= EnoughSetups:
		return g.between(), true
	}
	known = true
	var of []string // TDC, then the lines, each once
	for _, list := range [][]Contribution{g.Scatter, g.Rounding} {
		for _, x := range list {
			if !slices.Contains(of, x.whose()) {
				of = append(of, x.whose())
			}
		}
	}
	for _, whose := range of {
		scatter, ok := pooled(g.Scatter, whose)
		known = known && ok
		steps := rounded(g.Rounding, whose)
		switch {
		case !ok:
			rows = append(rows, steps...)
		case whose != ofTDC && len(scatter) == 1 && scatter[0].DOF == 1 && len(steps) > 0:
			for i := range steps {
				steps[i].Scale *= 2
			}
			rows = append(append(rows, scatter...), steps...)
		default:
			rows = append(rows, larger(scatter, steps)...)
		}
	}
	return merged(rows, g.Scatter), known
}

// ofTDC stands for TDC where contributions are told apart by what they belong to.
const ofTDC = "\x00TDC"

func (c Contribution) whose() string {
	if sources[c.Source].ofTDC {
		return ofTDC
	}
	return c.Of
}

// pooled makes one row of each pool. It reports false where a scatter is not
// known.
func pooled(scatter []Contribution, whose string) (rows Budget, known bool) {
	var pools []string
	for _, x := range scatter {
		if x.whose() != whose {
			continue
		}
		if x.DOF == 0 {
			return nil, false
		}
		size := geometry.Angle(x.Scale * x.size())
		at := slices.Index(pools, x.Pool)
		if x.Pool == "" || at < 0 {
			rows = append(rows, Row{Source: x.Source, Shape: StudentT, Scale: size, N: x.N, DOF: x.DOF, Sensitivity: 1})
			pools = append(pools, x.Pool)
			continue
		}
		rows[at].Scale = geometry.Angle(math.Hypot(float64(rows[at].Scale), float64(size)))
		rows[at].N += x.N
	}
	return rows, len(rows) > 0
}

func rounded(rounding []Contribution, whose string) (rows Budget) {
	for _, x := range rounding {
		if x.whose() == whose {
			rows = append(rows, Row{Source: x.Source, Shape: x.Shape, Scale: geometry.Angle(x.Scale * x.size()), DOF: Known(), Sensitivity: 1})
		}
	}
	return rows
}

// larger keeps all rows in sight and idles the smaller kind; equal ones keep the
// scatter, to 1e-9, so that the last digit of a sum does not choose.
func larger(scatter, steps Budget) Budget {
	u, _ := scatter.Combined()
	step, _ := steps.Combined()
	idle := scatter
	if float64(u) >= float64(step)*(1-1e-9) {
		idle = steps
	}
	for i := range idle {
		idle[i].Idle = true
	}
	return append(scatter, steps...)
}

// merged makes one t row of the lines that share one estimate of their scatter,
// as far as their scatter counts: the estimate errs alike in all of them.
func merged(rows Budget, scatter []Contribution) Budget {
	shares := 0
	for _, x := range scatter {
		if x.Source == LineReadingsPooled {
			shares++
		}
	}
	if shares < 2 {
		return rows
	}
	out := rows[:0]
	first := -1
	for _, r := range rows {
		if r.Source == LineReadingsPooled && !r.Idle {
			if first >= 0 {
				out[first].Scale = geometry.Angle(math.Hypot(float64(out[first].Scale), float64(r.Scale)))
				out[first].N += r.N
				continue
			}
			first = len(out)
		}
		out = append(out, r)
	}
	return out
}

// between treats the values of the mountings as the readings (JCGM 100, H.5). The
// step comes beside it: setups zeroed alike round alike.
func (g Group) between() Budget {
	k := len(g.Mountings) + g.Further
	rows := Budget{{
		Source: BetweenSetups, Shape: StudentT, Scale: g.spread() / geometry.Angle(math.Sqrt(float64(k))),
		N: k, DOF: DOF(k - 1), Sensitivity: 1,
	}}
	times := k
	if g.Alike {
		times = 1
	}
	return append(rows, g.rounding(times)...)
}

// asBefore joins the spread of today's values, if there are two or more, with that of
// earlier audits, of which at most four degrees of freedom count (JCGM 100, 4.2.4).
// The mountings of the past rounded each in its own place, so that their spread holds
// what rounding does, unless today's all round alike.
func (g Group) asBefore() Budget {
	own, more := float64(len(g.Values)-1), math.Min(lent, g.Before.DOF)
	squares := more * stats.Square(float64(g.Before.SD))
	if own > 0 {
		squares += own * stats.Square(float64(g.spread()))
	}
	k := len(g.Mountings) + g.Further
	rows := Budget{{
		Source: AsBefore, Shape: StudentT, Scale: geometry.Angle(math.Sqrt(squares / (own + more) / float64(k))),
		N: k, DOF: DOF(float64(k-1) + more), Sensitivity: 1,
	}}
	if g.Before.Rounds {
		rows = append(rows, g.rounding(1)...)
	}
	return rows
}

// rounding is the step of so many mountings that round each for itself.
func (g Group) rounding(times int) (rows Budget) {
	for _, tdc := range []bool{false, true} {
		for range times {
			for _, x := range g.Rounding {
				if (x.whose() == ofTDC) == tdc {
					rows = append(rows, Row{
						Source: x.Source, Shape: x.Shape, Scale: geometry.Angle(x.Scale*x.size()) / geometry.Angle(times),
						DOF: Known(), Sensitivity: 1,
					})
				}
			}
		}
	}
	return rows
}

// spread is the standard deviation of the values.
func (g Group) spread() geometry.Angle {
	squares, dof := stats.Spread(g.Values)
	return geometry.Angle(math.Sqrt(squares / dof))
}

// After is the combination as it would be after so many more pairs of contacts and
// readings of its line in the setups at hand, or after so many more setups, the
// scatter staying as it is. It is meant for a combination of one group.
func (c Combination) After(pairs, readings, setups int) Combination {
	out := c
	out.Groups = slices.Clone(c.Groups)
	for i := range out.Groups {
		g := &out.Groups[i]
		if g.Before != nil || len(g.Mountings)+g.Further >= EnoughSetups {
			g.Further += setups
			continue
		}
		g.Scatter = further(g.Scatter, MorePairs, pairs)
		g.Scatter = further(g.Scatter, MoreReadings, readings)
	}
	return out
}

// further adds n values to the first pool whose scatter such values make smaller.
func further(scatter []Contribution, more More, n int) []Contribution {
	first := slices.IndexFunc(scatter, func(x Contribution) bool { return x.Source.Smaller() == more })
	if n == 0 || first < 0 {
		return scatter
	}
	x := scatter[first]
	out := []Contribution{x}
	per := 0.0 // variance of the mean over that of one value
	for i, y := range scatter {
		switch {
		case i == first || x.Pool != "" && y.Pool == x.Pool && y.whose() == x.whose():
			per += y.size() * y.size()
			out[0].N += y.N
		default:
			out = append(out, y)
		}
	}
	out[0].N += n - x.N
	out[0].DOF += DOF(n)
	out[0].Sensitivity = []float64{1 / math.Sqrt(1/per+float64(n))}
	return out
}

// ScatterDOF combines the degrees of freedom of some scatters, those of a pool
// once (Welch-Satterthwaite, JCGM 100, G.4.1). Where none scatters it is the
// smallest. It is zero where one of them is not known.
func ScatterDOF(scatter []Contribution) float64 {
	rows, known := Group{Scatter: scatter}.rows()
	if !known || len(rows) == 0 {
		return 0
	}
	fewest := rows[0].DOF
	for i := range rows {
		rows[i].Idle = false
		fewest = min(fewest, rows[i].DOF)
	}
	if _, dof := rows.Combined(); len(rows) > 1 && !dof.Infinite() {
		return float64(dof)
	}
	return float64(fewest)
}

// Variance is the variance, in degrees squared, that some contributions bring to a
// sum.
func Variance(all []Contribution) float64 {
	var v float64
	for _, x := range all {
		v += stats.Square(float64(x.row().Standard()))
	}
	return v
}
