package lines

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"

	"gonum.org/v1/gonum/mat"
)

// byTable fills in the variance of each line's offset from the table of lines and
// setups: what is left of it once each line and each setup has its mean, shared by
// all lines, but that of a line which scatters more over the setups than the others
// is its own. The step comes beside it.
func (g *group) byTable() {
	p, k := len(g.Lines), float64(g.mountings)
	each, shared := g.overSetups()
	variances := make([]float64, p)
	for i, index := range g.Lines {
		rows, _ := g.all[index].Alone.Budget()
		step := 0.0
		for _, row := range rows {
			if row.Source == uncertainty.StepAtLine {
				step += stats.Square(float64(row.Standard()))
			}
		}
		own := stats.Scatter{Variance: each[i].Variance / k, DOF: each[i].DOF}
		if each[i].odd {
			g.v.SetSym(i, i, own.Variance+step)
			g.parts = append(g.parts, only(p, i, own))
			continue
		}
		if own.DOF >= OwnDOF {
			g.own[i] = own
		}
		variances[i] = shared.Variance / k
		g.v.SetSym(i, i, variances[i]+step)
	}
	if shared.DOF > 0 {
		g.parts = append(g.parts, stats.Part{V: mat.NewDiagDense(p, variances), DOF: shared.DOF, Pooled: true})
	}
}

// overSetups is how much a line's offset varies over the setups.
type overSetups struct {
	stats.Scatter      // of one setup's offset; without degrees of freedom where two lines cannot be told apart
	odd           bool // more than the others
}

// overSetups returns how much the offset of each line varies over the setups, what a
// setup does to all lines left out, and what they share of it. A line is held against
// the mean of the others of its table:
//
//	F = Var(x_i - x̄_others) / (MS_others (1 + 1/(p - 1)))    on K - 1 and (p - 2)(K - 1)
//
// exact where all lines scatter alike, for the difference tells nothing of the table
// of the others. The levels are those of [stats.ForComparing].
func (g *group) overSetups() ([]overSetups, stats.Scatter) {
	each := make([]overSetups, len(g.Lines))
	var shared []stats.Scatter
	for _, table := range g.tables() {
		usual := table
		if p := len(table); p > 2 {
			usual = nil
			for _, i := range table {
				others := without(table, i)
				rest, apart := g.residual(others), g.apart(i, others)
				one, chance := &each[slices.Index(g.Lines, i)], 1.0
				one.Scatter = stats.Scatter{Variance: math.Max(0, apart.Variance-rest.Variance/float64(p-1)), DOF: apart.DOF}
				if apart.Variance > g.rounding(i) {
					chance = stats.FSurvival(apart.Variance/(rest.Variance*(1+1/float64(p-1))), apart.DOF, rest.DOF)
				}
				one.odd = stats.Odd(chance)
				if !stats.LeftOut(chance, float64(p)) {
					usual = append(usual, i)
				}
			}
		}
		if len(usual) < 2 {
			usual = table
		}
		shared = append(shared, g.residual(usual))
	}
	return each, stats.Pool(shared...)
}

// rounding is the variance up to which the step explains what a line's offset varies
// by: a third of its square.
func (g *group) rounding(i int) float64 {
	step := 0.0
	for _, x := range g.all[i].Alone.Groups[0].Rounding {
		if x.Source == uncertainty.StepAtLine {
			step = 2*x.Scale + geometry.Tie.Degrees()
		}
	}
	return stats.Square(step) / 3
}

// apart is how much a line varies over the setups against the mean of others.
func (g *group) apart(i int, others []int) stats.Scatter {
	x := stats.Degrees(g.all[i].Offsets())
	for _, o := range others {
		for j, y := range stats.Degrees(g.all[o].Offsets()) {
			x[j] -= y / float64(len(others))
		}
	}
	mean, ss := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		ss += stats.Square(v - mean)
	}
	return stats.Scatter{Variance: ss / float64(len(x)-1), DOF: float64(len(x) - 1)}
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

// residual is the mean square that is left in a table of lines and setups once each
// line and each setup has its mean, with its degrees of freedom; none for one line.
func (g *group) residual(lines []int) stats.Scatter {
	p, k := len(lines), g.mountings
	if p < 2 {
		return stats.Scatter{}
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
	ss, dof := 0.0, float64((p-1)*(k-1))
	for i := range table {
		for j, x := range table[i] {
			ss += stats.Square(x - rows[i] - columns[j] + grand)
		}
	}
	return stats.Scatter{Variance: ss / dof, DOF: dof}
}
