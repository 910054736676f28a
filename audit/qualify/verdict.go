package qualify

// figures are what a verdict is taken from; degrees and degrees squared.
type figures struct {
	bias           float64
	half90, half95 float64 // of its error
	open, hidden   float64 // limits that come on top of either
	setups         int
	dof            float64

	newer, trusted       float64 // variances of a middle
	newerDOF, trustedDOF float64
	upper, lower         float64 // what their ratio is multiplied by for its limits; 0 where one scatter is not known
	creep                Fitting
}

// judge gives the verdict. Nothing is concluded from readings that cannot belong.
func (r *Result) judge() {
	switch {
	case len(r.Slips) > 0 && !r.AsRead:
		r.Reasons = []Reason{LookFirst}
	case r.Bias == nil:
		r.Reasons = []Reason{OneToolOnly}
	default:
		r.Verdict, r.Reasons = r.decide(r.figures())
	}
}

func (r *Result) figures() figures {
	b, ref, other := r.Bias, r.Scatter[ReferenceTool], r.Scatter[NewTool]
	f := figures{
		bias: b.Value.Degrees(), half90: b.half90, half95: b.half95, open: (b.Open + r.carried()).Degrees(), hidden: r.Hidden.Degrees(),
		setups: r.BiasSetups, dof: b.DOF,
		newer: variance(other.SD), trusted: variance(ref.SD), newerDOF: other.DOF, trustedDOF: ref.DOF, creep: r.CreepFitting,
	}
	f.factors()
	return f
}

// factors are those of the limits of a ratio of variances.
func (f *figures) factors() {
	if f.newerDOF > 0 && f.trustedDOF > 0 {
		f.upper = upperFactor(f.newerDOF, f.trustedDOF)
		f.lower, _ = limitFactors(f.newerDOF, f.trustedDOF)
	}
}

// decide gives the verdict of figures. A small study is never more than not
// proven, though it may already show what would reject the tool. Who wants a stop
// qualified has to show three things: that its bias is within the allowed one,
// that it scatters little enough, and that its lock holds.
func (o Options) decide(f figures) (Verdict, []Reason) {
	against, open := o.against(f), o.unproven(f)
	switch {
	case f.setups < leastSetups || f.dof < leastDOF-tie:
		return NotProven, append(append([]Reason{TooFewSetups}, against...), open...)
	case len(against) > 0:
		return Rejected, against
	case len(open) > 0:
		return NotProven, open
	}
	return Qualified, []Reason{BiasExcluded}
}

// against says what rejects the tool.
func (o Options) against(f figures) (reasons []Reason) {
	allowed := o.AllowedBias.Degrees()
	if half := f.half95 + f.open + f.hidden; f.dof > 0 && (f.bias-half > allowed || f.bias+half < -allowed) {
		reasons = append(reasons, BiasBeyond)
	}
	q := o.Step.Degrees() * o.Step.Degrees()
	if f.newer/max(f.trusted, q/24)*f.lower > o.AllowedRatio {
		reasons = append(reasons, ScattersMore)
	}
	if f.creep.moves(o.AllowedBias) {
		reasons = append(reasons, Creeps)
	}
	return reasons
}

// unproven says what was not shown of it.
func (o Options) unproven(f figures) (reasons []Reason) {
	allowed := o.AllowedBias.Degrees()
	room := allowed - f.open - f.hidden
	// Without scatter a bias on the border itself is not within.
	within := func(left float64) bool { return f.dof > 0 && left > 0 && left >= f.half90 }
	if room <= 0 && allowed-f.open > 0 {
		reasons = append(reasons, StepHides)
	} else {
		if !within(room + f.bias) {
			reasons = append(reasons, EarlyNotRuled)
		}
		if !within(room - f.bias) {
			reasons = append(reasons, LateNotRuled)
		}
	}
	if f.newerDOF == 0 || f.trustedDOF == 0 {
		reasons = append(reasons, ScatterUnseen)
	} else if upper, known := o.upperRatio(f.newer, f.trusted, f.upper); !known {
		reasons = append(reasons, StepHidesScatter)
	} else if upper > o.AllowedRatio {
		reasons = append(reasons, ScatterNotShown)
	}
	if f.creep.mayMove(o.AllowedBias) {
		reasons = append(reasons, CreepNotRuled)
	}
	return reasons
}
