package qualify

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// bias takes the difference of the tools with its interval and its tests.
func (s *comparison) bias() {
	groups, value := s.differences()
	if groups == nil {
		return
	}
	b := Bias{OfTrusted: value, Value: value}
	if s.Trusted != nil {
		b.Value += s.Trusted.Bias
	}
	se, dof := stats.Welch(groups...)
	b.StandardError, b.DOF = geometry.Angle(se), dof
	b.Open = s.offsetOpen()
	if b.Open > 0 {
		s.warn(Warning{Code: OffsetOpen, Values: []float64{b.Open.Degrees()}})
	}
	if dof > 0 {
		b.Known = true
		error := s.errorOf(se, dof)
		b.half90, b.half95 = error.HalfWidth(1-2*level), error.HalfWidth(confidence)
		limits := b.Open + s.Hidden + s.carried()
		half := geometry.Angle(b.half95) + limits
		b.Low, b.High = b.Value-half, b.Value+half
		half90 := geometry.Angle(b.half90) + limits
		b.Low90, b.High90 = b.Value-half90, b.Value+half90
		room := (s.AllowedBias - limits).Degrees()
		b.PLower = beyond(error, b.Value.Degrees()+room)
		b.PUpper = beyond(error, room-b.Value.Degrees())
		if s.Trusted == nil { // the same to nine digits, and small ones keep theirs
			b.PLower, b.PUpper = stats.Equivalence(b.Value.Degrees(), se, dof, -room, room)
		}
		if s.Paired && s.BiasSetups > 1 {
			b.Fitting = geometry.Angle(-stats.TQuantile((1-confidence)/2, dof) * se * math.Sqrt(float64(s.BiasSetups)+1))
		}
	}
	s.Bias = &b
}

// errorOf is the distribution of the bias's error: a t row of this study, and the
// rows of what the trusted stop's bias is known by: a normal one where it was stated,
// one a study of its chain else.
func (o Options) errorOf(se, dof float64) uncertainty.Sum {
	terms := []uncertainty.Term{{Shape: uncertainty.StudentT, Scale: se, DOF: dof}}
	if o.Trusted != nil {
		terms = append(terms, o.Trusted.terms()...)
	}
	return uncertainty.NewSum(terms)
}

// beyond is the probability of an error of at least d, which may be below zero.
func beyond(error uncertainty.Sum, d float64) float64 {
	p := (1 - error.Probability(math.Abs(d))) / 2
	if d < 0 {
		return 1 - p
	}
	return p
}

// differences returns the bias and what its scatter is taken from: differences
// of setups, or, of a single setup, its trials.
func (s *comparison) differences() (groups []stats.Group, value geometry.Angle) {
	var d []float64
	var one Setup // the last paired one
	means, cells := [2][]float64{}, [2]Cell{}
	for i := range s.Setups {
		setup := &s.Setups[i]
		switch {
		case setup.Paired:
			d, one = append(d, setup.Difference.Degrees()), *setup
			cells[ReferenceTool], cells[NewTool] = one.Reference, one.New
		case s.Paired:
			if setup.Reference.Used() || setup.New.Used() {
				s.warn(Warning{Code: LeftOut, Setup: setup.Name})
			}
		default:
			for _, t := range []Tool{ReferenceTool, NewTool} {
				if c := setup.cell(t); c.Used() {
					means[t] = append(means[t], s.later(*c, Cell{}).Degrees())
					cells[t] = *c
				}
			}
		}
	}
	if s.Paired {
		s.BiasSetups = len(d)
		m, sd := stats.MeanStdDev(d)
		if sd < tie { // differences alike but for their last digits
			sd = 0
		}
		if len(d) > 1 {
			return []stats.Group{{SD: sd, N: len(d)}}, geometry.Angle(m)
		}
		s.warn(Warning{Code: OneSetup})
		return trialGroups(cells), geometry.Angle(m)
	}
	s.BiasSetups = min(len(means[ReferenceTool]), len(means[NewTool]))
	if s.BiasSetups == 0 {
		return nil, 0
	}
	s.warn(Warning{Code: Unpaired})
	var m [2]float64
	for t := range means {
		var sd float64
		m[t], sd = stats.MeanStdDev(means[t])
		if sd < tie {
			sd = 0
		}
		groups = append(groups, stats.Group{SD: sd, N: len(means[t])})
	}
	if len(means[ReferenceTool]) == 1 && len(means[NewTool]) == 1 {
		s.warn(Warning{Code: OneSetup})
		groups = trialGroups(cells)
	}
	return groups, geometry.Angle(m[NewTool] - m[ReferenceTool])
}

// trialGroups is the scatter of the trials of one setup of each tool.
func trialGroups(cells [2]Cell) (groups []stats.Group) {
	for _, c := range cells {
		_, sd := stats.MeanStdDev(degrees(c.Middles))
		if sd < tie {
			sd = 0
		}
		groups = append(groups, stats.Group{SD: sd, N: len(c.Middles)})
	}
	return groups
}

// offsetOpen returns how far the bias moves when the offset is off by its
// limit: half the range, which is the larger side's to a second order.
func (s *comparison) offsetOpen() geometry.Angle {
	if s.Crank == nil || s.OffsetLimit == 0 {
		return 0
	}
	var most geometry.Angle
	at := func(offset geometry.Length) (sum geometry.Angle, ok bool) {
		crank := *s.Crank
		crank.Offset = offset
		var n [2]int
		var beta [2]geometry.Angle
		for i := range s.Setups {
			setup := &s.Setups[i]
			if s.Paired && !setup.Paired {
				continue
			}
			for _, t := range []Tool{ReferenceTool, NewTool} {
				if c := setup.cell(t); c.Used() {
					b, err := crank.MidCorrection(c.HalfArc)
					if err != nil {
						return 0, false
					}
					beta[t] += b
					n[t]++
				}
			}
		}
		return beta[NewTool]/geometry.Angle(n[NewTool]) - beta[ReferenceTool]/geometry.Angle(n[ReferenceTool]), true
	}
	now, _ := at(s.Crank.Offset)
	for _, limit := range []geometry.Length{-s.OffsetLimit, s.OffsetLimit} {
		if then, ok := at(s.Crank.Offset + limit); ok {
			most = max(most, (then - now).Abs())
		}
	}
	return most
}
