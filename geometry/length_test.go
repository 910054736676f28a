package geometry_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestParseLength(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64 // mm; the inch is 25.4 mm (NIST SP 811, appendix B.8)
		unit geometry.Unit
	}{
		{"158.0 mm", 158, geometry.Millimetre},
		{"158mm", 158, geometry.Millimetre},
		{"-0.8 mm", -0.8, geometry.Millimetre},
		{"−0.8 mm", -0.8, geometry.Millimetre},
		{"15.8 cm", 158, geometry.Centimetre},
		{"1.5 m", 1500, geometry.Metre},
		{"6.22 in", 157.988, geometry.Inch},
		{`6.22"`, 157.988, geometry.Inch},
		{"6.22″", 157.988, geometry.Inch},
		{"6 1/4 in", 158.75, geometry.Inch},
		{"6-1/4 in", 158.75, geometry.Inch},
		{`6 1/4"`, 158.75, geometry.Inch},
		{"6\u00a01/4 in", 158.75, geometry.Inch},
		{"-6 1/4 in", -158.75, geometry.Inch},
		{"-6-1/4 in", -158.75, geometry.Inch},
		{"1/4 in", 6.35, geometry.Inch},
		{"1/64 in", 0.396875, geometry.Inch},
		{"31 thou", 0.7874, geometry.Thou},
		{"0 mm", 0, geometry.Millimetre},
	} {
		got, unit, err := geometry.ParseLength(c.text)
		// A product with 25.4 is rounded twice: two ulps of 158.
		if within(t, c.text, float64(got), c.want, 6e-14); err != nil || unit != c.unit {
			t.Errorf("%q: got %v, %v, %v, want %v mm, %v", c.text, got, unit, err, c.want, c.unit)
		}
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for text, sentence := range map[string]string{
		"158.0":          "found 158.0, expected a length with a unit, such as 158.0 mm",
		"6 1/4":          "such as 6 1/4 in",
		"158 MM":         "hint: write mm",
		"158 ft":         "the units are mm, cm, m, in",
		"158 mm long":    "the units are mm, cm, m, in",
		"6¼ in":          "the units are mm, cm, m, in",
		"6 1/4 mm":       "a fraction in inches",
		"5/4 in":         "a fraction of an inch",
		"6 1/0 in":       "a fraction of an inch",
		"6 0/4 in":       "a fraction of an inch",
		"6 1/04 in":      "a fraction of an inch",
		"6.5 1/4 in":     "a fraction of an inch",
		"6 1/4.5 in":     "a fraction of an inch",
		"6 1/99999 in":   "a fraction of an inch",
		"6 1/ in":        "a fraction of an inch",
		"1/4/2 in":       "the units are mm, cm, m, in",
		"/4 in":          "expected a number",
		"10 BTDC":        "an angle where a length belongs",
		"10°":            "an angle where a length belongs",
		"158.0 ± 0.2 mm": "a limit where none belongs",
		"158,0 mm":       "hint: write 158.0 with a point",
		"1e3 mm":         "without an exponent",
		"0x9E mm":        "expected decimal digits",
		"1000.5 m":       "at most a million millimetres",
		"mm":             "expected a number",
		"":               "found nothing",
	} {
		got, _, err := geometry.ParseLength(text)
		refused(t, text, err, sentence)
		if got != 0 {
			t.Errorf("%q: got %v beside an error", text, got)
		}
	}
}

func TestUnits(t *testing.T) {
	for unit, want := range map[geometry.Unit]struct {
		symbol   string
		imperial bool
		of254    float64 // 254 mm in the unit
	}{
		geometry.Millimetre: {"mm", false, 254},
		geometry.Centimetre: {"cm", false, 25.4},
		geometry.Metre:      {"m", false, 0.254},
		geometry.Inch:       {"in", true, 10},
		geometry.Thou:       {"thou", true, 10000},
	} {
		if unit.String() != want.symbol || unit.Imperial() != want.imperial {
			t.Errorf("got %v, %v, want %v", unit, unit.Imperial(), want)
		}
		within(t, want.symbol, geometry.Length(254).In(unit), want.of254, 1e-15*want.of254) // a few ulps
	}
}

func TestPrintedLengthReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := geometry.Length(rapid.Float64Range(-1e6, 1e6).Draw(t, "length"))
		got, unit, err := geometry.ParseLength(fmt.Sprint(l))
		if err != nil || got != l || unit != geometry.Millimetre {
			t.Fatalf("%v: got %v, %v, %v", l, got, unit, err)
		}
	})
}

func TestInIsTheInverseOfParsing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := geometry.Unit(rapid.IntRange(int(geometry.Millimetre), int(geometry.Thou)).Draw(t, "unit"))
		v := float64(rapid.IntRange(-9999, 9999).Draw(t, "tenths")) / 10
		l, got, err := geometry.ParseLength(fmt.Sprintf("%v %v", v, unit))
		if err != nil || got != unit {
			t.Fatalf("%v %v: got %v, %v", v, unit, got, err)
		}
		if d := l.In(unit) - v; d > 1e-12 || d < -1e-12 { // a product and a quotient, each rounded
			t.Fatalf("%v %v: got back %v", v, unit, l.In(unit))
		}
	})
}

func TestAbs(t *testing.T) {
	if geometry.Length(-2.5).Abs() != 2.5 || geometry.Length(2.5).Abs() != 2.5 || geometry.Angle(-7).Abs() != 7 || geometry.Angle(7).Abs() != 7 {
		t.Error("an absolute value has a sign")
	}
}

// What is found stands in an error as it is where it prints as it is.
func TestWhatARefusalShows(t *testing.T) {
	for text, want := range map[string]string{
		"x": "found x,", " 5": `found " 5",`, "x\xff": `found "x\xff",`, "x\x1b[1m": `found "x\x1b[1m",`, "": "found nothing,",
		strings.Repeat("x", 40): "found " + strings.Repeat("x", 40) + ",", strings.Repeat("ü", 41): "found " + strings.Repeat("ü", 40) + "…,",
	} {
		if _, _, err := geometry.ParseLength(text); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: got %v, want %s …", text, err, want)
		}
	}
}
