package diagnosis

import (
	"math"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// offsetEngine has a bore offset, so that throw and piston have different tops:
// radius 45, rod 144, offset 12 put the piston's lowest point 183.32° after its
// highest, and this 3.64° after the throw's top (tables of the offset slider-crank;
// 180 + asin(12/99) - asin(12/189) and asin(12/189)).
func offsetEngine() sheet.Sheet {
	return sheet.Sheet{
		Engine: sheet.Engine{Stroke: 90, Rod: 144, BoreOffset: geometry.Offset{Value: 12}},
		Part:   sheet.Part{Diameter: 160},
	}
}

func mark(s sheet.Sheet, text string, at geometry.Angle) sheet.Sheet {
	s.Marks = append(s.Marks, sheet.Mark{Name: text, At: at, AtText: text})
	return s
}

func TestNominalsOfAnotherKind(t *testing.T) {
	drop := geometry.Crank{Stroke: 90, Rod: 144, Offset: 12}
	before, _, err := drop.Contacts(1.8)
	if err != nil {
		t.Fatal(err)
	}
	arc := geometry.AngleFromRadians(1.8 / 80) // 1.8 mm of a rim of 80 mm radius
	for _, c := range []struct {
		name   string
		text   string
		at     geometry.Angle
		change func(*sheet.Sheet)
		want   geometry.Angle // NaN: nothing changes
	}{
		{"rim, was a drop", "1.8 mm rim BTDC", -arc, nil, before},
		{"rim, was a drop from the throw's top", "1.8 mm rim BTDC", -arc, func(s *sheet.Sheet) { s.Engine.RefersToThrow = true }, before + drop.ThrowToTDC()},
		{"rim, and no drop goes so deep", "180 mm rim BTDC", -100 * arc, nil, nan()},
		{"rim, the crank is not stated", "1.8 mm rim BTDC", -arc, func(s *sheet.Sheet) { s.Engine.Rod = 0 }, nan()},
		{"drop, was on the rim", "1.8 mm piston BTDC", before, nil, -arc},
		{"drop, was on the rim at half speed", "1.8 mm piston BTDC", before, func(s *sheet.Sheet) { s.Part.HalfSpeed = true }, -2 * arc},
		{"drop, no diameter", "1.8 mm piston BTDC", before, func(s *sheet.Sheet) { s.Part.Diameter = 0 }, nan()},
		{"from the bottom, was the piston's", "40 BBDC", 140, nil, 143.3218},
		{"at the bottom, was the piston's", "BDC", 180, nil, 183.3218},
		{"from the piston's bottom, was the throw's", "40 piston BBDC", 143.3218, nil, 140},
		{"from the bottom of an engine without offset", "40 BBDC", 140, func(s *sheet.Sheet) { s.Engine.BoreOffset.Value = 0 }, nan()},
		{"degrees from TDC", "10 BTDC", -10, nil, nan()},
		{"not a nominal", "tomorrow", 0, nil, nan()},
	} {
		s := mark(mark(offsetEngine(), "10 ATDC", 10), c.text, c.at)
		if c.change != nil {
			c.change(&s)
		}
		got, n := nan(), 0
		for _, other := range otherKinds {
			if edited, ok := rewritten(s, nominalsOf(s), other, 1, []int{1}); ok {
				got, n = edited.Marks[1].At, n+1
				if edited.Marks[0].At != 10 || s.Marks[1].At != c.at {
					t.Errorf("%s: other lines or the sheet changed", c.name)
				}
			}
			if _, ok := rewritten(s, nominalsOf(s), other, 2, []int{0, 1}); ok {
				t.Errorf("%s: two were to change", c.name)
			}
		}
		if math.IsNaN(got.Degrees()) != math.IsNaN(c.want.Degrees()) || (got-c.want).Abs() > 0.001 || n > 1 {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

func nan() geometry.Angle { return geometry.Angle(math.NaN()) }

func TestReferenceAndSidesOfOffsets(t *testing.T) {
	crank, _ := offsetEngine().Engine.Crank()
	top := crank.ThrowToTDC() // 3.64
	close(t, "throw to TDC", top.Degrees(), 3.64, 0.005)
	s := mark(mark(offsetEngine(), "10 BTDC", -10), "40 piston BBDC", 143.3218)
	edited, ok := otherReference(s)
	if !ok || !edited.Engine.RefersToThrow || edited.Marks[0].At != -10 || (edited.Marks[1].At-143.3218-top).Abs() > 0.001 {
		t.Errorf("from the throw: %+v", edited.Marks)
	}
	if back, _ := otherReference(edited); (back.Marks[1].At-143.3218).Abs() > 0.001 || back.Engine.RefersToThrow {
		t.Errorf("and back: %+v", back.Marks)
	}
	// To the other side the piston's bottom comes as much earlier.
	edited, ok = otherBoreSide(s)
	if !ok || edited.Engine.BoreOffset.Value != -12 || (edited.Marks[1].At-136.6782).Abs() > 0.001 || edited.Marks[0].At != -10 {
		t.Errorf("bore: %+v", edited.Marks)
	}
	if s.Marks[1].At != 143.3218 || s.Engine.BoreOffset.Value != 12 {
		t.Error("the sheet was changed")
	}
	s.Engine.PinOffset.Value = 1
	if edited, ok := otherPinSide(s); !ok || edited.Engine.PinOffset.Value != -1 || edited.Marks[1].At == 143.3218 {
		t.Errorf("pin: %+v", edited.Engine)
	}
	plain := sheet.Sheet{Engine: sheet.Engine{Stroke: 90, Rod: 144}}
	for name, edit := range map[string]Edit{"reference": otherReference, "pin": otherPinSide, "bore": otherBoreSide, "measure": otherMeasure} {
		if _, ok := edit(plain); ok {
			t.Errorf("%s: something to change on an engine without offset, read from a wheel", name)
		}
		if _, ok := edit(sheet.Sheet{}); ok {
			t.Errorf("%s: something to change on an empty sheet", name)
		}
	}
}

// Tape and chord: 80 mm on a rim of 160 are 57.2958° along it and 60° across.
func TestTapeAndChord(t *testing.T) {
	along := func() *sheet.Reading {
		return &sheet.Reading{Value: geometry.AngleFromRadians(1), Measured: true, Length: 80}
	}
	s := sheet.Sheet{
		Part:    sheet.Part{Diameter: 160},
		Readout: sheet.Readout{Kind: sheet.Rim, QuarterTurn: &[2]sheet.Reading{*along(), *along()}},
		Setups: []sheet.Setup{{
			Trials:  []sheet.Trial{{Forward: along(), Backward: along()}, {Forward: along()}},
			Closing: &sheet.Trial{Forward: along(), Backward: along()},
			Drops:   []sheet.Drop{{Before: []sheet.Reading{*along()}, After: []sheet.Reading{*along()}}},
			Sweep:   &sheet.Swept{Points: []sheet.Point{{Reading: *along(), Height: 1}}},
			Marks:   map[string][]sheet.Reading{"A": {*along(), {Value: 7}}},
		}},
	}
	readings := func(s sheet.Sheet) []*sheet.Reading {
		u := &s.Setups[0]
		return []*sheet.Reading{
			u.Trials[0].Forward, u.Trials[0].Backward, u.Trials[1].Forward, u.Closing.Forward, u.Closing.Backward,
			&u.Drops[0].Before[0], &u.Drops[0].After[0], &u.Sweep.Points[0].Reading, &u.Marks["A"][0],
			&s.Readout.QuarterTurn[0], &s.Readout.QuarterTurn[1],
		}
	}
	edited, ok := otherMeasure(s)
	if !ok || !edited.Readout.Chord || edited.Setups[0].Trials[1].Backward != nil || edited.Setups[0].Sweep.Points[0].Height != 1 {
		t.Fatalf("got %+v", edited)
	}
	for i, r := range readings(edited) {
		if math.Abs(r.Value.Degrees()-60) > 1e-9 {
			t.Errorf("reading %d: %v", i, r.Value)
		}
	}
	for i, r := range readings(s) {
		if math.Abs(r.Value.Radians()-1) > 1e-12 {
			t.Errorf("reading %d of the sheet became %v", i, r.Value)
		}
	}
	if got := edited.Setups[0].Marks["A"][1].Value; got != 7 {
		t.Errorf("a reading in degrees became %v", got)
	}
	if back, ok := otherMeasure(edited); !ok || math.Abs(back.Setups[0].Trials[0].Forward.Value.Radians()-1) > 1e-12 {
		t.Error("not back along the rim")
	}
	s.Part.HalfSpeed = true
	if edited, _ := otherMeasure(s); math.Abs(edited.Setups[0].Closing.Forward.Value.Degrees()-120) > 1e-9 {
		t.Error("half speed is not counted twice")
	}
	// No chord is longer than the diameter, but a struck one may be.
	s.Setups[0].Trials[0].Forward.Length = 161
	if _, ok := otherMeasure(s); ok {
		t.Error("a chord of 161 mm across 160")
	}
	s.Setups[0].Trials[0].Forward.Struck = true
	if _, ok := otherMeasure(s); !ok {
		t.Error("a struck reading stood in the way")
	}
}

// A change of the whole sheet moves lines; a change of nominals moves where they
// belong. Only the first is seen by dividers.
func TestKindsAgainstDividers(t *testing.T) {
	e := bench([]float64{-5, 0})
	e.at(10, 90)
	e.closing(0, .08, 8)
	rim := geometry.Rim{Diameter: 160}
	e.Distances = []Distance{{From: 0, To: 1, Chord: rim.Chord(85), ChordSD: .1, Diameter: 160}}
	base := mark(mark(offsetEngine(), "1.8 mm rim ATDC", 10), "90 ATDC", 90)
	e.Distances[0].Chord = rim.Chord(85) // as measured: 90 - 5
	reread := func(edit Edit) ([][]geometry.Angle, bool) {
		s, ok := edit(base)
		if !ok {
			return nil, false
		}
		return [][]geometry.Angle{{(5 - s.Marks[0].At).Wrap(), (90 - s.Marks[1].At).Wrap()}}, true
	}
	w := newWeigher(&e, reread)
	w.skipAt = math.Inf(1)
	nominal := false
	for _, c := range proposeKind(w, 7) {
		one, _ := w.weigh(c)
		if len(c.lines) == 1 {
			nominal = true
			if one.Worst.Kind == ItemDistance {
				t.Errorf("dividers against a nominal: %+v", one.Worst)
			}
		}
	}
	if !nominal {
		t.Error("no nominal of another kind")
	}
	// Two answers that do not fit the evidence are none.
	w.reread = func(Edit) ([][]geometry.Angle, bool) { return [][]geometry.Angle{{0, 0}, {0, 0}}, true }
	if got := proposeKind(w, 7); got != nil {
		t.Errorf("got %+v", got)
	}
}

// A crank that cannot turn places nothing; a drop of less than a millimetre after TDC
// lies after it; a rim needs a diameter, be it of a millimetre.
func TestWhatCannotBeOfAnotherKind(t *testing.T) {
	stuck := sheet.Sheet{Engine: sheet.Engine{Stroke: 90, Rod: 30, BoreOffset: geometry.Offset{Value: 12}}}
	if at, ok := belongsAt(stuck, geometry.Nominal{Counted: geometry.PistonDegrees}); ok {
		t.Errorf("on a crank that cannot turn: %v", at)
	}
	if _, ok := otherReference(stuck); ok {
		t.Error("the throw of a crank that cannot turn")
	}
	crank, _ := offsetEngine().Engine.Crank()
	before, after, err := crank.Contacts(0.5)
	if err != nil {
		t.Fatal(err)
	}
	for drop, want := range map[geometry.Length]geometry.Angle{0.5: after, -0.5: before} {
		if at, ok := belongsAt(offsetEngine(), geometry.Nominal{Counted: geometry.PistonDrop, Length: drop}); !ok || (at-want).Abs() > 1e-9 {
			t.Errorf("%v: %v, %v", drop, at, ok)
		}
	}
	for diameter, want := range map[geometry.Length]bool{0: false, 1: true} {
		if _, ok := otherMeasure(sheet.Sheet{Part: sheet.Part{Diameter: diameter}, Readout: sheet.Readout{Kind: sheet.Rim}}); ok != want {
			t.Errorf("diameter %v: %v", diameter, ok)
		}
	}
	r := func(l geometry.Length) sheet.Reading { return sheet.Reading{Measured: true, Length: l} }
	s, _ := otherMeasure(sheet.Sheet{Part: sheet.Part{Diameter: 160}, Readout: sheet.Readout{Kind: sheet.Rim, QuarterTurn: &[2]sheet.Reading{r(80), r(0)}}})
	if q := s.Readout.QuarterTurn; math.Abs(q[0].Value.Degrees()-60) > 1e-9 || q[1].Value != 0 {
		t.Errorf("quarter turn %+v", q)
	}
}

// All lines of another kind at once is one mistake where two of them are, and none
// beside that of one line where it is one.
func TestAllLinesOfAnotherKind(t *testing.T) {
	for _, c := range []struct {
		texts []string
		want  int
	}{{[]string{"1.8 mm rim ATDC", "90 ATDC"}, 0}, {[]string{"1.8 mm rim ATDC", "2 mm rim ATDC"}, 1}} {
		e := bench([]float64{-5, 0})
		e.at(10, 90)
		s := mark(mark(offsetEngine(), c.texts[0], 10), c.texts[1], 90)
		reread := func(edit Edit) ([][]geometry.Angle, bool) {
			edited, ok := edit(s)
			return [][]geometry.Angle{{(5 - edited.Marks[0].At).Wrap(), (90 - edited.Marks[1].At).Wrap()}}, ok && !edited.Engine.RefersToThrow
		}
		n := 0
		for _, k := range proposeKind(newWeigher(&e, reread), 7) {
			if k.lines == nil && k.renamed != nil {
				n++
			}
		}
		if n != c.want {
			t.Errorf("%q: %d", c.texts, n)
		}
	}
}
