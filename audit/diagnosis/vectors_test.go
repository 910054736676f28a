package diagnosis

import (
	"math"
	"slices"
	"testing"
)

// Computed apart from this code, by hand and by another program, from the
// formulas beside each function; printed to three decimals.
func TestPrices(t *testing.T) {
	for m, want := range map[float64]float64{.25: .446, .5: 1.386, 1: 3.219, 2: 5.666, 4: 8.349, 10: 11.988, 20: 14.757} {
		close(t, "own", own(m, 0), want, 0.0006)
		close(t, "own, early", own(-m, 0), want, 0.0006)
	}
	for x, want := range map[float64]float64{1: 4.211, 3: 5.386, 6: 7.219, 20: 11.633} {
		close(t, "shared", shared(x), want, 0.0006)
	}
	for x, want := range map[float64]float64{1: 4.020, 3: 4.172, 10: 5.386, 40: 9.666} {
		close(t, "moved", moved(4, 1, x), want, 0.0006)
	}
	for z, want := range map[float64]float64{1: 1.094, 2: 3.527, 3: 6.178, 10: 18.267} {
		close(t, "seen", seen(z, 5), want, 0.0006)
	}
	close(t, "seen, exactly known", seen(3, 0), 9, 0)
	close(t, "seen, as good as exactly", seen(3, 1e9), 9, 1e-6)
	close(t, "own, u as wide as the line", own(1, math.Sqrt(0.75)), 2*math.Ln2, 1e-12)
	close(t, "moved alike twice", moved(4, 2, 10)-moved(4, 1, 10), 4+2*math.Log(25), 1e-12)
}

func TestUnlikely(t *testing.T) {
	for _, c := range []struct{ p, free, want float64 }{
		{1, 2, 0}, {math.Exp(-1), 2, 0}, {0.01, 2, 7.2103}, {0.01, 4, 5.2103}, {0.9, 0, 0.2107},
	} {
		close(t, "unlikely", unlikely(c.p, c.free), c.want, 0.0001)
	}
	if s := unlikely(0, 2); math.IsInf(s, 0) || s < 1000 {
		t.Errorf("of no probability: %g", s)
	}
}

// Worked examples: surprises to the digits printed, then what follows. The same
// formulas by another program, outside this project's code.
func TestWorkedExamples(t *testing.T) {
	t.Run("five lines off together, no closing pair", func(t *testing.T) {
		e := bench([]float64{2.65, 2.80, 2.95, 3.10, 3.31})
		w := newWeigher(&e, nil)
		told := w.stories(w.mean)
		close(t, "lines", told[0].cost, 35.43, 0.006)
		close(t, "all", told[1].cost, 7.09, 0.006)
		close(t, "its shift", told[1].x, 2.95, 1e-9)
		close(t, "as measured", surprise(e, AsMeasured), 7.09, 0.006)
		close(t, "moved", surprise(e, ReadoutMoved), 5.90, 0.006)
		d := Explain(e, nil)
		pointer := d.Decisions[5]
		if d.Refuted || pointer.Line != Pointer || pointer.Scribe || !pointer.Held || pointer.Ask.Kind != ClosingPair {
			t.Errorf("got %+v", pointer)
		}
		close(t, "held order", pointer.Late.Degrees(), 2.962, 1e-9)
		close(t, "the pair as measured", pointer.Ask.Expect.Degrees(), 12.3, 1e-9)
		for j, c := range d.Decisions[:5] {
			if c.Scribe || c.Held || c.Verdict != Undecided || c.IfRight != Outside || len(c.Against) == 0 {
				t.Errorf("line %d: %+v", j, c)
			}
		}
		if len(d.Ask) != 1 || d.CloseFirst != nil {
			t.Errorf("asks %+v, first %v", d.Ask, d.CloseFirst)
		}
	})
	t.Run("the same with a closing pair", func(t *testing.T) {
		e := bench([]float64{2.65, 2.80, 2.95, 3.10, 3.31})
		e.closing(.02, .06, 6)
		close(t, "as measured", surprise(e, AsMeasured), 7.09+.13, 0.01)
		close(t, "moved", surpriseBy(e, ReadoutMoved, 2.95), 47.8, 0.06)
		d := Explain(e, nil)
		if p := d.Decisions[5]; !p.Scribe || p.Held || !p.Look || d.Story.Kind != AllAlike || len(d.Sharing) != 5 || d.CloseFirst != nil || len(d.Ask) != 0 {
			t.Errorf("got %+v of %+v", p, d)
		}
		for _, c := range d.Decisions[:5] {
			if c.Scribe || c.Verdict != Outside {
				t.Errorf("line %d: %+v", c.Line, c)
			}
		}
	})
	t.Run("one line off, no closing pair", func(t *testing.T) {
		e := bench([]float64{2, .05, -.05, .1})
		close(t, "as measured", surprise(e, AsMeasured), 5.71, 0.006)
		close(t, "moved before that line", surprise(e, ReadoutMoved), 4.19, 0.006)
		d := Explain(e, nil)
		if c := d.Decisions[0]; c.Scribe || !c.Held || c.Verdict != Undecided || c.IfRight != Outside {
			t.Errorf("got %+v", c)
		}
		for _, c := range d.Decisions[1:] {
			if c.Verdict != Within || len(c.Against) != 0 {
				t.Errorf("got %+v", c)
			}
		}
	})
	t.Run("the same with a closing pair", func(t *testing.T) {
		e := bench([]float64{2, .05, -.05, .1})
		e.closing(.03, .06, 6)
		close(t, "as measured", surprise(e, AsMeasured), 5.99, 0.01)
		close(t, "moved", surpriseBy(e, ReadoutMoved, 2), 40.6, 0.06)
		d := Explain(e, nil)
		if c := d.Decisions[0]; !c.Scribe || c.Held || c.After || c.Verdict != Outside || c.Late != 2 || len(d.Decisions) != 4 {
			t.Errorf("got %+v", d.Decisions)
		}
	})
	t.Run("two setups that agree", func(t *testing.T) {
		alike := []float64{2, 2, 2, 2, 2}
		e := bench(alike, alike)
		close(t, "as measured", surprise(e, AsMeasured), 4.74, 0.006)
		close(t, "moved alike in both", surprise(e, ReadoutMoved), 14.5, 0.06)
		d := Explain(e, nil)
		if p := d.Decisions[5]; !p.Scribe || d.CloseFirst == nil || d.CloseFirst.Kind != ClosingPair || d.CloseFirst.Expect != 12.3 || d.CloseFirst.Mounting != 1 {
			t.Errorf("got %+v, first %+v", p, d.CloseFirst)
		}
	})
	t.Run("lines off in their own ways", func(t *testing.T) {
		e := bench([]float64{1.5, -1.2, 2.1, .3})
		e.closing(0, .06, 6)
		e.Lines[1].U = 0.1
		e.prove()
		close(t, "as measured", surprise(e, AsMeasured), 14.66, 0.006)
		w := newWeigher(&e, nil)
		if told := w.stories(w.mean); len(told) != 1 {
			t.Errorf("all alike has a majority: %+v", told)
		}
		d := Explain(e, nil)
		for j, want := range []bool{true, true, true, false} {
			if d.Decisions[j].Scribe != want {
				t.Errorf("line %d: %+v", j, d.Decisions[j])
			}
		}
	})
	t.Run("letters of one line", func(t *testing.T) {
		e := bench([]float64{.1, .1, .1, -19.9})
		e.at(120, 180, 240, 10)
		e.closing(0, .06, 6)
		close(t, "as measured", surprise(e, AsMeasured), 14.9, 0.06)
		close(t, "letters", surprise(e, Letters), 8.30, 0.006)
		close(t, "unnamed", surprise(e, Unnamed), 20.2, 0.06)
		d := Explain(e, nil)
		if !d.Refuted || d.Standing[0].Code != Letters || len(d.Ask) != 1 || d.Ask[0].Kind != Look || !slices.Equal(d.Ask[0].Lines, []int{3}) {
			t.Errorf("got %+v", d)
		}
		for _, c := range d.Decisions {
			if c.Scribe || c.Held || c.Verdict != Undecided {
				t.Errorf("got %+v", c)
			}
		}
		e = bench([]float64{2, .1, .1, -19.9})
		e.at(120, 180, 240, 10)
		e.closing(0, .06, 6)
		close(t, "one off: as measured", surprise(e, AsMeasured), 20.4, 0.06)
		close(t, "one off: letters", surprise(e, Letters), 13.8, 0.06)
		if d := Explain(e, nil); !d.Refuted || slices.ContainsFunc(d.Decisions, func(c Decision) bool { return c.Scribe }) {
			t.Errorf("got %+v", d)
		}
	})
	t.Run("the other bank's angle taken from the sheet", func(t *testing.T) {
		e := bench([]float64{0, 2, 0, 2, 0})
		e.at(0, 0, 120, 120, 240)
		e.Cylinders = []Cylinder{{"1", 0}, {"6", 90}}
		for j := range e.Lines {
			e.Lines[j].Cylinder = "1"
			if j == 1 || j == 3 {
				e.Lines[j].Cylinder, e.Lines[j].CylinderTDC = "6", 90
			}
		}
		e.Later, e.OpenCylinder = Table{{0, 90, 0, 90, 0}}, "6"
		e.closing(0, .06, 6)
		close(t, "as measured", surprise(e, AsMeasured), 11.2, 0.06)
		close(t, "bank angle", surprise(e, BankAngle), 4, 0.006)
		d := Explain(e, nil)
		if !d.Refuted || len(d.Ask) != 1 || d.Ask[0].Kind != OtherBankContacts || d.Ask[0].Cylinder != "6" {
			t.Errorf("asks %+v", d.Ask)
		}
	})
	t.Run("pieces that contradict by themselves", func(t *testing.T) {
		e := bench([]float64{0, 0, 0})
		e.Pairs = []Pair{{Kind: OtherDepth, Value: 1.97, SD: .07, DOF: 8}}
		d := Explain(e, nil)
		close(t, "two sets of contacts", d.Measured.Worst.Surprise, 41.4, 0.06)
		if !d.Refuted || d.Measured.Worst.Kind != ItemPair || d.Standing[0].Code != MovedBetween || d.Ask[0].Kind != ReadAgain || d.Ask[0].Lines != nil {
			t.Errorf("got %+v, asks %+v", d.Measured, d.Ask)
		}

		e = bench([]float64{5, 0, 0, 0, 0, 0}, []float64{-5, 0, 0, 0, 0, 0})
		for i := range e.Own {
			for j := range e.Own[i] {
				e.Own[i][j] = .05
			}
		}
		e.Scatter.LineDOF = 6
		// The line alone; beside it the setups as wholes would be 1.67 apart.
		line := 0.0
		w := newWeigher(&e, nil)
		whole := near(5 - 5.0/6)
		w.setups(w.late, w.mean, func(i Item, s float64) bool {
			if i.Kind == ItemLine && i.Line == 0 {
				line += s
			}
			return true
		})
		close(t, "one line ± 5, less the setups", line, 9*math.Log1p(whole*whole/(.0025/2)/8), 1e-9)
		close(t, "one line ± 5", seen(5/(.05*math.Sqrt(.5)), 8), 70.4, 0.06)
		d = Explain(e, nil)
		if !d.Refuted || d.Measured.Worst.Kind != ItemLine || d.Measured.Worst.Line != 0 {
			t.Errorf("got %+v", d.Measured)
		}
	})
	t.Run("a ring that has slipped", func(t *testing.T) {
		e := bench([]float64{3, 2.9, 3.1, 0, .1})
		e.BondedRing = true
		e.on("ring", "ring", "ring", "hub", "hub")
		e.closing(0, .06, 6)
		with, without := ringCosts(e)
		close(t, "with", with, 5.61, 0.006)
		close(t, "without", without, 19.57, 0.006)
		d := Explain(e, nil)
		if d.Ring != RingSlipped || (d.Story != Story{PartAlike, "ring"}) || slices.ContainsFunc(d.Decisions, func(c Decision) bool { return c.Scribe || c.Held }) {
			t.Errorf("got %+v", d)
		}
		close(t, "its shift", d.Shift.Degrees(), 3, 1e-9)
	})
	t.Run("a ring that has not", func(t *testing.T) {
		e := bench([]float64{.3, -.2, .1, .6, .5})
		e.BondedRing = true
		e.on("ring", "ring", "ring", "hub", "hub")
		e.closing(0, .06, 6)
		with, without := ringCosts(e)
		close(t, "with", with, 7.97, 0.006)
		close(t, "without", without, 4.04, 0.006)
		if d := Explain(e, nil); d.Ring != RingNoSign {
			t.Errorf("got %v", d.Ring)
		}
	})
}

func ringCosts(e Evidence) (with, without float64) {
	w := newWeigher(&e, nil)
	with, without = math.Inf(1), math.Inf(1)
	for _, s := range w.stories(w.mean) {
		if (s.story == Story{PartAlike, onRing}) {
			with = s.cost
		} else {
			without = math.Min(without, s.cost)
		}
	}
	return with, without
}
