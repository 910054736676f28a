package lines

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Scatter is the standard deviation of one reading that a line's interval uses.
type Scatter struct {
	SD     geometry.Angle
	DOF    float64 // zero: not known
	Shared bool    // one estimate for all lines that share it
	Pooled bool    // it holds the readings of several lines
}

func (s Scatter) source() uncertainty.Source {
	if s.Pooled {
		return uncertainty.LineReadingsPooled
	}
	return uncertainty.LineReadings
}

// pool names the estimate of scatter that a line uses.
func (s Scatter) pool(line string) string {
	if s.Shared {
		return "lines"
	}
	return "line " + line
}

// spread is what the readings of a line scatter by.
type spread struct{ squares, dof float64 }

// OwnDOF is the number of degrees of freedom from which a line's own scatter is
// used whatever the other lines do.
const OwnDOF = 4

// forComparing gives every line that was read the scatter by which it is held
// against others: one for all lines of the sheet, but that of a line which scatters
// more is its own (stats.ForComparing). A variance up to a third of the step's
// square is rounding.
func forComparing(lines []Line, spreads []spread, step geometry.Angle) {
	var read []int
	var each []stats.Scatter
	for i, l := range lines {
		if l.Read() {
			s := stats.Scatter{DOF: spreads[i].dof}
			if s.DOF > 0 {
				s.Variance = spreads[i].squares / s.DOF
			}
			read, each = append(read, i), append(each, s)
		}
	}
	compared, own := stats.ForComparing(each, stats.Square((step+geometry.Tie).Degrees())/3)
	for k, i := range read {
		lines[i].Compared = Scatter{
			SD: geometry.Angle(math.Sqrt(compared[k].Variance)), DOF: compared[k].DOF,
			Shared: !slices.Contains(own, k), Pooled: len(read) > 1 && !slices.Contains(own, k),
		}
	}
}

// Compared are the lines as they are held against each other: each depends on the
// scatter for comparing instead of that of its own interval.
func Compared(all []Line) []Line {
	out := slices.Clone(all)
	for i, l := range out {
		if !l.Read() {
			continue
		}
		l.Scatter = l.Compared
		out[i].Scatter = l.Compared
		out[i].From, out[i].Alone = l.rescattered(l.From), l.rescattered(l.Alone)
	}
	return out
}

// rescattered is a combination of the line with its readings' scatter replaced by
// the line's.
func (l Line) rescattered(c uncertainty.Combination) uncertainty.Combination {
	c.Groups = slices.Clone(c.Groups)
	for i, g := range c.Groups {
		scatter := slices.Clone(g.Scatter)
		for j, x := range scatter {
			if x.Source == uncertainty.LineReadings || x.Source == uncertainty.LineReadingsPooled {
				scatter[j] = l.scatterInput()
			}
		}
		c.Groups[i].Scatter = scatter
	}
	return c
}

// scatterInput is what the scatter of the line's readings adds to their mean.
func (l Line) scatterInput() uncertainty.Contribution {
	return uncertainty.By(uncertainty.Input{
		ID:    uncertainty.ID{Source: l.Scatter.source(), Of: l.Name},
		Shape: uncertainty.StudentT, Scale: l.Scatter.SD.Degrees(), DOF: uncertainty.DOF(l.Scatter.DOF), N: l.Readings(), Pool: l.Scatter.pool(l.Name),
	}, math.Sqrt(l.PerLine()))
}

// shareScatter decides whose scatter each line's interval uses: its own from
// four degrees of freedom, otherwise pooled over the lines with fewer, unless
// Cochran at 1 % objects; lines with two or three then keep their own.
func shareScatter(lines []Line, spreads []spread, step geometry.Angle) (out []warning.Warning) {
	var few, all []int
	for i := range lines {
		if !lines[i].Read() {
			continue
		}
		all = append(all, i)
		if spreads[i].dof < OwnDOF {
			few = append(few, i)
		}
	}
	forComparing(lines, spreads, step)
	differ := cochran(spreads, few, 0.01, step) >= 0
	pooled := pool(spreads, few)
	if pooled.DOF == 0 {
		pooled = pool(spreads, all)
	}
	for _, i := range all {
		own := spreads[i]
		if own.dof >= OwnDOF || differ && own.dof >= 2 {
			lines[i].Scatter = Scatter{SD: geometry.Angle(math.Sqrt(own.squares / own.dof)), DOF: own.dof}
		} else {
			lines[i].Scatter = pooled
		}
	}
	if i := cochran(spreads, all, 0.05, step); i >= 0 {
		rest := pool(spreads, without(all, i))
		out = append(out, warning.Warning{
			Code: warning.ScattersDiffer, Mark: lines[i].Name,
			Values: []float64{math.Sqrt(spreads[i].squares / spreads[i].dof), rest.SD.Degrees()},
		})
	}
	return out
}

func pool(spreads []spread, lines []int) Scatter {
	var squares, dof float64
	for _, i := range lines {
		squares, dof = squares+spreads[i].squares, dof+spreads[i].dof
	}
	if dof == 0 {
		return Scatter{Shared: true, Pooled: true}
	}
	return Scatter{SD: geometry.Angle(math.Sqrt(squares / dof)), DOF: dof, Shared: true, Pooled: len(lines) > 1}
}

// cochran returns the line whose scatter is larger than that of the others at
// the given significance, or -1 (ISO 5725-2, 7.3.3). The test asks for groups
// of one size: the number of degrees of freedom that most lines have is taken,
// as ISO 5725-2 does for missing values. Scatter below the step is rounding.
func cochran(spreads []spread, lines []int, alpha float64, step geometry.Angle) int {
	var index []int
	var variances []float64
	count := map[float64]int{} // only looked up
	var dof float64
	for _, i := range lines {
		l := spreads[i]
		if l.dof == 0 {
			continue
		}
		index, variances = append(index, i), append(variances, l.squares/l.dof)
		count[l.dof]++
		if n := count[l.dof]; n > count[dof] || n == count[dof] && l.dof < dof {
			dof = l.dof
		}
	}
	if len(index) < 2 {
		return -1
	}
	i, c, critical := stats.Cochran(variances, dof, alpha)
	if i < 0 || c <= critical || variances[i] <= stats.Square((step+geometry.Tie).Degrees())/3 {
		return -1
	}
	return index[i]
}

func without(lines []int, drop int) []int {
	return slices.DeleteFunc(slices.Clone(lines), func(i int) bool { return i == drop })
}
