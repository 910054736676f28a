package audit_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// A setup that adds a degree to every line must not reach the distance of two
// lines that it saw, whatever other setups one of them was read in; and where
// nothing is scribed the distance stays what it is. The chord is worked by hand:
// 320 mm times the sine of half the angle between the readings.
func TestDistancesComeFromTheSetupsThatBothLinesShare(t *testing.T) {
	one := teststand.OffCentre(0)
	one.Readout.OffCentre, one.Part.Diameter = 0, 320
	two := one.Setups[0]
	two.Name = "2"
	two.Marks = map[string][]sheet.Reading{}
	for name, readings := range one.Setups[0].Marks {
		for _, r := range readings {
			r.Value++
			two.Marks[name] = append(two.Marks[name], r)
		}
	}
	delete(two.Marks, "line 1")
	one.Setups = append(one.Setups, two)
	r, err := audit.Run(one)
	if err != nil {
		t.Fatal(err)
	}
	seen := false
	for _, d := range r.Distances() {
		if d.Now != d.After {
			t.Errorf("%s to %s: %v now, %v after nothing is scribed", d.From, d.To, d.Now, d.After)
		}
		if d.From == "line 0" && d.To == "line 1" {
			seen = true
			marks := one.Setups[0].Marks
			gap := marks["line 1"][0].Value - marks["line 0"][0].Value
			want := 320 * math.Sin(gap.Radians()/2)
			if got := d.Now.Millimetres(); math.Abs(got-want) > 1e-9 { // a dozen roundings of 300 mm
				t.Errorf("got %v, want %v", got, geometry.Length(want))
			}
		}
	}
	if !seen {
		t.Fatalf("no distance from line 0 to line 1: %+v", r.Distances())
	}
}

// Dividers are set only between lines of one part that lie far enough apart, and
// near the diameter, where a chord hardly grows with the angle, the length round the
// rim stands beside it. Chords and arcs are plane geometry by hand, on 158 mm.
func TestDividersOnlyWhereTheyTell(t *testing.T) {
	t.Parallel()
	r := quietRig(t, 805)
	r.first().Trials, r.first().Readings, r.first().Closing = 3, 3, true
	r.Lines = nil
	for _, l := range []struct {
		name, on string
		at       geometry.Angle
	}{{"T", "", 0}, {"hub", "hub", 2}, {"near", "", 4}, {"10", "", 10}, {"far", "", 172}, {"other hub", "hub", 90}} {
		r.line(l.name, l.at, 0).On = l.on
	}
	r.Lines[4].Offset = 3 // scribed anew at 172
	result := ask(t, r)
	type pair struct{ from, to string }
	want := map[pair]struct{ apart, after float64 }{
		{"T", "10"}:          {10, 10}, // 4 is too near
		{"near", "10"}:       {6, 6},
		{"10", "far"}:        {165, 162},
		{"far", "T"}:         {175, 172},
		{"hub", "other hub"}: {88, 88},
	}
	if len(result.Distances()) != len(want) {
		t.Errorf("got %d distances, want %d: %+v", len(result.Distances()), len(want), result.Distances())
	}
	for _, d := range result.Distances() {
		w, listed := want[pair{d.From, d.To}]
		if !listed {
			t.Errorf("got a distance from %s to %s", d.From, d.To)
			continue
		}
		testkit.Near(t, d.From+" to "+d.To, d.Now.Millimetres(), 158*math.Sin(rad(w.apart/2)), 1e-6)
		testkit.Near(t, d.From+" to "+d.To+" after", d.After.Millimetres(), 158*math.Sin(rad(w.after/2)), 1e-6)
		round, roundAfter := 0.0, 0.0
		if w.apart > 150 {
			round, roundAfter = math.Pi*158*w.apart/360, math.Pi*158*w.after/360
		}
		testkit.Near(t, d.From+" round to "+d.To, d.NowRound.Millimetres(), round, 1e-6)
		testkit.Near(t, d.From+" round to "+d.To+" after", d.AfterRound.Millimetres(), roundAfter, 1e-6)
	}
}

// A distance in which a line off by its tolerance would drown in the ± is no check,
// and is not listed. Tolerance and ± on the rim: 0.1 degrees are 0.14 mm of 158.
func TestDividersThatWouldNotShowATolerance(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		tolerance geometry.Angle
		listed    bool
	}{{0.1, false}, {3, true}} {
		r := newRig(testkit.Rand(t, 806)).withLines(c.tolerance, 0, 40)
		result := ask(t, r)
		if got := len(result.Distances()) == 1; got != c.listed {
			t.Errorf("tolerance %v: got %+v, want one listed: %v", c.tolerance, result.Distances(), c.listed)
		}
		for _, d := range result.Distances() {
			if perDegree := math.Pi * 158 / 360 * math.Cos(rad(20)); d.U.Millimetres() <= 0 || d.U.Millimetres() >= 3*perDegree {
				t.Errorf("got ± %v, want it known and within what 3 degrees move the chord", d.U)
			}
		}
	}
}

// A proof line is any other line of the part, so every pair has its ±: also those that
// dividers do not check. Plane geometry by hand: on a rim of D across the chord of an
// arc s is D sin(s/D), and where the diameter is sure its ± is that of the arc times
// cos(s/D).
func TestAnyPairOfLinesHasItsLengthAndDoubt(t *testing.T) {
	t.Parallel()
	const d = 320
	in := handSheet(0.1, 0, -0.2, 0.3)
	in.Readout.OffCentre, in.Part.Diameter, in.Part.DiameterLimit.Half = 0, d, 0
	r, err := audit.Run(in)
	if err != nil {
		t.Fatal(err)
	}
	pairs, distances := r.Advice.Pairs(r.Sheet, r.TDC, r.Lines), r.Distances()
	if len(pairs) != 6 {
		t.Fatalf("got %d pairs of 4 lines, want 6: %+v", len(pairs), pairs)
	}
	seen := map[string]bool{}
	for i, p := range pairs {
		if want := i < len(distances); p.Checks != want || want && p.Distance != distances[i] {
			t.Errorf("%s to %s: checks %v, want %v: those that the report lists come first, and as they are", p.From, p.To, p.Checks, want)
		}
		if seen[p.From+p.To] || seen[p.To+p.From] || p.From == p.To {
			t.Errorf("%s to %s twice", p.From, p.To)
		}
		seen[p.From+p.To] = true
		half := float64(p.Along) / d
		if want := d * math.Sin(half); math.Abs(float64(p.Now)-want) > 1e-9 {
			t.Errorf("%s to %s: %v along the rim and %v across, want %v", p.From, p.To, p.Along, p.Now, want)
		}
		if want := float64(p.AlongU) * math.Cos(half); p.AlongU <= 0 || math.Abs(float64(p.U)-want) > 0.002*want { // the chord's ± is taken to first order
			t.Errorf("%s to %s: ± %v along the rim and %v across, want %v", p.From, p.To, p.AlongU, p.U, want)
		}
	}
	in.Part.Diameter = 0
	if r, err = audit.Run(in); err != nil || len(r.Advice.Pairs(r.Sheet, r.TDC, r.Lines)) > 0 {
		t.Errorf("pairs without a diameter: %v", err)
	}
}
