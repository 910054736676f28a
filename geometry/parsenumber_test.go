package geometry_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{
		"338.5": 338.5, "0": 0, "0.05": 0.05, "-12.5": -12.5, "+4": 4, "−12.5": -12.5, " 7 ": 7,
		"1000001": 1000001, "10.50": 10.5, "-0": 0,
	} {
		got, err := geometry.ParseNumber(text)
		if err != nil || got != want || math.Signbit(got) != (want < 0) {
			t.Errorf("%q: got %v, %v, want %v", text, got, err, want)
		}
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for text, sentence := range map[string]string{
		"1e3":             "without an exponent",
		"1E-3":            "without an exponent",
		"0x10":            "expected decimal digits",
		"0b1":             "expected decimal digits",
		"0o7":             "expected decimal digits",
		"0c1":             "expected a number and nothing after it",
		"0bx":             "expected a number and nothing after it",
		"1x1":             "expected a number and nothing after it",
		"1e":              "expected a number and nothing after it",
		"1e+":             "expected a number and nothing after it",
		"1e−3":            "without an exponent",
		"1f3":             "expected a number and nothing after it",
		"0b":              "expected a number and nothing after it",
		"0o":              "expected a number and nothing after it",
		"010":             "hint: write 10",
		"-007":            "hint: write 7",
		"00":              "hint: write 0",
		"00.5":            "hint: write 0.5",
		"1_000":           "hint: write 1000",
		"15:30":           "without a colon",
		"NaN":             "expected a finite number",
		".nan":            "expected a finite number",
		".inf":            "expected a finite number",
		"-.Inf":           "expected a finite number",
		"+Infinity":       "expected a finite number",
		".5":              "hint: write 0.5",
		"5.":              "hint: write 5",
		"1.2.3":           "at most one decimal point",
		"338,5":           "hint: write 338.5 with a point",
		"1,234.5":         "a comma and a point",
		"338,":            "a number with a comma",
		"338,5,6":         "a number with a comma",
		"":                "found nothing, expected a number",
		"  ":              "expected a number",
		"-":               "expected a number",
		"--5":             "expected a number",
		"- 5":             "expected a number",
		"twelve":          "found twelve, expected a number",
		"12 34":           "nothing after it",
		"12\x1b[31m":      `found "12\x1b[31m"`,
		"12\xff":          "nothing after it",
		"١٢":              "expected a number", // digits of other scripts
		"1\u202e2":        "nothing after it",  // would turn the text round
		"12.5struck\nfoo": "nothing after it",
	} {
		got, err := geometry.ParseNumber(text)
		refused(t, text, err, sentence)
		if got != 0 {
			t.Errorf("%q: got %v beside an error", text, got)
		}
	}
}

// What was found is shown in full up to forty characters, and cut beyond.
func TestLongTextIsCut(t *testing.T) {
	_, err := geometry.ParseNumber(strings.Repeat("é", 40))
	refused(t, "forty", err, strings.Repeat("é", 40)+",")
	_, err = geometry.ParseNumber(strings.Repeat("é", 41))
	refused(t, "forty-one", err, "found "+strings.Repeat("é", 40)+"…,")
}

// A proposal is cut after twenty characters.
func TestLongProposalIsCut(t *testing.T) {
	for text, hint := range map[string]string{
		"1_1" + strings.Repeat("2", 18): "write 11" + strings.Repeat("2", 18), "1_1" + strings.Repeat("2", 19): "write 11" + strings.Repeat("2", 18) + "…",
	} {
		_, err := geometry.ParseNumber(text)
		var r *geometry.Refusal
		if !errors.As(err, &r) || r.Hint != hint {
			t.Errorf("%s: got %v, want %s", text, err, hint)
		}
	}
}

// A hint that is refused in its turn would send the person round in circles.
func TestProposedNumberIsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("0015.,_:")), 1, 8, -1).Draw(t, "text")
		_, err := geometry.ParseNumber(text)
		var r *geometry.Refusal
		if !errors.As(err, &r) || !strings.HasPrefix(r.Hint, "write ") || strings.Contains(text, ":") {
			return
		}
		if _, err := geometry.ParseNumber(strings.Fields(r.Hint)[1]); err != nil {
			t.Fatalf("%q: hint %q: %v", text, r.Hint, err)
		}
	})
}

// Work that grew with the square of the digits would not come to its end within
// the time of a test run.
func TestParseNumberTakesLongDigitStrings(t *testing.T) {
	const digits = 1_000_000 // as many as a sheet may hold at all
	if _, err := geometry.ParseNumber(strings.Repeat("9", digits)); err == nil {
		t.Error("a number beyond every float was accepted")
	} else {
		refused(t, "999…", err, "too large")
	}
	got, err := geometry.ParseNumber("0." + strings.Repeat("3", digits))
	if err != nil || got != 1.0/3 {
		t.Errorf("got %v, %v, want 1/3", got, err)
	}
	for _, hostile := range []string{"1" + strings.Repeat("_", digits), "0" + strings.Repeat("0", digits), "1," + strings.Repeat("5", digits), strings.Repeat("é", digits)} {
		_, err := geometry.ParseNumber(hostile)
		refused(t, hostile[:4], err, "found")
	}
}
