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
	DOF     float64   // for comparing all lines at once; +Inf where v is known
	v       *mat.SymDense
	parts   []stats.Part    // of v, those that scatter makes
	own     []stats.Scatter // variance of each offset by its own scatter alone, in place of the pooled part; no degrees of freedom: not known
}

// group is a comparison in the making.
type group struct {
	Comparison
	top       tdc.Found
	all       []Line
	mountings int
}

// Compare lays out the covariance of the lines' offsets, what is common to all
// left out. With one or two setups lines are compared by one scatter, whatever
// their own intervals use; from three on by what is left in the table of lines and
// setups. It reports false when no line's scatter is known.
func Compare(s sheet.Sheet, top tdc.Found, all []Line, some []int) (Comparison, bool) {
	g := &group{top: top, all: Compared(all), Comparison: Comparison{Lines: some}, mountings: len(all[some[0]].Seen)}
	offsets := make([]geometry.Angle, len(some))
	for i, l := range some {
		offsets[i] = stats.MeanAngle(all[l].Offsets()).Wrap()
	}
	g.Offsets = stats.Degrees(geometry.Unwrap(offsets, offsets[0]))
	p := len(some)
	g.v = mat.NewSymDense(p, nil)
	g.own = make([]stats.Scatter, p)
	if g.mountings >= uncertainty.EnoughSetups {
		g.byTable()
	} else if !g.byReadings() {
		return Comparison{}, false
	}
	tops, known := g.addTops()
	if !known {
		return Comparison{}, false
	}
	g.parts = append(g.parts, tops...)
	g.addShared()
	g.DOF = g.mixedDOF()
	return g.Comparison, true
}

// byReadings fills in the variance of each line's offset from its readings, with the
// estimates that it comes from: the one that lines share, and that of each line which
// scatters more. Which of scatter and step counts is seen in as few readings as the
// scatter itself, so the step has its degrees of freedom. It reports false where a
// scatter is not known.
func (g *group) byReadings() bool {
	p := len(g.Lines)
	shared, dof := make([]float64, p), 0.0
	for i, index := range g.Lines {
		l := g.all[index]
		if l.Scatter.DOF == 0 {
			return false
		}
		v := ownVariance(l)
		g.v.SetSym(i, i, v)
		if !l.Scatter.Shared {
			g.parts = append(g.parts, only(p, i, stats.Scatter{Variance: v, DOF: l.Scatter.DOF}))
			continue
		}
		shared[i], dof = v, l.Scatter.DOF
		if l.Own.DOF >= OwnDOF {
			l.Scatter = l.Own
			l.Alone = l.rescattered(l.Alone)
			g.own[i] = stats.Scatter{Variance: ownVariance(l), DOF: l.Own.DOF}
		}
	}
	if dof > 0 {
		g.parts = append(g.parts, stats.Part{V: mat.NewDiagDense(p, shared), DOF: dof, Pooled: true})
	}
	return true
}

// only is the part of a covariance of p lines that one line's own scatter makes.
func only(p, i int, s stats.Scatter) stats.Part {
	v := make([]float64, p)
	v[i] = s.Variance
	return stats.Part{V: mat.NewDiagDense(p, v), DOF: s.DOF}
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
// lines. It returns the part of it that their scatter makes, none where they drop
// out, and false when that is not known.
func (g *group) addTops() (parts []stats.Part, known bool) {
	if g.sameTops() || g.mountings >= uncertainty.EnoughSetups && g.single() {
		return nil, true
	}
	scatter, dof := mat.NewSymDense(len(g.Lines), nil), 0.0
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
				return nil, false
			}
			dof = uncertainty.ScatterDOF(both.Groups[0].Scatter)
			u, _ := rows.Combined()
			g.v.SetSym(i, j, g.v.At(i, j)+stats.Square(float64(u)))
			counts, _ := rows.Scatter().Combined()
			scatter.SetSym(i, j, stats.Square(float64(counts)))
		}
	}
	return []stats.Part{{V: scatter, DOF: dof}}, true
}

// mixedDOF is the degrees of freedom for comparing lines. Each estimate of scatter
// makes the expected q, with p - 1 where all is known, larger by 2·tr(PVₖPVₖ)/νₖ,
// Vₖ being its part of the covariance: ν is that of an F of the same mean, to the
// first order in 1/ν. Where all parts are alike it is that of the
// Welch-Satterthwaite formula (JCGM 100, G.4.1).
func (g Comparison) mixedDOF() float64 {
	inv, rows, total, ok := g.inverse()
	if !ok {
		return math.Inf(1)
	}
	p := len(rows)
	contrasts := mat.NewSymDense(p, nil)
	for i := range p {
		for j := i; j < p; j++ {
			contrasts.SetSym(i, j, inv.At(i, j)-rows[i]*rows[j]/total)
		}
	}
	over := 0.0
	for _, k := range g.parts {
		var one, both mat.Dense
		one.Mul(contrasts, k.V)
		both.Mul(&one, &one)
		over += both.Trace() / k.DOF
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
func ownVariance(l Line) float64 {
	own := l.Alone.Groups[0]
	scatter, step := uncertainty.Variance(own.Scatter), uncertainty.Variance(own.Rounding)
	if larger, smaller := max(scatter, step), min(scatter, step); l.Scatter.DOF != 1 && larger <= comparable*comparable*smaller*(1+1e-9) {
		return scatter + step
	}
	rows, _ := uncertainty.Combination{Groups: l.Alone.Groups}.Budget()
	all, _ := rows.Combined()
	return stats.Square(float64(all))
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
		unlike := []uncertainty.Source{uncertainty.OffCentre, uncertainty.LostMotion, uncertainty.RimDiameter, uncertainty.Correction, uncertainty.ReadoutReference, uncertainty.Stroke, uncertainty.Rod}
		if g.all[k].ByDial != nil { // where each line has a slope of its own
			unlike = append(unlike, uncertainty.DialError, uncertainty.ProbeAngle, uncertainty.CrownLean, uncertainty.Slack, uncertainty.ContactHeight, uncertainty.PinOffset, uncertainty.BoreOffset)
		}
		shared[i] = g.all[k].From.Only(unlike...)
	}
	for i := range g.Lines {
		for j := i; j < len(g.Lines); j++ {
			g.v.SetSym(i, j, g.v.At(i, j)+uncertainty.Covariance(shared[i], shared[j]))
		}
	}
}

// Fit is the generalized least squares mean of the lines and how badly they fit it.
type Fit struct {
	Weights []float64
	Mean    float64 // degrees
	Q       float64 // weighted sum of the squared deviations
}

// Fit returns false where the covariance is not one.
func (g Comparison) Fit() (Fit, bool) {
	p := len(g.Lines)
	inv, rows, total, ok := g.inverse()
	if !ok {
		return Fit{}, false
	}
	f := Fit{Weights: make([]float64, p)}
	for i := range p {
		f.Weights[i] = rows[i] / total
		f.Mean += f.Weights[i] * g.Offsets[i]
	}
	for i := range p {
		for j := range p {
			f.Q += (g.Offsets[i] - f.Mean) * inv.At(i, j) * (g.Offsets[j] - f.Mean)
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

// Changes lays out the changes of lines from one audit to another, of which each
// has been compared, with their covariance: the two audits' scatter adds up, each
// estimate with its own degrees of freedom.
func Changes(before, now Comparison) Comparison {
	n := len(now.Lines)
	g := Comparison{Lines: now.Lines, Offsets: make([]float64, n), v: mat.NewSymDense(n, nil), parts: slices.Concat(before.parts, now.parts)}
	g.v.AddSym(before.v, now.v)
	for i := range n {
		g.Offsets[i] = geometry.Angle(now.Offsets[i] - before.Offsets[i]).Wrap().Degrees()
	}
	if before.own != nil && now.own != nil {
		g.own = make([]stats.Scatter, n)
		for i := range n {
			g.own[i] = both(before.own[i], now.own[i])
		}
	}
	g.DOF = g.mixedDOF()
	return g
}

// both is the scatter of a difference (Welch-Satterthwaite, JCGM 100, G.4.1); not known
// where one of the two is not.
func both(a, b stats.Scatter) stats.Scatter {
	if a.DOF == 0 || b.DOF == 0 {
		return stats.Scatter{}
	}
	v := a.Variance + b.Variance
	if v == 0 {
		return stats.Scatter{DOF: a.DOF + b.DOF}
	}
	return stats.Scatter{Variance: v, DOF: v * v / (a.Variance*a.Variance/a.DOF + b.Variance*b.Variance/b.DOF)}
}
