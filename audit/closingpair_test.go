package audit_test

import (
	"math"
	"testing"

	"markaudit/audit/warning"
)

// A closing pair is one more middle of the same kind: it lies within
// t·s·√(1 + 1/n) of the mean of n (the interval for one further value; Hahn and
// Meeker, Statistical Intervals, section 4.8, from memory).
func TestTheClosingPairIsOneMoreMiddle(t *testing.T) {
	for _, n := range []int{2, 4, 10} {
		const sd = 0.1
		limit := t95(float64(n-1)) * sd * math.Sqrt(1+1/float64(n))
		for _, c := range []struct {
			times float64
			moved bool
		}{{0.97, false}, {1.03, true}, {-0.97, false}, {-1.03, true}} {
			s := handSheet(0, 0)
			s.Setups[0].Trials = pairsAround(n, 47, sd, 25)
			closing := pairsAround(1, 47+c.times*limit, 0, 25)[0]
			s.Setups[0].Closing = &closing
			for i := range s.Marks { // a quarter of it is the least that counts
				s.Marks[i].Tolerance = 0.1
			}
			result := audited(t, s)
			if result.Diagnosis.ReadoutMoved() != c.moved || has(result, warning.ReadoutMoved) != c.moved {
				t.Errorf("%d pairs, closing pair at %v of its limit: got moved %v, want %v", n, c.times, result.Diagnosis.ReadoutMoved(), c.moved)
			}
		}
	}
}
