package sheet

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/geometry"
)

func aCorrection() Correction {
	return Correction{
		Name: "wheel 4", Date: "2026-03-14", Diameter: 280, Counts: geometry.CountsDown,
		Sine: []geometry.Angle{0.07, -0.01}, Cosine: []geometry.Angle{0.05, 0.015},
		Covariance: [][]float64{{1e-4, 1e-5, 0, 0}, {1e-5, 1e-4, 0, 0}, {0, 0, 2e-4, 0}, {0, 0, 0, 2e-4}},
		DOF:        43, Stations: 24,
	}
}

func withOrigin() Correction {
	c := aCorrection()
	c.Origin = &CorrectionOrigin{
		Software: "markaudit 0.2.0", File: "wheel-4.csv", Digest: strings.Repeat("0a", 32), Rows: 48, Number: "W-4", Step: 0.01,
		Reference: CorrectionReference{Name: "dividing head 2", Number: "DH-2", Certificate: "C-118", Due: "2027-01-31", Limit: 0.01},
	}
	return c
}

// The second form tells what the correction came from, and is checked.
func TestBadOrigins(t *testing.T) {
	var b strings.Builder
	if err := WriteCorrection(&b, withOrigin()); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	for _, c := range []struct{ from, to, want string }{
		{`"sha256": "0a`, `"sha256": "`, "table.sha256: found"},
		{`"due": "2027-01-31"`, `"due": "2027-02-30"`, "reference.due: found 2027-02-30, expected a day"},
		{`"limit_deg": 0.01`, `"limit_deg": 0`, "reference.limit_deg: found 0"},
		{`"step_deg": 0.01`, `"step_deg": -1`, "step_deg: found -1"},
		{"\"orders\": [\n    1,", "\"orders\": [\n    3,", "orders[0]: found 3, expected 1"},
		{`"number": "W-4"`, `"nummer": "W-4"`, "unknown key nummer"},
	} {
		bad := strings.Replace(good, c.from, c.to, 1)
		if bad == good {
			t.Fatalf("%q is not in\n%s", c.from, good)
		}
		if _, err := ReadCorrection([]byte(bad)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s for %s: got %v, want %q", c.to, c.from, err, c.want)
		}
	}
}

func TestReferenceOverdue(t *testing.T) {
	c := withOrigin()
	for date, want := range map[string]bool{"2027-01-31": false, "2027-02-01": true, "2026-12-01": false, "": false} {
		s := Sheet{Readout: Readout{Correction: &c}, Setups: []Setup{{Date: date}}}
		if got := s.ReferenceOverdue(); got != want {
			t.Errorf("measured %q: overdue %v", date, got)
		}
	}
}

func TestCorrectionSurvivesItsFile(t *testing.T) {
	for _, c := range []Correction{
		aCorrection(),
		{Name: "w", DOF: math.Inf(1), Stations: 8, Counts: geometry.CountsUp, Sine: []geometry.Angle{1}, Cosine: []geometry.Angle{0}, Covariance: [][]float64{{0, 0}, {0, 0}}},
		withOrigin(),
	} {
		var b strings.Builder
		if err := WriteCorrection(&b, c); err != nil {
			t.Fatal(err)
		}
		got, err := ReadCorrection([]byte(b.String()))
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if diff := cmp.Diff(c, *got); diff != "" {
			t.Error(diff)
		}
	}
}

// The derivative is that of the formula in the documentation, typed once more.
func TestCorrectionError(t *testing.T) {
	c := aCorrection()
	for _, r := range []geometry.Angle{0, 33.25, 200, -17, 725} {
		x := r.Radians()
		want := 0.07*math.Sin(x) + 0.05*math.Cos(x) - 0.01*math.Sin(2*x) + 0.015*math.Cos(2*x)
		if got := c.Error(r).Degrees(); math.Abs(got-want) > 1e-15 { // a few roundings of 0.1
			t.Errorf("at %v: got %v, want %v", r, got, want)
		}
		c.From = 2
		if got := c.Error(r).Degrees(); math.Abs(got-(-0.01*math.Sin(2*x)+0.015*math.Cos(2*x))) > 1e-15 {
			t.Errorf("from order 2 at %v: got %v", r, got)
		}
		if terms := c.Terms(r); terms[0] != 0 || terms[1] != 0 || math.Abs(terms[2]-math.Sin(2*x)) > 1e-14 {
			t.Errorf("terms from order 2: %v", terms)
		}
		c.From = 0
	}
	var none *Correction
	if none.Error(12) != 0 {
		t.Error("no correction corrects")
	}
}

func TestBadCorrections(t *testing.T) {
	var b strings.Builder
	if err := WriteCorrection(&b, aCorrection()); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	for _, c := range []struct{ from, to, want string }{
		{good, "", "empty"},
		{good, "{", "not written whole"},
		{good, "[1]", "expected an object"},
		{`"format": 1`, `"format": 3`, "newer markaudit"},
		{`"format": 1`, `"format": 0`, "expected 1 or 2"},
		{`"format": 1`, `"format": 2`, "table: missing"},
		{`"format": 1,`, ``, "format: missing"},
		{`"name": "wheel 4"`, `"name": ""`, "name: missing"},
		{`"name": "wheel 4"`, `"name": 4`, "name: found a number, expected a text"},
		{`"name"`, `"nome"`, "unknown key nome"},
		{`"2026-03-14"`, `"14.3.2026"`, "date: found 14.3.2026"},
		{`"down"`, `"left"`, "counts: found left"},
		{`"diameter_mm": 280`, `"diameter_mm": -280`, "diameter_mm: found -280"},
		{`"dof": 43`, `"dof": 0`, "dof: found 0"},
		{`"stations": 24`, `"stations": 0`, "stations: missing"},
		{"0.07,", "700,", "coefficients_deg[0]: found 700"},
		{"0.07,", "", "coefficients_deg: found 3 numbers"},
		{"0.07,", "0.07 0.08,", "line 8"},
		{"0.0001,\n      0.00001", "-0.0001,\n      0.00001", "covariance_deg2[0][0]: found -0.0001"},
		{"0.0001,\n      0.00001", "0.0001,\n      0.00002", "at its mirror place"},
		{"}\n", "}\n{}", "one correction a file"},
	} {
		text := strings.Replace(good, c.from, c.to, 1)
		if text == good {
			t.Fatalf("%q is not in the file:\n%s", c.from, good)
		}
		_, err := ReadCorrection([]byte(text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q for %q: got %v, want %q", c.to, c.from, err, c.want)
		}
	}
}

func FuzzCorrection(f *testing.F) {
	var b strings.Builder
	if err := WriteCorrection(&b, aCorrection()); err != nil {
		f.Fatal(err)
	}
	f.Add(b.String())
	f.Add(`{"format":1,"name":"w","stations":3,"coefficients_deg":[1e308,0],"covariance_deg2":[[0,0],[0,0]]}`)
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ReadCorrection([]byte(text))
		if err != nil {
			return
		}
		for _, r := range []geometry.Angle{0, 10, 359} {
			if e := c.Error(r).Degrees(); math.IsNaN(e) || math.Abs(e) > 360*MostOrders {
				t.Fatalf("at %v: %v", r, e)
			}
		}
	})
}
