package advise

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
)

// search looks for the least effort that probably decides one line.
type search struct {
	now       uncertainty.Combination
	several   bool // three setups or more, or earlier audits: only further setups help
	offset    float64
	early     float64 // how early the line may come, positive
	late      float64
	threshold float64            // how probable a verdict has to be
	scatter   uncertainty.Budget // the rows that come from scatter, now
}

func newSearch(l lines.Line, threshold float64) search {
	rows, _ := l.From.Budget()
	s := search{
		now: l.From, several: len(l.Seen) >= uncertainty.EnoughSetups || l.Remounted.Used,
		offset: l.Offset.Value.Abs().Degrees(), threshold: threshold,
		scatter: rows.Scatter(),
	}
	early, late := l.Allowed()
	if l.Offset.Value < 0 { // an early line, seen from the other side
		early, late = late, early
	}
	s.early, s.late = early.Degrees(), late.Degrees()
	return s
}

// chance is the probability that the mark is decided after the further
// readings. The estimate will move by as much as its scatter shrinks; decided
// means that the new interval, one-sided at the threshold, lies wholly within or
// wholly outside the tolerance.
//
// Today's scatter is taken at its face value, and the move as normal: what few
// readings do not know of their own scatter errs to both sides, and the promise is
// kept on average (docs/validation.md).
func (s search) chance(trials, readings, setups int) float64 {
	rows, _ := s.now.After(trials, readings, setups).Budget()
	now, _ := s.scatter.Combined()
	then, _ := rows.Scatter().Combined()
	moves := math.Sqrt(math.Max(0, stats.Square(float64(now))-stats.Square(float64(then))))
	half := uncertainty.NewSum(rows.Terms()).HalfWidth(2*s.threshold - 1)
	in, out := s.late-half, s.late+half
	before, beyond := s.early-half, s.early+half
	below := func(x float64) float64 {
		switch {
		case moves > 0:
			return distuv.UnitNormal.CDF(x / moves)
		case x >= 0:
			return 1
		}
		return 0
	}
	p := 1 - below(out-s.offset) + below(-beyond-s.offset)
	if in > -before {
		p += below(in-s.offset) - below(-before-s.offset)
	}
	return p
}
