package compare

import (
	"math"
	"slices"

	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// step asks what the lines did together from one audit to the next, as an audit
// asks what they are off together.
func (c *Comparison) step(from, to int) {
	s := Step{From: from, To: to}
	a, b := c.Audits[from], c.Audits[to]
	linesA, _ := lines.LargestGroup(a.Lines)
	linesB, _ := lines.LargestGroup(b.Lines)
	var one, two []int
	for _, i := range linesA {
		j := slices.IndexFunc(linesB, func(j int) bool {
			return b.Lines[j].Name == a.Lines[i].Name && (b.Lines[j].At-a.Lines[i].At).Wrap().Abs() <= geometry.Tie
		})
		scribed := a.Advice.Lines[i].Worthwhile // a line that was to be moved says nothing of the part
		if j >= 0 && !scribed {
			one, two = append(one, i), append(two, linesB[j])
			s.Lines = append(s.Lines, a.Lines[i].Name)
		}
	}
	if len(one) > 0 && !moved(a) && !moved(b) {
		c.find(&s, one, two)
		c.cause(&s, one, two)
	}
	c.Steps = append(c.Steps, s)
}

// find fills in what the changes of some lines say together. one and two are the
// indexes of the same lines in the two audits.
func (c *Comparison) find(s *Step, one, two []int) {
	changes := func(some []int) (lines.Comparison, bool) {
		before, now := at(one, some), at(two, some)
		a, b := c.Audits[s.From], c.Audits[s.To]
		ga, okA := lines.Compare(a.Sheet, a.TDC, a.Lines, before)
		gb, okB := lines.Compare(b.Sheet, b.TDC, b.Lines, now)
		if !okA || !okB {
			return lines.Comparison{}, false
		}
		return lines.Changes(ga, gb), true
	}
	before, now := lines.Compared(c.Audits[s.From].Lines), lines.Compared(c.Audits[s.To].Lines)
	common := func(f lines.Fit, some []int) (*uncertainty.Estimate, bool) {
		sum := uncertainty.Add(c.weighted(s.From, before, at(one, some), f.Weights).Times(-1), c.weighted(s.To, now, at(two, some), f.Weights))
		e, error := sum.Evaluate(c.Audits[s.To].Sheet.Limits.Confidence)
		if !e.Known {
			return nil, false
		}
		e.Value = geometry.Angle(f.Mean)
		return &e, math.Abs(f.Mean) > error.HalfWidth(1-lines.FalseClaims)
	}
	all := make([]int, len(one))
	for i := range all {
		all[i] = i
	}
	g, ok := changes(all)
	if !ok {
		return
	}
	f, ok := g.Fit()
	if !ok {
		return
	}
	if out := s.Settle(g, f, all, common, changes); out >= 0 {
		s.StandsOut = []string{c.Audits[s.From].Lines[one[out]].Name}
	}
}

// at are the values of a list at some of its indexes.
func at(list, some []int) []int {
	out := make([]int, len(some))
	for i, k := range some {
		out[i] = list[k]
	}
	return out
}
