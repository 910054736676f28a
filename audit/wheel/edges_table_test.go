package wheel

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// What a table may be refused for, each fault where it stands.
func TestFaultsOfTables(t *testing.T) {
	long := strings.Repeat("é", 100)
	for name, c := range map[string]struct{ text, want string }{
		"separator":         {"sep=|\nreference|reading\n", "t.csv:1:5: header: found the separator |, expected ; or ,"},
		"separator alone":   {"sep=;\n", "t.csv: table: the table is empty, expected the header reference,reading"},
		"many columns":      {strings.Repeat("a,", 50) + "a\n", "t.csv:1:1: header: found 51 columns, expected a table of two to four"},
		"fifty columns":     {"reference,reading" + strings.Repeat(",a", 48) + "\n", "t.csv:1:19: header: found a, an unknown column\n  hint: " + tableColumnsText},
		"header not text":   {"ref\x00erence,reading\n", "t.csv:1:4: row: found a zero byte: this is no text file\n  hint: is this the right file?"},
		"header not closed": {"\"reference,reading\n", "t.csv:1:1: row: found a quoted field that is not closed on its line, or not followed by a separator\n  hint: a quotation mark inside quotes is doubled"},
		"quote inside":      {"reference,reading\n1,2\"3\n", "t.csv:2:4: row: found a quotation mark inside a field\n  hint: put quotes round the whole field and double the one inside it"},
		"quoted, third":     {"reference,reading,approach\n\"1\",\"2\",\"up\"\n", "t.csv:2:9: approach: found up, expected forward or backward"},
		"not quoted, third": {"reference,reading,approach\n11,2,up\n", "t.csv:2:6: approach: found up, expected forward or backward"},
		"invisible name":    {"reference,reading,mounting\n1,2,a\u200bb\n", "t.csv:2:5: mounting: found a\\u200bb, expected a name without invisible characters"},
		"long name":         {"reference,reading,mounting\n1,2," + long + "\n3,4," + long + "é\n", "t.csv:3:5: mounting: found a name of more than 100 letters"},
		"delete character":  {"reference,reading\n1,2\x7f\n", "t.csv:2:4: row: found the control character U+007F, which"},
		"control of C1":     {"reference,reading\n1,2\u009f\n", "t.csv:2:4: row: found the control character U+009F"},
		"opposite, letters": {"reading;opposite\n1,5;2 BTDC\n", "t.csv:2:5: opposite: found 2 BTDC, expected degrees without letters"},
		"opposite, torn":    {"reading,opposite\n1,2,3\n", "t.csv:2:1: row: found 3 fields, expected 2 as in the header"},
		"opposite, missing": {"opposite,struck\n", "t.csv:1:1: header: found no column reading, expected one"},
		"opposite, others":  {"reading,opposite,struck,reference\n", "t.csv:1:25: header: found reference beside opposite"},
		"thousand faults":   {"reference,reading\n" + strings.Repeat("x,1\n", 1002), ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := readTable(c.text)
			if err == nil {
				t.Fatal("no fault")
			}
			want := strings.TrimSuffix(c.want, ", which")
			if !strings.HasPrefix(err.Error(), want) {
				t.Errorf("got %v\nwant %s", err, want)
			}
			if name == "thousand faults" && (strings.Count(err.Error(), "found x") != 1001 || !strings.Contains(err.Error(), "t.csv:1003:1: row: found more than 1000 faults")) {
				t.Errorf("%d faults: %s", strings.Count(err.Error(), "found x"), err.Error()[len(err.Error())-200:])
			}
		})
	}
	var b strings.Builder
	b.WriteString("reference,reading,mounting\n")
	for i := range 1000 {
		fmt.Fprintf(&b, "1,2,%d\n", i)
	}
	if _, _, err := readTable(b.String()); err != nil {
		t.Errorf("a thousand mountings: %v", err)
	}
	b.WriteString("1,2,1000\n")
	if _, _, err := readTable(b.String()); err == nil || !strings.HasPrefix(err.Error(), "t.csv:1002:5: mounting: found more than 1000 mountings, expected one for each time") {
		t.Errorf("one more: %v", err)
	}
}

// A tab within a row is a blank, and a row that is struck is kept, plain or not.
func TestRowsThatAreRead(t *testing.T) {
	rows, table, err := readTable("struck,mounting,reference,reading,approach\n,A,1,2,forward\nslipped,A,3,4,backward\n,B,\t5,6,backward\n\"\",A,7,8,forward\n")
	want := []Row{
		{Reference: 1, Reading: 2, Mounting: "A", Approach: sheet.Forward},
		{Reference: 5, Reading: 6, Mounting: "B", Approach: sheet.Backward},
		{Reference: 7, Reading: 8, Mounting: "A", Approach: sheet.Forward},
	}
	if err != nil || !slices.Equal(rows, want) || table.Rows != 4 {
		t.Errorf("got %+v, %d, %v", rows, table.Rows, err)
	}
	var r Result
	r.StandsOut = &Station{Reference: 5, Mounting: "B"}
	got := table.Readings(r)
	for i, where := range []string{"reference 1, forward, mounting A, reading", "reference 3, backward, mounting A, reading", "reference 5, backward, mounting B, reading", "reference 7, forward, mounting A, reading"} {
		if got[i].Where != where || got[i].Row != i+2 || got[i].Slip != (i == 2) || got[i].AsRead || (got[i].Struck != "") != (i == 1) {
			t.Errorf("row %d: %+v, want %s", i+2, got[i], where)
		}
	}
	r.AsRead = true
	if got := table.Readings(r); !got[2].AsRead || got[0].AsRead {
		t.Errorf("looked up: %+v", got)
	}
	for s, want := range map[*Station]string{
		{Reference: 1}: "[2]", {Reference: 361, Mounting: "A"}: "[2]", {Reference: 1, Mounting: "B"}: "[]", {Reference: 3}: "[]", {Reference: 1.00001}: "[]",
	} {
		if got := fmt.Sprint(table.RowsOf(s)); got != want {
			t.Errorf("%+v: rows %s, want %s", *s, got, want)
		}
	}
	_, pointers, err := readTable("opposite,reading\n181.5,1\n182,2.50\n")
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(pointers.RowsOf(&Station{Reading: 2.5, Reference: 1})); got != "[3]" {
		t.Errorf("pointers: rows %s", got)
	}
	if x := pointers.Readings(Result{})[1]; x.Where != "reading 2.50, opposite" || x.Text != "182" {
		t.Errorf("pointers: %+v", x)
	}
	// Two thousand rows are kept, one more is a log.
	for n, kept := range map[int]int{mostWritten: 2000, mostWritten + 1: 0} {
		_, table, err := readTable("reference,reading\n" + strings.Repeat("1,2\n", n))
		if err != nil || len(table.Readings(Result{})) != kept {
			t.Errorf("%d rows: %d kept, %v", n, len(table.Readings(Result{})), err)
		}
	}
}

// What the shortcut for plain numbers takes, and what it leaves to the exact parser.
func TestPlainNumbers(t *testing.T) {
	for text, want := range map[string]float64{
		"0": 0, "7": 7, "-7": -7, "0.5": 0.5, "-0.25": -0.25, "1000000": 1e6, "999999.999999999": 999999.999999999, "0.12345678901234": 0.12345678901234, "12.5": 12.5,
	} {
		if got, ok := plainNumber([]byte(text), false); !ok || float64(got) != want {
			t.Errorf("%s: %v, %v", text, got, ok)
		}
	}
	for _, text := range []string{"", "-", ".", ".5", "5.", "00", "01", "-01", "1.2.3", "1,5", "1000000.1", "1234567890123456", "0.123456789012345", "1/2", "1:2", "+1", " 1", "1e3", "--1"} {
		if got, ok := plainNumber([]byte(text), false); ok {
			t.Errorf("%s: taken for %v", text, got)
		}
	}
	for text, want := range map[string]float64{"1,5": 1.5, "1.5": 1.5, "-0,25": -0.25} {
		if got, ok := plainNumber([]byte(text), true); !ok || float64(got) != want {
			t.Errorf("%s: %v, %v", text, got, ok)
		}
	}
	for _, text := range []string{"1,2,3", "1.2,3", ",5", "5,"} {
		if got, ok := plainNumber([]byte(text), true); ok {
			t.Errorf("%s: taken for %v", text, got)
		}
	}
}

// Means and squares as they come are those of all at once, also across zero.
func TestMomentsAsTheyCome(t *testing.T) {
	random := testkit.Rand(t, 34)
	for range 20 {
		var one, two, all moments
		var x []float64
		centre := 360 * random.Float64()
		for i := range 7 {
			v := centre + 20*random.Float64() - 10
			x = append(x, v)
			v = turn(v)
			all.add(v)
			if i < 3 {
				one.add(v)
			} else {
				two.add(v)
			}
		}
		mean, sd := stats.MeanStdDev(x)
		var merged moments
		merged.merge(one)
		merged.merge(two)
		for name, m := range map[string]moments{"one by one": all, "merged": merged} {
			if m.n != 7 || math.Abs(wrap(m.mean-mean)) > 1e-9 || math.Abs(m.squares-6*sd*sd) > 1e-8 {
				t.Errorf("%s: %+v, want %g and %g", name, m, mean, 6*sd*sd)
			}
		}
	}
	for x, want := range map[float64][2]float64{-180: {180, 180}, 180: {180, 180}, 181: {-179, 181}, -1: {-1, 359}, 360: {0, 0}, 0: {0, 0}, 359.5: {-0.5, 359.5}, 721: {1, 1}} {
		if wrap(x) != want[0] || turn(x) != want[1] {
			t.Errorf("%g: %g and %g, want %v", x, wrap(x), turn(x), want)
		}
	}
}

// Stations are told apart from a millionth of a degree on; a bin is a tenth.
func TestStationsAndBins(t *testing.T) {
	for x, want := range map[float64][2]int64{0: {0, 0}, 0.0000004: {0, 0}, 0.0000006: {1, 0}, 359.9999996: {0, 3599}, 0.1: {100000, 1}, 10.05: {10050000, 100}, 359.95: {359950000, 3599}} {
		if stationOf(x) != want[0] || binOf(x) != want[1] {
			t.Errorf("%g: station %d, bin %d, want %v", x, stationOf(x), binOf(x), want)
		}
	}
	var a Accumulator
	for i := range mostStations {
		x := geometry.Angle(i) * 360 / mostStations
		a.Add(Row{Reference: x, Reading: x})
	}
	if a.binned || len(a.groups) != 20000 {
		t.Errorf("binned %v, %d groups", a.binned, len(a.groups))
	}
	a.Add(Row{Reference: 0.001, Reading: 0.001})
	if !a.binned || len(a.groups) != 3600 {
		t.Errorf("one more: binned %v, %d groups", a.binned, len(a.groups))
	}
	n := 0.0
	for _, g := range a.groups {
		n += g.up.n
		if g.down.n != g.up.n || g.reading.n != g.up.n || math.Abs(g.up.mean) > 1e-9 {
			t.Fatalf("a bin: %+v", g)
		}
	}
	if n != 20001 {
		t.Errorf("%g rows in bins", n)
	}
}

// Whether a column looks set: multiples of five, or even to two hundredths, of four
// different values or more.
func TestLooksSet(t *testing.T) {
	for name, c := range map[string]struct {
		values []float64
		set    bool
	}{
		"fives":             {[]float64{0, 5, 45, 300}, true},
		"three fives":       {[]float64{0, 5, 45, 5}, false},
		"one is no five":    {[]float64{0, 5, 45, 301}, false},
		"nearly fives":      {[]float64{0, 5, 45, 300.00001}, false},
		"even":              {[]float64{7.5, 0.5, 21.5, 14.5}, true},
		"even to 0.02":      {[]float64{0.5, 7.5, 14.485, 21.5}, true},
		"not quite":         {[]float64{0.5, 7.5, 14.47, 21.5}, false},
		"the last is not":   {[]float64{0.5, 7.5, 14.5, 21.53}, false},
		"the second is not": {[]float64{0.5, 7.53, 14.5, 21.5}, false},
	} {
		var d distinct
		for _, x := range c.values {
			d.add(x)
		}
		if d.set() != c.set {
			t.Errorf("%s: set %v", name, d.set())
		}
	}
	var d distinct
	for i := range 720 {
		d.add(float64(5 * i))
	}
	if !d.set() {
		t.Error("720 values may be set")
	}
	d.add(-5)
	d.add(-10)
	if d.set() || len(d.values()) != 0 {
		t.Error("nobody sets 721 values")
	}
}

// No point weighs more than four times the median.
func TestWeights(t *testing.T) {
	var points []point
	for _, n := range []float64{1, 2, 30, 3, 12} {
		points = append(points, point{group: &group{reading: moments{n: n}}})
	}
	weigh(points)
	for i, want := range []float64{1, 2, 12, 3, 12} {
		if points[i].weight != want {
			t.Errorf("point %d weighs %g, want %g", i, points[i].weight, want)
		}
	}
}

// Two pointers may be an eighth of a turn from opposite each other, as the error of both
// together.
func TestPointersNearlyOpposite(t *testing.T) {
	for off, refused := range map[geometry.Angle]bool{89.8: false, -89.8: false, 90.2: true, -90.2: true} {
		var rows []Row
		for i := range 12 {
			at := geometry.Angle(30 * i)
			rows = append(rows, Row{Reading: at, Opposite: at + 180 + off, Pointers: true})
		}
		if _, err := audited(Options{}, rows); (err != nil) != refused {
			t.Errorf("%v from opposite: %v", off, err)
		}
	}
}

// Where stations lie on the step, a number of up to twelve more is advised that does not,
// and none beyond 400: nobody reads more by hand. 399 even stations fall on 133 phases of
// half a degree, 400 on five, 401 on as many as they are; of a step of 1/27720 every number
// up to twelve divides.
func TestAdvisedStations(t *testing.T) {
	for _, c := range []struct {
		stations int
		step     geometry.Angle
		want     int
	}{{24, 0.5, 25}, {398, 0.5, 399}, {399, 0.5, 400}, {400, 0.5, 0}, {8, 360.0 / 27720, 13}, {1, 360.0 / 27720, 13}, {0, 0.5, 0}} {
		var a Accumulator
		for i := range c.stations {
			a.references.add(c.step.Degrees() * float64(i))
		}
		r := Result{Options: Options{Step: c.step}, Harmonics: []Harmonic{{Order: 1, Amplitude: c.step}}}
		findLattice(&r, &a)
		if (r.Lattice == nil) != (c.stations == 0) || r.Lattice != nil && (r.Lattice.Stations != c.want || math.Abs(r.Lattice.Alike-1) > 1e-6) {
			t.Errorf("%d stations, step %v: %+v, want %d", c.stations, c.step, r.Lattice, c.want)
		}
	}
	// From two steps of amplitude on the pattern runs through all phases.
	for amplitude, there := range map[geometry.Angle]bool{0.99: true, 1: false} {
		r := Result{Options: Options{Step: 0.5}, Harmonics: []Harmonic{{Order: 1, Amplitude: amplitude}}}
		var a Accumulator
		for i := range 24 {
			a.references.add(15 * float64(i))
		}
		if findLattice(&r, &a); (r.Lattice != nil) != there {
			t.Errorf("amplitude %v: %+v", amplitude, r.Lattice)
		}
	}
	// Opposite pointers and logs have no stations that were set, and without a step nothing
	// is rounded; of a wheel that was set its readings count.
	for name, r := range map[string]Result{"opposite": {Opposite: true, Options: Options{Step: 0.5}}, "log": {Binned: true, Options: Options{Step: 0.5}}, "no step": {}, "wheel": {Options: Options{Step: 0.5, Set: SetWheel}}} {
		var a Accumulator
		for i := range 24 {
			a.references.add(15 * float64(i))
			a.readings.add(15*float64(i) + 0.0208*float64(i))
		}
		r.Harmonics = []Harmonic{{Order: 1}}
		if findLattice(&r, &a); r.Lattice != nil {
			t.Errorf("%s: %+v", name, r.Lattice)
		}
	}
}
