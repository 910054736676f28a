package diagnosis

import (
	"math"
	"slices"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// truth is a part with four lines that are nearly right.
var (
	truth  = []float64{.05, -.05, .1, 0}
	belong = []float64{-10, 0, 120, 240}
)

// measured is evidence of the truth with a mistake in the offsets of each setup.
func measured(mistakes ...func(j int) float64) Evidence {
	var setups [][]float64
	for _, m := range mistakes {
		s := make([]float64, len(truth))
		for j, d := range truth {
			s[j] = wrap(d + m(j))
		}
		setups = append(setups, s)
	}
	e := bench(setups...)
	e.at(belong...)
	return e
}

func none(int) float64 { return 0 }

func only(line int, x float64) func(int) float64 {
	return func(j int) float64 {
		if j == line {
			return x
		}
		return 0
	}
}

func all(x float64) func(int) float64 { return func(int) float64 { return x } }

// Each mistake, made on evidence of sound lines, is the best explanation, puts the
// lines back where they are, and is asked after by what shows it.
func TestMistakesAreFoundAgain(t *testing.T) {
	closed := func(e Evidence) Evidence { e.closing(0, .08, 8); return e }
	after := func(e Evidence, x float64) Evidence { e.closing(x, .08, 8); return e }
	for _, c := range []struct {
		name      string
		evidence  Evidence
		code      Code
		lines     []int
		mountings []int
		shift     float64
		ask       ObservationKind
		about     []int // lines that are asked for
	}{
		{"the readout moved before all", after(measured(all(3)), 3), ReadoutMoved, nil, []int{0}, 3, SecondSetup, nil},
		{"the readout moved back before all", after(measured(all(-3)), -3), ReadoutMoved, nil, []int{0}, -3, SecondSetup, nil},
		{"the readout moved before some", after(measured(func(j int) float64 { return []float64{0, 0, 3, 3}[j] }), 3), ReadoutMoved, []int{2, 3}, []int{0}, 3, ReadAgain, []int{2, 0}},
		{"the readout moved after all", after(measured(none), 2.5), ReadoutMovedAfter, nil, []int{0}, 2.5, SecondSetup, nil},
		{"the readout moved in one setup", measured(none, all(3)), ReadoutMoved, nil, []int{1}, 3, ClosingPair, nil},
		{"the readout moved before one line of one setup", measured(only(2, 4), none), ReadoutMoved, []int{2}, []int{0}, 4, ReadAgain, []int{2, 0}},
		{"the stop sat in another cylinder", closed(measured(all(120))), StopCylinder, nil, nil, 120, Look, nil},
		{"the stop sat in another cylinder in one setup", measured(none, all(-90), none), StopCylinder, nil, []int{1}, -90, Look, nil},
		{"letters of one line", closed(measured(only(0, 20))), Letters, []int{0}, nil, 0, Look, []int{0}},
		{"letters of all lines", closed(measured(func(j int) float64 { return -2 * belong[j] })), Letters, nil, nil, 0, Look, nil},
		{"names of two lines", closed(measured(func(j int) float64 { return []float64{10, -10, 0, 0}[j] })), Names, []int{0, 1}, nil, 0, Look, []int{0, 1}},
		{"a line misread by ten", closed(measured(only(2, 10))), Decade, []int{2}, nil, 10, ReadAgain, []int{2}},
		{"a line misread by ten the other way", closed(measured(only(3, -10))), Decade, []int{3}, nil, -10, ReadAgain, []int{3}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := Explain(c.evidence, nil)
			best := d.Standing[0]
			if best.Code != c.code || !slices.Equal(best.Lines, c.lines) || !slices.Equal(best.Mountings, c.mountings) || math.Abs(best.Shift.Degrees()-c.shift) > 0.11 {
				t.Fatalf("best is %+v", best)
			}
			if !c.evidence.near(best.Offset, 0.11) {
				t.Errorf("puts the lines at %v, not %v", best.Offset, truth)
			}
			for _, k := range d.Decisions {
				if k.Scribe {
					t.Errorf("orders %+v", k)
				}
			}
			if len(d.Ask) == 0 || d.Ask[0].Kind != c.ask || !slices.Equal(d.Ask[0].Lines, c.about) {
				t.Errorf("asks for %+v", d.Ask)
			}
		})
	}
}

// near reports whether offsets are those of the truth.
func (e *Evidence) near(late Row, slack float64) bool {
	for j, d := range late {
		if !(math.Abs(wrap(d.Degrees()-truth[j])) <= slack) {
			return false
		}
	}
	return true
}

func TestCountsMirrored(t *testing.T) {
	e := measured(none)
	e.closing(0, .08, 8)
	e.QuarterTurn = false
	e.at(-10, 20, 120, 250) // alike when mirrored, -10 and 0, 120 and 240 would pass for swapped names
	for j := range e.Lines {
		twice := 2 * e.Lines[j].At
		e.Offset[0][j] = (-e.Offset[0][j] - twice).Wrap()
	}
	// All letters exchanged would look the same.
	if d := Explain(e, nil); d.Standing[0].Code != Letters || d.Standing[1].Code != Counts {
		t.Errorf("got %+v", d.Standing)
	}
	e.Checked.Letters = true
	d := Explain(e, nil)
	if best := d.Standing[0]; best.Code != Counts || !e.near(best.Offset, 1e-9) || d.Ask[0].Kind != QuarterTurn {
		t.Errorf("got %+v, asks %+v", best, d.Ask)
	}
	e.QuarterTurn = true
	if got := surprise(e, Counts); !math.IsInf(got, 1) {
		t.Errorf("after a quarter turn: %g", got)
	}
	// A bank on the other side would show it.
	e.QuarterTurn = false
	e.Pairs = append(e.Pairs, Pair{Kind: OtherBank, SD: .1, DOF: 8, Declared: 90, Cylinder: "6"})
	if with, without := surprise(e, Counts), d.Standing[0].Surprise; math.Abs(with-without-seen(1800, 8)) > 1e-6 {
		t.Errorf("with a bank %g, without %g", with, without)
	}
	// Lines at 0 and 180 do not tell.
	e = bench([]float64{1, 1})
	e.QuarterTurn = false
	e.at(0, 180)
	if got := surprise(e, Counts); !math.IsInf(got, 1) {
		t.Errorf("of lines at 0 and 180: %g", got)
	}
	// Counted from another cylinder's TDC, by the sheet, 90 and 270 mirror too.
	e.Later = Table{{90, 0}}
	if got := surprise(e, Counts); math.IsInf(got, 1) {
		t.Error("of a bank not found: none")
	}
}

func TestTwoSetsOfContacts(t *testing.T) {
	// Both before the lines, the second 2 later: the joint TDC is 1 too early for
	// lines that were read in the state of the second.
	e := measured(all(1))
	e.Pairs = []Pair{{Kind: OtherMethod, Value: 2, SD: .1, DOF: 8}}
	best := Explain(e, nil).Standing[0]
	if best.Code != MovedBetween || best.Shift != 2 || !e.near(best.Offset, 1e-9) {
		t.Errorf("got %+v", best)
	}
	close(t, "half of it", best.Surprise, 4+surpriseOf(truth), 1e-9)
	e = measured(all(-1))
	e.Pairs = []Pair{{Kind: OtherDepth, Value: 2, SD: .1, DOF: 8}}
	if best := Explain(e, nil).Standing[0]; best.Code != MovedBetween || !e.near(best.Offset, 1e-9) {
		t.Errorf("the lines before the second: %+v", best)
	}
	// Of banks only the lines of one of them.
	for _, side := range []struct {
		lines func(j int) float64
		x     float64
	}{{func(j int) float64 { return []float64{0, 0, 2, 2}[j] }, 2}, {func(j int) float64 { return []float64{-2, -2, 0, 0}[j] }, -2}} {
		e = measured(side.lines)
		for j := range e.Lines {
			e.Lines[j].Cylinder = []string{"1", "1", "6", "6"}[j]
		}
		e.Cylinders = []Cylinder{{"1", 0}, {"6", 90}}
		e.Pairs = []Pair{{Kind: OtherBank, Value: 2, SD: .1, DOF: 8, Cylinder: "6", Declared: 90}}
		d := Explain(e, nil)
		if best := d.Standing[0]; best.Code != MovedBetween || !e.near(best.Offset, 1e-9) || !d.Refuted {
			t.Errorf("one bank's lines: %+v", best)
		}
		if got := surprise(e, BankAngleDiffers); math.Abs(got-8-surpriseOf([]float64{truth[0] + side.lines(0), truth[1] + side.lines(1), truth[2] + side.lines(2), truth[3] + side.lines(3)})) > 1e-9 {
			t.Errorf("bank angle differs: %g", got)
		}
	}
	// Second contacts after the lines are moved with them, as a closing pair is.
	e = measured(all(3))
	e.Pairs = []Pair{{Kind: OtherBank, Value: 3, SD: .1, DOF: 8, AfterLines: true, Cylinder: "6"}}
	close(t, "second bank after the lines", surpriseBy(e, ReadoutMoved, 3), moved(4, 1, 3)+surpriseOf(truth), 1e-9)
	if best := Explain(e, nil).Standing[0]; !e.near(best.Offset, 0.11) {
		t.Errorf("second bank after the lines: %+v", best)
	}
	// Where half of a TDC was found after the lines, a move reaches them by half.
	e = measured(all(1.5))
	e.Pairs = []Pair{{Kind: OtherDepth, Value: 3, SD: .1, DOF: 8, AfterLines: true}}
	e.Before = [][]float64{{.5, .5, .5, .5}}
	close(t, "half of the contacts after the lines", surpriseBy(e, ReadoutMoved, 3), moved(4, 1, 3)+surpriseOf(truth), 1e-9)
}

// surpriseOf is what lines cost that are off by themselves, u = 0.1.
func surpriseOf(late []float64) float64 {
	sum := 0.0
	for _, d := range late {
		sum += own(d, .1)
	}
	return sum
}

func TestReadoutCreeps(t *testing.T) {
	e := measured(all(.4))
	e.Creep = []Creep{{Mounting: 0, Drift: .8, P: 1e-5}}
	d := Explain(e, nil)
	best := d.Standing[0]
	if best.Code != ReadoutCreeps || best.Shift != .8 || !e.near(best.Offset, 1e-9) || !d.Refuted {
		t.Errorf("got %+v", d)
	}
	if len(d.Ask) == 0 || d.Ask[0].Kind != ReadAgain || d.Ask[0].Lines != nil || d.Ask[0].Mounting != 0 {
		t.Errorf("asks for %+v", d.Ask)
	}
	// As measured is not refuted here, but a certain creep of more than a quarter of
	// a tolerance counts as moved.
	for _, c := range []struct {
		drift geometry.Angle
		p     float64
		held  bool
	}{{.26, .005, true}, {-.26, .005, true}, {.24, .005, false}, {.26, .011, false}} {
		e := measured(none)
		e.closing(0, .08, 8)
		e.Creep = []Creep{{Mounting: 0, Drift: c.drift, P: c.p}}
		d := Explain(e, nil)
		if d.Refuted || (d.Decisions[0].Verdict == Within) == c.held || (len(d.Ask) > 0) != c.held {
			t.Errorf("%v at %g: %+v", c.drift, c.p, d)
		}
	}
	if e.Creep[0].P = math.Exp(-2); !math.IsInf(surprise(e, ReadoutCreeps), 1) {
		t.Error("a creep that chance explains was proposed")
	}
}

func TestReadingSlipped(t *testing.T) {
	e := measured(only(1, 2))
	e.closing(0, .08, 8)
	sound := measured(none)
	e.Odd = &Odd{P: 1e-6, Line: 1, Without: sound.Offset}
	d := Explain(e, nil)
	if best := d.Standing[0]; best.Code != ReadingSlipped || !slices.Equal(best.Lines, []int{1}) || !e.near(best.Offset, 1e-9) || !d.Refuted {
		t.Errorf("got %+v", best)
	}
	close(t, "price", d.Standing[0].Surprise, 6+surpriseOf(truth), 1e-9)
	close(t, "as measured", d.Measured.Surprise-surpriseOf([]float64{.05, 1.95, .1, 0}), -2*math.Log(1e-6)-2, 1e-9)
	if d.Ask[0].Kind != ReadAgain || !slices.Equal(d.Ask[0].Lines, []int{1}) || len(d.Ask) != 1 {
		t.Errorf("asks for %+v", d.Ask)
	}
	// A contact: a pair says nothing once those contacts are left out.
	e = measured(all(1))
	e.closing(1, .08, 8)
	e.Odd = &Odd{P: 1e-6, Line: -1, Without: sound.Offset}
	d = Explain(e, nil)
	if best := d.Standing[0]; best.Code != ReadoutMoved && best.Code != ReadingSlipped {
		t.Errorf("got %+v", best)
	}
	close(t, "without those contacts", surprise(e, ReadingSlipped), 6+surpriseOf(truth), 1e-9)
	if d.Ask[0].Kind != ReadAgain || d.Ask[0].Lines != nil || d.Ask[0].Effort != 3 {
		t.Errorf("asks for %+v", d.Ask)
	}
	// Asked for again: certain, and more than a quarter of a tolerance on a line.
	for _, c := range []struct {
		p     float64
		by    float64
		asked bool
	}{{.009, .26, true}, {.011, .26, false}, {.009, .24, false}} {
		e := measured(only(1, c.by))
		e.closing(0, .08, 8)
		e.Odd = &Odd{P: c.p, Line: 1, Without: sound.Offset}
		if d := Explain(e, nil); (len(d.Ask) > 0) != c.asked || d.Refuted {
			t.Errorf("%+v: asks for %+v", c, d.Ask)
		}
	}
	e.Odd.P = math.Exp(-1)
	if !math.IsInf(surprise(e, ReadingSlipped), 1) {
		t.Error("a reading that chance explains was proposed")
	}
}

func TestCylinders(t *testing.T) {
	banks := func(mistake func(int) float64) Evidence {
		e := measured(mistake)
		e.closing(0, .08, 8)
		e.Cylinders = []Cylinder{{"1", 0}, {"2", 90}, {"3", 450}}
		for j := range e.Lines {
			e.Lines[j].Cylinder = "1"
		}
		return e
	}
	e := banks(only(2, 90))
	d := Explain(e, nil)
	if best := d.Standing[0]; best.Code != MarkCylinder || !slices.Equal(best.Lines, []int{2}) || best.Shift != 90 || !e.near(best.Offset, 1e-9) || d.Ask[0].Kind != Look {
		t.Errorf("got %+v", best)
	}
	e = banks(all(-90))
	if best := Explain(e, nil).Standing[0]; best.Code != StopCylinder || best.Shift != -90 || !e.near(best.Offset, 1e-9) {
		t.Errorf("got %+v", best)
	}
	// Declared cylinders are the only ones that a stop can have sat in.
	if got := surprise(banks(all(120)), StopCylinder); got < 8+5 {
		t.Errorf("of none of them: %g", got)
	}
	w := newWeigher(&e, nil)
	if n := len(proposeStopCylinder(w, 8)); n != 2 { // 90 and -90: 450 is the same
		t.Errorf("%d claims of a stop", n)
	}
	if n := len(proposeMarkCylinder(w, 8)); n != 4 {
		t.Errorf("%d claims of lines", n)
	}
	e.Cylinders = nil
	w = newWeigher(&e, nil)
	if n := len(proposeStopCylinder(w, 8)); n != 13 { // ±144, 120, 90, 72, 60, 45 and 180
		t.Errorf("%d claims of a stop on an engine that is not known", n)
	}
}

func TestUnnamedMistake(t *testing.T) {
	stands := func(e Evidence) bool {
		return slices.ContainsFunc(Explain(e, nil).Standing, func(x Explanation) bool { return x.Code == Unnamed })
	}
	one := func(x float64) Evidence {
		e := bench([]float64{x, 0, 0, 0})
		e.at(180, 0, 0, 0)
		e.closing(0, .08, 8)
		return e
	}
	// own(16.9, 0.1) is 14.006, 6 below 20; own(16.7, 0.1) is 13.959.
	if stands(one(16.7)) || !stands(one(16.9)) {
		t.Error("one line: not from 16.9 on")
	}
	// shared(36.2) is 13.99 and shared(36.5) 14.02.
	lines := func(x float64) Evidence {
		e := bench([]float64{x, x, x, x})
		e.at(180, 0, 0, 0)
		e.closing(0, .08, 8)
		return e
	}
	if stands(lines(36.2)) || !stands(lines(36.5)) {
		t.Error("all lines: not from 36.5 on")
	}
	e := one(25)
	e.Lines[0].Checked = true
	if stands(e) {
		t.Error("stands after a look at that line")
	}
	if d := Explain(e, nil); !d.Decisions[0].Scribe {
		t.Errorf("a true fault is not ordered: %+v", d.Decisions[0])
	}
	e = one(25)
	e.Checked = Checked{Letters: true, Names: true, Nominals: true, Cylinders: true}
	if stands(e) {
		t.Error("stands after a look at everything")
	}
}

func TestCheckedTakesEditsOut(t *testing.T) {
	e := measured(func(j int) float64 { return []float64{-20, 10, 10, 0}[j] })
	e.Cylinders = []Cylinder{{"1", 0}, {"2", 90}}
	e.Later, e.Lines[3].Cylinder = Table{{0, 0, 0, 90}}, "2"
	e.Lines[3].At += 0.5
	e.Offset[0][3] = 2
	e.Pairs = []Pair{{Kind: OtherBank, Value: 1, SD: .1, DOF: 8, Cylinder: "2"}}
	for _, c := range []struct {
		code Code
		set  func(*Evidence)
	}{
		{Letters, func(e *Evidence) { e.Checked.Letters = true }},
		{Names, func(e *Evidence) { e.Checked.Names = true }},
		{StopCylinder, func(e *Evidence) { e.Checked.Cylinders = true }},
		{MarkCylinder, func(e *Evidence) { e.Checked.Cylinders = true }},
		{BankAngle, func(e *Evidence) { e.Checked.Cylinders = true }},
		{BankAngleDiffers, func(e *Evidence) { e.Checked.Cylinders = true }},
	} {
		if got := surprise(e, c.code); math.IsInf(got, 1) {
			t.Errorf("%v is not proposed", c.code)
		}
		checked := e
		c.set(&checked)
		if got := surprise(checked, c.code); !math.IsInf(got, 1) {
			t.Errorf("%v is still proposed: %g", c.code, got)
		}
	}
	for _, code := range []Code{Letters, Names, Decade, MarkCylinder, Unnamed} {
		checked := e
		checked.Lines = slices.Clone(e.Lines)
		for j := range checked.Lines {
			checked.Lines[j].Checked = true
		}
		if got := surprise(checked, code); !math.IsInf(got, 1) {
			t.Errorf("%v is still proposed of lines that were looked at: %g", code, got)
		}
	}
}

func TestCopiedSetupBacksNothing(t *testing.T) {
	e := bench([]float64{2, 2, 2, 2}, []float64{2, 2, 2, 2})
	if d := Explain(e, nil); !d.Decisions[4].Scribe {
		t.Fatalf("two setups: %+v", d.Decisions[4])
	}
	e.Copied = []int{1}
	d := Explain(e, nil)
	if p := d.Decisions[4]; p.Scribe || !p.Held {
		t.Errorf("got %+v", p)
	}
	if !slices.ContainsFunc(d.Standing, func(x Explanation) bool { return x.Code == Copied && slices.Equal(x.Mountings, []int{1}) }) {
		t.Errorf("not told: %+v", d.Standing)
	}
	if got := surprise(e, AsMeasured); math.Abs(got-shared(2)) > 1e-9 {
		t.Errorf("as measured %g", got)
	}
}

// What must have been read last moves with the readout, where the times tell.
func TestOrderOfReading(t *testing.T) {
	e := measured(func(j int) float64 { return []float64{3, 0, 3, 0}[j] })
	w := newWeigher(&e, nil)
	if in := w.nearerToPlace(0, 3); !slices.Equal(in, []bool{true, false, true, false}) {
		t.Errorf("any lines: %v", in)
	}
	e.Order = [][]int{{1, 3, 0, 2}}
	if in := w.nearerToPlace(0, 3); !slices.Equal(in, []bool{true, false, true, false}) {
		t.Errorf("the last two: %v", in)
	}
	e.Offset[0][3] = 1
	w = newWeigher(&e, nil)
	e.Order = [][]int{{1, 0, 3, 2}} // 0 and 2 gain 6, 3 in between loses 1
	if in := w.nearerToPlace(0, 3); !slices.Equal(in, []bool{true, false, true, true}) {
		t.Errorf("with one in between: %v", in)
	}
	e.Order = [][]int{{0, 1, 3, 2}} // 0 is too early
	if in := w.nearerToPlace(0, 3); !slices.Equal(in, []bool{false, false, true, false}) {
		t.Errorf("the last alone: %v", in)
	}
	e.Order = [][]int{{0, 2, 1, 3}}
	if in := w.nearerToPlace(0, 3); slices.Contains(in[1:2], true) && !in[0] {
		t.Errorf("none of the last: %v", in)
	}
}

// A move alike in both of two setups is sought as one.
func TestMovedAlikeInAll(t *testing.T) {
	e := measured(all(8), all(8))
	e.Pairs = []Pair{{Kind: Closing, Mounting: 0, Value: 8, SD: .1, DOF: 8, AfterLines: true}, {Kind: Closing, Mounting: 1, Value: 8, SD: .1, DOF: 8, AfterLines: true}}
	best := Explain(e, nil).Standing[0]
	if best.Code != ReadoutMoved || !slices.Equal(best.Mountings, []int{0, 1}) || !e.near(best.Offset, 1e-9) {
		t.Errorf("got %+v", best)
	}
	close(t, "its price", best.Surprise, moved(4, 2, 8)+surpriseOf(truth), 1e-9)
}

// 1.8 mm before TDC: on the rim of 160 mm 1.29°, of the piston (stroke 54, rod 110,
// tables of slider-crank position) 18.88°. The lines that were scribed by the
// piston are read as by the rim, and so on for every kind.
func TestKindOfNominal(t *testing.T) {
	base := sheet.Sheet{
		Engine: sheet.Engine{Stroke: 54, Rod: 110},
		Part:   sheet.Part{Diameter: 160},
		Marks:  []sheet.Mark{{Name: "A", At: -1.29, AtText: "1.8 mm rim BTDC"}, {Name: "B", At: 120, AtText: "120 ATDC"}, {Name: "C", At: 240, AtText: "240 ATDC"}},
	}
	// The offsets of an edited sheet: where each line lies less where it belongs.
	lies := []geometry.Angle{-18.88, 120, 240}
	reread := func(edit Edit) ([][]geometry.Angle, bool) {
		s, ok := edit(base)
		if !ok {
			return nil, false
		}
		row := make([]geometry.Angle, len(lies))
		for j := range lies {
			row[j] = (lies[j] - s.Marks[j].At).Wrap()
		}
		return [][]geometry.Angle{row}, true
	}
	e := bench([]float64{-17.59, 0, 0})
	e.at(-1.29, 120, 240)
	e.closing(0, .08, 8)
	d := Explain(e, reread)
	best := d.Standing[0]
	if best.Code != Kind || !slices.Equal(best.Lines, []int{0}) || best.Offset[0].Abs() > 0.01 || !d.Refuted || d.Ask[0].Kind != Look {
		t.Errorf("got %+v", best)
	}
	close(t, "kind", best.Surprise, 7, 0.006)
	e.Checked.Nominals = true
	if got := Explain(e, reread).Standing[0]; got.Code == Kind {
		t.Errorf("still proposed: %+v", got)
	}
	if base.Marks[0].At != -1.29 {
		t.Error("the sheet was changed")
	}
}
