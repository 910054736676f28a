package lines

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Comparison is a set of lines read in the same setups, or of their changes, with
// the covariance of their offsets; what is common to all is left out of it.
type Comparison struct {
	Lines   []int     // indexes
	Offsets []float64 // degrees, unwrapped around the first
	DOF     float64   // for comparing the lines
	v       *mat.SymDense
}

// group is a comparison in the making.
type group struct {
	Comparison
	top       tdc.Found
	all       []Line
	mountings int
	residual  float64 // mean square of the two-way table, three mountings or more
}

// Compare lays out the covariance of the lines' offsets, what is common to all
// left out. It reports false when a line's scatter is not known.
func Compare(s sheet.Sheet, top tdc.Found, all []Line, some []int) (Comparison, bool) {
	g := &group{top: top, all: all, Comparison: Comparison{Lines: some}, mountings: len(all[some[0]].Seen)}
	offsets := make([]geometry.Angle, len(some))
	for i, l := range some {
		offsets[i] = stats.MeanAngle(all[l].Offsets()).Wrap()
	}
	g.Offsets = stats.Degrees(geometry.Unwrap(offsets, offsets[0]))
	p := len(some)
	g.v = mat.NewSymDense(p, nil)
	scatter := make([]float64, p) // variance of each line that comes from scatter
	for i, index := range some {
		l := all[index]
		rest := 0.0
		if g.mountings >= uncertainty.EnoughSetups {
			if i == 0 {
				g.residual, g.DOF = g.interaction()
			}
			scatter[i] = g.residual / float64(g.mountings)
			rows, _ := l.Alone.Budget()
			for _, row := range rows {
				if row.Source == uncertainty.StepAtLine {
					rest += stats.Square(float64(row.Standard()))
				}
			}
		} else {
			if l.Scatter.DOF == 0 {
				return Comparison{}, false
			}
			scatter[i], rest = ownVariance(l)
		}
		g.v.SetSym(i, i, scatter[i]+rest)
	}
	if g.mountings < uncertainty.EnoughSetups {
		g.DOF = ScatterDOF(all, some, scatter)
	}
	tops, dof, known := g.addTops()
	if !known {
		return Comparison{}, false
	}
	g.addShared()
	var fromScatter float64
	for _, v := range scatter {
		fromScatter += v / float64(p)
	}
	rim := s.Readout.Kind == sheet.Rim && s.Part.DiameterLimit.Half > 0
	switch all := g.meanContrast(); {
	case tops != nil || rim:
		g.DOF = g.mixedDOF(scatter, tops, dof)
	case fromScatter > 0:
		g.DOF *= stats.Square(all / fromScatter)
	default:
		g.DOF = math.Inf(1)
	}
	return g.Comparison, true
}

// sameTops reports whether all lines count from the same TDCs, which then drop
// out of their differences. Lines of two cylinders do not.
func (g *group) sameTops() bool {
	for _, i := range g.Lines[1:] {
		if !slices.Equal(g.all[i].Zeros(), g.all[g.Lines[0]].Zeros()) {
			return false
		}
	}
	return true
}

// addTops adds what the TDCs of several cylinders do to the differences of their
// lines. It returns the part of it that their scatter makes, nil where they drop
// out, with its degrees of freedom, and false when that is not known.
func (g *group) addTops() (scatter *mat.SymDense, dof float64, known bool) {
	if g.sameTops() || g.mountings >= uncertainty.EnoughSetups && g.single() {
		return nil, 0, true
	}
	scatter = mat.NewSymDense(len(g.Lines), nil)
	for i, k := range g.Lines {
		for j := i; j < len(g.Lines); j++ {
			zeros := g.all[g.Lines[j]].Zeros()
			var both uncertainty.Combination // their weights multiply
			for _, z := range g.all[k].Zeros() {
				if slices.Contains(zeros, z) {
					at := g.top.At(z).At.Without(uncertainty.OfReadout()...).WithinMountings()
					both = uncertainty.Add(both, at.Times(1/float64(g.mountings)))
				}
			}
			if len(both.Groups) == 0 {
				continue
			}
			rows, known := both.Budget()
			if !known {
				return nil, 0, false
			}
			dof = uncertainty.ScatterDOF(both.Groups[0].Scatter)
			u, _ := rows.Combined()
			g.v.SetSym(i, j, g.v.At(i, j)+stats.Square(float64(u)))
			if !rows[0].Idle {
				scatter.SetSym(i, j, uncertainty.Variance(both.Groups[0].Scatter))
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
func (g Comparison) mixedDOF(lines []float64, tops *mat.SymDense, topsDOF float64) float64 {
	inv, rows, total, ok := g.inverse()
	if !ok {
		return g.DOF
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
		over += own / g.DOF
	}
	if over <= 0 {
		return math.Inf(1)
	}
	return float64(p-1) / over
}

// single reports whether no two lines count from the same TDCs.
func (g *group) single() bool {
	for i, k := range g.Lines {
		for _, l := range g.Lines[:i] {
			if slices.Equal(g.all[k].Zeros(), g.all[l].Zeros()) {
				return false
			}
		}
	}
	return true
}

// comparable is the ratio of scatter and step, either way, up to which both
// count when lines are compared. There luck chooses the larger row, and choosing
// claims something on one good pulley in fourteen; chosen by simulation
// (docs/method.md, Findings).
const comparable = 2

// ownVariance is the variance of a line's own rows, from scatter and from the
// step.
func ownVariance(l Line) (scatter, step float64) {
	rows, _ := l.Alone.Budget()
	scatter, step = stats.Square(float64(rows[0].Term().Standard())), stats.Square(float64(rows[1].Term().Standard()))
	if larger, smaller := max(scatter, step), min(scatter, step); larger <= comparable*comparable*smaller*(1+1e-9) {
		return scatter, step
	}
	return stats.Square(float64(rows[0].Standard())), stats.Square(float64(rows[1].Standard()))
}

// ScatterDOF combines the degrees of freedom of the lines' scatters, of which each
// brings a variance: lines with one shared estimate count once
// (Welch-Satterthwaite, JCGM 100, G.4.1).
func ScatterDOF(all []Line, some []int, variances []float64) float64 {
	var total, over float64
	for i, index := range some {
		s := all[index].Scatter
		total += variances[i]
		first, same := true, 0.0
		for j, other := range some {
			if other == index || s.Shared && all[other].Scatter.Shared {
				first = first && j >= i
				same += variances[j]
			}
		}
		if first {
			over += same * same / s.DOF
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
	shared := make([]uncertainty.Combination, len(g.Lines))
	for i, k := range g.Lines {
		shared[i] = g.all[k].From.Only(uncertainty.OffCentre, uncertainty.LostMotion, uncertainty.RimDiameter, uncertainty.Correction, uncertainty.ReadoutReference)
	}
	for i := range g.Lines {
		for j := i; j < len(g.Lines); j++ {
			g.v.SetSym(i, j, g.v.At(i, j)+uncertainty.Covariance(shared[i], shared[j]))
		}
	}
}

// meanContrast is half the mean variance of the difference of two lines.
func (g Comparison) meanContrast() float64 {
	p := len(g.Lines)
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
		return [][]int{g.Lines}
	}
	var out [][]int
	for _, i := range g.Lines {
		at := slices.IndexFunc(out, func(t []int) bool {
			return slices.Equal(g.all[t[0]].Zeros(), g.all[i].Zeros())
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
	p, k := len(lines), g.mountings
	if p == 1 {
		return 0, 0
	}
	table := make([][]float64, p)
	rows, columns, grand := make([]float64, p), make([]float64, k), 0.0
	for i, index := range lines {
		table[i] = stats.Degrees(g.all[index].Offsets())
		for j, x := range table[i] {
			rows[i] += x / float64(k)
			columns[j] += x / float64(p)
			grand += x / float64(p*k)
		}
	}
	for i := range table {
		for j, x := range table[i] {
			ss += stats.Square(x - rows[i] - columns[j] + grand)
		}
	}
	return ss, float64((p - 1) * (k - 1))
}

// Fit is the generalized least squares mean of the lines and how badly each
// line fits it.
type Fit struct {
	Weights []float64
	Mean    float64   // degrees
	Q       float64   // weighted sum of the squared deviations
	Drop    []float64 // what Q loses when a line is left out
}

// Fit returns false where the covariance is not one.
func (g Comparison) Fit() (Fit, bool) {
	p := len(g.Lines)
	inv, rows, total, ok := g.inverse()
	if !ok {
		return Fit{}, false
	}
	f := Fit{Weights: make([]float64, p), Drop: make([]float64, p)}
	for i := range p {
		f.Weights[i] = rows[i] / total
		f.Mean += f.Weights[i] * g.Offsets[i]
	}
	// P = V⁻¹ - V⁻¹11'V⁻¹/(1'V⁻¹1); leaving out line i lowers q by (Pd)ᵢ²/Pᵢᵢ.
	for i := range p {
		var pd float64
		for j := range p {
			pd += inv.At(i, j) * (g.Offsets[j] - f.Mean)
		}
		f.Q += (g.Offsets[i] - f.Mean) * pd
		if pii := inv.At(i, i) - rows[i]*rows[i]/total; pii > 0 {
			f.Drop[i] = pd * pd / pii
		}
	}
	return f, true
}

// inverse is V⁻¹ with the sums of its rows, V⁻¹1, and their total.
func (g Comparison) inverse() (inv *mat.SymDense, rows []float64, total float64, ok bool) {
	var chol mat.Cholesky
	if !chol.Factorize(g.v) {
		return nil, nil, 0, false
	}
	inv = &mat.SymDense{}
	if err := chol.InverseTo(inv); err != nil {
		return nil, nil, 0, false
	}
	rows = make([]float64, len(g.Lines))
	for i := range rows {
		for j := range rows {
			rows[i] += inv.At(i, j)
		}
		total += rows[i]
	}
	return inv, rows, total, true
}

// standsOut returns the line whose removal lets the others agree, if one alone
// does.
func (g Comparison) standsOut(f Fit) (int, bool) {
	p := len(g.Lines)
	if p < 3 {
		return 0, false // two lines that differ accuse each other
	}
	j := 0
	for i := range f.Drop {
		if f.Drop[i] > f.Drop[j]*(1+1e-9) { // of equal ones the first
			j = i
		}
	}
	rest := stats.FSurvival((f.Q-f.Drop[j])/float64(p-2), float64(p-2), g.DOF)
	alone := float64(p) * stats.FSurvival(f.Drop[j], 1, g.DOF)
	return j, rest >= restDiffer && alone < FalseClaims
}

// Changes lays out the changes of lines from one audit to another, of which each
// has been compared, with their covariance: the two audits' scatter adds up, and
// the degrees of freedom combine (Welch-Satterthwaite, JCGM 100, G.4.1).
func Changes(before, now Comparison) Comparison {
	n := len(now.Lines)
	g := Comparison{Lines: now.Lines, Offsets: make([]float64, n), v: mat.NewSymDense(n, nil)}
	g.v.AddSym(before.v, now.v)
	for i := range n {
		g.Offsets[i] = geometry.Angle(now.Offsets[i] - before.Offsets[i]).Wrap().Degrees()
	}
	va, vb := before.meanContrast(), now.meanContrast()
	g.DOF = math.Inf(1)
	if over := va*va/before.DOF + vb*vb/now.DOF; over > 0 {
		g.DOF = stats.Square(va+vb) / over
	}
	return g
}
