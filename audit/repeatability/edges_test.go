package repeatability

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/jobrecord"
	"markaudit/geometry"
)

// read are values of one person and mark, trial by trial.
func read(by, mark string, values ...geometry.Angle) (out []Value) {
	for i, x := range values {
		out = append(out, Value{by, mark, x, i + 1})
	}
	return out
}

// One letter changed, more, less, or two neighbours exchanged, by trying all of them.
func TestOneApartByTrying(t *testing.T) {
	letters := []rune("abc")
	edits := func(a []rune) map[string]bool {
		out := map[string]bool{}
		for i := range len(a) + 1 {
			for _, l := range letters {
				out[string(slices.Insert(slices.Clone(a), i, l))] = true
				if i < len(a) {
					b := slices.Clone(a)
					b[i] = l
					out[string(b)] = true
				}
			}
			if i < len(a) {
				out[string(slices.Delete(slices.Clone(a), i, i+1))] = true
			}
			if i+1 < len(a) {
				b := slices.Clone(a)
				b[i], b[i+1] = b[i+1], b[i]
				out[string(b)] = true
			}
		}
		delete(out, string(a))
		return out
	}
	rng := testkit.Rand(t, 51)
	word := func() []rune {
		w := make([]rune, 3+rng.IntN(4))
		for i := range w {
			w[i] = letters[rng.IntN(3)]
		}
		return w
	}
	for range 400 {
		a := word()
		near := edits(a)
		others := []string{string(word()), string(word()), string(a)}
		for b := range near {
			others = append(others, b)
		}
		for _, b := range others {
			want := near[b] && len(a) >= 4 && len([]rune(b)) >= 4
			if oneApart(a, []rune(b)) != want || oneApart([]rune(b), a) != want {
				t.Fatalf("%s and %s: want %v", string(a), b, want)
			}
		}
	}
}

// Two who share a trial of a mark are two people, however near their names.
func TestNearNames(t *testing.T) {
	at := func(by, mark string, trials ...int) (out []Value) {
		for _, n := range trials {
			out = append(out, Value{by, mark, geometry.Angle(n), n})
		}
		return out
	}
	for name, c := range map[string]struct {
		values []Value
		near   bool
	}{
		"other trials":       {slices.Concat(at("Nora", "m", 1, 3, 5), at("Nara", "m", 2, 4)), true},
		"one in common":      {slices.Concat(at("Nora", "m", 1, 3, 5), at("Nara", "m", 2, 4, 5)), false},
		"the first":          {slices.Concat(at("Nora", "m", 1, 3), at("Nara", "m", 1)), false},
		"of another mark":    {slices.Concat(at("Nora", "m", 1), at("Nara", "n", 1)), true},
		"at the second mark": {slices.Concat(at("Nora", "m", 1), at("Nora", "n", 2), at("Nara", "m", 3), at("Nara", "n", 2)), false},
		"only at the second": {slices.Concat(at("Nora", "m", 1), at("Nora", "n", 2), at("Nara", "n", 2)), false},
		"later ones":         {slices.Concat(at("Nora", "m", 6, 7), at("Nara", "m", 1, 2, 3)), true},
		"far names":          {slices.Concat(at("Nora", "m", 1), at("Pavel", "m", 2)), false},
	} {
		want := [][2]string(nil)
		if c.near {
			want = [][2]string{{"Nora", "Nara"}}
		}
		if got := Analyse(Data{Values: c.values}, PoolAuto).Near; !slices.Equal(got, want) {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// Among few values one is named that lies more than five degrees and ten times as far
// out as any other; what it should be is told where a slip explains it.
func TestFarOut(t *testing.T) {
	for name, c := range map[string]struct {
		odd   geometry.Angle
		other geometry.Angle // how far another is out
		named bool
		fits  float64 // NaN: not told
	}{
		"just beyond":     {5.01, 0, true, math.NaN()},
		"just within":     {4.99, 0, false, 0},
		"ten times":       {6.1, 0.6, true, math.NaN()},
		"not ten times":   {5.9, 0.6, false, 0},
		"ten degrees":     {10, 0, true, 0},
		"early by ten":    {-10, 0, true, 0},
		"no slip of that": {33.3, 0.5, true, math.NaN()},
	} {
		values := slices.Concat(read("A", "m", 7, 7+c.other), read("A", "n", 7, 7, 7+c.odd), read("B", "m", 7, 7), read("B", "n", 7, 7))
		d := Data{Values: values, Step: 0.1, Lines: []int{2, 3, 4, 5, 6, 7, 8, 9, 10}}
		got := slips(d)
		if (len(got) == 1) != c.named {
			t.Errorf("%s: %+v", name, got)
			continue
		}
		if !c.named {
			continue
		}
		s := got[0]
		if s.By != "A" || s.Mark != "n" || s.Trial != 3 || s.Line != 6 || s.Value != 7+c.odd || !math.IsNaN(s.Probability) || math.IsNaN(s.Fits.Degrees()) != math.IsNaN(c.fits) || !math.IsNaN(c.fits) && (s.Fits-7).Abs() > 1e-9 {
			t.Errorf("%s: %+v", name, s)
		}
	}
}

// Three slips are named and no more, the farthest first; a value of a person with fewer
// than six is not judged.
func TestSlipsOfAStudy(t *testing.T) {
	base := func(by string, n int) (out []Value) {
		for i := range n {
			out = append(out, Value{by, "m", geometry.Angle(0.5 + 0.01*float64(i%3)), i + 1})
		}
		return out
	}
	values := slices.Concat(base("A", 12), base("B", 12), base("C", 12), base("D", 12), base("E", 12), base("F", 12), base("G", 12), base("H", 12), base("I", 12))
	for i, by := range []float64{10, 1, -10, 10} {
		values[12*i+4].Value += geometry.Angle(by)
	}
	got := slips(Data{Values: values})
	if len(got) != 3 || slices.ContainsFunc(got, func(s Slip) bool { return s.By == "B" || s.Trial != 5 || s.Line != 0 }) {
		t.Fatalf("%+v", got)
	}
	for _, s := range got {
		if math.Abs(s.Fits.Degrees()-0.51) > 1e-9 || !(s.Probability < 0.01) {
			t.Errorf("%+v", s)
		}
	}
	for n, named := range map[int]bool{5: false, 6: true} {
		values := slices.Concat(base("A", n), base("B", 12), base("C", 12))
		values[2].Value++
		if got := slips(Data{Values: values}); (len(got) == 1) != named {
			t.Errorf("of %d values: %+v", n, got)
		}
	}
	// By hand: of six values 0, 0.1, 0, 0.1, 0 and 1.05, about their median, the last lies
	// 1.01 from the mean of the others, whose s is 0.0547723: t 16.8337 of 4.
	values = slices.Concat(read("A", "m", 0, 0.1, 0, 0.1, 0, 1.05), read("B", "m", 0, 0.1, 0, 0.1, 0, 0.1), read("C", "m", 0, 0.1, 0, 0.1, 0, 0.1))
	want := 2 * stats.TSurvival(1.01/(0.05477225575*math.Sqrt(1.2)), 4) * 18
	if got := slips(Data{Values: values}); len(got) != 1 || math.Abs(got[0].Probability-want) > 1e-9 || math.Abs(got[0].Fits.Degrees()-0.05) > 1e-9 {
		t.Errorf("by hand: %+v, want %g", got, want)
	}
}

// What cannot be told of a study, of people, marks and repeats.
func TestGapsByCounts(t *testing.T) {
	whole := slices.Concat(read("A", "m", 1, 2), read("A", "n", 3, 4), read("B", "m", 1, 2), read("B", "n", 3, 5))
	for name, c := range map[string]struct {
		d    Data
		want []Gap
	}{
		"whole":             {Data{Values: whole, Tolerance: 1}, nil},
		"no tolerance":      {Data{Values: whole}, []Gap{NoTolerance}},
		"nameless":          {Data{Values: whole, Nameless: 1, Tolerance: 1}, []Gap{SomeNameless}},
		"readings":          {Data{Values: whole, Each: PerReading, Tolerance: 1}, []Gap{ReadingsOnly}},
		"setups":            {Data{Values: whole, Each: PerSetup, Tolerance: 1}, nil},
		"one person":        {Data{Values: whole[:4], Tolerance: 1}, []Gap{OnePerson}},
		"one mark":          {Data{Values: slices.Concat(whole[:2], whole[4:6]), Tolerance: 1}, []Gap{OneMark}},
		"one of each":       {Data{Values: whole[:2], Tolerance: 1}, []Gap{OnePerson, OneMark}},
		"one repeat":        {Data{Values: []Value{whole[0], whole[2], whole[4], whole[7]}, Tolerance: 1}, []Gap{OneRepeat}},
		"no repeat":         {Data{Values: []Value{whole[0], whole[4]}, Tolerance: 1}, []Gap{OneMark, NoRepeat}},
		"three corners":     {Data{Values: whole[:6], Tolerance: 1}, []Gap{NoInteraction}},
		"corners, a repeat": {Data{Values: []Value{whole[0], whole[1], whole[2], whole[4]}, Tolerance: 1}, []Gap{NoInteraction}},
		"one repeat, whole": {Data{Values: []Value{whole[0], whole[1], whole[2], whole[4], whole[6]}, Tolerance: 1}, nil},
		"three, once each":  {Data{Values: []Value{whole[0], whole[2], whole[4]}, Tolerance: 1}, []Gap{NoRepeat}},
		"two islands":       {Data{Values: slices.Concat(whole[:2], whole[6:]), Tolerance: 1}, []Gap{NoInteraction, NotConnected}},
	} {
		if got := Analyse(c.d, PoolAuto).Gaps; !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
	func() {
		defer func() {
			if recover() == nil {
				t.Error("a study without values is analysed")
			}
		}()
		Analyse(Data{}, PoolAuto)
	}()
}

// The record has every value as it was written, and what became of it.
func TestRecordOfValues(t *testing.T) {
	d := Data{Values: []Value{{"Ana", "TDC", 0.5, 1}, {"Bo", "TDC", 5, 2}}, Lines: []int{2, 3}, Texts: []string{"0.50", "5"}}
	slip := []Slip{{at: 1}}
	want := []jobrecord.Reading{{Row: 2, Where: "Ana, TDC, trial 1", Text: "0.50"}, {Row: 3, Where: "Bo, TDC, trial 2", Text: "5", Slip: true}}
	if diff := cmp.Diff(want, d.Readings(slip)); diff != "" {
		t.Error(diff)
	}
	d.AsRead = true
	want[1].AsRead = true
	if diff := cmp.Diff(want, d.Readings(slip)); diff != "" {
		t.Error(diff)
	}
	d.Lines, d.Texts = nil, nil // of a sheet
	want = []jobrecord.Reading{{Where: "Ana, TDC, trial 1", Text: "0.5"}, {Where: "Bo, TDC, trial 2", Text: "5"}}
	if diff := cmp.Diff(want, d.Readings(nil)); diff != "" {
		t.Error(diff)
	}
}

// Every fault of a file is told where it stands, and what is at a limit is taken.
func TestFaultsOfStudies(t *testing.T) {
	const header = "by,mark,value,trial,known,known_u\n"
	for _, c := range []struct{ rows, want string }{
		{",TDC,1,1,,\n", "f.csv:2:1: by: found nothing, expected the name of the person"},
		{"Ana,,1,1,,\n", "f.csv:2:5: mark: found nothing, expected the name of the line"},
		{"Ana,TDC,1 BTDC,1,,\n", "f.csv:2:9: value: found 1 BTDC, expected how far the line is off, in degrees without letters\n  hint: late is positive, early negative"},
		{"Ana,TDC,1,1,,\nAna,TDC,2,1,,\n", "f.csv:3:11: trial: found a second value of trial 1 by Ana of TDC, the first in line 2\n  hint: give a value that was taken again a trial of its own"},
		{"Ana,TDC,1,1000001,,\n", "f.csv:2:11: trial: found 1000001, expected the number of the trial, counted from 1"},
		{"Ana,TDC,1,x,,\n", "f.csv:2:11: trial: found x, expected the number of the trial, counted from 1"},
		{"Ana,TDC,1,1,0.1,-0.1\n", "f.csv:2:17: known_u: found -0.1, expected the uncertainty of known at 95 %, in degrees"},
		{"Ana,TDC,1,1,0.1,0.1 ATDC\n", "f.csv:2:17: known_u: found 0.1 ATDC, expected the uncertainty of known"},
		{"Ana,TDC,1,1,0.1,0.1\nBo,TDC,1,1,0.1,0.2\n", "f.csv:3:12: known: found another known value of TDC than in an earlier row, expected the same"},
	} {
		if _, err := ReadStudy("f.csv", []byte(header+c.rows)); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%q: got %v\nwant %s", c.rows, err, c.want)
		}
	}
	d, err := ReadStudy("f.csv", []byte(header+"Ana,TDC,1,1000000,0.1,0\nAna,U,1,1,,\nBo,TDC,1,1,0.1,0\nBo,U,2,1,0.3,0.2\nBo,U,3,2,0.3,0.2\nCy,,,,,\nCy,,,,,\n"))
	if err != nil || !cmp.Equal(d.Known, []Known{{"TDC", 0.1, 0}, {"U", 0.3, 0.2}}) || len(d.Values) != 5 || !slices.Equal(d.Absent, []string{"Cy"}) || !slices.Equal(d.Lines, []int{2, 3, 4, 5, 6}) {
		t.Errorf("%+v, %v", d, err)
	}
	d.Expect([]string{"ana", "CY", "Dot", "Dot"})
	if !slices.Equal(d.Absent, []string{"Cy", "Dot"}) {
		t.Errorf("absent: %v", d.Absent)
	}
	of := func(people, marks int) error {
		var b strings.Builder
		b.WriteString("by,mark,value\n")
		for i := range max(people, marks) {
			fmt.Fprintf(&b, "p%d,m%d,1\n", i%people, i%marks)
		}
		_, err := ReadStudy("f.csv", []byte(b.String()))
		return err
	}
	if err := of(500, 1); err != nil {
		t.Errorf("500 people: %v", err)
	}
	if err := of(1, 1000); err != nil {
		t.Errorf("1000 lines: %v", err)
	}
	if err := of(1, 1001); err == nil || !strings.HasPrefix(err.Error(), "f.csv:1002:4: mark: found more than 1000 lines in one study\n  hint: is this the right file?") {
		t.Errorf("1001 lines: %v", err)
	}
	if err := of(501, 1); err == nil || strings.Count(err.Error(), "found more than") != 1 {
		t.Errorf("501 people: %v", err)
	}
}

// The letters of a class without names, by counting in base 26 from A on.
func TestLettersOfAClass(t *testing.T) {
	var d Data
	for i := range 26 + 26*26 + 2 {
		d.Values = append(d.Values, Value{By: strconv.Itoa(i)})
	}
	got := d.Anonymous().Values
	for at, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 26 + 26*26 - 1: "ZZ", 26 + 26*26: "AAA", 26 + 26*26 + 1: "AAB"} {
		if got[at].By != want {
			t.Errorf("person %d is %s, want %s", at, got[at].By, want)
		}
	}
}

// What is known of marks nobody measured says nothing, and of those who measured none of
// them nothing is said.
func TestReferenceOfSome(t *testing.T) {
	values := slices.Concat(read("Ana", "m", 1, 1.2), read("Ana", "n", 2, 2.2), read("Bo", "n", 2, 2.1))
	if r := Analyse(Data{Values: values, Known: []Known{{"x", 1, 0.1}}}, PoolAuto).Reference; r != nil {
		t.Errorf("of no mark: %+v", r)
	}
	r := Analyse(Data{Values: values, Known: []Known{{"m", 1, 0.1}}}, PoolAuto).Reference
	if r == nil || r.People[1].Known || math.Abs(r.People[0].Value-0.1) > 1e-9 || math.Abs(r.Bias.Value-0.1) > 1e-9 || r.Bias.Bounded {
		t.Errorf("of one of them: %+v", r)
	}
	// Known to 0.6 and 0.8: one reference of U √((0.6² + 0.8²)/2), where people scatter by
	// nothing its half width alone: 1.959964/2 of it.
	exact := slices.Concat(read("Ana", "m", 1, 1, 1), read("Ana", "n", 2, 2, 2), read("Bo", "m", 1, 1, 1), read("Bo", "n", 2, 2, 2))
	r = Analyse(Data{Values: exact, Known: []Known{{"m", 0.5, 0.6}, {"n", 1.7, 0.8}}}, PoolAuto).Reference
	want := math.Sqrt(0.5) / 2 * 1.959963985
	if r == nil || math.Abs(r.Bias.Value-0.4) > 1e-9 || math.Abs(r.Bias.High-0.4-want) > 1e-6 || math.Abs(r.People[0].High-0.4-want) > 1e-6 {
		t.Errorf("of a reference alone: %+v, want ± %g", r, want)
	}
	// A person's own mean: s 0.1 with 4 degrees of freedom, two marks of three values each:
	// 0.1/√6, t 2.776445 (printed tables).
	r = Analyse(Data{Values: slices.Concat(read("Ana", "m", 1, 1.1, 0.9), read("Ana", "n", 2.1, 1.9, 2), read("Bo", "m", 1, 1.1, 0.9), read("Bo", "n", 2.1, 1.9, 2)), Known: []Known{{"m", 1, 0}, {"n", 2, 0}}}, PoolAuto).Reference
	if half := r.People[0].High; math.Abs(half-2.776445105*0.1/math.Sqrt(6)) > 1e-6 {
		t.Errorf("of one person: ± %g", half)
	}
}
