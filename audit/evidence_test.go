package audit

import (
	"math"
	"strings"
	"testing"

	"markaudit/audit/advise"
	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// told are stories of which all the evidence is kept: each way of finding TDC, several
// of them, in one mounting and in several, a dial that counts either way, banks,
// distances, a reading that stands out, a readout that creeps, and a copy.
var told = []string{
	"closing pair", "a contact misread", "one of two misread", "stop and drops, one mounting", "stop and drops that differ", "stop and sweep, lines both ways",
	"rock, two depths", "second bank off", "second bank never found", "distances measured", "readout creeps", "wheel turned a little", "one line unread",
	"dial counting down", "dial, three setups", "dial moved after the lines", "dial, the top misread", "dial, a line low down", "dial, two of each, some struck",
	"rim, one line off, a distance", "ring, hub alone off", "drops, one reading wrong", "half speed",
}

// The evidence that is laid before the diagnosis, as it is: what each figure should be
// is the matter of the other tests.
func TestFiguresOfEvidence(t *testing.T) {
	stories := teststand.Stories(t)
	found := map[string]diagnosis.Evidence{}
	for _, name := range told {
		s, ok := stories[name]
		if !ok {
			t.Fatalf("no story %q", name)
		}
		shown := readout.New(s)
		top, err := tdc.Find(s, shown)
		if err != nil {
			t.Fatal(err)
		}
		placed, err := lines.Place(s, shown, top)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		found[name] = stages{s, shown, top, placed.Lines, crosscheck.All(s, shown, top, placed.Lines)}.evidence()
	}
	testkit.Figures(t, "figures/stage-evidence.txt", found)
}

// A dial counts as its reading furthest from the top does, whether the top shows much
// or little, and whatever stands next to it or was struck.
func TestWhichWayADialCounts(t *testing.T) {
	for _, c := range []struct {
		top   geometry.Length
		lines []sheet.Reading
		want  bool
	}{
		{5, []sheet.Reading{{Length: 4.9}, {Length: 8}}, true},
		{5, []sheet.Reading{{Length: 5.1}, {Length: 2}}, false},
		{-5, []sheet.Reading{{Length: -4.5}}, true},
		{-5, []sheet.Reading{{Length: -5.5}}, false},
		{5, []sheet.Reading{{Length: 8, Struck: true}, {Length: 4}}, false},
		{5, []sheet.Reading{{Length: 1, Struck: true}, {Length: 6}}, true},
		{5, []sheet.Reading{{Length: 2}, {Length: 6}}, false},
		{5, []sheet.Reading{{Length: 6}, {Length: 2}}, false},
		{5, nil, true},
		{5, []sheet.Reading{{Length: 8}, {Length: 4}, {Length: 3}}, true},
	} {
		in := stages{sheet: sheet.Sheet{Marks: []sheet.Mark{{Name: "a"}}, Setups: []sheet.Setup{{
			Top: []sheet.Reading{{Length: c.top}}, Marks: map[string][]sheet.Reading{"a": c.lines},
		}}}}
		if got := in.counting(0); got != c.want {
			t.Errorf("%+v: counts on %v", c, got)
		}
	}
}

// A line that was read again after its own order, after a move of all lines, or after
// both: what the orders leave of its offset, and their ±; without a diameter the
// measuring's own.
func TestWhatAnOrderLeaves(t *testing.T) {
	estimate := func(value geometry.Angle) *uncertainty.Estimate {
		return &uncertainty.Estimate{Value: value, Expanded: 0.2, Known: true, Budget: uncertainty.Budget{
			uncertainty.LimitRow(uncertainty.Sighting, geometry.Limit[geometry.Angle]{Half: 0.2}),
		}}
	}
	s := sheet.Sheet{Part: sheet.Part{Diameter: 300}, Limits: sheet.Limits{Confidence: 0.95, Placement: 0.5}}
	for name, c := range map[string]struct {
		own, all, after, lengths, shares bool
		ordered                          bool
		expected                         geometry.Angle
	}{
		"its own":                       {own: true, lengths: true, ordered: true},
		"its own, after a move of all":  {own: true, all: true, after: true, lengths: true, shares: true, ordered: true, expected: 5 - 2},
		"of all":                        {all: true, lengths: true, shares: true, ordered: true, expected: 5 - 3},
		"of all, which it is not among": {all: true, lengths: true},
		"none":                          {lengths: true, shares: true},
		"its own, no diameter":          {own: true, ordered: true},
		"of all, no diameter":           {all: true, shares: true, ordered: true, expected: 2},
	} {
		order := func(worth bool) advise.Scribe {
			return advise.Scribe{Worthwhile: worth, HasLengths: c.lengths, PutsRight: estimate(5)}
		}
		told := diagnosis.Diagnosis{Decisions: []diagnosis.Decision{{Line: 0, After: c.after, Late: 2}}, Sharing: []int{1}}
		if c.shares {
			told.Sharing = []int{1, 0}
		}
		advice := advise.Advice{Lines: []advise.Scribe{order(c.own)}, Together: order(c.all), Shared: estimate(3)}
		allowed := advice.Together.Then(s)
		if !c.lengths {
			allowed = 0.2
		}
		for off, as := range map[geometry.Angle]bool{0.99: true, -0.99: true, 1.01: false, -1.01: false} {
			l := LineAgain{Offset: c.expected + off*allowed}
			l.ordered(s, lines.Line{Offset: estimate(5)}, told, advice, 0)
			if l.Ordered != c.ordered || l.AsOrdered != (as && c.ordered) {
				t.Errorf("%s: %+v", name, l)
			}
			if c.ordered {
				testkit.Near(t, name, l.Expected, c.expected, 1e-9)
				testkit.Near(t, name, l.Allowed, allowed, 1e-9)
			}
		}
	}
	l := LineAgain{}
	l.ordered(s, lines.Line{}, diagnosis.Diagnosis{}, advise.Advice{}, 0)
	if l.Ordered {
		t.Error("a line that was not read was ordered")
	}
}

// The last setup that found TDC, whichever mounting it is of; none where none did.
func TestLastFound(t *testing.T) {
	top := tdc.Found{Mountings: []tdc.Mounting{{Setups: []int{0, 3}}, {Setups: []int{1, 2}}}}
	if mounting, setup := lastFound(top); mounting != 0 || setup != 3 {
		t.Errorf("got setup %d of mounting %d", setup, mounting)
	}
	if mounting, setup := lastFound(tdc.Found{}); mounting >= 0 || setup >= 0 {
		t.Errorf("of none: %d, %d", mounting, setup)
	}
}

// A closing difference matters beyond a quarter of the readout's move, with either sign
// of both, and beyond 0.15 in any case.
func TestClosingThatMatters(t *testing.T) {
	for _, c := range []struct {
		shift, closing geometry.Angle
		want           bool
	}{{4, 1.01, true}, {4, 0.99, false}, {-4, 0.99, false}, {-4, -1.01, true}, {4, -1.01, true}, {0.2, 0.14, false}, {0.2, 0.16, true}, {-0.2, -0.16, true}} {
		told := diagnosis.Diagnosis{Standing: []diagnosis.Explanation{{Shift: c.shift}}}
		if got := worse(told, c.closing); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

// How far the mountings disagree: from the first to the last, of the line that
// contradicts itself where it is one, else of the line that does most.
func TestHowFarSetupsAreApart(t *testing.T) {
	line := func(offsets ...geometry.Angle) (l lines.Line) {
		for _, o := range offsets {
			l.Seen = append(l.Seen, lines.Seen{Offset: o})
		}
		return l
	}
	placed := []lines.Line{line(0, 2, 1), line(9), line(1, -1.5), line(0, 0.5)}
	for _, c := range []struct {
		worst diagnosis.Item
		want  geometry.Angle
	}{
		{diagnosis.Item{Kind: diagnosis.ItemSetup}, -2.5},
		{diagnosis.Item{Kind: diagnosis.ItemSetup, Line: 3}, -2.5},
		{diagnosis.Item{Kind: diagnosis.ItemLine, Line: 0}, 1},
		{diagnosis.Item{Kind: diagnosis.ItemLine, Line: 3}, 0.5},
		{diagnosis.Item{Kind: diagnosis.ItemLine, Line: 1}, 0},
	} {
		if got := setupsApart(placed, c.worst); got != c.want {
			t.Errorf("%+v: %v, want %v", c.worst, got, c.want)
		}
	}
	if got := worstOffset([]lines.Line{{}, {Offset: &uncertainty.Estimate{Value: -3}}, {Offset: &uncertainty.Estimate{Value: 2}}}); got != 3 {
		t.Errorf("worst %v", got)
	}
}

// What parts say of each other, in that order.
func TestSlips(t *testing.T) {
	groups := lines.Alike{Groups: make([]lines.Group, 2)}
	differ := func(to string, is bool) lines.Alike {
		a := groups
		a.Between = []lines.Between{{To: to, Differ: is}}
		return a
	}
	for _, c := range []struct {
		together lines.Alike
		bonded   bool
		ring     diagnosis.Ring
		want     Slip
	}{
		{lines.Alike{}, false, diagnosis.RingSlipped, NoGroups},
		{lines.Alike{}, true, diagnosis.RingSlipped, RingSlipped},
		{lines.Alike{}, true, diagnosis.RingNoSign, Untold},
		{groups, false, diagnosis.RingMay, Perhaps},
		{groups, false, diagnosis.RingNoSign, Untold},
		{differ("ring", true), false, 0, Apart},
		{differ("ring", true), true, 0, Together},
		{differ("hub", true), true, 0, Apart},
		{differ("hub", false), false, 0, Together},
	} {
		r := Result{Together: c.together, Diagnosis: diagnosis.Diagnosis{Ring: c.ring}}
		r.Sheet.Part.BondedRing = c.bonded
		if got := r.Slip(); got != c.want {
			t.Errorf("%+v: %v, want %v", c, got, c.want)
		}
	}
}

// What two ways differ by is doubted as the check of the two has it, whichever was the
// first, where that is known.
func TestDoubtBetweenTwoWays(t *testing.T) {
	in := stages{checks: crosscheck.Checks{Ways: []crosscheck.WayDifference{
		{First: sheet.Stop, Second: sheet.EqualDrop, Difference: uncertainty.Estimate{Expanded: 0.2}},
		{First: sheet.Stop, Second: sheet.Sweep, Difference: uncertainty.Estimate{Expanded: 0.3, Known: true}},
	}}}
	for ways, want := range map[[2]sheet.Method]geometry.Angle{
		{sheet.Stop, sheet.Sweep}: 0.3, {sheet.Sweep, sheet.Stop}: 0.3, {sheet.Stop, sheet.EqualDrop}: 0,
		{sheet.EqualDrop, sheet.Sweep}: 0, {sheet.Sweep, sheet.EqualDrop}: 0,
	} {
		if got := in.wayU(ways[0], ways[1]); got != want {
			t.Errorf("%v: %v, want %v", ways, got, want)
		}
	}
}

// The share of the contacts before a line: of two sets in one mounting all where it was
// read with the second, half with the first, and their mean where it was read with both.
func TestContactsBeforeALine(t *testing.T) {
	one := []sheet.Reading{{Value: 1}}
	in := stages{
		sheet: sheet.Sheet{Setups: []sheet.Setup{
			{Marks: map[string][]sheet.Reading{"first": one, "both": one, "struck": {{Struck: true}}}},
			{Marks: map[string][]sheet.Reading{"second": one, "both": one, "struck": one}},
		}},
		top: tdc.Found{Setups: []tdc.Setup{{Index: 0}, {Index: 1}}},
	}
	for _, name := range []string{"first", "second", "both", "struck", "neither"} {
		in.lines = append(in.lines, lines.Line{Mark: sheet.Mark{Name: name}})
	}
	got := in.before(tdc.Mounting{Setups: []int{0, 1}, Tops: []tdc.Top{{Setups: []int{0, 1}}}})
	for i, want := range []float64{0.5, 1, 0.75, 1, 1} {
		testkit.Near(t, in.lines[i].Name, got[i], want, 1e-12)
	}
}

// Lines were read between two setups of a mounting where one was read with the first or
// after it, and before the second; a struck reading is none.
func TestLinesBetweenContacts(t *testing.T) {
	for with, want := range map[int][3]bool{ // between 0 and 1, 1 and 2, 0 and 2
		0: {true, false, true}, 1: {false, true, true}, 2: {}, 3: {},
	} {
		in := stages{sheet: sheet.Sheet{Setups: make([]sheet.Setup, 4)}, lines: []lines.Line{{Mark: sheet.Mark{Name: "a"}}}}
		for i := range in.sheet.Setups {
			in.sheet.Setups[i].Marks = map[string][]sheet.Reading{"a": {{Struck: i != with}}}
		}
		m := tdc.Mounting{Setups: []int{0, 1, 2}}
		if got := [3]bool{in.linesBetween(m, 0, 1), in.linesBetween(m, 1, 2), in.linesBetween(m, 0, 2)}; got != want {
			t.Errorf("read with setup %d: %v, want %v", with, got, want)
		}
	}
}

// A top is as sure as its readings scatter, over the root of their number, or as the
// step lets it be, 0.01/√12 mm; told at 0.1 mm for a degree. Read once more it shows
// what the dial moved by, the other way on one that counts down.
func TestTopsOfADialByHand(t *testing.T) {
	moved := geometry.Length(0.05)
	for _, c := range []struct {
		pooled   geometry.Length
		n        int
		top, one float64 // standard deviations of the top, and of one reading
	}{{0, 3, 0.1 / math.Sqrt(12), 0.1 / math.Sqrt(12)}, {0.02, 4, 0.1, 0.2}} {
		for counts, want := range map[geometry.Length]geometry.Angle{8: 0.5, 2: -0.5} {
			in := stages{
				sheet: sheet.Sheet{Readout: sheet.Readout{StepLength: 0.01}, Marks: []sheet.Mark{{Name: "a"}}, Setups: []sheet.Setup{{
					Top: []sheet.Reading{{Length: 5}}, Marks: map[string][]sheet.Reading{"a": {{Length: counts}}},
				}}},
				top: tdc.Found{
					Setups:    []tdc.Setup{{Height: &tdc.Height{Shown: 5, Pooled: c.pooled, N: c.n, DOF: 3, Closing: &moved}}},
					Mountings: []tdc.Mounting{{Tops: []tdc.Top{{Setups: []int{0}}}}},
				},
			}
			testkit.Near(t, "top", in.heightSD(in.top.Mountings[0]).Degrees(), c.top, 1e-9)
			p := in.topsAgain(0)
			if len(p) != 1 {
				t.Fatalf("%d pairs", len(p))
			}
			testkit.Near(t, "moved", p[0].Value, want, 1e-9)
			testkit.Near(t, "its doubt", p[0].SD.Degrees(), math.Hypot(c.one, c.top), 1e-9)
		}
	}
}

// The reading that stands out is struck where it was taken, and none beside it; the
// sheet stays as it is.
func TestTheOddReadingIsStruck(t *testing.T) {
	some := func() []sheet.Reading { return []sheet.Reading{{Value: 1}, {Value: 2}} }
	pair := func() sheet.Trial { return sheet.Trial{Forward: &sheet.Reading{}, Backward: &sheet.Reading{}} }
	s := sheet.Sheet{Setups: []sheet.Setup{
		{Trials: []sheet.Trial{pair(), pair()}, Marks: map[string][]sheet.Reading{"a": some(), "b": some()}},
		{Method: sheet.EqualDrop, Drops: []sheet.Drop{{Before: some(), After: some()}, {Before: some(), After: some()}}},
		{Method: sheet.AtTop, Top: some()},
	}}
	all := func(s sheet.Sheet) (out string) {
		say := func(r sheet.Reading) {
			if r.Struck {
				out += "x"
			} else {
				out += "-"
			}
		}
		for _, u := range s.Setups {
			for _, p := range u.Trials {
				say(*p.Forward)
				say(*p.Backward)
			}
			for _, d := range u.Drops {
				for _, r := range append(append([]sheet.Reading{}, d.Before...), d.After...) {
					say(r)
				}
			}
			for _, r := range append(append(append([]sheet.Reading{}, u.Top...), u.Marks["a"]...), u.Marks["b"]...) {
				say(r)
			}
		}
		return out
	}
	for _, c := range []struct {
		odd  crosscheck.OddReading
		want string
	}{
		{crosscheck.OddReading{Side: sheet.Forward, Index: []int{1}}, "--x- ---- -------- --"},
		{crosscheck.OddReading{Side: sheet.Backward, Index: []int{1}}, "---x ---- -------- --"},
		{crosscheck.OddReading{Line: "b", Index: []int{0, 1}}, "---- --xx -------- --"},
		{crosscheck.OddReading{Setup: 1, Drop: 1, Side: sheet.Forward, Index: []int{0}}, "---- ---- ----x--- --"},
		{crosscheck.OddReading{Setup: 1, Drop: 1, Side: sheet.Backward, Index: []int{0}}, "---- ---- ------x- --"},
		{crosscheck.OddReading{Setup: 2, Index: []int{1}}, "---- ---- -------- -x"},
	} {
		if got := all(struck(s, c.odd)); got != strings.ReplaceAll(c.want, " ", "") {
			t.Errorf("%+v: %s", c.odd, got)
		}
		if got := all(s); strings.Contains(got, "x") {
			t.Fatalf("the sheet was changed: %s", got)
		}
	}
}
