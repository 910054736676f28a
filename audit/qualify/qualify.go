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
	usualRatio            = 4 // of variances: twice the trusted stop's scatter; common practice, no source

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
	trials []Trial
	place  map[string]int    // into Setups, by name
	open   map[string]int    // trials of a setup so far
	own    map[ownKey]int    // trials of one tool in a setup so far
	first  []inputerror.Path // where each setup begins
}

type ownKey struct {
	setup string
	tool  Tool
}

// Run compares. The error, if any, is of type [inputerror.List]. It panics on
// options whose allowed bias or step is not positive:
// who calls asks for them.
func Run(read Study, o Options) (Result, error) {
	if !(o.AllowedBias > 0 && o.Tolerance >= 0 && o.Step > 0 && o.AllowedRatio >= 0) {
		panic("qualify: allowed bias and step are above zero, tolerance and ratio not below")
	}
	if o.AllowedRatio == 0 {
		o.AllowedRatio = usualRatio
	}
	s := &comparison{Result: Result{Options: o}, trials: read.Trials, place: map[string]int{}, open: map[string]int{}, own: map[ownKey]int{}}
	if o.Crank != nil {
		if err := o.Crank.Check(); err != nil {
			return Result{}, inputerror.List{{Text: err.Error(), Hint: "check stroke, rod and offsets"}}
		}
	}
	if s.sense(read.Trials); len(s.faults) > 0 {
		return Result{}, s.faults
	}
	for i, t := range read.Trials {
		s.trial(i, t)
	}
	if s.gather(); len(s.faults) > 0 {
		return Result{}, s.faults
	}
	s.slips()
	poolScatter(s)
	findHidden(s)
	s.bias()
	s.trends()
	weighCapability(s)
	compareDepths(s)
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
func (s *comparison) trial(at int, t Trial) {
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
	key := ownKey{t.Setup, which}
	own := float64(s.own[key])
	s.own[key]++ // a pair that is struck keeps its place
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
	c.own, c.at = append(c.own, own), append(c.at, at)
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
			s.meanOf(setup, t)
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

func (s *comparison) meanOf(setup *Setup, t Tool) {
	c := setup.cell(t)
	if !c.Used() {
		return
	}
	c.Middle, c.HalfArc = mean(c.Middles), mean(c.HalfArcs)
	if s.Crank != nil {
		c.Correction, _ = s.Crank.MidCorrection(c.HalfArc) // the crank was checked, and contacts lie apart
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
