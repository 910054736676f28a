package diagnosis

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// A slipped ring tells nothing where an explanation that stands puts the ring's lines
// otherwise against the others, whatever it does to all alike.
func TestRingApartFromTheOthers(t *testing.T) {
	e := bench([]float64{5, 5.4, 0, 0.2})
	e.on("ring", "ring", "hub", "hub")
	w := newWeigher(&e, nil)
	for _, c := range []struct {
		late [4]float64
		want bool
	}{
		{[4]float64{5, 5.4, 0, 0.2}, true},
		{[4]float64{8, 8.4, 3, 3.2}, true},
		{[4]float64{5.4, 5.8, 0, 0.2}, true},
		{[4]float64{4.6, 5, 0, 0.2}, true},
		{[4]float64{5.6, 6, 0, 0.2}, false},
		{[4]float64{4.4, 4.8, 0, 0.2}, false},
		{[4]float64{5, 5.4, 0.6, 0.8}, false},
		{[4]float64{-5, -5.4, 0, -0.2}, false},
	} {
		late := make(Row, 4)
		for j, d := range c.late {
			late[j] = geometry.Angle(d)
		}
		if got := ringApart(w, []weighed{{Explanation: Explanation{Offset: late}}}); got != c.want {
			t.Errorf("%v: %v", c.late, got)
		}
	}
}

// A ring that slipped is a story of its own; all lines alike is one where no line of
// the hub was read. Either way from half the tolerance on, here 0.5, late or early.
func TestStoriesOfARing(t *testing.T) {
	for _, c := range []struct {
		on   []string
		t    told
		want bool
	}{
		{[]string{"ring", "hub"}, told{story: Story{PartAlike, onRing}, x: 0.6}, true},
		{[]string{"ring", "hub"}, told{story: Story{PartAlike, onRing}, x: -0.6}, true},
		{[]string{"ring", "hub"}, told{story: Story{PartAlike, onRing}, x: 0.45}, false},
		{[]string{"ring", "hub"}, told{story: Story{AllAlike, ""}, x: 0.6}, false},
		{[]string{"ring", "flywheel"}, told{story: Story{AllAlike, ""}, x: 0.6}, true},
		{[]string{"ring", "hub"}, told{story: Story{PartAlike, onHub}, x: 0.6}, false},
	} {
		e := bench([]float64{1, 0})
		e.on(c.on...)
		e.BondedRing = true
		if got := ringStory(newWeigher(&e, nil), []told{c.t}); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
	e := bench([]float64{1, math.NaN()}) // the hub's line was not read
	e.on("ring", "hub")
	e.BondedRing = true
	if !ringStory(newWeigher(&e, nil), []told{{story: Story{AllAlike, ""}, x: 0.6}}) {
		t.Error("a hub that was not read speaks for itself")
	}
}

// How far apart lines are judged: the mean of some by the shorter way round, whichever
// comes first, and what is off by more than its tolerance on either side.
func TestShiftsOfLines(t *testing.T) {
	e := bench([]float64{178, -178, -176, 1.5, -1.5, 0.5})
	w := newWeigher(&e, nil)
	late := func(j int) float64 { return w.mean[j] }
	for _, lines := range [][]int{{0, 1, 2}, {2, 0, 1}, {1, 2, 0}} {
		close(t, "shift", geometry.Angle(shiftOf(w, lines, late).Degrees()-(178+182+184)/3.0).Wrap().Degrees(), 0, 1e-9)
	}
	close(t, "of one", shiftOf(w, []int{3}, late).Degrees(), 1.5, 1e-12)
	for j, want := range map[int]bool{3: true, 4: true, 5: false} {
		if w.off(j) != want {
			t.Errorf("line %d: %v", j, w.off(j))
		}
	}
	if !sameTable([][]float64{{1, 2}}, [][]float64{{1, 2}}) || sameTable([][]float64{{1, 2}}, [][]float64{{1, 3}}) || sameTable([][]float64{{1, 3}}, [][]float64{{1, 2}}) {
		t.Error("tables")
	}
	if single(w) {
		t.Error("six lines are not one")
	}
	for reads, want := range map[[2]float64]bool{{1, math.NaN()}: true, {1, 2}: false} {
		e := bench(reads[:], reads[:])
		if single(newWeigher(&e, nil)) != want {
			t.Errorf("%v: single %v", reads, !want)
		}
	}
}

// Teeth between two lines go either way round: 30 of 120 are a quarter of a turn, and
// 90 the same one; a chord below a millimetre is a chord.
func TestTeethEitherWayRound(t *testing.T) {
	for teeth, want := range map[float64]bool{30: true, 90: true, 31: false, 29: false, 91: false, 89: false} {
		e := bench([]float64{0, 0})
		e.at(10, 100)
		e.Distances = []Distance{{From: 0, To: 1, Teeth: teeth, TeethSD: 0.1, TeethRound: 120}}
		w := newWeigher(&e, nil)
		loud := 0.0
		w.distances(w.mean, nil, func(_ Item, s float64) bool { loud += s; return true })
		if (loud < 1e-9) != want {
			t.Errorf("%v teeth: %v", teeth, loud)
		}
	}
	e := bench([]float64{0, 0})
	e.at(10, 100)
	e.Distances = []Distance{{From: 0, To: 1, Chord: geometry.Length(0.8 * math.Sin(math.Pi/4)), ChordSD: 0.01, Diameter: 0.8}}
	w := newWeigher(&e, nil)
	w.distances(w.mean, nil, func(_ Item, s float64) bool {
		close(t, "a small part", s, 0, 1e-9)
		return true
	})
}

// Near half a turn the shorter way from where a line was measured counts.
func TestRingApartNearHalfATurn(t *testing.T) {
	e := bench([]float64{178, 178, 0, 0})
	e.on("ring", "ring", "hub", "hub")
	w := newWeigher(&e, nil)
	for to, want := range map[geometry.Angle]bool{178: true, 178.4: true, -178: false, -179: false} {
		if got := ringApart(w, []weighed{{Explanation: Explanation{Offset: Row{to, to, 0, 0}}}}); got != want {
			t.Errorf("%v: %v", to, got)
		}
	}
}

// A move that leaves every line where it is refutes nothing, but where a closing pair
// shows it, on either side.
func TestIdleMoves(t *testing.T) {
	for _, c := range []struct {
		code  Code
		pair  float64
		shift float64
		want  bool
	}{
		{ReadoutMovedAfter, 0.2, 0.2, false},
		{ReadoutMovedAfter, -0.2, -0.2, false},
		{ReadoutMovedAfter, 0.1, 0.1, true},
		{ReadoutMoved, 0.2, 0.2, true},
		{ReadoutMoved, 0.2, -0.2, true},
		{ReadoutMoved, 0.2, 0.6, false},
		{ReadoutMoved, 0.2, -0.6, false},
		{Names, 0.2, 0.1, false},
	} {
		e := bench([]float64{0, 0})
		e.closing(c.pair, 0.08, 8)
		x := weighed{Explanation: Explanation{Code: c.code, Mountings: []int{0}}, claim: claim{shift: c.shift}}
		if got := idle(newWeigher(&e, nil), x); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

// Mountings by themselves and all together; a median beside what there is; and what
// shows beside a line's scatter of 0.06 against one other mounting, 3 √2 times as much.
func TestWhereAndByHowMuch(t *testing.T) {
	e := bench([]float64{0, 0})
	if got := newWeigher(&e, nil).where(); fmt.Sprint(got) != "[[0]]" {
		t.Errorf("one: %v", got)
	}
	e = bench([]float64{0, 0}, []float64{0, 0})
	w := newWeigher(&e, nil)
	if got := w.where(); fmt.Sprint(got) != "[[0] [1] [0 1]]" {
		t.Errorf("two: %v", got)
	}
	border := 3 * 0.06 * math.Sqrt2
	for x, want := range map[float64]bool{1.01: true, -1.01: true, 0.99: false, -0.99: false} {
		if got := w.seenByOthers(0, 0, x*border); got != want {
			t.Errorf("%v of the border: %v", x, got)
		}
	}
	e = bench([]float64{0, 0}, []float64{0, 0}, []float64{0, 0})
	w = newWeigher(&e, nil) // against two others, 3 √1.5 times as much
	border = 3 * 0.06 * math.Sqrt(1.5)
	for x, want := range map[float64]bool{1.01: true, -1.01: true, 0.99: false, -0.99: false} {
		if got := w.seenByOthers(0, 0, x*border); got != want {
			t.Errorf("%v of the border of three: %v", x, got)
		}
	}
	if got := withMedian([]float64{math.NaN(), 5}); near6(got) != "[5 5]" {
		t.Errorf("one and its median: %v", got)
	}
	if got := withMedian([]float64{math.NaN()}); len(got) != 0 {
		t.Errorf("of none: %v", got)
	}
	// On a dial a line moves by a share of its own, and a line that moves by none tells
	// nothing of a move.
	e = bench([]float64{0, 4, 3}, []float64{0, 2, 1})
	e.Move = []float64{1, 0.5, 0}
	got := newWeigher(&e, nil).shifts([]int{0})
	if !slices.ContainsFunc(got, func(x float64) bool { return math.Abs(x-4) < 1e-9 }) || slices.ContainsFunc(got, math.IsNaN) || slices.ContainsFunc(got, func(x float64) bool { return math.IsInf(x, 0) }) {
		t.Errorf("shifts %v", got)
	}
}

// The outer ring is one where the pulley is bonded, and its lines are those on it.
func TestLinesOnTheRing(t *testing.T) {
	for _, bonded := range []bool{true, false} {
		e := bench([]float64{1, 0, 2})
		e.on("ring", "hub", "")
		e.BondedRing = bonded
		w := newWeigher(&e, nil)
		for j := range e.Lines {
			if got := lineOnRing(w, j); got != (bonded && j == 0) {
				t.Errorf("bonded %v, line %d: %v", bonded, j, got)
			}
		}
	}
}
