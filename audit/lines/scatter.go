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
	Lent   float64 // degrees of freedom in DOF that lines read more often lend
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

// OwnDOF is the number of degrees of freedom from which a line's own scatter is
// used whatever the other lines do.
const OwnDOF = 4

// The significance at which a line that was read seldom is taken to scatter more than
// the others of its kind, so that each keeps its own; and at which that is said.
const (
	keepOwn   = 0.01
	sayLooser = 0.05
)

// forComparing gives every line that was read the scatter by which it is held
// against others: one for all lines of the sheet, but that of a line which scatters
// more is its own (stats.ForComparing). A variance up to a third of the step's
// square is rounding.
func forComparing(lines []Line, spreads []stats.Scatter, step geometry.Angle) {
	var read []int
	var each []stats.Scatter
	for i, l := range lines {
		if l.Read() {
			read, each = append(read, i), append(each, spreads[i])
		}
	}
	compared, own := stats.ForComparing(each, stats.Square((step+geometry.Tie).Degrees())/3)
	for k, i := range read {
		lines[i].Own = Scatter{SD: deviation(each[k]), DOF: each[k].DOF}
		lines[i].Compared = Scatter{
			SD: deviation(compared[k]), DOF: compared[k].DOF,
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
// the line's. What earlier audits say counts for intervals alone.
func (l Line) rescattered(c uncertainty.Combination) uncertainty.Combination {
	c.Groups = slices.Clone(c.Groups)
	for i, g := range c.Groups {
		scatter := slices.Clone(g.Scatter)
		for j, x := range scatter {
			if x.Source == uncertainty.LineReadings || x.Source == uncertainty.LineReadingsPooled {
				scatter[j] = l.Scatter.contribution(l)
			}
		}
		c.Groups[i].Scatter, c.Groups[i].Before = scatter, nil
	}
	return c
}

// shareScatter decides whose scatter each line's interval uses: its own from
// four degrees of freedom, otherwise pooled over the lines with fewer, unless
// Cochran at 1 % objects; lines with two or three then keep their own. A pool of
// fewer than four degrees of freedom is lent to by the lines that were read more
// often, by at most four.
func shareScatter(lines []Line, spreads []stats.Scatter, step geometry.Angle) (out []warning.Warning) {
	var few, rich, all []int
	for i := range lines {
		switch {
		case !lines[i].Read():
			continue
		case spreads[i].DOF < OwnDOF:
			few = append(few, i)
		default:
			rich = append(rich, i)
		}
		all = append(all, i)
	}
	forComparing(lines, spreads, step)
	differ := looser(spreads, few, keepOwn, step) >= 0
	own := stats.Pool(some(spreads, few)...)
	shared := Scatter{SD: deviation(own), DOF: own.DOF, Shared: true, Pooled: len(few) > 1}
	if lender := stats.Pool(some(spreads, rich)...); own.DOF < OwnDOF && lender.DOF > 0 {
		joined := own.Lend(lender)
		shared = Scatter{SD: deviation(joined), DOF: joined.DOF, Lent: joined.DOF - own.DOF, Shared: true, Pooled: true}
	}
	for _, i := range all {
		if s := spreads[i]; s.DOF >= OwnDOF || differ && s.DOF >= 2 {
			lines[i].Scatter = Scatter{SD: deviation(s), DOF: s.DOF}
		} else {
			lines[i].Scatter = shared
		}
	}
	if i := looser(spreads, all, sayLooser, step); i >= 0 {
		rest := stats.Pool(some(spreads, without(all, i))...)
		out = append(out, warning.Warning{
			Code: warning.ScattersDiffer, Mark: lines[i].Name,
			Values: []float64{math.Sqrt(spreads[i].Variance), math.Sqrt(rest.Variance)},
		})
	}
	return out
}

func deviation(s stats.Scatter) geometry.Angle { return geometry.Angle(math.Sqrt(s.Variance)) }

func some(spreads []stats.Scatter, lines []int) []stats.Scatter {
	out := make([]stats.Scatter, len(lines))
	for i, line := range lines {
		out[i] = spreads[line]
	}
	return out
}

// looser returns the line that scatters more than the others at a significance, or
// -1. Scatter below the step is rounding.
func looser(spreads []stats.Scatter, lines []int, alpha float64, step geometry.Angle) int {
	i := stats.Loosest(some(spreads, lines), alpha)
	if i < 0 || spreads[lines[i]].Variance <= stats.Square((step+geometry.Tie).Degrees())/3 {
		return -1
	}
	return lines[i]
}

func without(lines []int, drop int) []int {
	return slices.DeleteFunc(slices.Clone(lines), func(i int) bool { return i == drop })
}
