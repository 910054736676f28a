package qualify

import (
	"math"
	"math/rand/v2"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	draws = 4000 // of a study to come: a chance is good to 0.8 %
	seed  = 20260314
)

// Chance is how likely some setups more bring a verdict.
type Chance struct {
	Setups  int
	Settled float64
}

// Further returns with which chance two, four and eight setups more, like those
// taken, bring a verdict other than not proven; nil where there is one, where a
// reading is to be looked up first, or where too little was repeated to tell. What
// is not known is drawn from what the study leaves open of it: the variance given
// its estimate, the bias given that, the stops' own variances, and then the study
// to come. The draws have a fixed seed.
func (r Result) Further() []Chance {
	b := r.Bias
	ref, other := r.Scatter[ReferenceTool], r.Scatter[NewTool]
	if r.Verdict != NotProven || len(r.Slips) > 0 && !r.AsRead || b == nil || r.BiasSetups < 2 || !r.Paired || ref.DOF == 0 || other.DOF == 0 {
		return nil
	}
	k := float64(r.BiasSetups)
	spread := b.StandardError.Degrees() * math.Sqrt(k) // of a setup's difference
	rng := rand.New(rand.NewPCG(seed, uint64(r.BiasSetups)))
	var out []Chance
	for _, more := range []int{2, 4, 8} {
		m := float64(more)
		then := newPrediction(r.Options, r.BiasSetups+more, other.DOF*(k+m)/k, ref.DOF*(k+m)/k, rng)
		f := r.figures()
		settled := 0
		for range draws {
			sd := spread * math.Sqrt((k-1)/then.chi(k-1))
			truth := f.bias + sd/math.Sqrt(k)*rng.NormFloat64()
			mean := truth + sd/math.Sqrt(m)*rng.NormFloat64()
			squares := spread*spread*(k-1) + sd*sd*then.chi(m-1) + k*m/(k+m)*(mean-f.bias)*(mean-f.bias)
			v := [2]float64{then.pooled(f.newer, other.DOF, m/k), then.pooled(f.trusted, ref.DOF, m/k)}
			creep := f.creep
			creep.Half *= geometry.Angle(math.Sqrt(k / (k + m)))
			if verdict := then.verdict((k*f.bias+m*mean)/(k+m), squares/(k+m-1), v, f.open, f.hidden, creep); verdict != NotProven {
				settled++
			}
		}
		out = append(out, Chance{more, float64(settled) / draws})
	}
	return out
}

// prediction is a study to come of a known size. What depends on its size alone is
// computed once.
type prediction struct {
	Options
	rng  *rand.Rand
	base figures
	t    [2]float64 // quantiles of the error at 5 % and 2.5 %, a tail each
}

func newPrediction(o Options, setups int, newerDOF, trustedDOF float64, rng *rand.Rand) prediction {
	p := prediction{Options: o, rng: rng, base: figures{setups: setups, dof: float64(setups - 1), newerDOF: newerDOF, trustedDOF: trustedDOF}}
	p.base.factors()
	p.t = [2]float64{-stats.TQuantile(level, p.base.dof), -stats.TQuantile((1-confidence)/2, p.base.dof)}
	return p
}

// verdict is the one at a bias with the variance of a setup's difference, and
// variances of the middles, new and trusted. What the trusted stop's bias is known
// to is taken as if it had the study's degrees of freedom: it is a chance that is
// told, not a verdict.
func (p prediction) verdict(bias, spread float64, middles [2]float64, open, hidden float64, creep Fitting) Verdict {
	f := p.base
	se := math.Sqrt(spread / float64(f.setups))
	if p.Trusted != nil {
		se = math.Hypot(se, (p.Trusted.Expanded-p.Trusted.limit()).Degrees()/2)
	}
	f.bias, f.half90, f.half95, f.open, f.hidden = bias, p.t[0]*se, p.t[1]*se, open, hidden
	f.newer, f.trusted, f.creep = middles[0], middles[1], creep
	verdict, _ := p.decide(f)
	return verdict
}

// chi draws from chi-square.
func (p prediction) chi(dof float64) float64 {
	return distuv.ChiSquared{K: dof, Src: p.rng}.Rand()
}

// pooled draws the variance that is pooled from the one known, of dof degrees of
// freedom, and from share times as many to come.
func (p prediction) pooled(v, dof, share float64) float64 {
	truth := v * dof / p.chi(dof)
	return (v*dof + truth*p.chi(dof*share)) / (dof * (1 + share))
}
