package geometry_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"

	"markaudit/geometry"
)

// nearly allows the ulp that changing the unit may cost.
var nearly = cmp.Options{
	cmp.Comparer(func(a, b geometry.Length) bool { return math.Abs(float64(a-b)) <= 2.3e-16*math.Abs(float64(a)) }),
	cmp.Comparer(func(a, b geometry.Angle) bool { return math.Abs(float64(a-b)) <= 2.3e-16*math.Abs(float64(a)) }),
}

func lengthQuantity(value, half, k float64, unit geometry.Unit) geometry.Quantity[geometry.Length] {
	q := geometry.Quantity[geometry.Length]{Unit: unit}
	if !math.IsNaN(value) {
		q.Value, q.HasValue = geometry.Length(value), true
	}
	if half > 0 {
		q.Limit, q.HasLimit = geometry.Limit[geometry.Length]{Half: geometry.Length(half), K: k}, true
	}
	return q
}

func TestParseLengthQuantity(t *testing.T) {
	none := math.NaN()
	for text, want := range map[string]geometry.Quantity[geometry.Length]{
		"158.0 mm":                  lengthQuantity(158, 0, 0, geometry.Millimetre),
		"158.0 ± 0.2 mm":            lengthQuantity(158, 0.2, 0, geometry.Millimetre),
		"158.0±0.2mm":               lengthQuantity(158, 0.2, 0, geometry.Millimetre),
		"158.0 mm ± 0.2 mm":         lengthQuantity(158, 0.2, 0, geometry.Millimetre),
		"158.0 +/- 0.2 mm":          lengthQuantity(158, 0.2, 0, geometry.Millimetre),
		"± 0.3 mm":                  lengthQuantity(none, 0.3, 0, geometry.Millimetre),
		"+/- 0.3 mm":                lengthQuantity(none, 0.3, 0, geometry.Millimetre),
		"158.0 ± 0.2 mm (k=2)":      lengthQuantity(158, 0.2, 2, geometry.Millimetre),
		"158.0 ± 0.2 mm ( k = 2.1)": lengthQuantity(158, 0.2, 2.1, geometry.Millimetre),
		"15.8 ± 0.02 cm":            lengthQuantity(158, 0.2, 0, geometry.Centimetre),
		"6.22 in ± 0.2 mm":          lengthQuantity(157.988, 0.2, 0, geometry.Inch),
		"6 1/4 ± 1/64 in":           lengthQuantity(158.75, 0.396875, 0, geometry.Inch),
		`6-1/4" ± 5 thou`:           lengthQuantity(158.75, 0.127, 0, geometry.Inch),
		"-0.8 ± 0.1 mm":             lengthQuantity(-0.8, 0.1, 0, geometry.Millimetre),
	} {
		got, err := geometry.ParseLengthQuantity(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
		}
		if diff := cmp.Diff(want, got, nearly); diff != "" {
			t.Errorf("%q (-want +got):\n%s", text, diff)
		}
	}
}

func TestParseLengthQuantityRefuses(t *testing.T) {
	for text, sentence := range map[string]string{
		"158.0":                        "expected a length with a unit",
		"158.0 ± 0.2":                  "expected a unit after the limit, such as ± 0.2 mm",
		"158.0 mm ± 0.2":               "expected a unit after the limit",
		"± 0.3":                        "expected a unit after the limit",
		"158.0 ± mm":                   "expected a number",
		"158.0 mm ±":                   "expected a limit after the ±",
		"± ± 0.3 mm":                   "expected one ±",
		"158.0 ± -0.2 mm":              "a limit above zero",
		"158.0 ± +0.2 mm":              "a limit above zero",
		"158.0 ± 0 mm":                 "a limit above zero",
		"158.0 mm (k=2)":               "a coverage factor without a limit",
		"158.0 ± 0.2 mm (k=0)":         "a coverage factor above zero",
		"158.0 ± 0.2 mm (k=0.0005)":    "a coverage factor above zero",
		"158.0 ± 0.2 mm (k=1001)":      "a coverage factor above zero",
		"158.0 ± 0.2 mm (k=-2)":        "a coverage factor above zero",
		"158.0 ± 0.2 mm (k=)":          "expected a number",
		"158.0 ± 0.2 mm (2)":           "expected a coverage factor such as (k=2)",
		"158.0 ± 0.2 mm (k=2) checked": "the units are",
		"6 1/4 ± 0.2 mm":               "a fraction in inches",
		"158,0 ± 0.2 mm":               "with a point",
		"(k=2)":                        "found (k=2), a coverage factor without a limit",
		"158.0 mm)":                    "the units are",
		"1000.5 m ± 1 mm":              "at most a million millimetres",
		"1 m ± 1000.5 m":               "at most a million millimetres",
		"1 mm ± 1/4":                   "expected a unit after the limit",
		"1 mm ± 1/4 mm":                "a fraction in inches",
		"":                             "found nothing",
	} {
		got, err := geometry.ParseLengthQuantity(text)
		refused(t, text, err, sentence)
		if diff := cmp.Diff(geometry.Quantity[geometry.Length]{}, got); diff != "" {
			t.Errorf("%q: got %v beside an error", text, got)
		}
	}
}

func TestParseAngleQuantity(t *testing.T) {
	type limit = geometry.Limit[geometry.Angle]
	type quantity = geometry.Quantity[geometry.Angle]
	for text, want := range map[string]quantity{
		"0.10":                {Value: 0.1, HasValue: true},
		"0.10 ± 0.05":         {Value: 0.1, HasValue: true, Limit: limit{Half: 0.05}, HasLimit: true},
		"0.10° +/- 0.05°":     {Value: 0.1, HasValue: true, Limit: limit{Half: 0.05}, HasLimit: true},
		"± 0.10":              {Limit: limit{Half: 0.1}, HasLimit: true},
		"0.10 ± 0.05 (k=2)":   {Value: 0.1, HasValue: true, Limit: limit{Half: 0.05, K: 2}, HasLimit: true},
		"0°6' ± 0°3'":         {Value: 0.1, HasValue: true, Limit: limit{Half: 0.05}, HasLimit: true},
		"0.1 ± 0.05 (k=0.5)":  {Value: 0.1, HasValue: true, Limit: limit{Half: 0.05, K: 0.5}, HasLimit: true},
		"0.1 ± 0.05 (k=1.96)": {Value: 0.1, HasValue: true, Limit: limit{Half: 0.05, K: 1.96}, HasLimit: true},
	} {
		got, err := geometry.ParseAngleQuantity(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
		}
		if diff := cmp.Diff(want, got, nearly); diff != "" {
			t.Errorf("%q (-want +got):\n%s", text, diff)
		}
	}
	for text, sentence := range map[string]string{
		"":                "found nothing",
		"±":               "expected a limit after the ±",
		"± 0":             "a limit above zero",
		"± -0.1":          "a limit above zero",
		"0.1 (k=2)":       "a coverage factor without a limit",
		"0.1 ± 0.05 mm":   "a length, which cannot be an angle here",
		"10 BTDC ± 0.5":   "letters where a plain number of degrees belongs",
		"0.1 ± 0.05 BTDC": "letters where a plain number of degrees belongs",
		"0.1 ± 0,05":      "with a point",
	} {
		got, err := geometry.ParseAngleQuantity(text)
		refused(t, text, err, sentence)
		if got != (quantity{}) {
			t.Errorf("%q: got %v beside an error", text, got)
		}
	}
}
