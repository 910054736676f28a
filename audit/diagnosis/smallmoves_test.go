package diagnosis

import (
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

// A line that only one mounting read can be taken for one that both read: what is
// then said of it has no NaN, and the list stays in order.
func TestNamesOfLinesThatNotEveryMountingRead(t *testing.T) {
	e := bench([]float64{1, 0, 0}, []float64{1, 0, 0})
	e.at(0, 2, 90)
	e.Offset[1][1], e.Own[1][1] = geometry.Angle(math.NaN()), geometry.Angle(math.NaN())
	d := Explain(e, nil)
	last := 0.0
	for _, s := range d.Standing {
		if !(s.Surprise >= last-1e-6) {
			t.Errorf("%v surprises by %v after one by %v", s.Code, s.Surprise, last)
		}
		last = s.Surprise
	}
	if got := surprise(e, Names); isNaN(got) || math.IsInf(got, 1) {
		t.Errorf("names surprise by %v", got)
	}
}

// Two banks that stand 0.3 off the sheet's angle move no line by half of its
// tolerance, whichever is right. As evidence that costs 9 ln(1 + 3.75²/8) = 9.13
// a mounting (the formula of pairs), more than the maker's angle being another (8)
// and six. It refutes nothing, where a tolerance of 0.5 would have it refute.
func TestSecondContactsThatMoveNoLineRefuteNothing(t *testing.T) {
	for _, c := range []struct {
		tolerance geometry.Angle
		refuted   bool
	}{{1, false}, {0.5, true}} {
		e := bench([]float64{2, 2, 2, 2}, []float64{2, 2, 2, 2})
		e.Cylinders = []Cylinder{{"1", 0}, {"2", 90}}
		e.at(0, 120, 0, 120)
		for j := range e.Lines {
			l := &e.Lines[j]
			l.Early, l.Late, l.Cylinder = c.tolerance, c.tolerance, []string{"1", "1", "2", "2"}[j]
		}
		for i := range 2 {
			e.Pairs = append(e.Pairs, Pair{Mounting: i, Kind: OtherBank, Value: 0.3, SD: 0.08, DOF: 8, Cylinder: "2", Declared: 90})
		}
		if d := Explain(e, nil); d.Refuted != c.refuted {
			t.Errorf("tolerance %v: got refuted %v, surprise %g beside %g", c.tolerance, d.Refuted, d.Measured.Surprise, d.Best().Surprise)
		}
	}
}

// All lines 4 early, one of them misread as 8 early throughout, and teeth counted to
// both its neighbours that say so. Neither count refutes by itself: of 1.5 teeth
// with a standard deviation of 0.32 each surprises by 9 ln(1 + 4.69²/8) = 11.9. A
// mistake in that line which leaves it as far off as the others explains both.
func TestAnUnnamedMistakeLeavesALineWhereTheOthersAre(t *testing.T) {
	e := bench([]float64{-4, -8, -4, -4})
	e.at(0, -14, 120, 240)
	e.closing(0, .06, 6)
	if d := Explain(e, nil); d.Refuted {
		t.Errorf("refuted without distances, by %v", d.Best().Code)
	}
	for _, to := range []int{0, 2} {
		gap := math.Abs((e.Lines[to].At - e.Lines[1].At).Degrees())
		e.Distances = append(e.Distances, Distance{From: 1, To: to, Teeth: gap * 135 / 360, TeethSD: 0.32, TeethRound: 135})
	}
	d := Explain(e, nil)
	if best := d.Best(); !d.Refuted || best.Code != Unnamed || !slices.Equal(best.Lines, []int{1}) || (best.Offset[1]+4).Abs() > 0.01 {
		t.Errorf("got refuted %v, best %+v", d.Refuted, best)
	}
}

// Four lines, one of them 2 late, half a tolerance of 0.6 is 0.3, and a pair that
// closes 0.31 off. Of a standard deviation of 0.17 that is chance: as evidence it
// costs 7 ln(1 + 1.82²/6) = 3.1, a move 4 and, before it may stand,
// 2 ln(10/(0.17 √(2π))) = 6.3 more, for 0.9 that the line is then nearer to its
// place: together more than 6 above. Of 0.1 the pair costs 7 ln(1 + 3.1²/6) = 6.7,
// and the line is held. Neither is refuted.
func TestAPairThatClosesALittleOffByChanceHoldsNothing(t *testing.T) {
	for _, c := range []struct {
		sd   float64
		held bool
	}{{0.17, false}, {0.1, true}} {
		e := bench([]float64{2, 0, 0, 0})
		for j := range e.Lines {
			e.Lines[j].Early, e.Lines[j].Late = 0.6, 0.6
		}
		e.prove()
		e.closing(0.31, c.sd, 6)
		d := Explain(e, nil)
		if got := d.Decisions[0]; got.Held != c.held || got.Scribe == c.held || d.Refuted {
			t.Errorf("a pair that scatters by %v: got %+v, refuted %v, of %+v", c.sd, got, d.Refuted, d.Standing)
		}
	}
}

// Middles that creep by 0.1, however clearly, refute nothing where a quarter of
// each tolerance is 0.25; where it is 0.0875 they do.
func TestACreepThatMattersToNoLineRefutesNothing(t *testing.T) {
	for _, c := range []struct {
		tolerance geometry.Angle
		refuted   bool
	}{{1, false}, {0.35, true}} {
		e := bench([]float64{2, 0, 0, 0})
		for j := range e.Lines {
			e.Lines[j].Early, e.Lines[j].Late = c.tolerance, c.tolerance
		}
		e.prove()
		e.closing(0, 0.05, 6)
		e.Creep = []Creep{{Mounting: 0, Drift: 0.1, P: 1e-9}}
		if d := Explain(e, nil); d.Refuted != c.refuted || d.Decisions[0].Scribe == c.refuted {
			t.Errorf("tolerance %v: got refuted %v, %+v", c.tolerance, d.Refuted, d.Decisions[0])
		}
	}
}
