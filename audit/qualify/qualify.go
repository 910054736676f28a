package qualify

import (
	"fmt"
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

const (
	level      = 0.05 // of every test here, and of either one-sided test
	confidence = 0.95

	// Beyond it offset correction and rock of the two stops no longer cancel;
	// common practice, no source.
	alikeHalfArcs geometry.Angle = 3
	// Readings of one thing lie together; common practice, no source.
	leastResultant = 0.5
	// Middles of one tool in one setup that are farther apart than this were
	// hardly read on one zero; common practice, no source.
	farApart geometry.Angle = 5

	leastSetups, leastDOF = 3, 2
	mostFurther           = 50 // setups; who has no verdict after these has a stop at the border
	chance                = 0.8

	// Decimal readings that were meant to be equal are, to this.
	tie = 1e-9
)

func (s *Setup) cell(t Tool) *Cell {
	if t == ReferenceTool {
		return &s.Reference
	}
	return &s.New
}

// comparison is the comparison of two stops under way.
type comparison struct {
	Result
	faults inputerror.List
	place  map[string]int    // into Setups, by name
	open   map[string]int    // trials of a setup so far
	first  []inputerror.Path // where each setup begins
}

// Run compares. The error, if any, is of type [inputerror.List]. It panics on
// options that are not positive: who calls asks for them.
func Run(read Study, o Options) (Result, error) {
	if !(o.AllowedBias > 0 && o.Tolerance > 0 && o.Step > 0 && o.AllowedRatio >= 0) {
		panic("qualify: allowed bias, tolerance and step are above zero")
	}
	if o.AllowedRatio == 0 {
		o.AllowedRatio = 1
	}
	s := &comparison{Result: Result{Options: o}, place: map[string]int{}, open: map[string]int{}}
	if o.Crank != nil {
		if err := o.Crank.Check(); err != nil {
			return Result{}, inputerror.List{{Text: err.Error(), Hint: "check stroke, rod and offsets"}}
		}
	}
	if s.sense(read.Trials); len(s.faults) > 0 {
		return Result{}, s.faults
	}
	for _, t := range read.Trials {
		s.trial(t)
	}
	if s.gather(); len(s.faults) > 0 {
		return Result{}, s.faults
	}
	s.scatter()
	s.bias()
	s.trends()
	s.capability()
	s.depths()
	s.judge()
	return s.Result, nil
}

func (s *comparison) warn(w Warning) { s.Warnings = append(s.Warnings, w) }

func (s *comparison) fault(at inputerror.Path, hint, format string, args ...any) {
	s.faults = append(s.faults, inputerror.Fault{Path: at, Text: fmt.Sprintf(format, args...), Hint: hint})
}

// sense takes from the labelled contacts how the readout counts: no stop here
// blocks more than half a turn. Where it was stated they must agree.
func (s *comparison) sense(trials []Trial) {
	var up, down []Trial
	for _, t := range trials {
		if !t.Usable() {
			continue
		}
		switch arc := geometry.CountsUp.Arc(t.Forward.Value, t.Backward.Value); {
		case arc == 0:
			s.fault(t.Path, "a stop that blocks nothing was not met", "found both contacts of trial %s at %s, expected them apart", name(t.Name), t.Forward.Written())
		case arc < 180:
			up = append(up, t)
		case arc > 180:
			down = append(down, t)
		}
	}
	const swapped = "one of two is so: the contacts are swapped, for forward is the one reached the way the engine runs, or the readout counts the other way. " + sheet.FindTheSide + " and see whether the number grows"
	against := func(trials []Trial, counts geometry.Sense, why string) {
		for i, t := range trials {
			hint := ""
			if i == 0 {
				hint = swapped
			}
			s.fault(t.Path, hint, "found forward %s and backward %s, which block %v %s, expected at most 180°",
				t.Forward.Written(), t.Backward.Written(), round(counts.Arc(t.Forward.Value, t.Backward.Value)), why)
		}
	}
	switch {
	case s.Counts == geometry.CountsUp:
		against(down, s.Counts, "with --counts up")
	case s.Counts == geometry.CountsDown:
		against(up, s.Counts, "with --counts down")
	case len(up) > 0 && len(down) > 0 && len(down) <= len(up):
		against(down, geometry.CountsUp, fmt.Sprintf("if the readout counts up, as %d of the other trials say", len(up)))
	case len(up) > 0 && len(down) > 0:
		against(up, geometry.CountsDown, fmt.Sprintf("if the readout counts down, as %d of the other trials say", len(down)))
	case len(up) > 0:
		s.Counts, s.CountsFound = geometry.CountsUp, true
	case len(down) > 0:
		s.Counts, s.CountsFound = geometry.CountsDown, true
	case len(s.faults) == 0:
		s.fault("", "say --counts up or --counts down, or complete the pairs", "found no pair of contacts from which it could be told how the readout counts")
	}
}

// name shows a name in a fault.
func name(s string) string { return inputerror.Visible(s) }

// round takes away what subtraction left in the last digits.
func round(a geometry.Angle) geometry.Angle { return geometry.Angle(math.Round(a.Degrees()*1e6) / 1e6) }

// trial adds a trial to its setup.
func (s *comparison) trial(t Trial) {
	which := t.Tool
	i, ok := s.place[t.Setup]
	if !ok {
		i = len(s.Setups)
		s.place[t.Setup] = i
		s.Setups = append(s.Setups, Setup{Name: t.Setup, By: t.By})
		s.first = append(s.first, t.Path)
	}
	order := float64(s.open[t.Setup])
	s.open[t.Setup]++
	if !t.Usable() {
		code := Struck
		if t.Forward == nil || t.Backward == nil {
			code = NoPartner
		}
		s.warn(Warning{Code: code, Setup: t.Setup, Trial: t.Name, Tool: which.String()})
		return
	}
	c := s.Setups[i].cell(which)
	arc := s.Counts.Arc(t.Forward.Value, t.Backward.Value)
	c.HalfArcs = append(c.HalfArcs, arc/2)
	c.Middles = append(c.Middles, t.Forward.Value+geometry.Angle(s.Counts)*arc/2)
	c.Order = append(c.Order, order)
	s.Trials[which]++
}

// gather brings the middles that are to be compared to one turn, takes the
// means and corrects them.
func (s *comparison) gather() {
	for _, setup := range s.Setups {
		s.Paired = s.Paired || setup.Reference.Used() && setup.New.Used()
	}
	if s.Paired {
		for i := range s.Setups {
			setup := &s.Setups[i]
			s.unwrap(s.first[i], "the middles of setup "+name(setup.Name), "after pressing zero a new setup begins", &setup.Reference, &setup.New)
		}
	} else {
		var cells []*Cell
		for i := range s.Setups {
			cells = append(cells, &s.Setups[i].Reference, &s.Setups[i].New)
		}
		s.unwrap("", "the middles of setups with one tool each", "such setups are compared only while the readout stays where it is; else read both tools in every setup", cells...)
	}
	for i := range s.Setups {
		setup := &s.Setups[i]
		for _, t := range []Tool{ReferenceTool, NewTool} {
			s.mean(s.first[i], setup, t)
		}
		if setup.Paired = setup.Reference.Used() && setup.New.Used(); setup.Paired {
			setup.Difference = s.later(setup.New, setup.Reference)
		}
	}
}

func (s *comparison) unwrap(at inputerror.Path, what, hint string, cells ...*Cell) {
	var all []geometry.Angle
	for _, c := range cells {
		all = append(all, c.Middles...)
	}
	if len(all) == 0 {
		return
	}
	mean, resultant := geometry.CircularMean(all)
	if resultant < leastResultant {
		s.fault(at, hint, "%s lie all round the circle, expected them within a few degrees of each other", what)
		return
	}
	for _, c := range cells {
		c.Middles = geometry.Unwrap(c.Middles, mean)
	}
}

func (s *comparison) mean(at inputerror.Path, setup *Setup, t Tool) {
	c := setup.cell(t)
	if !c.Used() {
		return
	}
	c.Middle, c.HalfArc = mean(c.Middles), mean(c.HalfArcs)
	if s.Crank != nil {
		var err error
		if c.Correction, err = s.Crank.MidCorrection(c.HalfArc); err != nil {
			s.fault(at, "check stroke, rod and offsets", "%v", err)
			return
		}
	}
	c.Reading = c.Middle - geometry.Angle(s.Counts)*c.Correction
	least, low, high := c.HalfArcs[0], c.Middles[0], c.Middles[0]
	for i, m := range c.Middles {
		least, low, high = min(least, c.HalfArcs[i]), min(low, m), max(high, m)
	}
	if 2*least < geometry.DwellArc {
		s.warn(Warning{Code: StopInDwell, Setup: setup.Name, Tool: t.String(), Values: []float64{2 * least.Degrees()}})
	}
	if high-low > farApart {
		s.warn(Warning{Code: MiddlesFar, Setup: setup.Name, Tool: t.String(), Values: []float64{(high - low).Degrees()}})
	}
}

// later returns how much later one cell puts TDC than another.
func (s *comparison) later(c, than Cell) geometry.Angle {
	return geometry.Angle(s.Counts)*(c.Middle-than.Middle) - (c.Correction - than.Correction)
}

func mean(angles []geometry.Angle) geometry.Angle {
	m, _ := stats.MeanStdDev(degrees(angles))
	return geometry.Angle(m)
}

func degrees(angles []geometry.Angle) []float64 {
	out := make([]float64, len(angles))
	for i, a := range angles {
		out[i] = a.Degrees()
	}
	return out
}

// scatter pools each tool's middles within setups and compares the two.
func (s *comparison) scatter() {
	for t := range s.Scatter {
		var squares, dof float64
		for i := range s.Setups {
			if c := s.Setups[i].cell(Tool(t)); len(c.Middles) > 1 {
				_, sd := stats.MeanStdDev(degrees(c.Middles))
				n := float64(len(c.Middles) - 1)
				squares, dof = squares+n*sd*sd, dof+n
			}
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
	if ref.SD < tie {
		if other.SD < tie {
			return
		}
		ref.SD, s.Ratio.Floored = rounding, true
		s.warn(Warning{Code: ReferenceNoNoise, Values: []float64{rounding.Degrees()}})
	}
	r := math.Pow(other.SD.Degrees()/ref.SD.Degrees(), 2)
	s.Ratio.Value, s.Ratio.Known = r, true
	s.Ratio.Low, s.Ratio.High = stats.VarianceRatioInterval(r, other.DOF, ref.DOF, confidence)
}

// bias takes the difference of the tools with its interval and its tests. The
// step adds no row: every setup rounds differently.
func (s *comparison) bias() {
	groups, further, value := s.differences()
	if groups == nil {
		return
	}
	b := Bias{Value: value}
	se, dof := stats.Welch(groups...)
	b.StandardError, b.DOF = geometry.Angle(se), dof
	b.Open = s.offsetOpen()
	if b.Open > 0 {
		s.warn(Warning{Code: OffsetOpen, Values: []float64{b.Open.Degrees()}})
	}
	if dof > 0 {
		b.Known = true
		half := geometry.Angle(-stats.TQuantile((1-confidence)/2, dof)*se) + b.Open
		b.Low, b.High = value-half, value+half
		room := (s.AllowedBias - b.Open).Degrees()
		b.PLower, b.PUpper = stats.Equivalence(value.Degrees(), se, dof, -room, room)
	}
	s.Bias = &b
	if n, ok := s.settle(further, b); ok {
		s.SetupsToSettle = &n
	}
}

// differences returns the bias and what its scatter is taken from: differences
// of setups, or, of a single setup, its trials. Further is the scatter that a
// further setup is expected to have, nil when nothing is known of it.
func (s *comparison) differences() (groups, further []stats.Group, value geometry.Angle) {
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
			g := []stats.Group{{SD: sd, N: len(d)}}
			return g, g, geometry.Angle(m)
		}
		s.warn(Warning{Code: OneSetup})
		g := trialGroups(cells)
		if se, dof := stats.Welch(g...); dof > 0 {
			further = []stats.Group{{SD: se, N: 1}}
		}
		return g, further, geometry.Angle(m)
	}
	s.BiasSetups = min(len(means[ReferenceTool]), len(means[NewTool]))
	if s.BiasSetups == 0 {
		return nil, nil, 0
	}
	s.warn(Warning{Code: Unpaired})
	var m [2]float64
	known := true
	for t := range means {
		var sd float64
		m[t], sd = stats.MeanStdDev(means[t])
		if sd < tie {
			sd = 0
		}
		g := stats.Group{SD: sd, N: len(means[t])}
		groups = append(groups, g)
		if g.N == 1 {
			_, within := stats.MeanStdDev(degrees(cells[t].Middles))
			g.SD = within / math.Sqrt(float64(len(cells[t].Middles)))
			known = known && len(cells[t].Middles) > 1
		}
		further = append(further, g)
	}
	if !known {
		further = nil
	}
	if len(means[ReferenceTool]) == 1 && len(means[NewTool]) == 1 {
		s.warn(Warning{Code: OneSetup})
		groups = trialGroups(cells)
	}
	return groups, further, geometry.Angle(m[NewTool] - m[ReferenceTool])
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

// capability weighs scatter and bias against the tolerance.
func (s *comparison) capability() {
	sd := s.Scatter[NewTool]
	if sd.DOF == 0 || sd.SD < tie {
		return
	}
	var bias geometry.Angle
	if s.Bias != nil {
		bias = s.Bias.Value
	}
	cg, cgk := stats.Capability(sd.SD.Degrees(), bias.Degrees(), 2*s.Tolerance.Degrees())
	s.Cg = &cg
	if s.Bias != nil {
		s.Cgk = &cgk
	}
}

// depths compares how deep the two stops reach.
func (s *comparison) depths() {
	for t := range s.HalfArcs {
		var arcs []geometry.Angle
		for i := range s.Setups {
			if c := s.Setups[i].cell(Tool(t)); c.Used() {
				arcs = append(arcs, c.HalfArc)
			}
		}
		if len(arcs) > 0 {
			s.HalfArcs[t] = mean(arcs)
		}
	}
	ref, other := s.HalfArcs[ReferenceTool], s.HalfArcs[NewTool]
	if s.Crank != nil {
		if other > 0 {
			fall := s.Crank.DropPerDegree(other)
			s.PerDegree = &fall
		}
	} else if ref > 0 && other > 0 && (ref-other).Abs() > alikeHalfArcs+tie {
		s.warn(Warning{Code: HalfArcsDiffer, Values: []float64{ref.Degrees(), other.Degrees()}})
	}
}
