package diagnosis

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The prices of docs/method.md, Findings.
func TestPricesOfTheList(t *testing.T) {
	want := map[Code]float64{
		AsMeasured: 0, ReadoutMoved: 4, ReadoutMovedAfter: 4, MovedBetween: 4, ReadoutCreeps: 4, BankAngle: 4, BankAngleDiffers: 8,
		ReadingSlipped: 6, Kind: 7, Letters: 8, Names: 8, Counts: 8, Decade: 8, StopCylinder: 8, MarkCylinder: 8, Revolution: 8, Copied: 0, Unnamed: 20,
	}
	for _, x := range explanations {
		price, listed := want[x.code]
		if !listed || x.price != price {
			t.Errorf("%v costs %v, want %v", x.code, x.price, price)
		}
	}
}

// What the best explanation of refuted lines says of the readout, and the piece of
// evidence that speaks loudest against the lines as measured.
func TestWhatRefutesTheLines(t *testing.T) {
	for _, c := range []struct {
		best          Code
		worst         ItemKind
		refuted       bool
		moved, differ bool
	}{
		{ReadoutMoved, ItemDistance, true, true, false},
		{ReadoutMovedAfter, ItemPair, true, true, false},
		{MovedBetween, ItemPair, true, true, false},
		{ReadoutCreeps, ItemCreep, true, true, false},
		{ReadoutMoved, ItemSetup, true, true, true},
		{AsMeasured, ItemPair, true, true, false},
		{AsMeasured, ItemCreep, true, true, false},
		{AsMeasured, ItemDistance, true, false, false},
		{AsMeasured, ItemSetup, true, false, true},
		{Names, ItemLine, true, false, true},
		{Names, ItemPair, true, false, false},
		{ReadoutMoved, ItemSetup, false, false, false},
		{AsMeasured, ItemPair, false, false, false},
		{AsMeasured, ItemLine, false, false, false},
	} {
		d := Diagnosis{Refuted: c.refuted, Standing: []Explanation{{Code: c.best}}, Measured: Explanation{Worst: Item{Kind: c.worst}}}
		if d.ReadoutMoved() != c.moved || d.SetupsDiffer() != c.differ {
			t.Errorf("%+v: moved %v, differ %v", c, d.ReadoutMoved(), d.SetupsDiffer())
		}
	}
}

// rows are the offsets of a claim, rounded to be compared.
func rows(w *weigher, c claim) string {
	late := w.late
	if c.late != nil {
		late = c.late()
	}
	var out [][]float64
	for _, row := range late {
		var r []float64
		for _, x := range row {
			r = append(r, math.Round(x*1e6)/1e6+0)
		}
		out = append(out, r)
	}
	return fmt.Sprint(out)
}

// said is what a claim says, with blanks between.
func said(what ...any) string { return strings.TrimSpace(fmt.Sprintln(what...)) }

func near6(x []float64) string {
	var r []float64
	for _, v := range x {
		r = append(r, math.Round(v*1e6)/1e6+0)
	}
	return fmt.Sprint(r)
}

// Letters exchanged: a line at 10 belongs at -10, so that it is 20 later than it was
// taken for. A line at TDC or half a turn from it is its own mirror image, one that
// somebody looked at, or of which the side is proven, was not mistaken.
func TestLettersExchanged(t *testing.T) {
	e := bench([]float64{1, 2, 3, 4, 5})
	e.at(10, -30, 0, 180, 70)
	w := newWeigher(&e, nil)
	got := proposeLetters(w, 8)
	if len(got) != 4 {
		t.Fatalf("%d claims", len(got))
	}
	for i, want := range []struct{ late, renamed string }{
		{"[[21 2 3 4 5]]", "[-20 0 0 0 0]"},
		{"[[1 -58 3 4 5]]", "[0 60 0 0 0]"},
		{"[[1 2 3 4 145]]", "[0 0 0 0 -140]"},
		{"[[21 -58 3 4 145]]", "[-20 60 0 0 -140]"},
	} {
		if rows(w, got[i]) != want.late || near6(got[i].renamed) != want.renamed {
			t.Errorf("%d: %s, belongs %s later", i, rows(w, got[i]), near6(got[i].renamed))
		}
	}
	e.Lines[0].SideProven, e.Lines[1].Checked = true, true
	if got := proposeLetters(newWeigher(&e, nil), 8); len(got) != 1 || !slices.Equal(got[0].lines, []int{4}) {
		t.Errorf("one line alone: %+v", got)
	}
}

// Two names exchanged: each line is judged by the other's place. One that somebody
// looked at keeps its name, and so does every line that it could be taken for.
func TestNamesExchanged(t *testing.T) {
	e := bench([]float64{1, 2, 3})
	e.at(10, 50, 100)
	e.Lines[1].CylinderTDC = 5
	w := newWeigher(&e, nil)
	var got []string
	for _, c := range proposeNames(w, 8) {
		got = append(got, said(c.lines, rows(w, c)))
	}
	want := []string{"[0 1] [[47 -44 3]]", "[0 2] [[93 2 -89]]", "[1 2] [[1 48 -43]]"}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %q", got)
	}
	e.Lines[1].Checked = true
	if got := proposeNames(newWeigher(&e, nil), 8); len(got) != 1 || !slices.Equal(got[0].lines, []int{0, 2}) {
		t.Errorf("one was looked at: %+v", got)
	}
}

// Counted the other way round a line at a lies at -a from the TDC that it counts from:
// d becomes -d - 2a, with what its cylinder comes later by the sheet; the second bank's
// contacts then lie on the other side too. Of lines at 0 and 180 nothing tells.
func TestCountsTheOtherWay(t *testing.T) {
	e := bench([]float64{1, 2})
	e.at(10, 30)
	e.QuarterTurn = false
	e.Later = Table{{0, 60}}
	e.Pairs = []Pair{{Kind: OtherBank, Declared: 60}, {Kind: Closing}}
	w := newWeigher(&e, nil)
	got := proposeCounts(w, 8)
	if len(got) != 1 || rows(w, got[0]) != "[[-21 178]]" || near6(got[0].pairs) != "[-120 0]" {
		t.Errorf("%s, pairs %v", rows(w, got[0]), got[0].pairs)
	}
	for _, c := range []struct {
		at   [2]float64
		want int
	}{{[2]float64{0, 180}, 0}, {[2]float64{0, 10}, 1}, {[2]float64{-10, 0}, 1}} {
		e := bench([]float64{1, 2})
		e.at(c.at[:]...)
		e.QuarterTurn = false
		if got := proposeCounts(newWeigher(&e, nil), 8); len(got) != c.want {
			t.Errorf("%v: %d claims", c.at, len(got))
		}
		e.QuarterTurn = true
		if got := proposeCounts(newWeigher(&e, nil), 8); got != nil {
			t.Errorf("a quarter turn shows it: %+v", got)
		}
	}
}

// A reading by ten out is ten degrees, or what ten are on the readout; also below one.
func TestDecades(t *testing.T) {
	for decade, want := range map[geometry.Angle]float64{0: 10, 0.4: 0.4, 25: 25} {
		e := bench([]float64{1, 2})
		e.Decade = decade
		w := newWeigher(&e, nil)
		var shifts []float64
		for _, c := range proposeDecade(w, 8) {
			shifts = append(shifts, c.shift)
		}
		if near6(shifts) != near6([]float64{want, -want, want, -want}) {
			t.Errorf("%v: %v", decade, shifts)
		}
	}
}

// The stop in another cylinder: by what the sheet declares of two or more, each way; on
// an engine of which it declares none, or one, by what any engine fires at. In one
// mounting of several, or in all.
func TestStopInAnotherCylinder(t *testing.T) {
	shifts := func(cylinders []Cylinder, setups ...[]float64) (out []float64, sets []string) {
		e := bench(setups...)
		e.Cylinders = cylinders
		for _, c := range proposeStopCylinder(newWeigher(&e, nil), 8) {
			out, sets = append(out, c.shift), append(sets, fmt.Sprint(c.mountings))
		}
		return out, sets
	}
	got, sets := shifts([]Cylinder{{"1", 0}, {"4", 60}}, []float64{1, 2})
	if near6(got) != "[60 -60]" || fmt.Sprint(sets) != "[[] []]" {
		t.Errorf("of two: %v in %v", got, sets)
	}
	got, _ = shifts([]Cylinder{{"1", 0}}, []float64{1, 2})
	want := []float64{-120, 180, 144, -144, 120, 90, -90, 72, -72, 60, -60, 45, -45}
	slices.Sort(got)
	slices.Sort(want)
	if near6(got) != near6(want) {
		t.Errorf("of any engine: %v", got)
	}
	_, sets = shifts([]Cylinder{{"1", 0}, {"4", 60}}, []float64{1, 2}, []float64{1, 2})
	if fmt.Sprint(sets) != "[[0] [0] [1] [1] [] []]" {
		t.Errorf("in which mountings: %v", sets)
	}
}

// A line of another cylinder belongs that much later, and was taken for earlier.
func TestLineOfAnotherCylinder(t *testing.T) {
	e := bench([]float64{1, 2})
	e.Cylinders = []Cylinder{{"1", 0}, {"4", 60}, {"5", 64}, {"6", 150}}
	e.Lines[1].CylinderTDC = 60.3
	w := newWeigher(&e, nil)
	var got []string
	for _, c := range proposeMarkCylinder(w, 8) {
		got = append(got, said(c.lines, c.shift, rows(w, c), near6(c.renamed)))
	}
	want := []string{
		"[0] 60 [[-59 2]] [60 0]", "[0] 64 [[-63 2]] [64 0]", "[0] 150 [[-149 2]] [150 0]",
		"[1] -60.3 [[1 62.3]] [0 -60.3]", "[1] 89.7 [[1 -87.7]] [0 89.7]",
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %q", got)
	}
	// Four degrees are no other cylinder, six are.
	e.Cylinders = []Cylinder{{"1", 0}, {"2", 6}, {"3", 4}}
	e.Lines = e.Lines[:1]
	e.Offset, e.Own = Table{{1}}, Table{{0.06}}
	if got := proposeMarkCylinder(newWeigher(&e, nil), 8); len(got) != 1 || got[0].shift != 6 {
		t.Errorf("got %+v", got)
	}
}

// The angle of a bank that was taken from the sheet is wrong by what its lines are off
// by, or by their median; they then belong as much later. Lines of another cylinder,
// and mountings that found it, are left alone.
func TestAngleOfABank(t *testing.T) {
	e := bench([]float64{0, 5, 7}, []float64{0.2, 1, 1})
	e.Lines[1].Cylinder, e.Lines[2].Cylinder = "4", "4"
	e.Later = Table{{0, 60, 60}, {0, 0, 0}}
	w := newWeigher(&e, nil)
	var got []string
	for _, c := range proposeBankAngle(w, 4) {
		got = append(got, said(c.lines, c.shift, rows(w, c), near6(c.renamed)))
	}
	want := []string{
		"[1 2] 5 [[0 0 2] [0.2 1 1]] [0 2.5 2.5]",
		"[1 2] 7 [[0 -2 0] [0.2 1 1]] [0 3.5 3.5]",
		"[1 2] 6 [[0 -1 1] [0.2 1 1]] [0 3 3]",
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %q", got)
	}
}

// A mistake that nobody has thought of: a line at its place, or where its furthest
// median is, the middle of two others or more; or all by one shift, where two are free.
func TestUnnamedByHand(t *testing.T) {
	for _, c := range []struct {
		late    []float64
		checked []int
		want    []string
	}{
		{[]float64{20}, nil, []string{"[0] [[0]]"}},
		{[]float64{20, 4}, nil, []string{"[0] [[0 4]]", "[1] [[20 0]]", "[] [[0 -16]]", "[] [[16 0]]", "[] [[8 -8]]"}},
		{[]float64{20, 4, 6}, []int{1, 2}, []string{"[0] [[0 4 6]]", "[0] [[5 4 6]]"}},
		{[]float64{20, 4, 6}, []int{2}, []string{"[0] [[0 4 6]]", "[0] [[5 4 6]]", "[1] [[20 0 6]]", "[1] [[20 13 6]]", "[] [[0 -16 -14]]", "[] [[16 0 2]]", "[] [[14 -2 0]]"}},
	} {
		e := bench(c.late)
		for _, j := range c.checked {
			e.Lines[j].Checked = true
		}
		w := newWeigher(&e, nil)
		var got []string
		for _, x := range proposeUnnamed(w, 20) {
			got = append(got, said(x.lines, rows(w, x)))
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%v, %v looked at: %q", c.late, c.checked, got)
		}
	}
}

// A turn of the dial's hand missed at one line, either way: only where the line then
// lies within its tolerance, and in all mountings that read it on its side of TDC.
func TestMissedTurnByHand(t *testing.T) {
	e := bench([]float64{6, 0}, []float64{6, math.NaN()})
	e.Revolution = 0.5
	e.Lines[0].Late = 0.5
	var asked []string
	then := func(by geometry.Length) [][]geometry.Angle {
		return [][]geometry.Angle{{0.1, 0}, {0.1, geometry.Angle(math.NaN())}}
	}
	reread := func(edit Edit) ([][]geometry.Angle, bool) {
		s := sheet.Sheet{Marks: []sheet.Mark{{Name: "a"}, {Name: "b"}}, Setups: []sheet.Setup{
			{Marks: map[string][]sheet.Reading{"a": {{Length: 2}, {Length: 3}}, "b": {{Length: 7}}}}, {Marks: map[string][]sheet.Reading{"a": {{Length: 2}}}},
		}}
		edited, ok := edit(s)
		if !ok {
			return nil, false
		}
		if s.Setups[0].Marks["a"][0].Length != 2 || s.Setups[0].Marks["b"][0].Length != 7 {
			t.Error("the sheet was changed")
		}
		a, b, other := edited.Setups[0].Marks["a"], edited.Setups[0].Marks["b"], edited.Setups[1].Marks["a"]
		asked = append(asked, fmt.Sprint(a[0].Length.Millimetres(), a[1].Length.Millimetres(), b[0].Length.Millimetres(), other[0].Length.Millimetres()))
		return then(a[0].Length - 2), true
	}
	w := newWeigher(&e, reread)
	got := proposeRevolution(w, 8)
	if fmt.Sprint(asked) != "[2.5 3.5 7 2.5 1.5 2.5 7 1.5 2 3 7.5 2 2 3 6.5 2]" {
		t.Errorf("edits %q", asked)
	}
	var all []string
	for _, c := range got {
		all = append(all, said(c.lines, rows(w, c)))
	}
	// Put right by the turn, line 0 lies at 0.1 in both; line 1 is where it was.
	want := []string{"[0] [[0.1 0] [0.1 NaN]]", "[0] [[0.1 0] [0.1 NaN]]", "[1] [[6 0] [6 NaN]]", "[1] [[6 0] [6 NaN]]"}
	if fmt.Sprint(all) != fmt.Sprint(want) {
		t.Errorf("got %q", all)
	}
	for name, late := range map[string][][]geometry.Angle{
		"off all the same":            {{0.7, 0}, {0.7, 0}},
		"one mounting over TDC":       {{0.1, 0}, {geometry.Angle(math.NaN()), 0}},
		"the answer has one mounting": {{0.1, 0}},
	} {
		then = func(geometry.Length) [][]geometry.Angle { return late }
		for _, c := range proposeRevolution(w, 8) {
			if slices.Contains(c.lines, 0) {
				t.Errorf("%s: %+v", name, c)
			}
		}
	}
	e.Revolution = 0
	if got := proposeRevolution(newWeigher(&e, reread), 8); got != nil {
		t.Errorf("no dial: %+v", got)
	}
	e.Revolution = 1
	if got := proposeRevolution(newWeigher(&e, nil), 8); got != nil {
		t.Errorf("nothing to read again: %+v", got)
	}
	if _, ok := aTurnMore(0, 1)(sheet.Sheet{Marks: []sheet.Mark{{Name: "a"}}, Setups: []sheet.Setup{{}}}); ok {
		t.Error("a line that was not read has a turn to miss")
	}
}

// One distance of two lines is measured, whichever of them it was taken from; that of
// another pair with one of them is not.
func TestMeasuredAlready(t *testing.T) {
	e := bench([]float64{0, 0, 0})
	e.Distances = []Distance{{From: 0, To: 1}}
	w := newWeigher(&e, nil)
	for pair, want := range map[[2]int]bool{{0, 1}: true, {1, 0}: true, {0, 2}: false, {2, 0}: false, {1, 2}: false, {2, 1}: false} {
		if got := measuredAlready(w, pair[0], pair[1]); got != want {
			t.Errorf("%v: %v", pair, got)
		}
	}
	if (&Line{At: 10, CylinderTDC: 60}).belongs() != 70 {
		t.Error("a line belongs after its cylinder's TDC")
	}
}
