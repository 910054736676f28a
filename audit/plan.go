package audit

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Guess is what one expects of readings that are not taken yet.
type Guess struct {
	Middle  geometry.Angle // standard deviation of one middle of two contacts, rounding left out
	Reading geometry.Angle // of one reading of a line, likewise
	Remount geometry.Angle // of what taking the readout off and fitting it again adds
}

// GuessFrom takes the scatter of an earlier audit: of its middles and readings,
// and of its setups beyond these where there were three or more. What it holds no
// scatter of stays zero.
func GuessFrom(r Result) Guess {
	var g Guess
	if r.TDC == nil {
		return g
	}
	// What was seen holds some rounding; a twelfth of the step squared, or half of
	// that in a middle, is the most.
	q := square(r.Sheet.Readout.Step.Degrees())
	less := func(sd geometry.Angle, most float64) geometry.Angle {
		return geometry.Angle(math.Sqrt(math.Max(0, square(sd.Degrees())-most)))
	}
	g.Middle = less(r.TDC.Scatter, q/24)
	var squares, dof, between, n float64
	for _, m := range r.Marks {
		if m.Offset == nil {
			continue
		}
		squares, dof = squares+m.repeats.lineDOF*square(m.repeats.line.Degrees()), dof+m.repeats.lineDOF
		if m.repeats.setups >= enough {
			k := float64(m.repeats.setups)
			between += square(m.repeats.between.Degrees()) - k*square(m.repeats.line.Degrees())*m.repeats.perLine - k*m.repeats.stops.variance()
			n++
		}
	}
	if dof > 0 {
		g.Reading = less(geometry.Angle(math.Sqrt(squares/dof)), q/12)
	}
	if n > 0 {
		g.Remount = geometry.Angle(math.Sqrt(math.Max(0, between/n)))
	}
	return g
}

// Scheme is how much is read.
type Scheme struct {
	Setups, Trials, Readings int // pairs, and readings of each line, in each setup
	U                        geometry.Angle
	Covers                   Covers
	Effort                   float64
}

// Depth is one depth of the stop and what it does.
type Depth struct {
	HalfArc    geometry.Angle
	Drop       geometry.Length // of the piston below its top; zero without stroke and rod
	PerDegree  geometry.Length
	Rock       geometry.Angle // what limits.contact does to the middle
	Correction geometry.Angle // from pin and bore offset
	U          geometry.Angle // of the worst line, with the scheme of the plan
}

// Gain is what better means would bring.
type Gain struct {
	Means Means
	U     geometry.Angle
}

// Means is one of the means of measurement that could be better.
type Means uint8

// FinerStep: a readout with a fifth of the step. CentredWheel: within a quarter of
// the limit. BothSides: lines read from both sides. FinerSighting, LessRock: half
// of the limit.
const (
	FinerStep Means = iota
	CentredWheel
	BothSides
	FinerSighting
	LessRock
)

// Planned is a plan for an audit.
type Planned struct {
	Depths  []Depth
	Best    Depth
	Worst   sheet.Mark // the line with the largest predicted U
	Wanted  geometry.Angle
	Least   *Scheme // with the least effort that reaches Wanted; nil if none does
	Usual   []Scheme
	Budget  uncertainty.Budget // of Worst, with Least, else with the last of Usual
	Outside geometry.Angle     // offset that Least, or the last of Usual, finds outside four times in five
	Gains   []Gain             // the largest first, those that bring a twentieth or more
	planner planner
}

// Predict is the expanded uncertainty of the worst line that so many setups, with
// so many pairs and readings in each, are likely to give; +Inf where they hold no
// scatter.
func (p Planned) Predict(setups, trials, readings int) geometry.Angle {
	u, _ := p.planner.worst(amount{setups, trials, readings})
	return u
}

// Half arcs that a stop is set to, and among which the best is looked for. Common
// practice, no source.
var (
	depths       = []geometry.Angle{5, 8, 10, 15, 20, 25, 30, 35, 40, 45, 60}
	leastSound   = geometry.Angle(15)
	mostSound    = geometry.Angle(45)
	usualHalfArc = geometry.Angle(27)
)

const (
	plannedTrials, plannedReadings = 10, 6 // the most that a setup is planned with
	setupEffort                    = 5
	asGood                         = 1.05 // a shallower stop is taken where U grows by less
)

// usual are what people do, to see what it gives.
var usual = []amount{{1, 3, 3}, {1, 5, 3}, {3, 3, 3}, {3, 5, 3}, {5, 5, 3}}

// amount is how many setups, and pairs and readings of each line in each.
type amount struct{ setups, trials, readings int }

// planner predicts budgets from guesses. It looks like an audit whose setups are
// all alike.
type planner struct {
	*analysis
	guess   Guess
	halfArc geometry.Angle
}

// PlanFor plans the audit of a sheet that holds no readings yet: its engine, part,
// readout, limits and lines count. A half arc of zero is looked for, a wanted U of
// zero is half of the tightest tolerance. The error, of type [inputerror.List],
// says what on the sheet cannot be right.
func PlanFor(s sheet.Sheet, g Guess, halfArc, wanted geometry.Angle) (Planned, error) {
	s.Setups = nil
	if faults := s.Check(); len(faults) > 0 {
		return Planned{}, faults
	}
	p := planner{analysis: &analysis{sheet: &s, result: Result{Sheet: s}}, guess: g, halfArc: halfArc}
	plan := Planned{Wanted: wanted}
	if wanted == 0 {
		plan.Wanted = s.Marks[0].Tolerance / 2
		for _, m := range s.Marks {
			plan.Wanted = min(plan.Wanted, m.Tolerance/2)
		}
	}
	if p.halfArc == 0 {
		p.halfArc = usualHalfArc
	}
	if crank, ok := s.Engine.Crank(); ok {
		scheme := usual[3]
		best := math.Inf(1)
		for _, h := range depths {
			q := p
			q.halfArc = h
			d := q.depth(crank)
			d.U, _ = q.worst(scheme)
			plan.Depths = append(plan.Depths, d)
			if h >= leastSound && h <= mostSound {
				best = math.Min(best, d.U.Degrees())
			}
		}
		if halfArc == 0 {
			for _, d := range plan.Depths {
				if d.HalfArc >= 20 && d.HalfArc <= mostSound && d.U.Degrees() <= best*asGood {
					p.halfArc = d.HalfArc
					break
				}
			}
		}
		plan.Best = p.depth(crank)
	} else {
		plan.Best = Depth{HalfArc: p.halfArc}
	}
	for _, scheme := range usual {
		plan.Usual = append(plan.Usual, p.scheme(scheme))
	}
	plan.Least = p.least(plan.Wanted)
	taken := usual[len(usual)-1]
	if l := plan.Least; l != nil {
		taken = amount{l.Setups, l.Trials, l.Readings}
	}
	plan.Best.U, plan.Worst = p.worst(taken)
	plan.Budget = p.budget(plan.Worst, taken)
	plan.Outside = p.outside(plan.Worst, plan.Budget)
	plan.Gains, plan.planner = p.gains(taken), p
	return plan, nil
}

func (p planner) depth(crank geometry.Crank) Depth {
	d := Depth{HalfArc: p.halfArc, Drop: crank.DropOfHalfArc(p.halfArc), PerDegree: crank.DropPerDegree(p.halfArc)}
	d.Rock = geometry.Angle(p.sheet.Limits.Contact.Half.Millimetres() / (2 * d.PerDegree.Millimetres()))
	d.Correction = p.correction("", crank, p.halfArc)
	return d
}

// rounding is the variance of the mean of n values of scatter sd, each rounded to
// q, with the true value anywhere between two graduations: rounding errors of
// values that scatter less than the step are alike. within is the part of it that
// the scatter of the values shows, for one of them. From the Fourier series of the
// rounding error, (q/π)·Σ (-1)ᵏ sin(2πkx/q)/k.
func rounding(sd, q, n float64) (ofMean, within float64) {
	var alike float64
	for k := 1.0; k < 200; k++ {
		alike += math.Exp(-square(2*math.Pi*k*sd/q)) / (k * k)
	}
	alike *= q * q / (2 * math.Pi * math.Pi)
	all := q * q / 12
	return (sd*sd+all-alike)/n + alike, sd*sd + all - alike
}

// expected is what a standard deviation of dof degrees of freedom comes to on
// average, over the true one: c₄ of the control charts (NIST/SEMATECH e-Handbook,
// 6.3.2).
func expected(dof float64) float64 {
	a, _ := math.Lgamma((dof + 1) / 2)
	b, _ := math.Lgamma(dof / 2)
	return math.Sqrt(2/dof) * math.Exp(a-b)
}

// planned are the repeats of a line as they are likely to come out.
func (p planner) planned(scheme amount) repeats {
	k, n, m := float64(scheme.setups), float64(scheme.trials), float64(scheme.readings)
	q := p.sheet.Readout.Step.Degrees()
	line, lineSeen := rounding(p.guess.Reading.Degrees(), q, m)
	contact, contactSeen := rounding(p.guess.Middle.Degrees()*math.Sqrt2, q, n)
	middle, middleSeen := contact/2, contactSeen/2 // the mean of two
	r := repeats{setups: scheme.setups, step: p.sheet.Readout.Step, rounded: 1, readings: scheme.setups * scheme.readings}
	if scheme.setups >= enough {
		r.between = geometry.Angle(expected(k-1) * math.Sqrt(square(p.guess.Remount.Degrees())+line+middle))
		return r
	}
	dof := k * (n - 1)
	part := repeated{source: sourceOf(sheet.Stop), dof: dof, n: scheme.setups * scheme.trials, per: 1 / (k * n), more: true}
	if dof > 0 {
		part.sd = geometry.Angle(expected(dof) * math.Sqrt(middleSeen))
	}
	r.stops = parts{part}
	r.perLine, r.lineDOF = 1/(k*m), k*(m-1)
	if r.lineDOF < ownDOF { // pooled over the lines
		r.lineDOF *= float64(len(p.sheet.Marks))
		r.pooled = len(p.sheet.Marks) > 1
	}
	if r.lineDOF > 0 {
		r.line = geometry.Angle(expected(r.lineDOF) * math.Sqrt(lineSeen))
	}
	return r
}

// budget predicts the rows of a line that is read from one side.
func (p planner) budget(m sheet.Mark, scheme amount) uncertainty.Budget {
	s := SetupTDC{HalfArc: p.halfArc, Middles: make([]geometry.Angle, scheme.trials), setup: &sheet.Setup{}}
	if crank, ok := p.sheet.Engine.Crank(); ok {
		s.perDegree = crank.DropPerDegree(p.halfArc)
	}
	p.result.TDC = &TDC{Setups: []SetupTDC{s}}
	t := &top{found: []int{0}}
	tops := slices.Repeat([]*top{t}, scheme.setups)
	place := m.At.Turn()
	r := reach{lost: 0.5, wheel: phase(place) - complex(math.Cos(p.halfArc.Radians()), 0)}
	return append(p.planned(scheme).rows(), p.sharedRows(evenly(tops), scheme.setups, r)...)
}

func (p planner) u(m sheet.Mark, scheme amount) geometry.Angle {
	if scheme.setups < enough && (scheme.setups*(scheme.trials-1) == 0 || p.planned(scheme).lineDOF == 0) {
		return geometry.Angle(math.Inf(1))
	}
	return geometry.Angle(uncertainty.NewSum(p.budget(m, scheme).Terms()).HalfWidth(p.sheet.Limits.Confidence))
}

// worst is the largest predicted U, and the first line that has it.
func (p planner) worst(scheme amount) (geometry.Angle, sheet.Mark) {
	u, at := geometry.Angle(-1), p.sheet.Marks[0]
	for _, m := range p.sheet.Marks {
		if x := p.u(m, scheme); x > u+tie {
			u, at = x, m
		}
	}
	return u, at
}

func (p planner) scheme(s amount) Scheme {
	out := Scheme{Setups: s.setups, Trials: s.trials, Readings: s.readings, Effort: p.effort(s)}
	out.U, _ = p.worst(s)
	if s.setups >= enough || p.sheet.Limits.Remount.Half > 0 {
		out.Covers = Remounting
	}
	return out
}

// effort counts a pair as two readings, and a setup as five more.
func (p planner) effort(s amount) float64 {
	return float64(s.setups) * (setupEffort + trialEffort*float64(s.trials) + float64(s.readings*len(p.sheet.Marks)))
}

// least looks for the least effort that reaches a U with remounting covered.
func (p planner) least(wanted geometry.Angle) *Scheme {
	var best *Scheme
	for k := 1; k <= mostSetups; k++ {
		if k < enough && p.sheet.Limits.Remount.Half == 0 {
			continue
		}
		for n := 2; n <= plannedTrials; n++ {
			for m := 1; m <= plannedReadings; m++ {
				s := amount{k, n, m}
				if best != nil && p.effort(s) >= best.Effort {
					continue
				}
				if u, _ := p.worst(s); u <= wanted {
					found := p.scheme(s)
					best = &found
				}
			}
		}
	}
	return best
}

// outside is the offset that is found outside four times in five: the tolerance,
// the half width that the decision asks for, and what the estimate moves by.
func (p planner) outside(m sheet.Mark, rows uncertainty.Budget) geometry.Angle {
	half := uncertainty.NewSum(rows.Terms()).HalfWidth(2*p.sheet.Limits.Confidence - 1)
	moves, dof := scatterRows(rows).Combined()
	if math.IsInf(dof, 1) {
		dof = 1000
	}
	return m.Tolerance + geometry.Angle(half+moves.Degrees()*stats.TQuantile(0.8, math.Max(1, dof)))
}

// gains says what better means would bring.
func (p planner) gains(scheme amount) []Gain {
	now, _ := p.worst(scheme)
	var out []Gain
	for _, means := range []Means{FinerStep, CentredWheel, BothSides, FinerSighting, LessRock} {
		s := *p.sheet
		switch means {
		case FinerStep:
			s.Readout.Step /= 5
		case CentredWheel:
			s.Readout.OffCentre /= 4
		case BothSides:
			s.Readout.HasLostMotion = false
		case FinerSighting:
			s.Part.Sighting.Half /= 2
		case LessRock:
			s.Limits.Contact.Half /= 2
		}
		better := planner{analysis: &analysis{sheet: &s, result: p.result}, guess: p.guess, halfArc: p.halfArc}
		if u, _ := better.worst(scheme); u < 0.95*now {
			out = append(out, Gain{means, u})
		}
	}
	slices.SortStableFunc(out, func(a, b Gain) int {
		switch {
		case a.U < b.U-tie:
			return -1
		case a.U > b.U+tie:
			return 1
		}
		return 0
	})
	return out
}
