package advise

import (
	"testing"

	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// found is a line where it belongs at a place, off by some and known to nothing else.
func found(name string, place, off geometry.Angle) lines.Line {
	return lines.Line{
		Mark: sheet.Mark{Name: name, At: place, Tolerance: 1}, Place: place, Seen: make([]lines.Seen, 1),
		Offset: &uncertainty.Estimate{Value: off, Known: true},
	}
}

// A line that is late goes towards those before it, one that is early towards those
// after it, and away from those on the other side; past them where it is off by more
// than they are away. A line within a degree or as near to half way round, one beyond
// that, one on another part and one that was not read are not meant.
func TestTowardsAndBehind(t *testing.T) {
	for _, c := range []struct {
		off      geometry.Angle
		others   []lines.Line
		towards  string
		past     bool
		behind   string
		expanded geometry.Angle // of the line
	}{
		{off: 3, others: []lines.Line{found("before", -20, 0), found("after", 20, 0)}, towards: "before", behind: "after"},
		{off: -3, others: []lines.Line{found("before", -20, 0), found("after", 20, 0)}, towards: "after", behind: "before"},
		{off: 25, others: []lines.Line{found("before", 10, 0), found("after", 40, 0)}, towards: "before", past: true, behind: "after"},
		{off: 25, others: []lines.Line{found("before", 10, 0)}, towards: "before", past: true},
		{off: 12, others: []lines.Line{found("close", 2, 0), found("further", -60, 0)}, towards: "close", past: true},
		{off: -12, others: []lines.Line{found("close", -2, 0), found("further", 60, 0)}, towards: "close", past: true},
		{off: 3, others: []lines.Line{found("nearly there", 2.5, 0)}},
		{off: 3, others: []lines.Line{found("there", 1.9, 0)}, towards: "there", past: true},
		{off: 3, others: []lines.Line{found("there", 1.9, 0)}, expanded: 0.2},
		{off: 3, others: []lines.Line{found("opposite", -175.9, 0)}, towards: "opposite"},
		{off: 3, others: []lines.Line{found("opposite", -176.1, 0)}},
		{off: 3, others: []lines.Line{found("opposite", 176.5, 0)}, behind: "opposite"},
		{off: 0.5, others: []lines.Line{found("a", 170, 0), found("b", 90, 0)}, behind: "b"},
		{off: 3},
	} {
		line := found("this", 0, c.off)
		line.Offset.Expanded = c.expanded
		placed := append([]lines.Line{line}, c.others...)
		apart := found("other part", -4, 0)
		apart.On = "ring"
		placed = append(placed, apart, lines.Line{Mark: sheet.Mark{Name: "unread"}, Place: -3})
		name, past := towards(sheet.Sheet{}, placed, 0)
		if name != c.towards || past != c.past {
			t.Errorf("off %v: towards %q, past %v, want %q, %v", c.off, name, past, c.towards, c.past)
		}
		if got := Behind(sheet.Sheet{}, placed, 0); got != c.behind {
			t.Errorf("off %v: behind %q, want %q", c.off, got, c.behind)
		}
	}
}

func limited(half geometry.Angle) uncertainty.Row {
	return uncertainty.LimitRow(uncertainty.Sighting, geometry.Limit[geometry.Angle]{Half: half})
}

// What is known of a new line: the measuring's rows, the limit for placing it, which is
// a length, and that of the diameter, which scales what is laid off. It is worth its
// while where that is less than what the old one is off.
func TestThenByHand(t *testing.T) {
	in := sheet.Sheet{
		Part:   sheet.Part{Diameter: 300, DiameterLimit: geometry.Limit[geometry.Length]{Half: 3}},
		Limits: sheet.Limits{Confidence: 0.95, Placement: 0.5},
	}
	e := uncertainty.Estimate{Value: -6, Expanded: 0.2, Known: true, Budget: uncertainty.Budget{limited(0.2)}}
	s := Scribe{HasLengths: true, PutsRight: &e}
	half := func(rows ...uncertainty.Row) float64 {
		return uncertainty.NewSum(uncertainty.Budget(rows).Terms()).HalfWidth(0.95)
	}
	placing := geometry.AngleFromRadians(0.5 / 150)
	testkit.Near(t, "with a diameter's limit", s.Then(in).Degrees(), half(limited(placing), limited(0.2), limited(0.06)), 1e-9)
	in.Part.DiameterLimit.Half = 0
	testkit.Near(t, "without", s.Then(in).Degrees(), half(limited(placing), limited(0.2)), 1e-9)
	for _, c := range []struct {
		value, expanded geometry.Angle
		known, lengths  bool
		then            bool // has one
		better          bool
	}{
		{6, 0.2, true, true, true, true},
		{-6, 0.2, true, true, true, true},
		{0.1, 0.05, true, true, true, false},
		{6, 0.2, false, true, false, false},
		{6, 0.2, true, false, false, true},
		{-6, 0.2, true, false, false, true},
		{0.1, 0.2, true, false, false, false},
		{6, 0.2, false, false, false, false},
		{0.1, 0.2, false, false, false, false},
	} {
		e.Value, e.Expanded, e.Known = c.value, c.expanded, c.known
		s := Scribe{HasLengths: c.lengths, PutsRight: &e}
		if got := s.Then(in); (got != 0) != c.then {
			t.Errorf("%+v: then %v", c, got)
		}
		if got := s.better(in); got != c.better {
			t.Errorf("%+v: better %v", c, got)
		}
	}
	if got := (Scribe{HasLengths: true}).Then(in); got != 0 {
		t.Errorf("without an order: %v", got)
	}
}

// An order puts right the line's offset, or what the diagnosis says is left of it once
// something else has been put right.
func TestWhatAnOrderPutsRight(t *testing.T) {
	e := &uncertainty.Estimate{Value: 3, Expanded: 0.2}
	if got := putsRight(diagnosis.Decision{Late: 1}, e); got != e {
		t.Errorf("%+v", got)
	}
	if got := putsRight(diagnosis.Decision{Late: 1, After: true}, e); got == nil || got.Value != 1 || got.Expanded != 0.2 || e.Value != 3 {
		t.Errorf("after: %+v", got)
	}
	if got := putsRight(diagnosis.Decision{Late: 1, After: true}, nil); got != nil {
		t.Errorf("not read: %+v", got)
	}
}

// A wheel of one tooth is one: a fortieth of a turn is a fortieth of it.
func TestTeethOfAnOrder(t *testing.T) {
	for teeth, want := range map[int]float64{0: 0, 1: 1.0 / 40, 120: 3} {
		got := instruct(sheet.Sheet{Part: sheet.Part{Teeth: teeth}}, MoveLine, &uncertainty.Estimate{Value: 9}, lines.OnRim{}, NotWithheld)
		if got.HasTeeth != (teeth > 0) {
			t.Errorf("%d teeth: %+v", teeth, got)
		}
		testkit.Near(t, "teeth", got.Teeth, want, 1e-12)
	}
}

// An offer stays the same where readings are wanted alone, pairs alone, or nothing at
// all would do: it is the cheapest one that keeps the promise, the fewest pairs first.
func TestTheFirstOfTheCheapest(t *testing.T) {
	for _, off := range []geometry.Angle{0.3, 0.34, 0.38, 0.62, 0.66} {
		s := newSearch(within(off, 4, 4), 0.95)
		best := s.best()
		if best.Way != MoreReadings || best.Chance < likely {
			continue
		}
		for i := range best.Trials {
			for j := range mostFurther + 1 {
				if i+j > 0 && effort(i, j) <= effort(best.Trials, best.Readings) && s.chance(i, j, 0) >= likely {
					t.Errorf("%v: offered %d and %d, but %d and %d do", off, best.Trials, best.Readings, i, j)
				}
			}
		}
		testkit.Near(t, "the chance of what is offered", best.Chance, s.chance(best.Trials, best.Readings, 0), 1e-12)
	}
}

// A part that has moved against another is looked at: nothing on it is scribed, also
// where orders are held back that would else be given. A pointer that is held back has
// such an order.
func TestAPartThatMovedIsNotScribed(t *testing.T) {
	placed := []lines.Line{within(3, 4, 4), within(3, 4, 4)}
	told := diagnosis.Diagnosis{Sharing: []int{0, 1}, Refuted: true, Standing: []diagnosis.Explanation{explained(diagnosis.Names)}}
	for line, held := range map[int]Along{diagnosis.Part: NoWay, -1: Against} {
		var a Advice
		a.move(sheet.Sheet{Limits: sheet.Limits{Confidence: 0.95}}, tdc.Found{}, placed, crosscheck.Checks{}, lines.Alike{}, told, diagnosis.Decision{Line: line, Late: 3})
		if a.Together.Along != NoWay || a.TogetherHeld.Along != held {
			t.Errorf("line %d: %+v, held back %+v", line, a.Together, a.TogetherHeld)
		}
	}
}

// The eye tells two lines from each other more than 12 degrees apart and short of half
// way round by as much, beyond what both leave open; a rim of a millimetre is π round.
func TestWhatTheEyeTells(t *testing.T) {
	for gap, want := range map[geometry.Angle]bool{11.5: false, 12.5: true, 90: true, 167.5: true, 168.5: false, 179: false} {
		for _, expanded := range []geometry.Angle{0, 2} {
			one, other := found("a", 0, 0), found("b", gap, 0)
			one.Offset.Expanded = expanded
			check := eyeCheck(sheet.Sheet{Part: sheet.Part{Diameter: 1}}, []lines.Line{one, other})
			tells := want && (expanded == 0 || gap > 14 && gap < 166)
			if (check.From != "") != tells {
				t.Errorf("%v apart, ± %v: %+v", gap, expanded, check)
			}
			testkit.Near(t, "round", check.Round.Millimetres(), 3.14159265358979, 1e-9)
		}
	}
}
