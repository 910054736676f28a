package qualify

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"testing"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// pair is what one stop shows in a study made by hand: where the middle of its two
// contacts lies, and half of what it blocks.
type pair struct {
	tool         Tool
	setup        string
	middle, half float64
}

// made is a study of a readout that counts up. Trials have the numbers of their order,
// and rows of a file, two to a trial from 2 on.
func made(pairs ...pair) (s Study) {
	for i, p := range pairs {
		contact := func(value float64, approach sheet.Approach) *sheet.Reading {
			return &sheet.Reading{Value: geometry.Angle(value), Approach: approach}
		}
		s.Trials = append(s.Trials, Trial{
			Tool: p.tool, Setup: p.setup, Name: strconv.Itoa(i + 1),
			Trial: sheet.Trial{Forward: contact(p.middle-p.half, sheet.Forward), Backward: contact(p.middle+p.half, sheet.Backward)},
			Lines: map[sheet.Approach]int{sheet.Forward: 2*i + 2, sheet.Backward: 2*i + 3},
		})
	}
	return s
}

// steps are middles in units of a hundredth of a degree about zero, by tool and setup.
func steps(half [2]float64, setups ...[2][]float64) (pairs []pair) {
	for i, tools := range setups {
		for tool, middles := range tools {
			for _, m := range middles {
				pairs = append(pairs, pair{Tool(tool), strconv.Itoa(i + 1), 100 + m/100, half[tool]})
			}
		}
	}
	return pairs
}

func ran(t *testing.T, s Study, o Options) Result {
	t.Helper()
	r, err := Run(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var fine = Options{AllowedBias: 0.1, Step: 0.001}

// warned returns the warnings of one kind.
func warned(r Result, code Code) (out []Warning) {
	for _, w := range r.Warnings {
		if w.Code == code {
			out = append(out, w)
		}
	}
	return out
}

// From labelled contacts: no stop blocks more than half a turn. The smaller side is
// accused, of two equal ones the one that counts down.
func TestSenseOfCounting(t *testing.T) {
	up, down, half, none := [2]float64{340, 20}, [2]float64{20, 340}, [2]float64{0, 180}, [2]float64{7, 7}
	const swapped = "one of two is so: the contacts are swapped, for forward is the one reached the way the engine runs, or the readout counts the other way. " + sheet.FindTheSide + " and see whether the number grows"
	for name, c := range map[string]struct {
		contacts [][2]float64
		stated   geometry.Sense
		counts   geometry.Sense // found
		faults   []string
		hint     string
	}{
		"up":             {contacts: [][2]float64{up, up}, counts: geometry.CountsUp},
		"down":           {contacts: [][2]float64{down}, counts: geometry.CountsDown},
		"half a turn":    {contacts: [][2]float64{up, half}, counts: geometry.CountsUp},
		"stated":         {contacts: [][2]float64{down}, stated: geometry.CountsDown},
		"over half":      {contacts: [][2]float64{{0, 180.5}}, counts: geometry.CountsDown},
		"under half":     {contacts: [][2]float64{{0, 179.5}}, counts: geometry.CountsUp},
		"half, stated":   {contacts: [][2]float64{half}, stated: geometry.CountsDown},
		"up, but down":   {contacts: [][2]float64{down, up, down}, stated: geometry.CountsUp, faults: []string{"found forward 20° and backward 340°, which block 320° with --counts up, expected at most 180°", "found forward 20° and backward 340°, which block 320° with --counts up, expected at most 180°"}, hint: swapped},
		"down, but up":   {contacts: [][2]float64{down, up}, stated: geometry.CountsDown, faults: []string{"found forward 340° and backward 20°, which block 320° with --counts down, expected at most 180°"}, hint: swapped},
		"one each":       {contacts: [][2]float64{down, up}, faults: []string{"found forward 20° and backward 340°, which block 320° if the readout counts up, as 1 of the other trials say, expected at most 180°"}, hint: swapped},
		"most up":        {contacts: [][2]float64{up, down, up}, faults: []string{"found forward 20° and backward 340°, which block 320° if the readout counts up, as 2 of the other trials say, expected at most 180°"}, hint: swapped},
		"most down":      {contacts: [][2]float64{down, down, up}, faults: []string{"found forward 340° and backward 20°, which block 320° if the readout counts down, as 2 of the other trials say, expected at most 180°"}, hint: swapped},
		"blocks nothing": {contacts: [][2]float64{none}, faults: []string{"found both contacts of trial 1 at 7°, expected them apart"}, hint: "a stop that blocks nothing was not met"},
		"half alone":     {contacts: [][2]float64{half}, faults: []string{"found no pair of contacts from which it could be told how the readout counts"}, hint: "say --counts up or --counts down, or complete the pairs"},
		"no pair":        {faults: []string{"found no pair of contacts from which it could be told how the readout counts"}, hint: "say --counts up or --counts down, or complete the pairs"},
	} {
		t.Run(name, func(t *testing.T) {
			s := made(make([]pair, len(c.contacts))...)
			for i, x := range c.contacts {
				s.Trials[i].Forward.Value, s.Trials[i].Backward.Value = geometry.Angle(x[0]), geometry.Angle(x[1])
			}
			o := fine
			o.Counts = c.stated
			r, err := Run(s, o)
			var faults inputerror.List
			if !errors.As(err, &faults) {
				want := c.counts
				if c.stated != 0 {
					want = c.stated
				}
				if err != nil || c.faults != nil || r.Counts != want || r.CountsFound != (c.stated == 0) {
					t.Errorf("got %v, found %v, %v", r.Counts, r.CountsFound, err)
				}
				return
			}
			var texts []string
			for i, f := range faults {
				texts = append(texts, f.Text)
				if want := c.hint; i == 0 && f.Hint != want || i > 0 && f.Hint != "" {
					t.Errorf("hint %d: %q", i, f.Hint)
				}
			}
			if !slices.Equal(texts, c.faults) {
				t.Errorf("got %q", texts)
			}
		})
	}
}

// Every doubt of a reading begins where its limit says, and not before.
func TestWhereDoubtsBegin(t *testing.T) {
	both := func(setup string, middles ...pair) []pair {
		return append(middles, pair{NewTool, setup, 100, 20})
	}
	for name, c := range map[string]struct {
		pairs  []pair
		code   Code
		values []float64 // nil: no such doubt
	}{
		"middles 5° apart":     {both("1", pair{ReferenceTool, "1", 100, 20}, pair{ReferenceTool, "1", 105, 20}), MiddlesFar, nil},
		"a little more":        {both("1", pair{ReferenceTool, "1", 105.25, 20}, pair{ReferenceTool, "1", 100, 20}), MiddlesFar, []float64{5.25}},
		"blocks 8°":            {both("1", pair{ReferenceTool, "1", 100, 20}, pair{ReferenceTool, "1", 100, 4}), StopInDwell, nil},
		"blocks less":          {both("1", pair{ReferenceTool, "1", 100, 20}, pair{ReferenceTool, "1", 100, 3.75}), StopInDwell, []float64{7.5}},
		"depths 3° apart":      {both("1", pair{ReferenceTool, "1", 100, 23}), HalfArcsDiffer, nil},
		"deeper":               {both("1", pair{ReferenceTool, "1", 100, 16.5}), HalfArcsDiffer, []float64{16.5, 20}},
		"less deep":            {both("1", pair{ReferenceTool, "1", 100, 23.5}), HalfArcsDiffer, []float64{23.5, 20}},
		"both in one setup":    {both("1", pair{ReferenceTool, "1", 100, 20}), LeftOut, nil},
		"another setup of one": {both("1", pair{ReferenceTool, "1", 100, 20}, pair{ReferenceTool, "2", 100, 20}), LeftOut, []float64{}},
	} {
		t.Run(name, func(t *testing.T) {
			found := warned(ran(t, made(c.pairs...), fine), c.code)
			switch {
			case c.values == nil:
				if len(found) > 0 {
					t.Errorf("got %+v", found)
				}
			case len(found) != 1 || !slices.Equal(found[0].Values, c.values) && len(c.values) > 0:
				t.Errorf("got %+v, want %v", found, c.values)
			case len(c.values) > 0 && c.code != HalfArcsDiffer && (found[0].Setup != "1" || found[0].Tool != "reference"):
				t.Errorf("told of setup %q, %q", found[0].Setup, found[0].Tool)
			}
		})
	}
	// Two middles have the resultant cos of half their distance: 0.5 at 120°.
	for apart, fault := range map[float64]string{119.9: "", 120.1: "the middles of setup 1 lie all round the circle, expected them within a few degrees of each other"} {
		_, err := Run(made(pair{ReferenceTool, "1", 0, 20}, pair{NewTool, "1", apart, 20}), fine)
		var faults inputerror.List
		if errors.As(err, &faults) != (fault != "") || fault != "" && (faults[0].Text != fault || faults[0].Hint != "after pressing zero a new setup begins") {
			t.Errorf("%g° apart: %v", apart, err)
		}
	}
}

// A pair that is struck, or lacks a contact, is told of, and keeps its place: the half
// arc grows by 0.01 a trial, over the gap too. The middles scatter by nothing.
func TestPairsThatDoNotCount(t *testing.T) {
	s := made(
		pair{ReferenceTool, "1", 100, 20}, pair{ReferenceTool, "1", 100, 20},
		pair{NewTool, "1", 100, 20}, pair{NewTool, "1", 100, 25}, pair{NewTool, "1", 100, 20.02}, pair{NewTool, "1", 100, 20.03},
		pair{NewTool, "2", 0, 30},
	)
	s.Trials[3].Forward.Struck, s.Trials[6].Backward = true, nil
	r := ran(t, s, fine)
	if math.Abs(r.Creep.Slope.Degrees()-0.01) > 1e-9 || r.CreepFitting.Trials != 4 || math.Abs(r.CreepFitting.Change.Degrees()-0.03) > 1e-9 {
		t.Errorf("creep %+v, over a fitting %+v", r.Creep, r.CreepFitting)
	}
	if r.Creep.P != 0 || r.Creep.Half != 0 {
		t.Errorf("a straight line is certain: %+v", r.Creep)
	}
	if r.Trials != [2]int{2, 3} || len(r.Setups) != 2 || r.Setups[1].Paired || !slices.Equal(r.Setups[0].New.Order, []float64{2, 4, 5}) {
		t.Errorf("%v trials, setups %+v", r.Trials, r.Setups)
	}
	struck, alone := warned(r, Struck), warned(r, NoPartner)
	if len(struck) != 1 || struck[0].Trial != "4" || struck[0].Tool != "new" || len(alone) != 1 || alone[0].Trial != "7" || alone[0].Setup != "2" {
		t.Errorf("told of %+v and %+v", struck, alone)
	}
}

// Nothing is said of a stop that was compared with none.
func TestOneToolAlone(t *testing.T) {
	for _, tool := range []Tool{ReferenceTool, NewTool} {
		r := ran(t, made(pair{tool, "1", 100, 20}, pair{tool, "1", 100.02, 20}, pair{tool, "2", 100, 20}), Options{AllowedBias: 0.1, Step: 0.001, Tolerance: 1})
		if r.Bias != nil || r.Verdict != NotProven || !slices.Equal(r.Reasons, []Reason{OneToolOnly}) || r.Cgk != nil || (r.Cg != nil) != (tool == NewTool) {
			t.Errorf("%v: %+v, %v, %v", tool, r.Bias, r.Verdict, r.Reasons)
		}
		if len(warned(r, LabelsUnchecked)) > 0 {
			t.Errorf("%v: labels of one stop cannot be exchanged", tool)
		}
	}
}

// Type-1 study (ISO 22514-7): Cg = 0.2 T/(6 s), Cgk = (0.1 T - |bias|)/(3 s), T both
// ways together. s 0.02, bias 0.03, T 2: 3.333333 and 2.833333.
func TestCapabilityByHand(t *testing.T) {
	o := fine
	o.Tolerance = 1
	r := ran(t, made(steps([2]float64{20, 20}, [2][]float64{{-2, 0, 2}, {1, 3, 5}})...), o)
	if r.Cg == nil || r.Cgk == nil || math.Abs(*r.Cg-10.0/3) > 1e-6 || math.Abs(*r.Cgk-8.5/3) > 1e-6 {
		t.Errorf("got %v, %v", r.Cg, r.Cgk)
	}
	o.Tolerance = 0
	if r := ran(t, made(steps([2]float64{20, 20}, [2][]float64{{-2, 0, 2}, {1, 3, 5}})...), o); r.Cg != nil || r.Cgk != nil {
		t.Errorf("without a tolerance: %v, %v", r.Cg, r.Cgk)
	}
}

// The mean of differences within setups and Student's t, by hand: differences 0.01,
// 0.03 and 0.05 have a mean of 0.03 and s 0.02, so 0.011547 for the mean; t of 2 at
// 2.5 % is 4.302653, at 5 % 2.919986 (printed tables).
func TestPairedByHand(t *testing.T) {
	half := [2]float64{20, 22}
	r := ran(t, made(steps(half, [2][]float64{{-4, 4}, {-3, 5}}, [2][]float64{{-4, 4}, {-1, 7}}, [2][]float64{{-4, 4}, {1, 9}})...), fine)
	b := r.Bias
	for name, c := range map[string][2]float64{
		"bias":     {b.Value.Degrees(), 0.03},
		"its se":   {b.StandardError.Degrees(), 0.01154700538},
		"dof":      {b.DOF, 2},
		"low":      {b.Low.Degrees(), 0.03 - 4.302652730*0.01154700538},
		"high":     {b.High.Degrees(), 0.03 + 4.302652730*0.01154700538},
		"low 90":   {b.Low90.Degrees(), 0.03 - 2.919985580*0.01154700538},
		"high 90":  {b.High90.Degrees(), 0.03 + 2.919985580*0.01154700538},
		"fitting":  {b.Fitting.Degrees(), 4.302652730 * 0.02 * math.Sqrt(1+1.0/3)},
		"setup 1":  {r.Setups[0].Difference.Degrees(), 0.01},
		"setup 3":  {r.Setups[2].Difference.Degrees(), 0.05},
		"scatter":  {r.Scatter[NewTool].SD.Degrees(), math.Sqrt(0.0032)},
		"its dof":  {r.Scatter[NewTool].DOF, 3},
		"half arc": {r.HalfArcs[NewTool].Degrees(), 22},
		"hidden":   {r.Hidden.Degrees(), 0},
	} {
		if math.Abs(c[0]-c[1]) > 1e-8 {
			t.Errorf("%s: got %.10f, want %.10f", name, c[0], c[1])
		}
	}
	if !r.Paired || r.BiasSetups != 3 || len(warned(r, Unpaired))+len(warned(r, OneSetup))+len(warned(r, LeftOut)) > 0 {
		t.Errorf("paired %v, %d setups, %+v", r.Paired, r.BiasSetups, r.Warnings)
	}
}

// Means of setups of one tool each, by hand (Welch): 0, 0.02, 0.04 of the trusted stop
// have s 0.02, 0.05 and 0.07 of the new one s 0.0141421; the difference 0.04 has the
// variance 0.0004/3 + 0.0002/2 = 0.000233333 and, by Welch and Satterthwaite,
// (0.000233333)²/((0.000133333)²/2 + 0.0001²/1) = 2.882353 degrees of freedom.
func TestUnpairedByHand(t *testing.T) {
	half := [2]float64{20, 22}
	all := made(steps(half, [2][]float64{{-3, 3}, nil}, [2][]float64{{-1, 5}, nil}, [2][]float64{{1, 7}, nil}, [2][]float64{nil, {2, 8}}, [2][]float64{nil, {4, 10}})...)
	r := ran(t, all, fine)
	b := r.Bias
	if r.Paired || r.BiasSetups != 2 || len(warned(r, Unpaired)) != 1 || len(warned(r, OneSetup)) > 0 || b.Fitting != 0 {
		t.Errorf("paired %v, %d setups, %+v", r.Paired, r.BiasSetups, r.Warnings)
	}
	if math.Abs(b.Value.Degrees()-0.04) > 1e-9 || math.Abs(b.StandardError.Degrees()-0.0152752523) > 1e-9 || math.Abs(b.DOF-2.88235294) > 1e-7 {
		t.Errorf("bias %v ± %v with %v", b.Value, b.StandardError, b.DOF)
	}
	if r.Further() != nil {
		t.Error("what more setups of both stops would bring is not known of these")
	}
	// One setup of each: the trials are all there is. Of ±0.03 and ±0.06 s² is 0.0018
	// and 0.0072, so of the means 0.0009 and 0.0036, with 1 degree of freedom each:
	// 0.0045²/(0.0009² + 0.0036²) = 1.470588.
	r = ran(t, made(steps(half, [2][]float64{{-3, 3}, nil}, [2][]float64{nil, {2, 14}})...), fine)
	b = r.Bias
	if len(warned(r, OneSetup)) != 1 || math.Abs(b.Value.Degrees()-0.08) > 1e-9 || math.Abs(b.StandardError.Degrees()-math.Sqrt(0.0045)) > 1e-9 || math.Abs(b.DOF-1.47058824) > 1e-7 {
		t.Errorf("one of each: %v ± %v with %v, %+v", b.Value, b.StandardError, b.DOF, r.Warnings)
	}
	// Two of one and one of the other: of a single setup nothing is known.
	if b := ran(t, made(steps(half, [2][]float64{{-3, 3}, nil}, [2][]float64{{-1, 5}, nil}, [2][]float64{nil, {2, 8}})...), fine).Bias; b == nil || b.Known || b.DOF != 0 || math.Abs(b.Value.Degrees()-0.04) > 1e-9 {
		t.Errorf("two and one: %+v", b)
	}
	// The same in one setup of both.
	r = ran(t, made(steps(half, [2][]float64{{-3, 3}, {2, 14}})...), fine)
	if b := r.Bias; !r.Paired || len(warned(r, OneSetup)) != 1 || math.Abs(b.StandardError.Degrees()-math.Sqrt(0.0045)) > 1e-9 || math.Abs(b.DOF-1.47058824) > 1e-7 || b.Fitting != 0 {
		t.Errorf("one setup: %+v", b)
	}
}

// Differences that are alike but for their last digits scatter by nothing, paired or
// not.
func TestAlikeIsAlike(t *testing.T) {
	const off = 1e-12
	for name, pairs := range map[string][]pair{
		"paired":     {{ReferenceTool, "1", 100, 20}, {NewTool, "1", 100.1, 20}, {ReferenceTool, "2", 100, 20}, {NewTool, "2", 100.1 + off, 20}},
		"unpaired":   {{ReferenceTool, "1", 100, 20}, {ReferenceTool, "2", 100 + off, 20}, {NewTool, "3", 100.1, 20}, {NewTool, "4", 100.1 + off, 20}},
		"one setup":  {{ReferenceTool, "1", 100, 20}, {ReferenceTool, "1", 100 + off, 20}, {NewTool, "1", 100.1, 20}, {NewTool, "1", 100.1 + off, 20}},
		"one a tool": {{ReferenceTool, "1", 100, 20}, {ReferenceTool, "1", 100 + off, 20}, {NewTool, "2", 100.1, 20}, {NewTool, "2", 100.1 + off, 20}},
	} {
		b := ran(t, made(pairs...), Options{AllowedBias: 1, Step: 0.001}).Bias
		if b == nil || b.StandardError != 0 || b.PUpper != 0 || b.PLower != 0 || math.Abs(b.Value.Degrees()-0.1) > 1e-9 {
			t.Errorf("%s: %+v", name, b)
		}
	}
}

// What the offset leaves open, by the definition: the difference of the stops' corrections
// at the end of the limit less that at the offset itself, over the setups that count.
func TestOffsetLeavesOpen(t *testing.T) {
	crank := geometry.Crank{Stroke: 90, Rod: 144, Offset: 3}
	pairs := []pair{
		{ReferenceTool, "1", 100, 20}, {NewTool, "1", 100, 40}, {ReferenceTool, "2", 100, 22}, {NewTool, "2", 100, 45}, {ReferenceTool, "3", 100, 70},
	}
	difference := func(offset geometry.Length) (sum geometry.Angle) {
		c := crank
		c.Offset = offset
		for i, half := range []geometry.Angle{40, 45, 20, 22} {
			beta, err := c.MidCorrection(half)
			if err != nil {
				t.Fatal(err)
			}
			if i > 1 {
				beta = -beta
			}
			sum += beta / 2
		}
		return sum
	}
	now := difference(3)
	for limit, want := range map[geometry.Length]geometry.Angle{
		0:  0,
		1:  max((difference(4) - now).Abs(), (difference(2) - now).Abs()),
		43: (difference(-40) - now).Abs(), // 46 is no offset of this crank
	} {
		r := ran(t, made(pairs...), Options{AllowedBias: 5, Step: 0.001, Crank: &crank, OffsetLimit: limit})
		if (r.Bias.Open-want).Abs() > 1e-9 || (len(warned(r, OffsetOpen)) > 0) != (limit > 0) {
			t.Errorf("limit %v: open %v, want %v", limit, r.Bias.Open, want)
		}
		// A higher piston by h at one contact moves the middle by h over twice the fall a
		// degree: what is not the same at both moves TDC by half of it.
		fall := (crank.DropOfHalfArc(r.HalfArcs[1]+1e-4) - crank.DropOfHalfArc(r.HalfArcs[1]-1e-4)) / 2e-4
		for _, bias := range []geometry.Angle{0.1, -0.1} {
			if got := r.ContactHeight(bias); math.Abs(float64(got-0.2*fall)) > 1e-6 {
				t.Errorf("a bias of %v: contacts differ by %v, want %v", bias, got, 0.2*fall)
			}
		}
	}
	if r := ran(t, made(pairs...), Options{AllowedBias: 5, Step: 0.001, OffsetLimit: 1}); r.Bias.Open != 0 || r.PerDegree != nil {
		t.Errorf("without the crank: %+v", r.Bias)
	}
	if _, err := Run(made(pairs...), Options{AllowedBias: 1, Step: 0.001, Crank: &geometry.Crank{Stroke: 90, Rod: 20}}); err == nil {
		t.Error("a crank that cannot turn is taken")
	}
}

// Who calls asks for what is allowed; without it nothing can be said.
func TestOptionsThatNobodyAsked(t *testing.T) {
	panics := func(f func()) (did bool) {
		defer func() { did = recover() != nil }()
		f()
		return false
	}
	s := made(pair{ReferenceTool, "1", 100, 20}, pair{NewTool, "1", 100, 20})
	for name, c := range map[string]struct {
		o      Options
		panics bool
	}{
		"good":            {Options{AllowedBias: 0.1, Step: 0.1}, false},
		"no bias":         {Options{Step: 0.1}, true},
		"no step":         {Options{AllowedBias: 0.1}, true},
		"tolerance below": {Options{AllowedBias: 0.1, Step: 0.1, Tolerance: -1}, true},
		"ratio below":     {Options{AllowedBias: 0.1, Step: 0.1, AllowedRatio: -1}, true},
	} {
		if panics(func() { _, _ = Run(s, c.o) }) != c.panics {
			t.Errorf("study, %s: want a panic %v", name, c.panics)
		}
	}
	good := Guess{Options: Options{AllowedBias: 0.1, Step: 0.01}, Scatter: 0.01}
	for name, c := range map[string]struct {
		edit   func(g *Guess)
		panics bool
	}{
		"good":          {func(*Guess) {}, false},
		"no bias":       {func(g *Guess) { g.AllowedBias = 0 }, true},
		"no step":       {func(g *Guess) { g.Step = 0 }, true},
		"no scatter":    {func(g *Guess) { g.Scatter = 0 }, true},
		"fitting below": {func(g *Guess) { g.Fitting = -0.1 }, true},
	} {
		g := good
		c.edit(&g)
		if panics(func() { Plan(g) }) != c.panics {
			t.Errorf("plan, %s: want a panic %v", name, c.panics)
		}
	}
}

// What more setups bring is told only of a study of both stops in two setups or more,
// with scatter of both, that is open and has nothing to look up.
func TestFurtherOnlyWhereItCanBeTold(t *testing.T) {
	r := ran(t, made(steps([2]float64{20, 22}, [2][]float64{{-4, 4}, {-3, 5}}, [2][]float64{{-4, 4}, {4, 12}})...), fine)
	for name, c := range map[string]struct {
		edit func(r *Result)
		told bool
	}{
		"open":                        {func(*Result) {}, true},
		"a verdict":                   {func(r *Result) { r.Verdict = Rejected }, false},
		"a slip":                      {func(r *Result) { r.Slips = []Slip{{}} }, false},
		"a slip that was looked up":   {func(r *Result) { r.Slips, r.AsRead = []Slip{{}}, true }, true},
		"nothing looked up":           {func(r *Result) { r.AsRead = true }, true},
		"no bias":                     {func(r *Result) { r.Bias = nil }, false},
		"one setup":                   {func(r *Result) { r.BiasSetups = 1 }, false},
		"unpaired":                    {func(r *Result) { r.Paired = false }, false},
		"no scatter of the trusted":   {func(r *Result) { r.Scatter[ReferenceTool].DOF = 0 }, false},
		"no scatter of the new":       {func(r *Result) { r.Scatter[NewTool].DOF = 0 }, false},
		"one degree of the trusted's": {func(r *Result) { r.Scatter[ReferenceTool].DOF = 1 }, true},
		"one degree of the new's":     {func(r *Result) { r.Scatter[NewTool].DOF = 1 }, true},
	} {
		r := r
		c.edit(&r)
		if got := r.Further(); (len(got) == 3) != c.told || (got == nil) == c.told {
			t.Errorf("%s: got %v", name, got)
		}
	}
}

// The doubt about the trusted stop adds to that of a study to come as root of squares
// (JCGM 100, 5.1.2), less the limits of its chain, which add as they are: the border of
// what is qualified lies where the half width at 5 % says. t of 4 at 5 %: 2.131847,
// at 2.5 %: 2.776445 (printed tables).
func TestBorderOfAPrediction(t *testing.T) {
	trusted := &Stated{Expanded: 0.05, Chain: []Link{{Limit: 0.01}}}
	for name, c := range map[string]struct {
		trusted *Stated
		se      float64
	}{"alone": {nil, 0.01}, "with the trusted stop's doubt": {trusted, math.Hypot(0.01, 0.02)}} {
		o := held
		o.Trusted = c.trusted
		p := newPrediction(o, 5, 20, 20, nil)
		of := func(bias float64) Verdict {
			return p.verdict(bias, 5*0.01*0.01, [2]float64{0.0009, 0.0009}, 0.005, 0.002, Fitting{Trials: 1})
		}
		room := 0.1 - 0.005 - 0.002
		for _, side := range []float64{-1, 1} {
			within, beyond := room-2.131847*c.se, 0.1+0.005+0.002+2.776445*c.se
			for border, verdicts := range map[float64][2]Verdict{within: {Qualified, NotProven}, beyond: {NotProven, Rejected}} {
				if in, out := of(side*(border-1e-6)), of(side*(border+1e-6)); in != verdicts[0] || out != verdicts[1] {
					t.Errorf("%s: at %g %v and %v, want %v", name, side*border, in, out, verdicts)
				}
			}
		}
	}
}
