package diagnosis

import (
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

func closed(setups ...[]float64) Evidence {
	e := bench(setups...)
	for i := range setups {
		e.Pairs = append(e.Pairs, Pair{Kind: Closing, Mounting: i, SD: .08, DOF: 8, AfterLines: true})
	}
	return e
}

func TestIfRight(t *testing.T) {
	for _, c := range []struct {
		name string
		line Line
		want Verdict
	}{
		{"within", Line{Known: true, Conforms: .9}, Within},
		{"late", Line{Known: true, TooLate: .9}, Outside},
		{"early", Line{Known: true, TooEarly: .9}, Outside},
		{"off, but nobody knows to which side", Line{Known: true, TooEarly: .5, TooLate: .5}, Undecided},
		{"nearly", Line{Known: true, TooLate: .8999, Conforms: .1001}, Undecided},
		{"no scatter", Line{Conforms: 1}, Undecided},
		{"at the threshold", Line{Known: true, Conforms: .9, TooLate: .1}, Within},
		{"no number", Line{Known: true, Conforms: math.NaN(), TooEarly: math.NaN(), TooLate: math.NaN()}, Undecided},
	} {
		if got := ifRight(c.line, .9); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

func TestOrders(t *testing.T) {
	t.Run("a line that is off beside the pointer comes after it", func(t *testing.T) {
		e := closed([]float64{3, 3.1, 2.9, 3, 9})
		d := Explain(e, nil)
		pointer, line := d.Decisions[5], d.Decisions[4]
		if pointer.Line != Pointer || !pointer.Scribe || !slices.Equal(d.Sharing, []int{0, 1, 2, 3}) || math.Abs(pointer.Late.Degrees()-3) > 1e-9 {
			t.Errorf("pointer %+v of %v", pointer, d.Sharing)
		}
		if !line.Scribe || !line.After || math.Abs(line.Late.Degrees()-6) > 1e-9 || line.Verdict != Outside || !line.Look {
			t.Errorf("line %+v", line)
		}
	})
	t.Run("a line that is right goes wrong with the pointer", func(t *testing.T) {
		e := closed([]float64{-3, -3, -3, -3, 0})
		if c := Explain(e, nil).Decisions[4]; !c.Scribe || !c.After || c.Late != 3 || c.Verdict != Within {
			t.Errorf("got %+v", c)
		}
	})
	t.Run("near the shift the pointer alone will do", func(t *testing.T) {
		e := closed([]float64{3, 3, 3, 3, 4.19})
		e.prove()
		for _, c := range Explain(e, nil).Decisions[:5] {
			if c.Scribe || c.Held {
				t.Errorf("got %+v", c)
			}
		}
		e = closed([]float64{3, 3, 3, 3, 4.21})
		if c := Explain(e, nil).Decisions[4]; !c.Scribe || !c.After {
			t.Errorf("1.21 from the shift, tolerance 1 and U 0.2: %+v", c)
		}
	})
	t.Run("a pointer is left alone while every line may be within", func(t *testing.T) {
		e := closed([]float64{.9, .9, .9, .9, .9, .9})
		d := Explain(e, nil)
		if d.Story.Kind != AllAlike || len(d.Decisions) != 6 {
			t.Errorf("got %+v", d)
		}
	})
	t.Run("a part that has moved against the others", func(t *testing.T) {
		e := closed([]float64{3, 3, 3, 0, 0, 4})
		e.on("flywheel", "flywheel", "flywheel", "", "", "")
		d := Explain(e, nil)
		part := d.Decisions[6]
		if part.Line != Part || part.On != "flywheel" || !part.Scribe || part.Late != 3 || !part.Look || d.Ring != RingNoSign {
			t.Errorf("got %+v", part)
		}
		if d.Decisions[0].Scribe || d.Decisions[3].Scribe || !d.Decisions[5].Scribe || d.Decisions[5].After {
			t.Errorf("lines %+v", d.Decisions)
		}
	})
	t.Run("a line on the hub is read again", func(t *testing.T) {
		e := closed([]float64{0, .1, 0, 3})
		e.on("ring", "ring", "ring", "hub")
		e.BondedRing = true
		d := Explain(e, nil)
		if c := d.Decisions[3]; c.Scribe || c.Held || c.Verdict != Outside || c.Ask.Kind != ReadAgain || !slices.Equal(c.Ask.Lines, []int{3}) {
			t.Errorf("got %+v", c)
		}
		if d.Ring != RingNoSign {
			t.Errorf("ring %v", d.Ring)
		}
		e.on("", "", "", "hub")
		e.BondedRing = false
		if c := Explain(e, nil).Decisions[3]; !c.Scribe {
			t.Errorf("the only part that has a name: %+v", c)
		}
	})
	t.Run("one line alone is looked at first", func(t *testing.T) {
		if c := Explain(closed([]float64{3}), nil).Decisions[0]; !c.Scribe || !c.Look {
			t.Errorf("got %+v", c)
		}
		if c := Explain(closed([]float64{3, 0}), nil).Decisions[0]; !c.Scribe || c.Look {
			t.Errorf("one of two: %+v", c)
		}
	})
	t.Run("a line that was not read, or of which no scatter is known", func(t *testing.T) {
		e := closed([]float64{math.NaN(), 3, 0})
		e.Lines[1].Known = false
		d := Explain(e, nil)
		if c := d.Decisions[0]; c.Scribe || c.Verdict != Undecided || c.Late != 0 || c.Against != nil {
			t.Errorf("not read: %+v", c)
		}
		if c := d.Decisions[1]; c.Scribe || c.Verdict != Undecided || c.IfRight != Undecided {
			t.Errorf("not known: %+v", c)
		}
	})
	t.Run("within needs only that nothing puts it beyond", func(t *testing.T) {
		e := bench([]float64{-.5, 1.4, 1.4, 1.4})
		d := Explain(e, nil) // a move by 1.4 leaves the first at -1.9
		if c := d.Decisions[0]; c.IfRight != Within || c.Verdict != Undecided || len(c.Against) == 0 {
			t.Errorf("got %+v", c)
		}
		e.Lines[0].Early = 2.5
		e.prove()
		if c := Explain(e, nil).Decisions[0]; c.Verdict != Within || len(c.Against) > 0 {
			t.Errorf("with a wide tolerance: %+v", c)
		}
	})
}

// Of a sound ring nothing is said; of one that has slipped by little, perhaps.
func TestRing(t *testing.T) {
	pulley := func(ring, second float64) Evidence {
		e := closed([]float64{ring, ring, ring, 0, second})
		e.BondedRing = true
		e.on("ring", "ring", "ring", "hub", "hub")
		return e
	}
	for _, c := range []struct {
		slip float64
		want Ring
	}{{0, RingNoSign}, {.4, RingNoSign}, {1.05, RingMay}, {1, RingMay}, {1.5, RingSlipped}, {3, RingSlipped}, {-3, RingSlipped}} {
		if got := Explain(pulley(c.slip, 0), nil).Ring; got != c.want {
			t.Errorf("slipped by %g: %v", c.slip, got)
		}
	}
	e := pulley(3, 0)
	for j := range 3 {
		e.Lines[j].Early, e.Lines[j].Late = 3, 3
	}
	if got := Explain(e, nil).Ring; got != RingMay {
		t.Errorf("by no more than its tolerance: %v", got)
	}
	for j := range 3 {
		e.Lines[j].Early, e.Lines[j].Late = 6, 6
	}
	if got := Explain(e, nil).Ring; got != RingNoSign {
		t.Errorf("by half of its tolerance: %v", got)
	}
	e = pulley(3, 0)
	e.BondedRing = false
	if d := Explain(e, nil); d.Ring != RingNoSign || d.Decisions[len(d.Decisions)-1].Line != Part {
		t.Errorf("not bonded: %+v", d)
	}
	// A line of the ring gets no order while it may have slipped.
	e = pulley(1.08, 0)
	for j := range 3 {
		e.Lines[j].U = .06
	}
	e.prove()
	d := Explain(e, nil)
	if c := d.Decisions[0]; d.Ring != RingMay || c.Scribe || !c.Held || c.Ask.Kind != ReadAgain || c.Ask.On != onHub || !slices.Equal(c.Ask.Lines, []int{3, 4}) {
		t.Errorf("may have slipped: %+v of %+v", c, d)
	}
	// Without a line on the hub nothing tells a slipped ring from a bent pointer.
	e = closed([]float64{3, 3, 3})
	e.BondedRing = true
	e.on("ring", "ring", "ring")
	d = Explain(e, nil)
	if c := d.Decisions[3]; c.Line != Pointer || c.Scribe || !c.Held || c.Ask.On != onHub || c.Ask.Lines != nil {
		t.Errorf("no line on the hub: %+v", c)
	}
	// A knock before the lines of the ring were read looks like a slipped ring.
	e = pulley(3, 0)
	e.Pairs = nil
	if got := Explain(e, nil).Ring; got != RingMay {
		t.Errorf("perhaps a knock: %v", got)
	}
	// A keyway that is off, or was read after a knock, says nothing of the ring.
	if got := Explain(pulley(0, -3), nil).Ring; got != RingNoSign {
		t.Errorf("a bad line on the hub: %v", got)
	}
}

func TestDistances(t *testing.T) {
	e := closed([]float64{0, 0, 0})
	e.at(0, 60, 120)
	rim := geometry.Rim{Diameter: 160}
	chord := Distance{From: 0, To: 1, Chord: rim.Chord(60), ChordSD: .1, Diameter: 160}
	cost := func(e Evidence) float64 {
		w := newWeigher(&e, nil)
		sum := 0.0
		w.distances(w.mean, nil, func(_ Item, s float64) bool { sum += s; return true })
		return sum
	}
	e.Distances = []Distance{chord}
	close(t, "fits", cost(e), 0, 1e-9)
	e.Distances[0].Chord += .3
	close(t, "three standard deviations long", cost(e), seen(3, 8), 1e-9)
	e.Distances[0].From, e.Distances[0].To = 1, 0
	close(t, "the other way round", cost(e), seen(3, 8), 1e-9)
	e.Distances = []Distance{{From: 0, To: 2, Teeth: 43.5, TeethSD: .25, TeethRound: 129}}
	close(t, "teeth", cost(e), seen(2, 8), 1e-9) // 43 stand between
	e.Distances[0].Teeth = 42.5
	close(t, "teeth, one too few", cost(e), seen(2, 8), 1e-9)
	e.Distances[0].Teeth = 86
	close(t, "teeth, the long way round", cost(e), 0, 1e-9)
	// At half speed 120 degrees of the crank are 60 of the part.
	e.HalfSpeed = true
	e.Distances = []Distance{{From: 0, To: 2, Chord: rim.Chord(60), ChordSD: .1, Diameter: 160}, {From: 0, To: 2, Teeth: 21.5, TeethSD: .25, TeethRound: 129}}
	close(t, "half speed", cost(e), 0, 1e-9)
	// Dividers know nothing of letters: the line lies where it lies.
	e = closed([]float64{0, 0, -20})
	e.at(0, 120, 10)
	e.Distances = []Distance{{From: 1, To: 2, Chord: rim.Chord(130), ChordSD: .1, Diameter: 160}}
	close(t, "as measured", surprise(e, AsMeasured), surpriseOf([]float64{0, 0, 20})+wrongOrder, 1e-9)
	close(t, "letters", surprise(e, Letters), 8, 1e-9)
	// But of reading by ten, and of other names, they do.
	w := newWeigher(&e, nil)
	w.skipAt = math.Inf(1)
	for _, c := range proposeDecade(w, 8) {
		if got, _ := w.weigh(c); c.lines[0] == 2 && got.Surprise < 8+seen(50, 8) {
			t.Errorf("misread by %g: %g", c.shift, got.Surprise)
		}
	}
	// A cylinder's TDC is part of a line's place.
	e = closed([]float64{0, 0, 0})
	e.at(0, 0, 0)
	e.Lines[1].CylinderTDC = 60
	e.Distances = []Distance{chord}
	close(t, "of two banks", cost(e), 0, 1e-9)
	// A line that was not read says nothing of a distance.
	e.Offset[0][1] = geometry.Angle(math.NaN())
	close(t, "not read", cost(e), 0, 0)
}

func TestOrderOfLines(t *testing.T) {
	cost := func(at, late []float64, change func(*Evidence)) float64 {
		e := closed(late)
		e.at(at...)
		change(&e)
		w := newWeigher(&e, nil)
		sum := 0.0
		w.orders(w.mean, nil, func(_ Item, s float64) bool { sum += s; return true })
		return sum
	}
	same := func(*Evidence) {}
	for _, c := range []struct {
		name     string
		at, late []float64
		change   func(*Evidence)
		want     float64
	}{
		{"in order", []float64{0, 10}, []float64{0, -9}, same, 0},
		{"turned about", []float64{0, 10}, []float64{0, -11}, same, 6},
		{"turned about, named the other way", []float64{10, 0}, []float64{-11, 0}, same, 6},
		{"before TDC", []float64{-10, 0}, []float64{11, 0}, same, 6},
		{"across a turn", []float64{355, 5}, []float64{11, 0}, same, 6},
		{"by no more than their scatter", []float64{0, 10}, []float64{0, -10.1}, same, 0}, // √2 · 0.1 is 0.14
		{"by more", []float64{0, 10}, []float64{0, -10.2}, same, 6},
		{"far apart", []float64{0, 91}, []float64{0, -92}, same, 0},
		{"three", []float64{0, 10, 20}, []float64{30, 0, -30}, same, 18},
		{"of two cylinders", []float64{0, 10}, []float64{0, -11}, func(e *Evidence) { e.Lines[0].Cylinder = "2" }, 0},
		{"at half speed 350 degrees are no 10", []float64{0, 350}, []float64{-11, 0}, func(e *Evidence) { e.HalfSpeed = true }, 0},
		{"of one cylinder a turn apart", []float64{0, 350}, []float64{-11, 0}, same, 6},
	} {
		close(t, c.name, cost(c.at, c.late, c.change), c.want, 0)
	}
}

func TestSetupsAgainstEachOther(t *testing.T) {
	cost := func(e Evidence) (whole, line float64) {
		w := newWeigher(&e, nil)
		w.setups(w.late, w.mean, func(i Item, s float64) bool {
			if i.Kind == ItemSetup {
				whole += s
			} else {
				line += s
			}
			return true
		})
		return whole, line
	}
	// Two setups 1 apart as wholes: u = ± 0.5, each with (0.01 · 2 - 0.0036) of its
	// TDC, 0.1² of remounting and 0.0036/2 of two lines, halved.
	e := bench([]float64{0, 0}, []float64{1, 1})
	whole, line := cost(e)
	close(t, "as wholes", whole, seen(.5/math.Sqrt((.0164+.01+.0018)/2), 6), 1e-9)
	close(t, "line by line", line, 0, 1e-9)
	e.Remount = .3
	whole, _ = cost(e)
	close(t, "remounting stated", whole, seen(.5/math.Sqrt((.0164+.09+.0018)/2), 6), 1e-9)
	e.Remount = .01
	whole, _ = cost(e)
	close(t, "remounting stated too small", whole, seen(.5/math.Sqrt((.0164+.0025+.0018)/2), 6), 1e-9)
	// One line of two 1 apart: u = ± 0.25, residuals ± 0.25 of both lines, on 12 at
	// most of 10 + 2.
	e = bench([]float64{0, 0}, []float64{1, 0})
	whole, line = cost(e)
	close(t, "as wholes", whole, seen(.25/math.Sqrt((.0164+.01+.0018)/2), 6), 1e-9)
	close(t, "line by line", line, 2*seen(.25/(.06*math.Sqrt(.5)), 12), 1e-9)
	e.Scatter.LineDOF = 3
	_, line = cost(e)
	close(t, "of little scatter", line, 2*seen(.25/(.06*math.Sqrt(.5)), 5), 1e-9)
	// Three setups count two thirds each.
	e = bench([]float64{0, 0}, []float64{0, 0}, []float64{3, 3})
	whole, _ = cost(e)
	sd := math.Sqrt((.0264 + .01 + .0018) * 2 / 3)
	close(t, "three", whole, (2*seen(1/sd, 6)+seen(2/sd, 6))*2/3, 1e-9)
	// A line that one setup alone read says nothing.
	e = bench([]float64{0, 5}, []float64{0, math.NaN()})
	whole, line = cost(e)
	close(t, "read once", whole+line, 0, 1e-9)
}

func TestScatter(t *testing.T) {
	if s := (Scatter{}).Filled(); s != (Scatter{.21, .15, 1, 1}) {
		t.Errorf("nothing repeats: %+v", s)
	}
	if s := (Scatter{Middle: .1, MiddleDOF: 4}).Filled(); math.Abs(s.Line.Degrees()-.14) > 1e-12 || s.LineDOF != 4 || s.Middle != .1 {
		t.Errorf("no line repeats: %+v", s)
	}
	s := Scatter{Line: .3, Middle: .2, LineDOF: 5, MiddleDOF: 6}
	if s.Filled() != s {
		t.Error("what is known was changed")
	}
	close(t, "TDC of four", s.OfTDC(4, .1).Degrees(), .1, 1e-12)
	close(t, "TDC at a coarse step", s.OfTDC(4, 1).Degrees(), 1/math.Sqrt(24), 1e-12)
	close(t, "line of nine", s.OfLine(9, .1).Degrees(), .1, 1e-12)
	close(t, "line at a coarse step", s.OfLine(9, 1).Degrees(), 1/math.Sqrt(12), 1e-12)
	for _, c := range []struct {
		kind PairKind
		want float64
	}{{Closing, .05}, {OtherDepth, math.Sqrt(.005)}, {OtherBank, .08}} {
		p := s.OfPair(Pair{Kind: c.kind, Value: 1}, .03, .04)
		close(t, c.kind.String(), p.SD.Degrees(), c.want, 1e-12)
		if p.DOF != 8 || p.Value != 1 {
			t.Errorf("%v: %+v", c.kind, p)
		}
	}
	close(t, "a wide bank", s.OfPair(Pair{Kind: OtherBank}, .3, .4).SD.Degrees(), math.Sqrt(.2525), 1e-12)
}
