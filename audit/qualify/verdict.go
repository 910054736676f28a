package qualify

import (
	"math"

	"markaudit/audit/internal/stats"

	"gonum.org/v1/gonum/stat/distuv"
)

// judge gives the verdict. A small study is never more than not proven, though
// it may already show what would reject the tool.
func (s *comparison) judge() {
	b := s.Bias
	if b == nil {
		s.Reasons = []Reason{OneToolOnly}
		return
	}
	few := s.BiasSetups < leastSetups || b.DOF < leastDOF-tie
	if few {
		s.Reasons = append(s.Reasons, TooFewSetups)
	}
	var against []Reason
	if b.Known && (b.Low > s.AllowedBias || b.High < -s.AllowedBias) {
		against = append(against, BiasBeyond)
	}
	against = append(against, s.faulty()...)
	switch {
	case few:
		s.Reasons = append(s.Reasons, against...)
	case len(against) > 0:
		s.Verdict, s.Reasons = Rejected, against
	case b.PLower <= level && b.PUpper <= level:
		s.Verdict, s.Reasons = Qualified, []Reason{BiasExcluded}
	default:
		if b.PLower > level {
			s.Reasons = append(s.Reasons, EarlyNotRuled)
		}
		if b.PUpper > level {
			s.Reasons = append(s.Reasons, LateNotRuled)
		}
	}
	if s.Verdict != NotProven {
		s.SetupsToSettle = new(int)
	}
}

// faulty says what rejects the tool whatever its bias.
func (s *comparison) faulty() (against []Reason) {
	if s.Ratio.Known && s.Ratio.Low > s.AllowedRatio {
		against = append(against, ScattersMore)
	}
	if s.Creep.Significant() && s.overStudy(s.Creep, NewTool) > s.Tolerance/4+tie {
		against = append(against, Creeps)
	}
	return against
}

// settle returns with how many further setups, of each tool where they are
// unpaired, a verdict other than not proven is likely: four times in five, if
// bias and scatter are what they are now. The mean then differs from the mean
// now as a normal variable of variance v - v', the variances of the means now
// and then; this is how an audit predicts its readings too.
func (s *comparison) settle(now []stats.Group, b Bias) (int, bool) {
	if now == nil {
		return 0, false
	}
	variance := func(further int) (v float64, groups []stats.Group) {
		for _, g := range now {
			v += g.SD * g.SD / float64(g.N+further)
			groups = append(groups, stats.Group{SD: g.SD, N: g.N + further})
		}
		return v, groups
	}
	v, _ := variance(0)
	allowed, open, d := s.AllowedBias.Degrees(), b.Open.Degrees(), b.Value.Degrees()
	rejected := len(s.faulty()) > 0
	for n := 1; n <= mostFurther; n++ {
		then, groups := variance(n)
		se, dof := stats.Welch(groups...)
		if s.BiasSetups+n < leastSetups || dof < leastDOF {
			continue
		}
		w := math.Sqrt(max(0, v-then))
		in := allowed - open + stats.TQuantile(level, dof)*se
		out := allowed + open - stats.TQuantile((1-confidence)/2, dof)*se
		likely := 1 - between(d, w, -out, out)
		if in > 0 {
			likely += between(d, w, -in, in)
		}
		if rejected || likely >= chance {
			return n, true
		}
	}
	return 0, false
}

// between is the probability that a normal variable lies within bounds.
func between(mean, sd, low, high float64) float64 {
	if sd == 0 {
		if low <= mean && mean <= high {
			return 1
		}
		return 0
	}
	n := distuv.Normal{Mu: mean, Sigma: sd}
	return n.CDF(high) - n.CDF(low)
}
