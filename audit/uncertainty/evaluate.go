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
//     rounding, and both by weight where they are alike. A line whose scatter has one degree of freedom keeps both, with
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

// Of scatter and step, the larger counts. Where their variances are alike, luck would
// choose between two intervals of which one is half as wide again, so from the lower
// of these ratios to the upper the scatter takes over step by step. Chosen by
// simulation (docs/validation.md).
const (
	stepAlone    = 0.80
	scatterAlone = 1.25
)

// larger keeps all rows in sight and weighs them: the larger kind counts, idle is the
// other, and between the two each counts by its weight.
func larger(scatter, steps Budget) Budget {
	u, _ := scatter.Combined()
	step, _ := steps.Combined()
	weight := 1.0
	if step > 0 {
		ratio := stats.Square(float64(u / step))
		weight = math.Min(1, math.Max(0, (ratio-stepAlone)/(scatterAlone-stepAlone)))
	}
	weigh(scatter, weight)
	weigh(steps, 1-weight)
	return append(scatter, steps...)
}

// weigh lets rows count by a share of their variance.
func weigh(rows Budget, share float64) {
	for i := range rows {
		if share == 0 {
			rows[i].Idle = true
			continue
		}
		rows[i].Scale *= geometry.Angle(math.Sqrt(share))
	}
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
// what rounding does, unless today's all round alike. Less than half of the variance
// that the step alone makes is no luck, and values that are all equal hold nothing of
// it: the less there is, the more the step counts beside it.
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
		return append(rows, g.rounding(1)...)
	}
	steps := g.rounding(k)
	u, _ := rows.Combined()
	step, _ := steps.Combined()
	missing := 0.0
	if step > 0 {
		missing = 1 - 2*stats.Square(float64(u/step))
	}
	if missing <= 0 {
		return rows
	}
	weigh(steps, missing)
	return append(rows, steps...)
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

// spread is the standard deviation of the values, zero where all are equal but for
// what computing leaves behind.
func (g Group) spread() geometry.Angle {
	squares, dof := stats.Spread(g.Values)
	if sd := geometry.Angle(math.Sqrt(squares / dof)); sd >= geometry.Tie {
		return sd
	}
	return 0
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

// further adds n values to the pool of which one such value makes the variance
// smallest, whatever the order of the setups. Of pools that gain alike it is the
// first by its source.
func further(scatter []Contribution, more More, n int) []Contribution {
	if n == 0 {
		return scatter
	}
	var pools []pool
	for i, x := range scatter {
		if x.Source.Smaller() != more {
			continue
		}
		at := slices.IndexFunc(pools, func(p pool) bool {
			o := scatter[p.of[0]]
			return x.Pool != "" && o.Pool == x.Pool && o.whose() == x.whose()
		})
		if at < 0 {
			pools = append(pools, pool{})
			at = len(pools) - 1
		}
		pools[at].of = append(pools[at].of, i)
		pools[at].per += x.size() * x.size()
	}
	if len(pools) == 0 {
		return scatter
	}
	slices.SortStableFunc(pools, func(a, b pool) int { return int(scatter[a.of[0]].Source) - int(scatter[b.of[0]].Source) })
	best := pools[0]
	for _, p := range pools[1:] {
		if p.gain(scatter) > best.gain(scatter)*(1+1e-9) {
			best = p
		}
	}
	x := scatter[best.of[0]]
	x.N = n
	for _, i := range best.of {
		x.N += scatter[i].N
	}
	x.DOF += DOF(n)
	x.Sensitivity = []float64{1 / math.Sqrt(1/best.per+float64(n))}
	out := []Contribution{x}
	for i, y := range scatter {
		if !slices.Contains(best.of, i) {
			out = append(out, y)
		}
	}
	return out
}

// pool is the contributions that have one estimate of their scatter.
type pool struct {
	of  []int
	per float64 // variance of their mean over that of one value
}

// gain is by how much one further value makes the variance of a pool smaller.
func (p pool) gain(scatter []Contribution) float64 {
	return stats.Square(scatter[p.of[0]].Scale) * p.per * p.per / (1 + p.per)
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
