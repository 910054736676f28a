package diagnosis

import (
	"math"
	"slices"
	"testing"
)

func TestNearAndMedian(t *testing.T) {
	for d, want := range map[float64]float64{0: 0, 180: 180, 190: -170, -180: 180, -190: 170, 359: -1, -179: -179, 179: 179} {
		close(t, "near", near(d), want, 0)
	}
	if !isNaN(near(math.NaN())) {
		t.Error("no number is near")
	}
	for _, c := range []struct {
		x    []float64
		want float64
	}{{[]float64{5}, 5}, {[]float64{9, 1}, 5}, {[]float64{9, 1, 2}, 2}, {[]float64{9, 1, 2, 4}, 3}, {[]float64{7, 9, 1, 2, 4, 8}, 5.5}} {
		x := slices.Clone(c.x)
		close(t, "median", median(x), c.want, 0)
		if !slices.Equal(x, c.x) {
			t.Errorf("%v became %v", c.x, x)
		}
	}
	if got := distinct([]float64{.1, -.2, .2, .15, -.2000000001, .149}, .15); !slices.Equal(got, []float64{-.2, .2, .15}) {
		t.Errorf("got %v", got)
	}
	if got := nearest(2, 0, 5, 1.5, -2); got != 1.5 {
		t.Errorf("got %g", got)
	}
}

// A shift that lines share is sought in their majority, on either side of half a
// turn, and of many lines as of few.
func TestStories(t *testing.T) {
	story := func(late ...float64) told {
		e := bench(late)
		w := newWeigher(&e, nil)
		return cheapest(w.stories(w.mean))
	}
	for _, c := range []struct {
		name string
		late []float64
		want StoryKind
		x    float64
	}{
		{"two of two", []float64{8, 8}, AllAlike, 8},
		{"one of two", []float64{8, 0}, EachByItself, 0},
		{"two of four are no majority", []float64{8, 8, 0, 0}, EachByItself, 0},
		{"three of five", []float64{8, 8, 8, 0, 0}, AllAlike, 8},
		{"one alone", []float64{8}, EachByItself, 0},
		{"none", []float64{0, 0, 0}, EachByItself, 0},
		{"the median, between all of them", []float64{7.2, 8.8}, AllAlike, 8},
		{"at half a turn", []float64{179, -179, 180}, AllAlike, 180},
		{"too far from each other", []float64{8, 10.1}, EachByItself, 0},
	} {
		if got := story(c.late...); got.story.Kind != c.want || math.Abs(near(got.x-c.x)) > 1e-9 {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	many := make([]float64, 90)
	sum := 0.0
	for j := range many {
		many[j] = float64(j%17) - 8
		sum += own(many[j], .1)
	}
	e := bench(many)
	w := newWeigher(&e, nil)
	close(t, "ninety lines", w.stories(w.mean)[0].cost, sum, 1e-9)
	// A wide tolerance lets lines share a shift from further away.
	e = bench([]float64{8, 10.1})
	for j := range e.Lines {
		e.Lines[j].Early, e.Lines[j].Late = 3, 2.2
	}
	w = newWeigher(&e, nil)
	if got := w.stories(w.mean); len(got) != 2 {
		t.Errorf("with a wide tolerance: %+v", got)
	}
	// A part whose lines are all lines tells nothing of its own.
	e.on("ring", "ring")
	if w = newWeigher(&e, nil); len(w.parts) != 0 {
		t.Errorf("parts %+v", w.parts)
	}
	e.on("ring", "hub")
	if w = newWeigher(&e, nil); len(w.parts) != 2 || w.parts[0].on != "ring" || !slices.Equal(w.parts[1].members, []bool{false, true}) {
		t.Errorf("parts %+v", w.parts)
	}
}

// Pairs of names are tried of all lines up to 24, then only of those that are off.
func TestNamesOfManyLines(t *testing.T) {
	for _, c := range []struct{ lines, off, want int }{{24, 2, 24 * 23 / 2}, {25, 3, 3}, {25, 0, 0}} {
		late := make([]float64, c.lines)
		for j := range c.off {
			late[j] = 1.1
		}
		e := bench(late)
		at := make([]float64, c.lines)
		for j := range at {
			at[j] = float64(10 * j)
		}
		e.at(at...)
		w := newWeigher(&e, nil)
		if got := len(proposeNames(w, 8)); got != c.want {
			t.Errorf("%d lines, %d off: %d pairs, want %d", c.lines, c.off, got, c.want)
		}
	}
	e := bench([]float64{1, 2})
	e.at(10, 370) // two names of one place
	if got := proposeNames(newWeigher(&e, nil), 8); got != nil {
		t.Errorf("got %+v", got)
	}
}

func TestUnnamedNeedsEverythingChecked(t *testing.T) {
	for i, c := range []Checked{{}, {Letters: true, Names: true}, {Nominals: true, Cylinders: true}, {true, true, true, false}, {false, true, true, true}} {
		e := bench([]float64{20, 0})
		e.Checked = c
		if math.IsInf(surprise(e, Unnamed), 1) {
			t.Errorf("%d: not proposed", i)
		}
	}
}

func TestLineDOFIsLimited(t *testing.T) {
	e := bench([]float64{0, 0}, []float64{1, 0})
	e.Scatter.LineDOF = 40
	w := newWeigher(&e, nil)
	line := 0.0
	w.setups(w.late, w.mean, func(i Item, s float64) bool {
		if i.Kind == ItemLine {
			line += s
		}
		return true
	})
	close(t, "of much scatter", line, 2*seen(.25/(.06*math.Sqrt(.5)), 12), 1e-9)
	if s := (Scatter{Middle: .1, MiddleDOF: 1, Line: .2, LineDOF: 1}); s.Filled() != s {
		t.Errorf("one degree of freedom became %+v", s.Filled())
	}
}

// A bent pointer moves ring and hub alike, and is put right.
func TestPointerOverRingAndHub(t *testing.T) {
	e := closed([]float64{3, 3, 3, 3, 3})
	e.BondedRing = true
	e.on("ring", "ring", "ring", "hub", "hub")
	d := Explain(e, nil)
	if c := d.Decisions[5]; c.Line != Pointer || !c.Scribe || d.Ring != RingNoSign {
		t.Errorf("got %+v, ring %v", c, d.Ring)
	}
	// Lines on the other side of zero do not share the shift.
	e = closed([]float64{3, 3, 3, 3, -9})
	d = Explain(e, nil)
	if !slices.Equal(d.Sharing, []int{0, 1, 2, 3}) || d.Decisions[4].Late != -12 {
		t.Errorf("sharing %v, %+v", d.Sharing, d.Decisions[4])
	}
}

// How well the ring's own lines are known decides what counts as the same shift of
// it; those of the hub do not.
func TestRingApartByItsOwnLines(t *testing.T) {
	e := closed([]float64{3, 3, 3, 0, 0})
	e.BondedRing = true
	e.on("ring", "ring", "ring", "hub", "hub")
	w := newWeigher(&e, nil)
	rival := []weighed{{Explanation: Explanation{Offset: Row{2, 2, 2, 0, 0}}}}
	if ringApart(w, rival) {
		t.Error("1 elsewhere, tolerance 1")
	}
	e.Lines[4].U = 2
	if ringApart(w, rival) {
		t.Error("the hub's lines were asked")
	}
	e.Lines[1].U = 1
	if !ringApart(w, rival) {
		t.Error("known to 1")
	}
	if !ringApart(w, []weighed{{Explanation: Explanation{Offset: Row{8, 8, 8, 5, 5}}}}) {
		t.Error("both moved alike")
	}
}

// Of three sets of contacts in one mounting one pair is explained, and another that
// shows the same.
func TestThreeSetsOfContacts(t *testing.T) {
	e := measured(none)
	e.Pairs = []Pair{{Kind: OtherDepth, Value: 2, SD: .1, DOF: 8}, {Kind: OtherMethod, Value: 2, SD: .1, DOF: 8}, {Kind: Closing, Value: 1, SD: .1, DOF: 8, AfterLines: true}}
	half := measured(all(-1))
	w := newWeigher(&half, nil)
	close(t, "the closing pair half way", surpriseBy(e, MovedBetween, 2), 4+cheapest(w.stories(w.mean)).cost, 1e-9)
	e.Pairs = e.Pairs[:2]
	close(t, "both alike", surpriseBy(e, MovedBetween, 2), 4+surpriseOf(truth), 1e-9)
	e.Pairs[1].Value = 0
	close(t, "one of them", surpriseBy(e, MovedBetween, 2), 4+surpriseOf(truth), 1e-9)
	e.Pairs[1].Value = 1
	close(t, "in between", surpriseBy(e, MovedBetween, 2), 4+surpriseOf(truth)+seen(10, 8), 1e-9)
	// What happens in another mounting is another matter.
	two := measured(none, none)
	two.Pairs = []Pair{{Kind: OtherDepth, Value: 2, SD: .1, DOF: 8}, {Kind: Closing, Mounting: 1, Value: 1, SD: .1, DOF: 8, AfterLines: true}}
	close(t, "another mounting", surpriseBy(two, MovedBetween, 2), 4+surpriseOf(truth)+seen(10, 8), 1e-9)
}

func TestWorstPiece(t *testing.T) {
	e := measured(none)
	e.Creep = []Creep{{Mounting: 0, Drift: .1, P: 1e-4}}
	e.Odd = &Odd{P: 1e-3, Line: 2, Without: e.Offset}
	close(t, "a creep", -2*math.Log(1e-4)-4, 14.4207, .0001)
	if got := Explain(e, nil).Measured.Worst; got != (Item{ItemCreep, 0, -1, 0, -2*math.Log(1e-4) - 4}) {
		t.Errorf("got %+v", got)
	}
	e.Creep = nil
	if got := Explain(e, nil).Measured.Worst; got.Kind != ItemOdd || got.Line != 2 || got.Mounting != 0 {
		t.Errorf("got %+v", got)
	}
	if o := observation(ReadAgain, 1); o.Effort != 1 || o.Mounting != -1 {
		t.Errorf("got %+v", o)
	}
	// A closing pair that is out by less than any move is not explained by one. Known
	// exactly, 3.7 standard deviations are 13.7 and 3.8 are 14.4: this one refutes.
	for z, want := range map[float64]bool{3.7: false, 3.8: true} {
		e := measured(none)
		e.closing(.149, .149/z, 0)
		if d := Explain(e, nil); d.Refuted != want || d.Standing[0].Code != AsMeasured {
			t.Errorf("%g standard deviations: %+v", z, d)
		}
	}
}

func TestOtherMountings(t *testing.T) {
	e := bench([]float64{9, 1}, []float64{3, 2}, []float64{6, math.NaN()})
	w := newWeigher(&e, nil)
	for i, want := range [][]float64{{4.5, 2}, {7.5, 1}, {6, math.NaN()}} {
		for j, x := range want {
			got, ok := w.others(i, j)
			if ok != !isNaN(x) || ok && math.Abs(got-x) > 1e-9 {
				t.Errorf("setup %d, line %d: %g, %v", i, j, got, ok)
			}
		}
	}
	if got, ok := w.others(0, 0); !ok || math.Abs(got-4.5) > 1e-9 {
		t.Errorf("got %g", got)
	}
	// A line that is off, and was brought to its place by a move in one setup.
	e = bench([]float64{0, 0, 3, 0}, []float64{0, 0, 3, 0}, []float64{0, 0, 0, 0})
	e.at(0, 90, 180, 270)
	best := Explain(e, nil).Standing[0]
	if best.Code != ReadoutMoved || !slices.Equal(best.Lines, []int{2}) || !slices.Equal(best.Mountings, []int{2}) || best.Shift != -3 || best.Offset[2] != 3 {
		t.Errorf("got %+v", best)
	}
	// Of a line's own 0.06 three standard deviations against one other are 0.2546.
	e = bench([]float64{.26, 0}, []float64{0, 0})
	w = newWeigher(&e, nil)
	for x, want := range map[float64]bool{.254: false, .256: true, -.254: false, -.256: true} {
		if got := w.seenByOthers(0, 0, x); got != want {
			t.Errorf("by %g: %v", x, got)
		}
	}
	if in := w.nearerToOthers(0, .254); slices.Contains(in, true) {
		t.Errorf("a move that scatter hides: %v", in)
	}
	if in := w.nearerToOthers(0, .256); !slices.Equal(in, []bool{true, false}) {
		t.Errorf("a move that shows: %v", in)
	}
}

func TestSecondContactsAfterAMove(t *testing.T) {
	e := measured(none)
	e.closing(2.5, .1, 8)
	e.Pairs = append(e.Pairs, Pair{Kind: OtherDepth, SD: .1, DOF: 8, AfterLines: true})
	close(t, "before it", surprise(e, ReadoutMovedAfter), 4+surpriseOf(truth), 1e-9)
	e.Pairs[1].Value = 2.5
	close(t, "after it", surprise(e, ReadoutMovedAfter), 4+surpriseOf(truth), 1e-9)
	e.Pairs[1].Value = 1.5
	close(t, "neither", surpriseBy(e, ReadoutMovedAfter, 2.5), 4+surpriseOf(truth)+seen(10, 8), 1e-9)
	// Another closing pair does not move.
	e.Pairs[1].Kind, e.Pairs[1].Value = Closing, 0
	close(t, "two closing pairs", surpriseBy(e, ReadoutMovedAfter, 2.5), 4+surpriseOf(truth)+seen(25, 8), 1e-9)
	e.Pairs[1].AfterLines = false
	close(t, "a pair before the lines", surpriseBy(e, ReadoutMovedAfter, 2.5), 4+surpriseOf(truth), 1e-9)
}

func TestBankAngleDiffersOfItsPairs(t *testing.T) {
	e := measured(none)
	e.Pairs = []Pair{{Kind: OtherDepth, Value: 2, SD: .1, DOF: 8}}
	if got := surprise(e, BankAngleDiffers); !math.IsInf(got, 1) {
		t.Errorf("of another depth: %g", got)
	}
	e.Pairs = []Pair{{Kind: OtherBank, Value: .14, SD: .1, DOF: 8, Cylinder: "6"}}
	if got := surprise(e, BankAngleDiffers); !math.IsInf(got, 1) {
		t.Errorf("by next to nothing: %g", got)
	}
	e.Pairs = []Pair{
		{Kind: OtherBank, Value: 2, SD: .1, DOF: 8, Cylinder: "6"},
		{Kind: OtherBank, Value: 2, SD: .1, DOF: 8, Cylinder: "6"},
		{Kind: OtherBank, SD: .1, DOF: 8, Cylinder: "4"},
		{Kind: OtherDepth, SD: .1, DOF: 8, Cylinder: "6"},
	}
	close(t, "two of one bank, none of another", surprise(e, BankAngleDiffers), 8+surpriseOf(truth), 1e-9)
}

// The one order for all is held by what would put the lines elsewhere on either
// side, or right.
func TestPointerHeld(t *testing.T) {
	e := closed([]float64{3, 3, 3})
	w := newWeigher(&e, nil)
	w.skipAt = math.Inf(1)
	w.measured, _ = w.weigh(claim{code: AsMeasured})
	best := cheapest(w.measured.stories)
	for _, c := range []struct {
		late  Row
		claim claim
		want  bool
	}{
		{Row{3, 3, 3}, claim{}, false},
		{Row{3.5, 3.5, 3.5}, claim{}, false},
		{Row{3.6, 3.6, 3.6}, claim{}, true},
		{Row{2.4, 2.4, 2.4}, claim{}, true},
		{Row{2.5, 2.5, 2.5}, claim{}, false},
		{Row{.9, .9, .9}, claim{}, true},
		{Row{2, 3, 4}, claim{}, false},
		{Row{3, 3, 3}, claim{creeps: 1}, true},
	} {
		e.Creep = []Creep{{Mounting: 0, Drift: .4, P: .001}}
		d := Diagnosis{}
		got := common(w, &d, best, []weighed{{Explanation: Explanation{Offset: c.late}, claim: c.claim}}, false)
		if got.Held != c.want || got.Scribe == c.want {
			t.Errorf("%v: %+v", c.late, got)
		}
	}
	d := Diagnosis{Refuted: true}
	if got := common(w, &d, best, nil, false); got.Held || got.Scribe || got.Verdict != Undecided || got.IfRight != Outside {
		t.Errorf("refuted: %+v", got)
	}
}

func TestAskedOnce(t *testing.T) {
	a, b := observation(Look, 1), observation(Look, 2)
	if a.same(b) || !a.same(observation(Look, 1)) || a.same(observation(ReadAgain, 1)) {
		t.Error("lines and kinds are not told apart")
	}
	c := a
	c.Mounting = 1
	if a.same(c) {
		t.Error("mountings are not told apart")
	}
	c = a
	c.Cylinder = "6"
	if a.same(c) {
		t.Error("cylinders are not told apart")
	}
	c = a
	c.On = onHub
	if a.same(c) {
		t.Error("parts are not told apart")
	}
	c = a
	c.Expect, c.Effort = 7, 9
	if !a.same(c) {
		t.Error("one observation with two expectations is asked for twice")
	}
}

func TestSmallThings(t *testing.T) {
	// The first line is a line, not a contact.
	e := measured(only(0, 2))
	e.Odd = &Odd{P: 1e-6, Line: 0, Without: measured(none).Offset}
	if best := Explain(e, nil).Standing[0]; best.Code != ReadingSlipped || !slices.Equal(best.Lines, []int{0}) {
		t.Errorf("got %+v", best)
	}
	// One line alone that has letters makes no claim of all letters.
	e = bench([]float64{0, 0})
	e.at(0, 10)
	if got := proposeLetters(newWeigher(&e, nil), 8); len(got) != 1 {
		t.Errorf("%d claims", len(got))
	}
	e.at(-10, 10)
	if got := proposeLetters(newWeigher(&e, nil), 8); len(got) != 3 || got[2].lines != nil {
		t.Errorf("%d claims", len(got))
	}
	// A closing pair counts for its own mounting, and only after the lines.
	e = bench([]float64{0}, []float64{0})
	e.Pairs = []Pair{{Kind: Closing, Mounting: 0, AfterLines: true}, {Kind: OtherDepth, Mounting: 1}}
	if w := newWeigher(&e, nil); !closedIn(w, 0) || closedIn(w, 1) {
		t.Error("the wrong mounting is closed")
	}
	// On the early side too a line comes after the pointer from T + U on.
	for late, want := range map[float64]bool{1.81: false, 1.79: true} {
		if c := Explain(closed([]float64{3, 3, 3, 3, late}), nil).Decisions[4]; c.After != want {
			t.Errorf("at %g: %+v", late, c)
		}
	}
	// A single offset is its own mean, also at half a turn.
	e = bench([]float64{180, math.NaN()})
	if w := newWeigher(&e, nil); w.mean[0] != 180 || !isNaN(w.mean[1]) {
		t.Errorf("means %v", w.mean)
	}
	e = bench([]float64{179}, []float64{-179})
	if w := newWeigher(&e, nil); w.mean[0] != 180 {
		t.Errorf("means %v", w.mean)
	}
}

func TestMoreSmallThings(t *testing.T) {
	// A creep of one mounting says nothing of a closing pair of another.
	e := measured(none, none)
	e.Creep = []Creep{{Mounting: 0, Drift: .8, P: 1e-9}}
	e.Pairs = []Pair{{Kind: Closing, Mounting: 1, Value: .8, SD: .1, DOF: 8, AfterLines: true}}
	close(t, "creep", surprise(e, ReadoutCreeps), 4+surpriseOf(truth)+seen(8, 8), 1e-9)
	e.Pairs[0].Mounting = 0
	close(t, "creep on", surprise(e, ReadoutCreeps), 4+surpriseOf(truth), 1e-9)
	// What TDC shows is not always known.
	e = bench([]float64{2.9, 2.9, 2.9})
	e.Shows = nil
	if o := Explain(e, nil).Decisions[3].Ask; o.Kind != ClosingPair || o.Expect != 0 {
		t.Errorf("got %+v", o)
	}
	// A hub line that was not read tells no ring from a pointer.
	e = closed([]float64{3, 3, 3, math.NaN()})
	e.BondedRing = true
	e.on("ring", "ring", "ring", "hub")
	if c := Explain(e, nil).Decisions[4]; c.Line != Pointer || !c.Held || c.Ask.On != onHub || c.Ask.Lines != nil {
		t.Errorf("got %+v", c)
	}
	close(t, "half a degree of freedom", seen(1, .5), 1.5*math.Log(3), 1e-12)
	if got := seen(some(0), 1); !(got >= 0) {
		t.Errorf("got %g", got)
	}
	// What is known exactly refutes, and is a number.
	e = measured(none, none)
	e.Own[0][0], e.Own[1][0] = 0, 0
	e.Offset[0][0] += .1
	e.closing(.1, 0, 8)
	if d := Explain(e, nil); math.IsNaN(d.Measured.Surprise) || math.IsInf(d.Measured.Surprise, 0) || !d.Refuted {
		t.Errorf("got %+v", d.Measured)
	}
	// A stop on an engine that is not known.
	var at []float64
	for _, c := range proposeStopCylinder(newWeigher(&Evidence{Offset: Table{{0}}, Own: Table{{0}}, TDC: e.TDC[:1], Lines: e.Lines[:1]}, nil), 8) {
		at = append(at, math.Abs(c.shift))
	}
	slices.Sort(at)
	if want := []float64{45, 45, 60, 60, 72, 72, 90, 90, 120, 120, 144, 144, 180}; !slices.Equal(at, want) {
		t.Errorf("got %v", at)
	}
}

// Of one mistake with several shifts those that put a line elsewhere are kept, even
// where a better one leaves it.
func TestShiftsThatPutALineElsewhereAreKept(t *testing.T) {
	e := bench([]float64{.4167, 3.5417, .1667, .4167})
	for j := range e.Lines {
		e.Lines[j].Early, e.Lines[j].Late = .6, .6
	}
	e.prove()
	e.closing(.29, .068, 6)
	d := Explain(e, nil)
	var moved []Explanation
	for _, s := range d.Standing {
		if s.Code == ReadoutMoved && s.Lines == nil {
			moved = append(moved, s)
		}
	}
	if len(moved) != 2 || math.Abs(moved[0].Shift.Degrees()-.29) > 1e-9 || math.Abs(moved[1].Shift.Degrees()-.4167) > 1e-9 {
		t.Fatalf("got %+v", moved)
	}
	if c := d.Decisions[1]; c.Scribe || !c.Held || len(c.Against) == 0 || d.Standing[c.Against[0]].Code != ReadoutMoved {
		t.Errorf("got %+v", c)
	}
}
