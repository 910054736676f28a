package job

import (
	"math"

	"markaudit/audit"
	"markaudit/audit/guide"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Unsure is a TDC that is less sure than the pairs were taken for.
type Unsure struct {
	TDC, Goal geometry.Angle // expanded uncertainties: as it is, and as it was to be
	Pairs     int            // how many more are worth taking; 0 where nobody can tell
	Would     geometry.Angle // the expanded uncertainty with them, the scatter staying as it is
}

const (
	mostPairs = 15 // that anybody takes more; the same as of what to measure next
	somePairs = 4  // offered where even the most would not reach the goal
)

// UnsureTDC says how far a TDC is from what pairs are taken for; false where it is as
// sure, or its readings show no scatter.
func UnsureTDC(r audit.Result) (Unsure, bool) {
	t, out := r.TDC, Unsure{Goal: guide.Goal(r.Sheet)}
	if !t.Any() || t.DOF <= 0 {
		return out, false
	}
	confidence := r.Sheet.Limits.Confidence
	half := func(b uncertainty.Budget) geometry.Angle {
		return geometry.Angle(uncertainty.NewSum(b.Terms()).HalfWidth(confidence))
	}
	if out.TDC = half(t.Budget); !(out.TDC > out.Goal) {
		return out, false
	}
	at, rows := 0, 0
	for i, row := range t.Budget {
		if row.Source.Smaller() == uncertainty.MorePairs && !row.Idle && row.N > 0 {
			at, rows = i, rows+1
		}
	}
	if rows != 1 { // scatter of whole setups, or of several kinds: not of pairs alone
		return out, true
	}
	with := func(more int) geometry.Angle {
		b := append(uncertainty.Budget{}, t.Budget...)
		n := b[at].N
		b[at].Scale *= geometry.Angle(math.Sqrt(float64(n) / float64(n+more)))
		b[at].N, b[at].DOF = n+more, b[at].DOF+uncertainty.DOF(more)
		return half(b)
	}
	out.Pairs = somePairs
	for n := 1; n <= mostPairs; n++ {
		if with(n) <= out.Goal {
			out.Pairs = n
			break
		}
	}
	out.Would = with(out.Pairs)
	return out, true
}
