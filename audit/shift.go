package audit

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Finding is what the lines say together.
type Finding uint8

// Unknown: the readings hold no scatter to judge by. None: no shift and no line
// that differs. Common: all lines off alike. SingleMark: one line differs and
// the others agree. Individual: the lines differ among themselves.
const (
	Unknown Finding = iota
	None
	Common
	SingleMark
	Individual
)

func (f Finding) String() string {
	return [...]string{"unknown", "none", "common", "single mark", "individual"}[f]
}

// Levels of significance at which something is claimed, chosen by simulation
// (docs/method.md, Findings).
const (
	claimLevel = 0.025 // a, of a common shift and of lines that differ
	restLevel  = 0.01  // b, below which the others are said to differ too
)

// Shift is what the lines say together: the shift that they share and whether
// they agree.
type Shift struct {
	Finding     Finding
	Common      *Estimate // of all lines, or of the others when one stands out; nil if unknown
	Homogeneity float64   // probability of lines as different as these if they were alike; NaN if there is no telling
	StandsOut   []string
	Shifted     bool     // the interval of Common at 1 - a leaves out zero
	Small       bool     // every effect is below a quarter of the tolerance
	Act         bool     // what shifts the lines together comes before any single line
	Lines       []string // the lines compared: those read in the same setups
	LeftOut     []string // lines read in other setups than those
	Scribe      Scribe   // of the pointer, or of the line that turns
}

// group is a set of lines read in the same setups, so that what a setup adds to
// all of them drops out of their differences.
type group struct {
	a        *analysis
	lines    []int // indexes into analysis.lines
	stations []*station
	offsets  []float64 // degrees, unwrapped around the first
	v        *mat.SymDense
	nu       float64 // degrees of freedom for comparing the lines
	residual float64 // mean square of the two-way table, three or more setups
}

// largestGroup returns the lines that share one set of setups, the largest such
// set, and the names of lines left out.
func (a *analysis) largestGroup() (lines []int, leftOut []string) {
	for _, same := range a.sameSetups() {
		if len(same) > len(lines) {
			lines = same
		}
	}
	in := map[int]bool{}
	for _, i := range lines {
		in[i] = true
	}
	for i, l := range a.lines {
		if !in[i] && len(l.seen) > 0 {
			leftOut = append(leftOut, l.mark.Name)
		}
	}
	return lines, leftOut
}

// newGroup lays out the covariance of the lines' offsets, what is common to all
// left out. It reports false when a line's scatter is not known.
func (a *analysis) newGroup(lines []int) (*group, bool) {
	g := &group{a: a, lines: lines, stations: a.lines[lines[0]].stations()}
	offsets := make([]geometry.Angle, len(lines))
	for i, l := range lines {
		offsets[i] = a.lines[l].offset()
	}
	g.offsets = degrees(geometry.Unwrap(offsets, offsets[0]))
	p := len(lines)
	g.v = mat.NewSymDense(p, nil)
	scatter := make([]float64, p) // variance of each line that comes from scatter
	for i, index := range lines {
		l := &a.lines[index]
		r := a.repeats(l)
		rest := 0.0
		if r.setups >= enough {
			if i == 0 {
				g.residual, g.nu = g.interaction()
			}
			scatter[i] = g.residual / float64(r.setups)
			for _, row := range r.setupRows() {
				if row.Source == stepAtLine {
					rest += square(float64(row.Standard()))
				}
			}
		} else {
			if r.lineDOF == 0 {
				return nil, false
			}
			scatter[i], rest = g.ownVariance(r)
		}
		g.v.SetSym(i, i, scatter[i]+rest)
	}
	if len(g.stations) < enough {
		g.nu = g.scatterDOF(scatter)
	}
	tops, dof, known := g.addTops()
	if !known {
		return nil, false
	}
	g.addShared()
	var fromScatter float64
	for _, v := range scatter {
		fromScatter += v / float64(p)
	}
	switch all := g.meanContrast(); {
	case tops != nil || a.rimLimit().Half > 0:
		g.nu = g.mixedDOF(scatter, tops, dof)
	case fromScatter > 0:
		g.nu *= square(all / fromScatter)
	default:
		g.nu = math.Inf(1)
	}
	return g, true
}

// sameTops reports whether all lines count from the same TDCs, which then drop
// out of their differences. Lines of two cylinders do not.
func (g *group) sameTops() bool {
	for _, i := range g.lines[1:] {
		if !slices.Equal(g.a.lines[i].tops(), g.a.lines[g.lines[0]].tops()) {
			return false
		}
	}
	return true
}

// addTops adds what the TDCs of several cylinders do to the differences of their
// lines. It returns the part of it that their scatter makes, nil where they drop
// out, with its degrees of freedom, and false when that is not known.
func (g *group) addTops() (scatter *mat.SymDense, dof float64, known bool) {
	if g.sameTops() || len(g.stations) >= enough && g.single() {
		return nil, 0, true
	}
	scatter = mat.NewSymDense(len(g.lines), nil)
	for i, k := range g.lines {
		for j := i; j < len(g.lines); j++ {
			one, other := &g.a.lines[k], &g.a.lines[g.lines[j]]
			var both []*top // their weights multiply
			for _, t := range one.tops() {
				if slices.Contains(other.tops(), t) {
					both = append(both, t)
				}
			}
			if len(both) == 0 {
				continue
			}
			m := evenly(both)
			m.over = float64(len(g.stations))
			r := g.a.topRepeats(m, len(g.stations))
			if !r.stopKnown() {
				return nil, 0, false
			}
			dof = r.stops.dof()
			rows := r.stopRows()
			u, _ := append(rows, g.a.contactRows(m)...).Combined()
			g.v.SetSym(i, j, g.v.At(i, j)+square(float64(u)))
			if !rows[0].Idle {
				scatter.SetSym(i, j, r.stops.variance())
			}
		}
	}
	return scatter, dof, true
}

// mixedDOF is the degrees of freedom for comparing lines whose differences are not
// all known alike: those of several cylinders hold the scatter of two estimates,
// those far apart on a rim its diameter. Each estimate makes the expected q, with p - 1 where all is known, larger by 2·tr(PVₖPVₖ)/νₖ, Vₖ being
// its part of the covariance: ν is that of an F of the same mean, to the first
// order in 1/ν. Where all parts are alike it is that of the Welch-Satterthwaite
// formula (JCGM 100, G.4.1).
func (g *group) mixedDOF(lines []float64, tops *mat.SymDense, topsDOF float64) float64 {
	inv, rows, total, ok := g.inverse()
	if !ok {
		return g.nu
	}
	p := len(lines)
	contrasts := mat.NewSymDense(p, nil)
	for i := range p {
		for j := i; j < p; j++ {
			contrasts.SetSym(i, j, inv.At(i, j)-rows[i]*rows[j]/total)
		}
	}
	trace := func(part mat.Matrix) float64 {
		var one, both mat.Dense
		one.Mul(contrasts, part)
		both.Mul(&one, &one)
		return both.Trace()
	}
	over := 0.0
	if tops != nil {
		over = trace(tops) / topsDOF
	}
	if own := trace(mat.NewDiagDense(p, lines)); own > 0 {
		over += own / g.nu
	}
	if over <= 0 {
		return math.Inf(1)
	}
	return float64(p-1) / over
}

// single reports whether no two lines count from the same TDCs.
func (g *group) single() bool {
	for i, k := range g.lines {
		for _, l := range g.lines[:i] {
			if slices.Equal(g.a.lines[k].tops(), g.a.lines[l].tops()) {
				return false
			}
		}
	}
	return true
}

func square(x float64) float64 { return x * x }

// comparable is the ratio of scatter and step, either way, up to which both
// count when lines are compared. There luck chooses the larger row, and choosing
// claims something on one good pulley in fourteen; chosen by simulation
// (docs/method.md, Findings).
const comparable = 2

// ownVariance is the variance of a line's own rows, from scatter and from the
// step.
func (g *group) ownVariance(r repeats) (scatter, step float64) {
	rows := r.lineRows()
	scatter, step = square(float64(rows[0].Term().Standard())), square(float64(rows[1].Term().Standard()))
	if larger, smaller := max(scatter, step), min(scatter, step); larger <= comparable*comparable*smaller*(1+1e-9) {
		return scatter, step
	}
	return square(float64(rows[0].Standard())), square(float64(rows[1].Standard()))
}

// scatterDOF combines the degrees of freedom of the lines' scatters: lines with
// one pooled estimate count once (Welch-Satterthwaite, JCGM 100, G.4.1).
func (g *group) scatterDOF(variances []float64) float64 {
	var total, over float64
	for i, index := range g.lines {
		s := g.a.lines[index].scatter
		total += variances[i]
		first, same := true, 0.0
		for j, other := range g.lines {
			if g.a.lines[other].scatter.source == s.source {
				first = first && j >= i
				same += variances[j]
			}
		}
		if first {
			over += same * same / s.dof
		}
	}
	if over == 0 {
		return math.Inf(1)
	}
	return total * total / over
}

// addShared adds what reaches the lines together but not alike: the wheel's
// eccentricity, each line with its own phase, lost motion, and the diameter of a
// rim that is the readout or the readout's correction.
func (g *group) addShared() {
	e := square(g.a.sheet.Readout.OffCentreLimit().Degrees()) / 2
	b := 0.0
	if g.a.sheet.Readout.HasLostMotion {
		b = square(g.a.sheet.Readout.LostLimit.Standard().Degrees())
	}
	d := square(g.a.rimLimit().Standard().Degrees())
	for i, k := range g.lines {
		for j := i; j < len(g.lines); j++ {
			one, other := g.a.lines[k].reach(), g.a.lines[g.lines[j]].reach()
			shared := e*real(one.wheel*cmplx.Conj(other.wheel)) + b*one.lost*other.lost
			g.v.SetSym(i, j, g.v.At(i, j)+shared+d*one.rim*other.rim)
			if c := g.a.table; c != nil {
				g.v.SetSym(i, j, g.v.At(i, j)+product(c.Covariance, one.table, other.table))
			}
		}
	}
}

// meanContrast is half the mean variance of the difference of two lines.
func (g *group) meanContrast() float64 {
	p := len(g.lines)
	if p == 1 {
		return g.v.At(0, 0)
	}
	var sum float64
	for i := range p {
		for j := range i {
			sum += g.v.At(i, i) + g.v.At(j, j) - 2*g.v.At(i, j)
		}
	}
	return sum / float64(p*(p-1))
}

// interaction returns the mean square that is left in the table of lines and
// setups once each line and each setup has its mean, and its degrees of freedom.
// Lines of one cylinder make a table of their own, unless each is alone in it.
func (g *group) interaction() (meanSquare, dof float64) {
	var ss float64
	for _, lines := range g.tables() {
		s, d := g.table(lines)
		ss, dof = ss+s, dof+d
	}
	if dof == 0 {
		return 0, 0
	}
	return ss / dof, dof
}

// tables splits the lines by the TDCs that they count from.
func (g *group) tables() [][]int {
	if g.single() {
		return [][]int{g.lines}
	}
	var out [][]int
	for _, i := range g.lines {
		at := slices.IndexFunc(out, func(t []int) bool {
			return slices.Equal(g.a.lines[t[0]].tops(), g.a.lines[i].tops())
		})
		if at < 0 {
			out = append(out, nil)
			at = len(out) - 1
		}
		out[at] = append(out[at], i)
	}
	return out
}

// table returns the squares that are left in one table and their degrees of
// freedom.
func (g *group) table(lines []int) (ss, dof float64) {
	p, k := len(lines), len(g.stations)
	if p == 1 {
		return 0, 0
	}
	table := make([][]float64, p)
	rows, columns, grand := make([]float64, p), make([]float64, k), 0.0
	for i, index := range lines {
		table[i] = degrees(g.a.lines[index].offsets())
		for j, x := range table[i] {
			rows[i] += x / float64(k)
			columns[j] += x / float64(p)
			grand += x / float64(p*k)
		}
	}
	for i := range table {
		for j, x := range table[i] {
			ss += square(x - rows[i] - columns[j] + grand)
		}
	}
	return ss, float64((p - 1) * (k - 1))
}

// fit is the generalized least squares mean of the lines and how badly each
// line fits it.
type fit struct {
	weights []float64
	c, q    float64
	drop    []float64 // what q loses when a line is left out
}

func (g *group) fit() (fit, bool) {
	p := len(g.lines)
	inv, rows, total, ok := g.inverse()
	if !ok {
		return fit{}, false
	}
	f := fit{weights: make([]float64, p), drop: make([]float64, p)}
	for i := range p {
		f.weights[i] = rows[i] / total
		f.c += f.weights[i] * g.offsets[i]
	}
	// P = V⁻¹ - V⁻¹11'V⁻¹/(1'V⁻¹1); leaving out line i lowers q by (Pd)ᵢ²/Pᵢᵢ.
	for i := range p {
		var pd float64
		for j := range p {
			pd += inv.At(i, j) * (g.offsets[j] - f.c)
		}
		f.q += (g.offsets[i] - f.c) * pd
		if pii := inv.At(i, i) - rows[i]*rows[i]/total; pii > 0 {
			f.drop[i] = pd * pd / pii
		}
	}
	return f, true
}

// inverse is V⁻¹ with the sums of its rows, V⁻¹1, and their total.
func (g *group) inverse() (inv *mat.SymDense, rows []float64, total float64, ok bool) {
	var chol mat.Cholesky
	if !chol.Factorize(g.v) {
		return nil, nil, 0, false
	}
	inv = &mat.SymDense{}
	if err := chol.InverseTo(inv); err != nil {
		return nil, nil, 0, false
	}
	rows = make([]float64, len(g.lines))
	for i := range rows {
		for j := range rows {
			rows[i] += inv.At(i, j)
		}
		total += rows[i]
	}
	return inv, rows, total, true
}

// commonRows is the budget of the weighted mean of the lines: own rows
// weighted, what is shared in full.
func (g *group) commonRows(weights []float64) (uncertainty.Budget, bool) {
	var rows, lines uncertainty.Budget
	var r reach
	for i, index := range g.lines {
		l := &g.a.lines[index]
		r = r.plus(l.reach(), weights[i])
		lines = g.a.ownRows(lines, l, weights[i])
	}
	m := g.a.mixOf(g.lines, weights)
	if len(g.stations) >= enough {
		r := g.a.topRepeats(m, len(g.stations))
		r.between, r.alike = g.a.spreadOf(g.lines, weights), g.a.zeroedAlike(g.a.lines[g.lines[0]].tops())
		for _, row := range r.setupRows() {
			if row.Source != stepAtLine {
				rows = append(rows, row)
			}
		}
	} else {
		r := g.a.topRepeats(m, len(g.stations))
		if !r.stopKnown() {
			return nil, false
		}
		rows = append(rows, r.stopRows()...)
	}
	rows = append(rows, lines...)
	return append(rows, g.a.sharedRows(m, len(g.stations), r)...), true
}

// ownRows adds the rows that a line has to itself, by its weight in a sum.
func (a *analysis) ownRows(rows uncertainty.Budget, l *line, weight float64) uncertainty.Budget {
	r := a.repeats(l)
	own := r.lineRows()
	if r.setups >= enough {
		own = r.setupRows()[1:]
	}
	for _, row := range own {
		if row.Shared || row.Idle {
			continue
		}
		row.Sensitivity *= math.Abs(weight)
		rows = merge(rows, row, l.scatter.source)
	}
	return rows
}

// spreadOf is the standard deviation over the setups of a weighted sum of lines.
func (a *analysis) spreadOf(lines []int, weights []float64) geometry.Angle {
	sums := make([]geometry.Angle, len(a.lines[lines[0]].seen))
	for i, index := range lines {
		for j, x := range a.lines[index].offsets() {
			sums[j] += geometry.Angle(weights[i]) * x
		}
	}
	ss, dof := spread(sums)
	return geometry.Angle(math.Sqrt(ss / dof))
}

// mixOf is how the TDCs enter a weighted sum of lines; without weights, their
// mean.
func (a *analysis) mixOf(lines []int, weights []float64) mix {
	first := a.lines[lines[0]].tops()
	same := true
	for _, i := range lines {
		same = same && slices.Equal(a.lines[i].tops(), first)
	}
	var total float64
	for i := range weights {
		total += weights[i]
	}
	if same && (weights == nil || math.Abs(total-1) < 1e-9) {
		return evenly(first)
	}
	m := mix{over: 1}
	for i, index := range lines {
		w := 1 / float64(len(lines))
		if weights != nil {
			w = weights[i]
		}
		for _, t := range a.lines[index].tops() {
			w := w / float64(len(a.lines[index].seen))
			at := slices.IndexFunc(m.tops, func(x weighed) bool { return x.top == t })
			if at < 0 {
				m.tops = append(m.tops, weighed{t, 0})
				at = len(m.tops) - 1
			}
			m.tops[at].weight += w
		}
	}
	m.tops = slices.DeleteFunc(m.tops, func(t weighed) bool { return math.Abs(t.weight) < 1e-9 })
	return m
}

// contrastRows is the budget of a weighted sum of lines read in the same setups
// whose weights add up to nothing: what reaches all alike drops out.
func (a *analysis) contrastRows(lines []int, weights []float64) (uncertainty.Budget, bool) {
	var rows uncertainty.Budget
	var r reach
	k := len(a.lines[lines[0]].seen)
	if k >= enough {
		own := repeats{setups: k, step: a.sheet.Readout.Step, between: a.spreadOf(lines, weights)}
		rows = append(rows, own.setupRows()[0])
	}
	for i, index := range lines {
		l := &a.lines[index]
		if k < enough && l.scatter.dof == 0 {
			return nil, false
		}
		rows = a.ownRows(rows, l, weights[i])
		r = r.plus(l.reach(), weights[i])
	}
	m := a.mixOf(lines, weights)
	if len(m.tops) > 0 {
		tops, known := a.topRows(m, k)
		if !known {
			return nil, false
		}
		rows = append(rows, tops...)
	}
	return append(rows, a.readoutRows(r)...), true
}

// topRows is the budget of a weighted sum of TDCs over some mountings, their
// scatter between the mountings left to the caller. Each TDC rounds, and rocks,
// on its own, and so the steps are held against the scatter all together.
func (a *analysis) topRows(m mix, setups int) (uncertainty.Budget, bool) {
	var scatter, rows uncertainty.Budget
	if r := a.topRepeats(m, setups); setups < enough {
		if !r.stopKnown() {
			return nil, false
		}
		r.rounded, r.swept = 0, 0
		scatter = r.stopRows()
	}
	for _, t := range m.tops {
		rows = append(rows, a.topRepeats(mix{tops: []weighed{t}, over: m.over}, 1).topSteps(a.sheet.Readout.Step/2)...)
	}
	if u, _ := scatter.Combined(); setups < enough {
		if step, _ := rows.Combined(); float64(u) >= float64(step)*(1-1e-9) {
			rows = scatter
		}
	}
	cylinders := map[string]bool{} // only looked up
	for _, t := range m.tops {
		if cylinders[t.cylinder] {
			continue
		}
		cylinders[t.cylinder] = true
		one := mix{over: m.over}
		for _, other := range m.tops {
			if other.cylinder == t.cylinder {
				one.tops = append(one.tops, other)
			}
		}
		rows = append(rows, a.contactRows(one)...)
	}
	return rows, true
}

// merge adds a line's row; lines that share one scatter estimate make one t row
// of it, for the estimate errs alike in all of them.
func merge(rows uncertainty.Budget, row uncertainty.Row, source int) uncertainty.Budget {
	if row.Shape == uncertainty.StudentT && source < 0 {
		for i := range rows {
			if rows[i].Shape == uncertainty.StudentT && rows[i].N > 0 && rows[i].DOF == row.DOF && rows[i].Source == row.Source {
				rows[i].Scale = geometry.Angle(math.Hypot(float64(rows[i].Scale)*rows[i].Sensitivity, float64(row.Scale)*row.Sensitivity))
				rows[i].Sensitivity = 1
				rows[i].N += row.N
				return rows
			}
		}
	}
	return append(rows, row)
}

// findShift tells a slipped ring or a bent pointer from one bad line.
func (a *analysis) findShift() {
	if a.result.Moved || a.result.Differ { // both shift lines too
		return
	}
	lines, leftOut := a.largestGroup()
	a.result.Shift = a.find(lines)
	a.result.Shift.LeftOut = leftOut
}

// find asks what some lines say together.
func (a *analysis) find(lines []int) Shift {
	shift := Shift{Homogeneity: math.NaN()}
	if len(lines) == 0 {
		return shift
	}
	for _, i := range lines {
		shift.Lines = append(shift.Lines, a.lines[i].mark.Name)
	}
	g, ok := a.newGroup(lines)
	if !ok {
		return shift
	}
	f, ok := g.fit()
	if !ok {
		return shift
	}
	p := len(lines)
	alike := true
	if p > 1 {
		shift.Homogeneity = stats.FSurvival(f.q/float64(p-1), float64(p-1), g.nu)
		alike = shift.Homogeneity >= claimLevel
	}
	others := lines
	switch {
	case alike:
		shift.Common, shift.Shifted = a.common(g, f)
		switch {
		case shift.Common == nil:
			return shift
		case !shift.Shifted:
			shift.Finding = None
		case p == 1:
			shift.Finding = Individual
		default:
			shift.Finding = Common
		}
	default:
		shift.Finding = Individual
		if j, single := g.standsOut(f); single {
			shift.Finding = SingleMark
			shift.StandsOut = []string{a.lines[lines[j]].mark.Name}
			others = without(lines, lines[j])
			if rest, ok := a.newGroup(others); ok {
				if f, ok := rest.fit(); ok {
					shift.Common, shift.Shifted = a.common(rest, f)
				}
			}
		} else {
			shift.Common, shift.Shifted = a.common(g, f)
		}
	}
	shift.Small = a.small(g, &shift)
	return shift
}

// standsOut returns the line whose removal lets the others agree, if one alone
// does.
func (g *group) standsOut(f fit) (int, bool) {
	p := len(g.lines)
	if p < 3 {
		return 0, false // two lines that differ accuse each other
	}
	j := 0
	for i := range f.drop {
		if f.drop[i] > f.drop[j]*(1+1e-9) { // of equal ones the first
			j = i
		}
	}
	rest := stats.FSurvival((f.q-f.drop[j])/float64(p-2), float64(p-2), g.nu)
	alone := float64(p) * stats.FSurvival(f.drop[j], 1, g.nu)
	return j, rest >= restLevel && alone < claimLevel
}

// common is the shift that the lines share with its interval at the sheet's
// confidence, and whether the one at 1 - a leaves out zero.
func (a *analysis) common(g *group, f fit) (*Estimate, bool) {
	rows, known := g.commonRows(f.weights)
	if !known {
		return nil, false
	}
	e, sum := a.estimate(geometry.Angle(f.c), rows, true)
	return &e, math.Abs(f.c) > sum.HalfWidth(1-claimLevel)
}

// small reports whether every effect is below a quarter of the tightest
// tolerance: real, perhaps, but nothing to act on.
func (a *analysis) small(g *group, shift *Shift) bool {
	tolerance := math.Inf(1)
	for _, i := range g.lines {
		tolerance = math.Min(tolerance, a.lines[i].mark.Tolerance.Degrees())
	}
	for _, d := range g.offsets {
		if math.Abs(d) >= tolerance/4-tie.Degrees() {
			return false
		}
	}
	return shift.Common == nil || math.Abs(shift.Common.Value.Degrees()) < tolerance/4-tie.Degrees()
}
