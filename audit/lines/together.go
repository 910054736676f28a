package lines

import (
	"math"
	"slices"

	"markaudit/audit/internal/enum"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
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

// FalseClaims is the rate at which a common shift, or a line that differs, may be
// claimed on a faultless part. Chosen by simulation (docs/method.md, Findings).
const FalseClaims = 0.025

// Shift is what several lines say together: the shift that they share and whether
// they agree.
type Shift struct {
	Finding     Finding
	Common      *uncertainty.Estimate // of all lines, or of the others when one stands out; nil if unknown
	Homogeneity *float64              // probability of lines as different as these if they were alike, nil if there is no telling; for the reader, it decides nothing
	StandsOut   []string
	Shifted     bool     // the interval of Common at 1 - FalseClaims leaves out zero
	Small       bool     // every effect is below a quarter of the tolerance
	Lines       []string // the lines compared: those read in the same setups
	LeftOut     []string // lines read in other setups than those
}

// SameSetups groups the lines that were read by the mountings that read them, in
// the order of the sheet. It returns indexes.
func SameSetups(all []Line) [][]int {
	var groups [][]int
	for i, l := range all {
		if !l.Read() || l.ByDial != nil && !l.ByDial.Firm {
			continue
		}
		at := slices.IndexFunc(groups, func(g []int) bool { return slices.Equal(all[g[0]].Mountings(), l.Mountings()) })
		if at < 0 {
			groups = append(groups, []int{i})
		} else {
			groups[at] = append(groups[at], i)
		}
	}
	return groups
}

// LargestGroup returns the lines that share one set of setups, the largest such
// set, and the names of the lines left out.
func LargestGroup(all []Line) (group []int, leftOut []string) {
	for _, same := range SameSetups(all) {
		if len(same) > len(group) {
			group = same
		}
	}
	for i, l := range all {
		alone := l.ByDial != nil && !l.ByDial.Firm // compared with no line, in whatever setup
		if l.Read() && !alone && !slices.Contains(group, i) {
			leftOut = append(leftOut, l.Name)
		}
	}
	return group, leftOut
}

// Weighted is a weighted sum of lines.
func Weighted(all []Line, some []int, weights []float64) uncertainty.Combination {
	parts := make([]uncertainty.Combination, len(some))
	for i, index := range some {
		parts[i] = all[index].From.Times(weights[i])
	}
	return uncertainty.Add(parts...)
}

// Together asks what some lines, read in the same setups, say together.
func Together(s sheet.Sheet, top tdc.Found, all []Line, some []int) Shift {
	var shift Shift
	if len(some) == 0 {
		return shift
	}
	for _, i := range some {
		shift.Lines = append(shift.Lines, all[i].Name)
	}
	g, ok := Compare(s, top, all, some)
	if !ok {
		return shift
	}
	f, ok := g.Fit()
	if !ok {
		return shift
	}
	compared := Compared(all)
	find := func(f Fit, some []int) (*uncertainty.Estimate, bool) {
		return common(s, Weighted(compared, some, f.Weights), f.Mean)
	}
	if out := shift.Settle(g, f, some, find, func(others []int) (Comparison, bool) { return Compare(s, top, all, others) }); out >= 0 {
		shift.StandsOut = []string{all[some[out]].Name}
	}
	shift.Small = small(all, g, shift)
	return shift
}

// Settle fills in the finding and returns which of the lines stands out, -1 for
// none. Lines are taken out one after another while the one that differs most from
// the others does so at the level [FalseClaims] for all together (Bonferroni; NIST/
// SEMATECH e-Handbook, 7.4.7.3). common returns the shift that some lines share,
// nil where it is not known, and whether it is there; compare compares fewer lines.
func (shift *Shift) Settle(g Comparison, f Fit, some []int, common func(Fit, []int) (*uncertainty.Estimate, bool), compare func([]int) (Comparison, bool)) int {
	p := len(some)
	if p > 1 {
		h := stats.FSurvival(f.Q/float64(p-1), float64(p-1), g.DOF)
		shift.Homogeneity = &h
	}
	differ := stats.Differ(g.Offsets, g.v, g.parts, g.own, FalseClaims)
	if len(differ) == 1 {
		shift.Finding = SingleMark
		others := slices.Delete(slices.Clone(some), differ[0], differ[0]+1)
		if rest, ok := compare(others); ok {
			if f, ok := rest.Fit(); ok {
				shift.Common, shift.Shifted = common(f, others)
			}
		}
		return differ[0]
	}
	shift.Common, shift.Shifted = common(f, some)
	switch {
	case len(differ) > 1:
		shift.Finding = Individual
	case shift.Common == nil:
	case !shift.Shifted:
		shift.Finding = None
	case p == 1:
		shift.Finding = Individual
	default:
		shift.Finding = Common
	}
	return -1
}

// common is the shift that lines share with its interval at the sheet's
// confidence, and whether the one at 1 - FalseClaims leaves out zero.
func common(s sheet.Sheet, c uncertainty.Combination, value float64) (*uncertainty.Estimate, bool) {
	e, sum := c.Evaluate(s.Limits.Confidence)
	if !e.Known {
		return nil, false
	}
	e.Value = geometry.Angle(value)
	return &e, math.Abs(value) > sum.HalfWidth(1-FalseClaims)
}

// small reports whether every effect is below a quarter of the tightest
// tolerance: real, perhaps, but nothing to act on.
func small(all []Line, g Comparison, shift Shift) bool {
	tolerance := math.Inf(1)
	for _, i := range g.Lines {
		tolerance = math.Min(tolerance, all[i].Tolerance.Degrees())
	}
	for _, d := range g.Offsets {
		if math.Abs(d) >= tolerance/4-geometry.Tie.Degrees() {
			return false
		}
	}
	return shift.Common == nil || math.Abs(shift.Common.Value.Degrees()) < tolerance/4-geometry.Tie.Degrees()
}

// Difference is how far the lines of one group come later than those of another,
// each group by its own best mean, and whether that is there. It reports false
// where the readings do not tell.
func Difference(s sheet.Sheet, top tdc.Found, all []Line, from, to []int) (e uncertainty.Estimate, differ, known bool) {
	var value float64
	var parts []uncertainty.Combination
	compared := Compared(all)
	for _, side := range []struct {
		lines []int
		sign  float64
	}{{from, -1}, {to, 1}} {
		g, ok := Compare(s, top, all, side.lines)
		if !ok {
			return e, false, false
		}
		f, ok := g.Fit()
		if !ok {
			return e, false, false
		}
		parts = append(parts, Weighted(compared, side.lines, f.Weights).Times(side.sign))
		value += side.sign * f.Mean
	}
	e, sum := uncertainty.Add(parts...).Evaluate(s.Limits.Confidence)
	e.Value = geometry.Angle(value).Wrap()
	return e, e.Value.Abs().Degrees() > sum.HalfWidth(1-FalseClaims), e.Known
}

var findingWords = []string{"unknown", "none", "common", "single mark", "individual"}

func (f Finding) String() string { return enum.Word(findingWords, f) }

// MarshalText writes the word.
func (f Finding) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (f *Finding) UnmarshalText(text []byte) error { return enum.From(f, findingWords, text) }
