package diagnosis

import (
	"math"
	"slices"
	"testing"

	"markaudit/geometry"
)

func TestObservations(t *testing.T) {
	t.Run("a closing pair shows where TDC should be, and where it would be", func(t *testing.T) {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			e := bench([]float64{2.9, 2.9, 2.9})
			e.Counts = counts
			o := Explain(e, nil).Decisions[3].Ask
			if o.Kind != ClosingPair || o.Mounting != 0 || o.Expect != 12.3 || math.Abs((o.Instead-12.3).Degrees()-2.9*float64(counts)) > 1e-9 || o.Effort != 3 {
				t.Errorf("counting %d: %+v", counts, o)
			}
		}
	})
	t.Run("of the last setup only", func(t *testing.T) {
		e := bench([]float64{3, 3, 3}, []float64{0, 0, 0})
		e.SetupReadings = 9
		d := Explain(e, nil)
		if len(d.Ask) != 1 || d.Ask[0].Kind != ClosingPair && d.Ask[0].Kind != SecondSetup {
			t.Errorf("asks for %+v", d.Ask)
		}
		// The first setup's readout is gone; a pair of the second tells nothing of it.
		w := newWeigher(&e, nil)
		moved := weighed{claim: claim{closes: []float64{3, 0}}, Explanation: Explanation{Code: ReadoutMoved, Mountings: []int{0}}, entry: 1}
		if o := bestFor(w, -1, []weighed{moved}); o.Kind != SecondSetup || o.Effort != 17 {
			t.Errorf("of the first: %+v", o)
		}
		moved = weighed{claim: claim{closes: []float64{0, 3}}, Explanation: Explanation{Code: ReadoutMoved, Mountings: []int{1}}, entry: 1}
		if o := bestFor(w, -1, []weighed{moved}); o.Kind != ClosingPair || o.Mounting != 1 {
			t.Errorf("of the second: %+v", o)
		}
		e.Pairs = []Pair{{Kind: Closing, Mounting: 1, SD: 1, DOF: 3, AfterLines: true}}
		if o := bestFor(w, -1, []weighed{moved}); o.Kind != SecondSetup {
			t.Errorf("once it was taken: %+v", o)
		}
	})
	t.Run("a shift that a closing pair would not show", func(t *testing.T) {
		e := bench([]float64{0, 0})
		w := newWeigher(&e, nil)
		sd := math.Hypot(e.TDC[0].Degrees(), .07)
		for _, x := range []float64{2*sd - .001, 2*sd + .001} {
			r := weighed{claim: claim{closes: []float64{x}}, Explanation: Explanation{Code: ReadoutMoved}, entry: 1}
			if got := offerClosing(w, []weighed{r}).tells; (got == 1) != (x > 2*sd) {
				t.Errorf("by %g: %d", x, got)
			}
		}
	})
	t.Run("the contacts of the other bank, where they are what tells most", func(t *testing.T) {
		e := bench([]float64{2.9, 2.9, 2.9})
		w := newWeigher(&e, nil)
		bank := weighed{Explanation: Explanation{Code: BankAngle}, entry: slices.IndexFunc(explanations[:], func(x entry) bool { return x.code == BankAngle })}
		if o := bestFor(w, -1, []weighed{bank}); o.Kind != SecondSetup {
			t.Errorf("no other bank: %+v", o)
		}
		e.OpenCylinder = "6"
		if o := bestFor(w, -1, []weighed{bank}); o.Kind != OtherBankContacts || o.Cylinder != "6" || o.Effort != 6 || o.Mounting != 0 {
			t.Errorf("got %+v", o)
		}
	})
	t.Run("what tells two for three tells more for its effort than one for two", func(t *testing.T) {
		e := bench([]float64{0, 0, 0})
		e.Diameter, e.DividersU = 160, .2
		e.at(0, 60, 120)
		w := newWeigher(&e, nil)
		all := weighed{claim: claim{closes: []float64{3}}, Explanation: Explanation{Code: ReadoutMoved, Offset: Row{3, 3, 3}}, entry: 1}
		some := weighed{claim: claim{closes: []float64{3}}, Explanation: Explanation{Code: Unnamed, Offset: Row{0, 3, 0}}}
		if o := bestFor(w, 1, []weighed{some}); o.Kind != Dividers { // 1/2 against 1/3
			t.Errorf("one: %+v", o)
		}
		if o := bestFor(w, 1, []weighed{all, some}); o.Kind != ClosingPair { // 2/3 against 1/2
			t.Errorf("both: %+v", o)
		}
	})
	t.Run("looking is cheapest, at all the lines that are named", func(t *testing.T) {
		e := bench([]float64{0, 0, 0})
		w := newWeigher(&e, nil)
		at := func(c Code) int {
			return slices.IndexFunc(explanations[:], func(x entry) bool { return x.code == c })
		}
		letters := weighed{Explanation: Explanation{Code: Letters, Lines: []int{2}}, entry: at(Letters)}
		names := weighed{Explanation: Explanation{Code: Names, Lines: []int{0, 2}}, entry: at(Names)}
		if o := bestFor(w, 2, []weighed{letters, names}); o.Kind != Look || !slices.Equal(o.Lines, []int{0, 2}) || o.Effort != 1 {
			t.Errorf("got %+v", o)
		}
		quarter := weighed{Explanation: Explanation{Code: Counts}, entry: at(Counts)}
		if o := bestFor(w, 2, []weighed{quarter}); o.Kind != QuarterTurn {
			t.Errorf("got %+v", o)
		}
	})
}

func TestDividersAskedFor(t *testing.T) {
	e := bench([]float64{0, 0, 0, 0, 0})
	e.Diameter, e.DividersU = 160, .2
	e.at(0, 5, 80, 149, 170)
	w := newWeigher(&e, nil)
	rival := weighed{Explanation: Explanation{Offset: Row{3, 0, 0, 0, 0}}}
	offers := offerDistances(w, 0, []weighed{rival})
	var lines []int
	for _, o := range offers {
		lines = append(lines, o.Lines[1])
		if want := Dividers; (o.Lines[1] == 4) != (o.Kind == TapeRound) || o.Kind != TapeRound && o.Kind != want || o.tells != 1 || o.Effort != 2 {
			t.Errorf("got %+v", o)
		}
	}
	if !slices.Equal(lines, []int{2, 3, 4}) { // 80 is nearest to 90, 5 is too near
		t.Errorf("lines %v", lines)
	}
	// 160 sin 40° = 102.85 and 160 sin 38.5° = 99.60; of the tape π·160·170/360.
	close(t, "chord", offers[0].ExpectLength.Millimetres(), 102.846, .0006)
	close(t, "chord instead", offers[0].InsteadLength.Millimetres(), 99.602, .0006)
	close(t, "tape", offers[2].ExpectLength.Millimetres(), 237.365, .0006)
	close(t, "tape instead", offers[2].InsteadLength.Millimetres(), 233.176, .0006)

	e.Distances = []Distance{{From: 2, To: 0}}
	e.on("", "", "", "hub", "")
	if got := offerDistances(w, 0, []weighed{rival}); len(got) != 1 || got[0].Lines[1] != 4 {
		t.Errorf("measured already, and on another part: %+v", got)
	}
	e.on("", "", "", "", "")
	e.Distances = nil
	// A line off by its tolerance of 1 moves the chord of 80 degrees by 1.07 mm.
	e.DividersU = 1.1
	if got := offerDistances(w, 0, []weighed{rival}); slices.ContainsFunc(got, func(o offer) bool { return o.Lines[1] == 2 }) {
		t.Errorf("with blunt dividers: %+v", got)
	}
	e.DividersU = 1.0
	if got := offerDistances(w, 0, []weighed{rival}); !slices.ContainsFunc(got, func(o offer) bool { return o.Lines[1] == 2 }) {
		t.Errorf("with better ones: %+v", got)
	}
	// What a rival leaves where it is tells nothing.
	if got := offerDistances(w, 0, []weighed{{Explanation: Explanation{Offset: Row{2, 2, 2, 2, 2}}}}); got[0].tells != 0 {
		t.Errorf("of a pointer: %+v", got)
	}
	e.HalfSpeed = true // 149 degrees of the crank are 74.5 of the part
	if got := span(w, 0, 3, w.mean, nil); math.Abs(got-74.5) > 1e-9 {
		t.Errorf("half speed: %g", got)
	}
	e.Diameter = 0
	if got := offerDistances(w, 0, []weighed{rival}); got != nil {
		t.Errorf("without a diameter: %+v", got)
	}
}

// What contradicts the lines as measured is asked for again, also where nothing
// explains it better.
func TestContradicted(t *testing.T) {
	e := bench([]float64{0, 0})
	w := newWeigher(&e, nil)
	e.Pairs = []Pair{{Mounting: 0}}
	e.Distances = []Distance{{From: 1, To: 0}}
	asMeasured := []weighed{{}}
	for _, c := range []struct {
		worst Item
		kind  ObservationKind
		lines []int
		at    int
	}{
		{Item{Kind: ItemLine, Line: 1}, ReadAgain, []int{1}, -1},
		{Item{Kind: ItemPair}, ReadAgain, nil, 0},
		{Item{Kind: ItemDistance}, Dividers, []int{1, 0}, -1},
		{Item{Kind: ItemOdd, Line: 1}, ReadAgain, []int{1}, -1},
		{Item{Kind: ItemOdd, Line: -1}, ReadAgain, nil, 0},
		{Item{Kind: ItemCreep}, ReadAgain, nil, 0},
		{Item{Kind: ItemSetup}, SecondSetup, nil, -1},
		{Item{Kind: ItemOrder, Line: 0, Index: 1}, Look, []int{0, 1}, -1},
	} {
		o := contradicted(w, &Diagnosis{Measured: Explanation{Worst: c.worst}}, asMeasured)
		if o.Kind != c.kind || !slices.Equal(o.Lines, c.lines) || o.Mounting != c.at {
			t.Errorf("%v: %+v", c.worst.Kind, o)
		}
	}
}
