package geometry_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/geometry"
)

func TestParseOffset(t *testing.T) {
	type limit = geometry.Limit[geometry.Length]
	for _, c := range []struct {
		text           string
		pin            geometry.Offset // of the same text read as a pin's offset; a bore's has the opposite sign when a side is named
		named          bool
		pinText, other string // echo of the pin's and of the bore's offset
	}{
		{"0.8 mm to thrust side", geometry.Offset{Value: 0.8}, true, "0.8 mm to thrust side", "0.8 mm to thrust side"},
		{"0.8 mm to crankpin side", geometry.Offset{Value: -0.8}, true, "0.8 mm to crankpin side", "0.8 mm to crankpin side"},
		{"0.8 ± 0.1 mm to thrust side", geometry.Offset{Value: 0.8, Limit: limit{Half: 0.1}}, true, "0.8 ± 0.1 mm to thrust side", "0.8 ± 0.1 mm to thrust side"},
		{"0.8 ± 0.1 mm (k=2) to crankpin side", geometry.Offset{Value: -0.8, Limit: limit{Half: 0.1, K: 2}}, true, "0.8 ± 0.1 mm (k=2) to crankpin side", "0.8 ± 0.1 mm (k=2) to crankpin side"},
		{"31 thou to thrust side", geometry.Offset{Value: 31 * 0.0254, Unit: geometry.Thou}, true, "31 thou to thrust side", "31 thou to thrust side"},
		{"0.03 in to thrust side", geometry.Offset{Value: 0.03 * 25.4, Unit: geometry.Inch}, true, "0.03 in to thrust side", "0.03 in to thrust side"},
		{"0.8 mm", geometry.Offset{Value: 0.8}, false, "0.8 mm to thrust side", "0.8 mm to crankpin side"},
		{"-0.8 mm", geometry.Offset{Value: -0.8}, false, "0.8 mm to crankpin side", "0.8 mm to thrust side"},
		{"± 0.8 mm", geometry.Offset{Limit: limit{Half: 0.8}}, false, "± 0.8 mm, side unknown", "± 0.8 mm, side unknown"},
		{"+/- 0.8 mm (k=2)", geometry.Offset{Limit: limit{Half: 0.8, K: 2}}, false, "± 0.8 mm (k=2), side unknown", "± 0.8 mm (k=2), side unknown"},
		{"0 mm to crankpin side", geometry.Offset{}, true, "0 mm", "0 mm"},
	} {
		pin, err := geometry.ParsePinOffset(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
		}
		if diff := cmp.Diff(c.pin, pin, nearly); diff != "" {
			t.Errorf("%q (-want +got):\n%s", c.text, diff)
		}
		bore, err := geometry.ParseBoreOffset(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
		}
		want := c.pin
		if c.named {
			want.Value = -want.Value
		}
		if diff := cmp.Diff(want, bore, nearly); diff != "" {
			t.Errorf("%q of a bore (-want +got):\n%s", c.text, diff)
		}
		if pin.PinText() != c.pinText || bore.BoreText() != c.other {
			t.Errorf("%q: got %q and %q, want %q and %q", c.text, pin.PinText(), bore.BoreText(), c.pinText, c.other)
		}
	}
}

func TestParseOffsetRefuses(t *testing.T) {
	for text, sentence := range map[string]string{
		"-0.8 mm to thrust side":                 "a sign together with a side",
		"+0.8 mm to thrust side":                 "a sign together with a side",
		"± 0.8 mm to thrust side":                "says that the side is not known",
		"0.8 mm to left side":                    "to thrust side or to crankpin side",
		"0.8 mm to thrust":                       "the units are",
		"0.8":                                    "expected a length with a unit",
		"0.8 to thrust side":                     "expected a length with a unit",
		"to thrust side":                         "found nothing",
		"0.8 mm to thrust side to crankpin side": "the units are",
	} {
		for _, parse := range []func(string) (geometry.Offset, error){geometry.ParsePinOffset, geometry.ParseBoreOffset} {
			got, err := parse(text)
			refused(t, text, err, sentence)
			if got != (geometry.Offset{}) {
				t.Errorf("%q: got %v beside an error", text, got)
			}
		}
	}
}

// Shortest digits that read back as the same length: of 0.1 + 0.2 these are seventeen.
// Of some lengths no decimal in another unit is the same; then it is the nearest.
func TestDigitsOfAnOffset(t *testing.T) {
	third := 0.1
	third += 0.2
	for _, c := range []struct {
		offset geometry.Offset
		want   string
	}{
		{geometry.Offset{Value: geometry.Length(third)}, "0.30000000000000004 mm to thrust side"},
		{geometry.Offset{Value: geometry.Length(-third)}, "0.30000000000000004 mm to crankpin side"},
		{geometry.Offset{Value: 8, Unit: geometry.Centimetre}, "0.8 cm to thrust side"},
		{geometry.Offset{Value: 55.096144931153482, Unit: geometry.Centimetre}, "5.509614493115349 cm to thrust side"},
		{geometry.Offset{Value: 1, Limit: geometry.Limit[geometry.Length]{Half: 0.5}}, "1 ± 0.5 mm to thrust side"},
		{geometry.Offset{Value: 1, Limit: geometry.Limit[geometry.Length]{Half: 0.5, K: 0.5}}, "1 ± 0.5 mm (k=0.5) to thrust side"},
	} {
		if got := c.offset.PinText(); got != c.want {
			t.Errorf("%+v: got %q, want %q", c.offset, got, c.want)
		}
	}
}
