package audit_test

import (
	"math"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/warning"
)

// surprising is the deviation, in standard deviations known to so many degrees of
// freedom, of which -2 ln of Student's density against that at zero comes to so
// much: (ν + 1) ln(1 + z²/ν), the density being proportional to
// (1 + z²/ν)^(-(ν+1)/2) (Abramowitz and Stegun, 26.7.1, from memory).
func surprising(surprise, dof float64) float64 {
	return math.Sqrt(dof * (math.Exp(surprise/(dof+1)) - 1))
}

// A closing pair differs from the trials' middle by what both scatter,
// s·√(1/n + 1). Of lines that are where they belong the rival is a readout that
// moved once they were read, odds of 1 to 7 (a surprise of 4); the lines as
// measured are refuted when they surprise by 6 more. The scatter is that of
// successive differences of middles and half arcs: middles that go up and down by
// 2·a each time, half arcs all the same, come to s² = (2a)²/4, with 2(n-1)
// degrees of freedom, two of them added.
func TestAClosingPairIsHeldAgainstTheMiddles(t *testing.T) {
	for _, n := range []int{2, 4, 10} {
		const sd = 0.1
		s2 := 4 * sd * sd * float64(n-1) / float64(n) / 4
		limit := surprising(4+6, float64(2*(n-1)+2)) * math.Sqrt(s2*(1+1/float64(n)))
		for _, c := range []struct {
			times float64
			moved bool
		}{{0.97, false}, {1.03, true}, {-0.97, false}, {-1.03, true}} {
			s := handSheet(0, 0)
			s.Setups[0].Trials = pairsAround(n, 47, sd, 25)
			closing := pairsAround(1, 47+c.times*limit, 0, 25)[0]
			s.Setups[0].Closing = &closing
			for i := range s.Marks { // a move by less than half of it matters to no line
				s.Marks[i].Tolerance = 0.5
			}
			result := audited(t, s)
			if told := result.Diagnosis; told.ReadoutMoved() != c.moved || has(result, warning.ReadoutMoved) != c.moved {
				t.Errorf("%d pairs, closing pair at %v of its limit: got moved %v, want %v", n, c.times, told.ReadoutMoved(), c.moved)
			}
			if best := result.Diagnosis.Best().Code; c.moved && best != diagnosis.ReadoutMovedAfter {
				t.Errorf("%d pairs: got %v, want a readout that moved after the lines", n, best)
			}
		}
	}
}
