package geometry_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestParseAngle(t *testing.T) {
	const none, btdc, atdc = geometry.NoLetters, geometry.BTDC, geometry.ATDC
	for _, c := range []struct {
		text    string
		want    geometry.Angle
		letters geometry.Letters
		crank   string // CrankText
	}{
		{"12.5", 12.5, none, "12.5 ATDC"},
		{"120", 120, none, "120 ATDC"},
		{"-10", -10, none, "10 BTDC"},
		{"−10", -10, none, "10 BTDC"},
		{"+10.50", 10.5, none, "10.50 ATDC"},
		{"361", 361, none, "361 ATDC"},
		{"12.5°", 12.5, none, "12.5 ATDC"},
		{"10 BTDC", -10, btdc, "10 BTDC"},
		{"10BTDC", -10, btdc, "10 BTDC"},
		{"10 btdc", -10, btdc, "10 BTDC"},
		{"10° BTDC", -10, btdc, "10 BTDC"},
		{"10º BTDC", -10, btdc, "10 BTDC"},
		{"10 ° BTDC", -10, btdc, "10 BTDC"},
		{"4 ATDC", 4, atdc, "4 ATDC"},
		{"240 atdc", 240, atdc, "240 ATDC"},
		{"12°30'", 12.5, none, "12°30' ATDC"},
		{"-12°30'", -12.5, none, "12°30' BTDC"},
		{"12°30' BTDC", -12.5, btdc, "12°30' BTDC"},
		{"12°30′36″", 12.51, none, `12°30'36" ATDC`},
		{"12º30’36” BTDC", -12.51, btdc, `12°30'36" BTDC`},
		{`12° 30' 36" BTDC`, -12.51, btdc, `12°30'36" BTDC`},
		{"12°06'", 12.1, none, "12°06' ATDC"},
		{"12°30.6'", 12.51, none, "12°30.6' ATDC"},
		{`0°0'59.4"`, 0.0165, none, `0°0'59.4" ATDC`},
		{"10\u00a0BTDC", -10, btdc, "10 BTDC"},
		{"1000000", 1e6, none, "1000000 ATDC"},
		{"0", 0, none, "0"},
		{"-0.0", 0, none, "0"},
		{"0 BTDC", 0, btdc, "0"},
		{"0°00' ATDC", 0, atdc, "0"},
	} {
		got, letters, err := geometry.ParseAngle(c.text)
		// Degrees with minutes are one division away from the decimal: an ulp of 12.51.
		if within(t, c.text, float64(got), float64(c.want), 2e-15); err != nil || letters != c.letters {
			t.Errorf("%q: got %v, %v, %v, want %v, %v", c.text, got, letters, err, c.want, c.letters)
		}
		if crank, err := geometry.CrankText(c.text); err != nil || crank != c.crank {
			t.Errorf("%q: got crank text %q, %v, want %q", c.text, crank, err, c.crank)
		}
	}
}

func TestParseAngleRefuses(t *testing.T) {
	for text, sentence := range map[string]string{
		"-10 BTDC":     "a sign together with letters",
		"+10 ATDC":     "a sign together with letters",
		"40 BBDC":      "40 BBDC is 140 ATDC",
		"15 ABDC":      "15 ABDC is 195 ATDC",
		"-15 ABDC":     "count from TDC",
		"200 bbdc":     "count from TDC: 40 BBDC is 140 ATDC, 15 ABDC is 195 ATDC",
		"0 BDC":        "bottom dead centre is 180 ATDC",
		"10 TDC":       "expected BTDC or ATDC",
		"1.8 mm BTDC":  "a length, which cannot be an angle here",
		"1.8mm":        "a length",
		`12"`:          "a length",
		"30'":          "expected degrees before the minutes",
		"12°60'":       "minutes from 0 to 59",
		"12°123'":      "minutes from 0 to 59",
		"12°5.'":       "minutes from 0 to 59",
		`12°30'60"`:    "seconds from 0 to 59",
		"12°30":        "expected a ' after the minutes",
		"12°30'20":     `expected a " after the seconds`,
		`12°20"`:       "expected minutes before the seconds",
		`12°3.5'20"`:   "whole minutes before seconds",
		"12.5°30'":     "whole degrees before minutes",
		"12°-30'":      "expected one angle",
		"1000000.5":    "at most a million degrees",
		"12 deg":       "degrees without the word",
		"338.5 338.6":  "put a comma between two readings",
		"338.5 -1":     "put a comma between two readings",
		"0.1 ± 0.05":   "a limit where none belongs",
		"10 BTDC ATDC": "expected an angle such as",
		"10 before":    "expected an angle such as",
		"10 +":         "expected an angle such as",
		"10 +x":        "expected an angle such as",
		"10 x5":        "expected an angle such as",
		"10 x":         "expected an angle such as",
		"10 +5":        "expected one angle",
		"10°5x":        "expected a ' after the minutes",
		"10 +/- 5":     "a limit where none belongs",
		"180 BBDC":     "40 BBDC is 140 ATDC, 15 ABDC is 195 ATDC",
		"179 BBDC":     "179 BBDC is 1 ATDC",
		"180 ABDC":     "40 BBDC is 140 ATDC, 15 ABDC is 195 ATDC",
		"179 ABDC":     "179 ABDC is 359 ATDC",
		"-15 BBDC":     "40 BBDC is 140 ATDC, 15 ABDC is 195 ATDC",
		"10 ft":        "expected an angle such as",
		"12°1'x":       "expected an angle such as",
		`12°1'2"x`:     "expected an angle such as",
		"12°1'2'":      `expected a " after the seconds`,
		"BTDC":         "expected a number",
		"338,5":        "hint: write 338.5 with a point",
		"1e3 BTDC":     "without an exponent",
		"010 BTDC":     "hint: write 10",
	} {
		got, letters, err := geometry.ParseAngle(text)
		refused(t, text, err, sentence)
		if got != 0 || letters != geometry.NoLetters {
			t.Errorf("%q: got %v, %v beside an error", text, got, letters)
		}
		_, err = geometry.CrankText(text)
		refused(t, text, err, sentence)
	}
}

func TestCrank(t *testing.T) {
	for _, c := range []struct {
		a        geometry.Angle
		decimals int
		want     string
	}{
		{-9.07, 2, "9.07 BTDC"},
		{240.333, 2, "240.33 ATDC"},
		{0.004, 2, "0"},
		{-0.004, 2, "0"},
		{0, 1, "0"},
		{-10, 0, "10 BTDC"},
		{0.06, 1, "0.1 ATDC"},
	} {
		if got := c.a.Crank(c.decimals); got != c.want {
			t.Errorf("%v to %d decimals: got %q, want %q", c.a, c.decimals, got, c.want)
		}
	}
}

func TestPrintedAngleReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := geometry.Angle(rapid.Float64Range(-1e6, 1e6).Draw(t, "angle"))
		got, letters, err := geometry.ParseAngle(fmt.Sprint(a))
		if err != nil || got != a || letters != geometry.NoLetters {
			t.Fatalf("%v: got %v, %v, %v", a, got, letters, err)
		}
	})
}
