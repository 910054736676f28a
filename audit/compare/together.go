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
		c.parts(&s, one, two)
		findCause(c, &s, one, two)
	}
	c.Steps = append(c.Steps, s)
}

// find fills in what the changes of some lines say together. one and two are the
// indexes of the same lines in the two audits.
func (c *Comparison) find(s *Step, one, two []int) {
	p := c.paired(s, one, two)
	g, ok := p.changes(every(len(one)))
	if !ok {
		return
	}
	f, ok := g.Fit()
	if !ok {
		return
	}
	if out := s.Settle(g, f, every(len(one)), p.common, p.changes); out >= 0 {
		s.StandsOut = []string{c.Audits[s.From].Lines[one[out]].Name}
	}
}

// movedAt is the coverage at which a part's interval has to leave out 0 for it to
// have moved: two parts are looked at.
const movedAt = 0.975

// Part is what the lines on one part did together from one audit to the next.
type Part struct {
	On     string // as the sheet names it; empty: no part is named
	Lines  []string
	Change uncertainty.Estimate // by how much later its lines come up; Known false: cannot be told
	Moved  bool                 // the interval at 97.5 % leaves out 0
}

// parts fills in what each part did, in the order of its first line.
func (c *Comparison) parts(s *Step, one, two []int) {
	p := c.paired(s, one, two)
	var places [][]int // of each part's lines in the pairing
	for i, j := range one {
		l := c.Audits[s.From].Lines[j]
		at := slices.IndexFunc(s.Parts, func(p Part) bool { return p.On == l.On })
		if at < 0 {
			at = len(s.Parts)
			s.Parts = append(s.Parts, Part{On: l.On})
			places = append(places, nil)
		}
		s.Parts[at].Lines = append(s.Parts[at].Lines, l.Name)
		places[at] = append(places[at], i)
	}
	for i := range s.Parts {
		part, some := &s.Parts[i], places[i]
		if len(some) == 1 {
			before, now := p.before[one[some[0]]], p.now[two[some[0]]]
			sum := uncertainty.Add(c.of(s.From, before.Name).Times(-1), c.of(s.To, now.Name))
			part.told(c, s, sum, (now.Offset.Value - before.Offset.Value).Wrap())
			continue
		}
		g, ok := p.changes(some)
		if !ok {
			continue
		}
		if f, ok := g.Fit(); ok {
			part.told(c, s, p.sum(f, some), geometry.Angle(f.Mean))
		}
	}
}

// told writes what a part did.
func (p *Part) told(c *Comparison, s *Step, sum uncertainty.Combination, value geometry.Angle) {
	e, error := sum.Evaluate(c.Audits[s.To].Sheet.Limits.Confidence)
	p.Change = e
	p.Change.Value = value
	p.Moved = e.Known && value.Abs().Degrees() > error.HalfWidth(movedAt)
}

// pairing is lines of two audits, one against the other.
type pairing struct {
	c           *Comparison
	s           *Step
	one, two    []int
	before, now []lines.Line
}

func (c *Comparison) paired(s *Step, one, two []int) pairing {
	return pairing{c: c, s: s, one: one, two: two, before: lines.Compared(c.Audits[s.From].Lines), now: lines.Compared(c.Audits[s.To].Lines)}
}

// changes compares some of the lines, by their places in the pairing.
func (p pairing) changes(some []int) (lines.Comparison, bool) {
	a, b := p.c.Audits[p.s.From], p.c.Audits[p.s.To]
	ga, okA := lines.Compare(a.Sheet, a.TDC, a.Lines, at(p.one, some))
	gb, okB := lines.Compare(b.Sheet, b.TDC, b.Lines, at(p.two, some))
	if !okA || !okB {
		return lines.Comparison{}, false
	}
	return lines.Changes(ga, gb), true
}

// sum is the mean change of some of the lines.
func (p pairing) sum(f lines.Fit, some []int) uncertainty.Combination {
	return uncertainty.Add(p.c.weighted(p.s.From, p.before, at(p.one, some), f.Weights).Times(-1), p.c.weighted(p.s.To, p.now, at(p.two, some), f.Weights))
}

// common is that mean with its ±, and whether it is a change.
func (p pairing) common(f lines.Fit, some []int) (*uncertainty.Estimate, bool) {
	e, error := p.sum(f, some).Evaluate(p.c.Audits[p.s.To].Sheet.Limits.Confidence)
	if !e.Known {
		return nil, false
	}
	e.Value = geometry.Angle(f.Mean)
	return &e, math.Abs(f.Mean) > error.HalfWidth(1-lines.FalseClaims)
}

// every is 0, 1, … below n.
func every(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// at are the values of a list at some of its indexes.
func at(list, some []int) []int {
	out := make([]int, len(some))
	for i, k := range some {
		out[i] = list[k]
	}
	return out
}
