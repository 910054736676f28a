package audit_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// A setup that adds a degree to every line must not reach the distance of two
// lines that it saw, whatever other setups one of them was read in; and where
// nothing is scribed the distance stays what it is. The chord is worked by hand:
// 320 mm times the sine of half the angle between the readings.
func TestDistancesComeFromTheSetupsThatBothLinesShare(t *testing.T) {
	one := wheelSheet(t, 0)
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
	for _, d := range r.Advice.Distances {
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
		t.Fatalf("no distance from line 0 to line 1: %+v", r.Advice.Distances)
	}
}
