package qualify

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// poolScatter pools each tool's middles within setups and compares the two.
func poolScatter(s *comparison) {
	for t := range s.Scatter {
		var squares, dof float64
		for i := range s.Setups {
			more, n := stats.Spread(s.Setups[i].cell(Tool(t)).Middles)
			squares, dof = squares+more, dof+n
		}
		if dof > 0 {
			s.Scatter[t] = Scatter{geometry.Angle(math.Sqrt(squares / dof)), dof}
		}
	}
	ref, other := s.Scatter[ReferenceTool], s.Scatter[NewTool]
	if ref.DOF == 0 || other.DOF == 0 {
		return
	}
	// A middle of two contacts rounded to the step has this scatter from
	// rounding alone: triangular, half width q/2.
	rounding := geometry.Angle(s.Step.Degrees() / math.Sqrt(24))
	if min(ref.SD, other.SD) < rounding-tie {
		s.warn(Warning{Code: StepCoarser, Values: []float64{s.Step.Degrees()}})
	}
	r := &s.Ratio
	if ref.SD < tie && other.SD < tie {
		return
	}
	least := max(ref.SD, rounding)
	if least-ref.SD > tie {
		r.Floored = true
		s.warn(Warning{Code: ReferenceNoNoise, Values: []float64{rounding.Degrees()}})
	}
	if other.SD >= tie { // middles that are all equal show no ratio, only that it is small
		r.Value, r.Known = math.Pow(other.SD.Degrees()/least.Degrees(), 2), true
		r.Low, r.High = stats.VarianceRatioInterval(r.Value, other.DOF, ref.DOF, confidence)
	}
	r.Upper, r.Shown = s.upperRatio(variance(other.SD), variance(ref.SD), upperFactor(other.DOF, ref.DOF))
}

func variance(sd geometry.Angle) float64 { return sd.Degrees() * sd.Degrees() }

// upperFactor is what an observed ratio of variances is multiplied by for the
// one-sided upper limit at 5 % (NIST/SEMATECH e-Handbook, 1.3.5.9).
func upperFactor(newDOF, refDOF float64) float64 {
	_, high := stats.VarianceRatioInterval(1, newDOF, refDOF, 1-2*level)
	return high
}

// limitFactors are what it is multiplied by for its 95 % interval.
func limitFactors(newDOF, refDOF float64) (low, high float64) {
	return stats.VarianceRatioInterval(1, newDOF, refDOF, confidence)
}

// upperRatio returns the upper limit of the ratio of the true variances, without
// what rounding adds to the trusted stop's: a middle of two contacts that are
// rounded apart scatters by q²/24. The new stop keeps it, so the limit errs to
// the wide side. Below q²/6 the trusted stop's scatter is too little of its own to
// be compared with: then nothing is known. (By simulation: q²/12 lets a stop of
// twice the scatter through in 0.10, q²/8 in 0.07, q²/6 in 0.055.)
func (o Options) upperRatio(newer, trusted, factor float64) (upper float64, known bool) {
	q := o.Step.Degrees() * o.Step.Degrees()
	if trusted < q/6-tie*q {
		return 0, false
	}
	return max(newer, q/24) / (trusted - q/24) * factor, true
}

// findHidden finds what rounding that all setups share can hide in the bias. Setups
// that are zeroed alike may lie on the same lattice of the step, where averaging
// over them takes nothing away; so contacts are looked at within setups only.
func findHidden(s *comparison) {
	for t := range s.HiddenOf {
		var squares, dof [2]float64
		for i := range s.Setups {
			c := s.Setups[i].cell(Tool(t))
			var contacts [2][]geometry.Angle
			for j, m := range c.Middles {
				contacts[0] = append(contacts[0], m-c.HalfArcs[j])
				contacts[1] = append(contacts[1], m+c.HalfArcs[j])
			}
			for side, all := range contacts {
				more, n := stats.Spread(all)
				squares[side], dof[side] = squares[side]+more, dof[side]+n
			}
		}
		for side := range squares {
			sd := 0.0
			if dof[side] > 0 {
				sd = math.Sqrt(squares[side] / dof[side])
			}
			s.HiddenOf[t] += geometry.Angle(hiddenBy(sd, s.Step.Degrees()) / 2)
		}
		s.Hidden += s.HiddenOf[t]
	}
}

// hiddenBy is how far the mean of readings of standard deviation sd may be off
// because all were rounded to a step: half the step where they do not vary, and
// less the more they do. The form is the first harmonic of rounding under normal
// scatter, exp(-2π²σ²/q²); 15 stands in place of 2π², for sd is an estimate
// (by simulation: 20 lets 0.33 through at the worst phase, 15 lets 0.057).
func hiddenBy(sd, step float64) float64 {
	r := sd / step
	return step / 2 * math.Exp(-15*max(0, r*r-1.0/12))
}
