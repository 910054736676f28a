package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestParseNominal(t *testing.T) {
	const crank, bottom, drop, rim = geometry.CrankDegrees, geometry.PistonDegrees, geometry.PistonDrop, geometry.RimLength
	for _, c := range []struct {
		text    string
		counted geometry.Counted
		angle   geometry.Angle
		length  geometry.Length
		echo    string
	}{
		{"120", crank, 120, 0, "120 ATDC"},
		{"10° btdc", crank, -10, 0, "10 BTDC"},
		{"-12°30'", crank, -12.5, 0, "12°30' BTDC"},
		{"0", crank, 0, 0, "0"},
		{"BDC", crank, 180, 0, "BDC"},
		{"0 ABDC", crank, 180, 0, "BDC"},
		{"40 BBDC", crank, 140, 0, "40 BBDC"},
		{"40bbdc", crank, 140, 0, "40 BBDC"},
		{"15.0° ABDC", crank, 195, 0, "15.0 ABDC"},
		{"180 BBDC", crank, 0, 0, "180 BBDC"},
		{"12°30' ABDC", crank, 192.5, 0, "12°30' ABDC"},
		{"piston BDC", bottom, 0, 0, "piston BDC"},
		{"40 piston BBDC", bottom, -40, 0, "40 piston BBDC"},
		{"15  piston  abdc", bottom, 15, 0, "15 piston ABDC"},
		{"0 piston BBDC", bottom, 0, 0, "piston BDC"},
		{"1.8 mm piston BTDC", drop, 0, -1.8, "1.8 mm piston BTDC"},
		{"1.80  mm piston atdc", drop, 0, 1.8, "1.80 mm piston ATDC"},
		{"1/16 in piston BTDC", drop, 0, -1.5875, "1/16 in piston BTDC"},
		{`2 1/2" rim ATDC`, rim, 0, 63.5, `2 1/2" rim ATDC`},
		{"65 mm rim BTDC", rim, 0, -65, "65 mm rim BTDC"},
		{"0 mm rim BTDC", rim, 0, 0, "0"},
	} {
		got, err := geometry.ParseNominal(c.text)
		if want := (geometry.Nominal{Counted: c.counted, Angle: c.angle, Length: c.length, Text: c.echo}); err != nil || got != want {
			t.Errorf("%q: got %+v, %v, want %+v", c.text, got, err, want)
		}
	}
}

func TestParseNominalRefuses(t *testing.T) {
	for text, sentence := range map[string]string{
		"1.8 mm BTDC":             "hint: write 1.8 mm piston BTDC, or 1.8 mm rim BTDC",
		"1.8 mm":                  "hint: write 1.8 mm piston, or 1.8 mm rim",
		"1.8 mm piston":           "expected BTDC or ATDC behind it",
		"-1.8 mm piston BTDC":     "a sign together with letters",
		"+65 mm rim ATDC":         "a sign together with letters",
		"1.8 piston BTDC":         "hint: such as 1.8 mm piston BTDC",
		"0 mm piston BTDC":        "expected a drop above zero",
		"65 mm rim BBDC":          "a length from bottom dead centre",
		"5 mm piston BBDC":        "a length from bottom dead centre",
		"5 mm ABDC":               "a length from bottom dead centre",
		"BBDC":                    "expected an angle before BBDC",
		"piston ABDC":             "expected an angle before ABDC",
		"10 BDC":                  "expected BBDC or ABDC behind the angle",
		"-40 BBDC":                "a sign together with letters",
		"40 BTDC BBDC":            "letters of both dead centres",
		"180.5 ABDC":              "at most 180° from bottom dead centre",
		"10 TDC":                  "expected BTDC or ATDC",
		"TDC":                     "hint: write 0 for a line at TDC",
		"tdc":                     "hint: write 0 for a line at TDC",
		"piston TDC":              "hint: write 0 for a line at TDC",
		"TDC BTDC":                "expected a number",
		"":                        "expected a number",
		"before":                  "expected a number",
		"0 m, 1\x00":              "expected one number",
		"10 psiton BBDC":          "expected an angle such as",
		"1.8 mm 2 mm piston ATDC": "expected a length",
	} {
		got, err := geometry.ParseNominal(text)
		refused(t, text, err, sentence)
		if got != (geometry.Nominal{}) {
			t.Errorf("%q: got %+v beside an error", text, got)
		}
	}
}

func TestParseTolerance(t *testing.T) {
	for text, want := range map[string]geometry.Tolerance{
		"0.5":           {Angle: 0.5},
		"0°30'":         {Angle: 0.5},
		"-0.5":          {Angle: -0.5},
		"0.1 mm piston": {Counted: geometry.PistonDrop, Length: 0.1},
		"4 thou piston": {Counted: geometry.PistonDrop, Length: 0.1016},
		"1 mm rim":      {Counted: geometry.RimLength, Length: 1},
		"-1 mm rim":     {Counted: geometry.RimLength, Length: -1},
	} {
		if got, err := geometry.ParseTolerance(text); err != nil || got != want {
			t.Errorf("%q: got %+v, %v, want %+v", text, got, err, want)
		}
	}
	for text, sentence := range map[string]string{
		"0.1 mm":             "hint: write 0.1 mm piston, or 0.1 mm rim",
		"0.5 BTDC":           "expected degrees, such as 0.5, without letters",
		"0.1 piston":         "expected a length with a unit",
		"0.1 mm piston BTDC": "cannot be an angle here",
		"rim":                "expected a number",
	} {
		got, err := geometry.ParseTolerance(text)
		refused(t, text, err, sentence)
		if got != (geometry.Tolerance{}) {
			t.Errorf("%q: got %+v beside an error", text, got)
		}
	}
}

func FuzzParseNominal(f *testing.F) {
	seed(f, "nominals.txt")
	f.Fuzz(func(t *testing.T, text string) {
		if _, err := geometry.ParseTolerance(text); err != nil {
			refused(t, text, err, "found")
		}
		n, err := geometry.ParseNominal(text)
		if err != nil {
			refused(t, text, err, "found")
			return
		}
		if !(n.Angle.Abs() <= 1e6) || !(math.Abs(float64(n.Length)) <= 1e6) || n.Angle != 0 && n.Length != 0 {
			t.Fatalf("%q: accepted %+v", text, n)
		}
		again, err := geometry.ParseNominal(n.Text)
		if n.Text == "0" {
			n.Counted = geometry.CrankDegrees // the line at TDC, however it was counted
		}
		if err != nil || again != n {
			t.Fatalf("%q: read %+v, its echo %+v, %v", text, n, again, err)
		}
	})
}

func TestPistonBDCAgainstBisection(t *testing.T) {
	for _, row := range reference(t, "piston-bottoms.csv", 4) {
		// Three roundings of angles up to 190°.
		within(t, fmt.Sprint(row[:3]), float64(crankOf(row[0], row[1], row[2]).PistonBDC()), row[3], 1e-13)
	}
}

// Nowhere does the piston stand lower, and to either side it rises.
func TestPistonStandsLowestAtItsBDC(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrank(t)
		at := c.PistonBDC()
		other := geometry.Angle(rapid.Float64Range(0.1, 359.9).Draw(t, "turned on"))
		if bottom, there := c.Drop(at), c.Drop(at+other); there >= bottom {
			t.Fatalf("%v below the top at %v, %v at %v", bottom, at, there, at+other)
		}
	})
}

func TestAngleOfDrop(t *testing.T) {
	for _, row := range reference(t, "piston-drops.csv", 4) {
		c := crankOf(row[0]/2, row[1], 0)
		for _, side := range []struct {
			letters geometry.Letters
			sign    float64
		}{{geometry.BTDC, -1}, {geometry.ATDC, 1}} {
			got, err := c.AngleOfDrop(geometry.Length(row[2]), side.letters)
			if err != nil {
				t.Error(err)
			}
			within(t, fmt.Sprint(row[:3]), float64(got), side.sign*row[3], 0.005) // printed to 0.01
		}
	}
	if _, err := crankOf(27, 110, 0).AngleOfDrop(54.1, geometry.BTDC); err == nil {
		t.Error("got no error for a drop beyond the stroke")
	}
	rapid.Check(t, func(t *rapid.T) {
		c := anyCrank(t)
		drop := c.Stroke * geometry.Length(rapid.Float64Range(0, 0.99).Draw(t, "part of the stroke"))
		before, err := c.AngleOfDrop(drop, geometry.BTDC)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "before", float64(c.Drop(before)), float64(drop), 1e-12*float64(c.Rod)) // as Drop promises
		if before > 0 {
			t.Fatalf("got %v before the top", before)
		}
	})
}

func TestAnglePerChordAgainstCentralDifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rim := geometry.Rim{Diameter: geometry.Length(rapid.Float64Range(20, 3000).Draw(t, "diameter"))}
		l := rim.Diameter * geometry.Length(rapid.Float64Range(-0.99, 0.99).Draw(t, "part of it"))
		h := rim.Diameter * 1e-6
		above, err := rim.AngleFromChord(l + h)
		if err != nil {
			t.Fatal(err)
		}
		below, err := rim.AngleFromChord(l - h)
		if err != nil {
			t.Fatal(err)
		}
		want := float64(above-below) / (2 * float64(h))
		// Truncation goes with (h/D)²/(1−(l/D)²)², 3e-9; rounding 360·1e-16 over h.
		near(t, "slope", float64(rim.AnglePerChord(l)), want, 1e-8*want)
	})
}

// A length of 1 before TDC is below zero as any other; none at all has no sign.
func TestNominalLengthsBeforeTDC(t *testing.T) {
	for text, want := range map[string]geometry.Length{
		"1 mm rim BTDC": -1, "2 mm rim BTDC": -2, "1 mm rim ATDC": 1, "0 mm rim BTDC": 0, "1 mm piston BTDC": -1,
	} {
		n, err := geometry.ParseNominal(text)
		if err != nil || n.Length != want || math.Signbit(float64(n.Length)) != (want < 0) {
			t.Errorf("%s: %v, %v, want %v", text, n.Length, err, want)
		}
	}
}
