package repeatability

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
)

// The model of an unbalanced study, from the means of its cells:
//
//	ȳ = µ + person + mark + interaction + error/√n
//
// with every effect random and normal. Restricted maximum likelihood (Patterson
// and Thompson, Biometrika 58 (1971) 545; Searle, Casella and McCulloch,
// Variance Components (1992), 6.6) is taken over the ratios of the standard
// deviations to that of the error, which is profiled out, as in Bates et al.,
// J. Stat. Softw. 67 (2015) 1. The deviance is even in each ratio, so that none
// needs a bound.
type model struct {
	cells       []remlCell
	groups      [2]int // sizes: 0 the larger factor, which is eliminated, 1 the smaller
	rows        [][]int
	factor      [2]int    // index of each group's ratio in ratios
	has         [3]bool   // person, mark, interaction are in the model
	values      float64   // in all
	withinSS    float64   // squares within cells
	small       []float64 // the smaller factor's matrix, and room for it
	off         []float64 // a row between the factors
	ones, means [2][]float64
}

type remlCell struct {
	at   [2]int // in the groups
	n, y float64
}

// The components, as indexes.
const (
	ofPerson = iota
	ofMark
	ofInteraction
	ofError
)

func newModel(t *table, has [3]bool, cellsAlone bool) *model {
	m := &model{has: has, values: float64(t.values), groups: [2]int{len(t.people), len(t.marks)}, factor: [2]int{ofPerson, ofMark}}
	swap := len(t.marks) > len(t.people)
	if swap {
		m.groups[0], m.groups[1] = m.groups[1], m.groups[0]
		m.factor = [2]int{ofMark, ofPerson}
	}
	m.withinSS, _ = t.squaresWithin()
	var mean float64
	for i := range t.cells {
		mean += t.cells[i].mean / float64(len(t.cells))
	}
	m.rows = make([][]int, m.groups[0])
	for i := range t.cells {
		c := &t.cells[i]
		cell := remlCell{at: [2]int{c.by, c.mark}, n: c.n(), y: c.mean - mean}
		if swap {
			cell.at[0], cell.at[1] = cell.at[1], cell.at[0]
		}
		if cellsAlone {
			cell.n = 1
		}
		m.rows[cell.at[0]] = append(m.rows[cell.at[0]], len(m.cells))
		m.cells = append(m.cells, cell)
	}
	if cellsAlone {
		m.values, m.withinSS = float64(len(m.cells)), 0
	}
	m.small = make([]float64, m.groups[1]*m.groups[1])
	m.off = make([]float64, m.groups[1])
	for g := range m.ones {
		m.ones[g], m.means[g] = make([]float64, m.groups[g]), make([]float64, m.groups[g])
	}
	return m
}

// parts are what the likelihood consists of, for given ratios.
type parts struct {
	logDet float64 // of the covariance over the error's variance, and of what µ takes
	rss    float64
}

// at solves the mixed model equations of the cells' means, with the larger
// factor eliminated: that one's matrix is diagonal.
func (m *model) at(ratios [3]float64) parts {
	s := m.groups[1]
	clear(m.small)
	for g := range m.ones {
		clear(m.ones[g])
		clear(m.means[g])
	}
	big, little := math.Abs(ratios[m.factor[0]]), math.Abs(ratios[m.factor[1]])
	square := ratios[ofInteraction] * ratios[ofInteraction]
	var logDet, oo, oy, yy float64
	for j := range s {
		m.small[j*s+j] = 1
	}
	for i, row := range m.rows {
		p, g, gy := 1.0, 0.0, 0.0
		for _, c := range row {
			cell := &m.cells[c]
			w := 1 / (square + 1/cell.n)
			logDet -= math.Log(w / cell.n)
			oo, oy, yy = oo+w, oy+w*cell.y, yy+w*cell.y*cell.y
			p += big * big * w
			g, gy = g+big*w, gy+big*w*cell.y
			j := cell.at[1]
			m.off[j] = big * little * w
			m.small[j*s+j] += little * little * w
			m.ones[1][j] += little * w
			m.means[1][j] += little * w * cell.y
		}
		m.ones[0][i], m.means[0][i] = g, gy
		logDet += math.Log(p)
		oo, oy, yy = oo-g*g/p, oy-g*gy/p, yy-gy*gy/p
		for x, c := range row {
			j := m.cells[c].at[1]
			f := m.off[j] / p
			m.ones[1][j] -= f * g
			m.means[1][j] -= f * gy
			line := m.small[j*s : j*s+s]
			for _, d := range row[x:] { // upper triangle where rows are in order of the smaller factor
				k := m.cells[d].at[1]
				line[k] -= f * m.off[k]
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(s, m.small)) {
		return parts{logDet: math.Inf(1)}
	}
	logDet += chol.LogDet()
	ones, means := mat.NewVecDense(s, m.ones[1]), mat.NewVecDense(s, m.means[1])
	var solved mat.VecDense
	if err := chol.SolveVecTo(&solved, ones); err != nil {
		return parts{logDet: math.Inf(1)}
	}
	oo, oy = oo-mat.Dot(ones, &solved), oy-mat.Dot(means, &solved)
	if err := chol.SolveVecTo(&solved, means); err != nil {
		return parts{logDet: math.Inf(1)}
	}
	yy -= mat.Dot(means, &solved)
	return parts{logDet: logDet + math.Log(oo), rss: math.Max(0, yy-oy*oy/oo) + m.withinSS}
}

// deviance is minus twice the restricted log likelihood with the error profiled
// out, but for a constant.
func (m *model) deviance(ratios [3]float64) float64 {
	p := m.at(ratios)
	return p.logDet + (m.values-1)*math.Log(p.rss)
}

// criterion is minus twice the restricted log likelihood.
func (m *model) criterion(variances [4]float64) float64 {
	e := variances[ofError]
	p := m.at([3]float64{math.Sqrt(variances[ofPerson] / e), math.Sqrt(variances[ofMark] / e), math.Sqrt(variances[ofInteraction] / e)})
	return p.logDet + (m.values-1)*math.Log(2*math.Pi*e) + p.rss/e
}

// fit returns the variances of person, mark, interaction and error.
func (m *model) fit() (variances [4]float64, deviance float64) {
	best, least := [3]float64{}, math.Inf(1)
	starts := []float64{1, 0.2, 8}
	if len(m.cells) > manyCells {
		starts = starts[:1]
	}
	for _, start := range starts {
		var at [3]float64
		for i, has := range m.has {
			if has {
				at[i] = start
			}
		}
		if at, d := m.descend(at); d < least-1e-9 {
			best, least = at, d
		}
	}
	e := m.at(best).rss / (m.values - 1)
	for i, r := range best {
		if math.Abs(r) > 1e-4 {
			variances[i] = r * r * e
		}
	}
	variances[ofError] = e
	return variances, least
}

// manyCells is the number of cells beyond which a deviance has one minimum, and
// looking for others takes long.
const manyCells = 500

// descend goes down the deviance by Newton steps, damped while they lead up.
// Derivatives are by central differences, those of the gradient of fourth order.
func (m *model) descend(at [3]float64) ([3]float64, float64) {
	var free []int
	for i, has := range m.has {
		if has {
			free = append(free, i)
		}
	}
	n := len(free)
	here := m.deviance(at)
	if n == 0 {
		return at, here
	}
	damping := 1e-3
	for range 60 {
		g, h := mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
		moved := func(steps ...float64) float64 {
			x := at
			for i, f := range free {
				x[f] += steps[i]
			}
			return m.deviance(x)
		}
		size := make([]float64, n)
		plus := make([]float64, n)
		for i, f := range free {
			size[i] = 1e-3 * math.Max(0.1, math.Abs(at[f]))
			step := make([]float64, n)
			along := func(by float64) float64 {
				step[i] = by * size[i]
				return moved(step...)
			}
			p, q := along(1), along(-1)
			plus[i] = p
			g.SetVec(i, (8*(p-q)-(along(2)-along(-2)))/(12*size[i]))
			h.SetSym(i, i, (p-2*here+q)/(size[i]*size[i]))
		}
		for i := range n {
			for j := range i {
				step := make([]float64, n)
				step[i], step[j] = size[i], size[j]
				h.SetSym(i, j, (moved(step...)-plus[i]-plus[j]+here)/(size[i]*size[j]))
			}
		}
		var largest float64
		for i := range n {
			largest = math.Max(largest, math.Abs(h.At(i, i)))
		}
		accepted := false
		var longest float64
		for range 40 {
			damped := mat.NewSymDense(n, nil)
			damped.CopySym(h)
			for i := range n {
				damped.SetSym(i, i, h.At(i, i)+damping*(math.Abs(h.At(i, i))+1e-6*largest+1e-12))
			}
			var chol mat.Cholesky
			var step mat.VecDense
			if chol.Factorize(damped) && chol.SolveVecTo(&step, g) == nil {
				next := at
				longest = 0
				for i, f := range free {
					next[f] -= step.AtVec(i)
					longest = math.Max(longest, math.Abs(step.AtVec(i))/math.Max(0.1, math.Abs(at[f])))
				}
				if d := m.deviance(next); d <= here {
					at, here, accepted = next, d, true
					damping = math.Max(damping/10, 1e-12)
					break
				}
			}
			damping = math.Min(damping*10+1e-12, 1e12)
		}
		if !accepted || longest < 1e-9 {
			break
		}
	}
	return at, here
}

// information returns the covariance of the logarithms of the variances that are
// not zero, from the curvature of the criterion, and their indexes.
func (m *model) information(variances [4]float64) (*mat.SymDense, []int) {
	var there []int
	for i, v := range variances {
		if v > 0 {
			there = append(there, i)
		}
	}
	const h = 0.02 // the curvature is good to h²/12 of itself
	n := len(there)
	moved := func(i, j int, si, sj float64) float64 {
		v := variances
		v[there[i]] *= math.Exp(si)
		v[there[j]] *= math.Exp(sj)
		return m.criterion(v)
	}
	here := m.criterion(variances)
	curve := mat.NewSymDense(n, nil)
	for i := range n {
		curve.SetSym(i, i, (moved(i, i, h, 0)-2*here+moved(i, i, -h, 0))/(2*h*h))
		for j := range i {
			curve.SetSym(i, j, (moved(i, j, h, h)-moved(i, j, h, -h)-moved(i, j, -h, h)+moved(i, j, -h, -h))/(8*h*h))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(curve) {
		return nil, nil
	}
	cov := mat.NewSymDense(n, nil)
	if err := chol.InverseTo(cov); err != nil {
		return nil, nil
	}
	return cov, there
}

// reml analyses an unbalanced study. Intervals are those of chi-square with the
// degrees of freedom that give the variance its own variance (Satterthwaite,
// Biometrics Bull. 2 (1946) 110).
//
// It returns the variance of a cell's mean within its person and mark, and the
// degrees of freedom with which that is known; nil where nothing is left to judge
// by.
func reml(c *Components, t *table) (ofCell func(*cell) float64, dof float64) {
	people, marks := len(t.people) > 1, len(t.marks) > 1
	withinSS, withinDOF := t.squaresWithin()
	spare := len(t.cells) - len(t.people) - len(t.marks) + 1 // contrasts left for the interaction
	has := [3]bool{ofPerson: people, ofMark: marks, ofInteraction: people && marks && withinDOF > 0 && spare > 0}
	if withinDOF == 0 && (spare <= 0 || !people || !marks) { // nothing is left to judge by
		return nil, 0
	}
	if withinSS == 0 && additive(t) {
		c.RepeatabilityDOF = withinDOF
		if withinDOF == 0 { // read once
			c.RepeatabilityDOF = float64(spare)
		}
		withoutScatter(c, t, has[ofInteraction])
		return nil, 0
	}
	// Values that never differ within a cell leave the interaction as all there is.
	alike := withinDOF > 0 && withinSS == 0
	if alike {
		has[ofInteraction] = false
	}
	m := newModel(t, has, alike)
	v := [4]float64{}
	var cov *mat.SymDense
	var there []int
	var zero [4]bool // may as well be zero
	if m.at([3]float64{}).rss > 1e-24*m.values {
		var deviance float64
		v, deviance = m.fit()
		cov, there = m.information(v)
		for i, of := range there {
			switch c := cov.At(i, i); {
			case of == ofError || 2/c >= wellKnown:
			case len(m.cells) > manyCells: // the same by the curvature alone
				zero[of] = 1/c < likelihoodRatio
			default:
				zero[of] = m.without(of)-deviance < likelihoodRatio
			}
		}
	}
	// A sum of variances, by the covariance of their logarithms.
	estimate := func(which ...int) Estimate {
		var sum, variance float64
		for _, w := range which {
			sum += v[w]
		}
		for i, a := range there {
			for j, b := range there {
				if slices.Contains(which, a) && slices.Contains(which, b) {
					variance += v[a] * v[b] * cov.At(i, j)
				}
			}
		}
		value := math.Sqrt(sum)
		if cov == nil {
			return know(value)
		}
		var low, high float64
		dof := 2 * sum * sum / variance
		if dof >= leastDOF {
			l, h := stats.DeviationFactors(dof, Confidence)
			low, high = value*l, value*h
		}
		if one := which[0]; len(which) == 1 && one != ofError && !(dof >= wellKnown) {
			below, above := m.likely(v, one)
			if zero[one] {
				below = 0
			}
			low, high = math.Min(low, below), math.Max(high, above)
		}
		return bounded(value, low, high)
	}
	c.Repeatability = estimate(ofError)
	if alike {
		c.Interaction, c.Repeatability, c.RepeatabilityDOF = estimate(ofError), know(0), withinDOF
	} else if has[ofInteraction] {
		c.Interaction = estimate(ofInteraction)
	}
	if cov != nil && !alike {
		c.RepeatabilityDOF = 2 / cov.At(len(there)-1, len(there)-1)
	}
	if marks {
		c.Mark = estimate(ofMark)
	}
	if people {
		c.Person = estimate(ofPerson)
		c.Reproducibility = estimate(ofPerson, ofInteraction, ofError)
	}
	dof = float64(t.values - len(t.people) - len(t.marks) + 1)
	if alike || v[ofInteraction] > 0 {
		dof = float64(spare)
	}
	if alike {
		return func(*cell) float64 { return v[ofError] }, dof
	}
	return func(c *cell) float64 { return v[ofInteraction] + v[ofError]/c.n() }, dof
}

// without is the least deviance where one component is zero.
func (m *model) without(component int) float64 {
	less := *m
	less.has[component] = false
	_, deviance := less.fit()
	return deviance
}

// likely returns the standard deviations below and above a component's own at
// which the deviance, with the ratios of the other components as they are and the
// error free, has risen by that of the likelihood ratio: 0 and NaN where it never
// does.
func (m *model) likely(v [4]float64, component int) (below, above float64) {
	var ratios [3]float64
	for i := range ratios {
		ratios[i] = math.Sqrt(v[i] / v[ofError])
	}
	least, own := m.deviance(ratios), ratios[component]
	rises := func(ratio float64) bool {
		ratios[component] = ratio
		return m.deviance(ratios)-least > likelihoodRatio
	}
	between := func(in, out float64) float64 {
		for math.Abs(out-in) > 1e-5*math.Max(in, out) {
			if middle := (in + out) / 2; rises(middle) {
				out = middle
			} else {
				in = middle
			}
		}
		ratios[component] = out
		return out * math.Sqrt(m.at(ratios).rss/(m.values-1))
	}
	if own > 0 && rises(0) {
		below = between(own, 0)
	}
	in, out := own, math.Max(2*own, 0.05)
	for !rises(out) {
		if in, out = out, 2*out; out > 1e6 {
			return below, math.NaN()
		}
	}
	return below, between(in, out)
}

// The interval of a component reaches down to zero unless the likelihood ratio
// says otherwise: at a bound it exceeds the 5 % point of chi-square with one
// degree of freedom in 2.5 % (Self and Liang, J. Am. Stat. Assoc. 82 (1987) 605).
// A component with fifty degrees of freedom is nowhere near zero, and chi-square
// is enough for it.
const (
	likelihoodRatio = 3.841
	wellKnown       = 50
)

// leastDOF is the number of degrees of freedom below which chi-square says
// nothing: its limits lie decades apart.
const leastDOF = 0.5
