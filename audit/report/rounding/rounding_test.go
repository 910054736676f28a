package rounding

import (
	"testing"

	"markaudit/geometry"
)

// Two significant digits of the uncertainty, the value to the same place:
// JCGM 100:2008, 7.2.6. The cases are worked by hand from that rule.
func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		u    float64
		want int
	}{
		{0.1523, 2},
		{0.15, 2},
		{0.0996, 2},
		{0.0994, 3},
		{0.995, 1},
		{0.994, 2},
		{1.23, 1},
		{9.96, 0},
		{12.3, 0},
		{123, 0},
		{0.00123, 4},
		{1e-12, 6},
		{0, Unsure},
	} {
		if got := Places(c.u); got != c.want {
			t.Errorf("Places(%v) = %d, want %d", c.u, got, c.want)
		}
	}
}

func TestOffBy(t *testing.T) {
	for _, c := range []struct {
		a    geometry.Angle
		n    int
		want string
	}{
		{0.934, 2, "0.93° late"}, {-0.114, 2, "0.11° early"}, {0.004, 2, "0°"}, {-0.004, 2, "0°"}, {12.6, 0, "13° late"},
	} {
		if got := OffBy(c.a, c.n); got != c.want {
			t.Errorf("OffBy(%v, %d) = %q, want %q", c.a, c.n, got, c.want)
		}
	}
}

func TestLengths(t *testing.T) {
	mm, in := Lengths{Unit: geometry.Millimetre}, Lengths{Unit: geometry.Inch}
	for got, want := range map[string]string{
		mm.Of(1.2823):          "1.28 mm",
		in.Of(25.4):            "1.000 in (25.40 mm)",
		mm.Sure(1.2823, 0.221): "1.28 ± 0.22 mm",
		mm.Sure(1.2823, 0.001): "1.28 ± 0.01 mm", // never rounded down to nothing
		in.Sure(2.54, 0.254):   "0.100 ± 0.010 in (2.54 ± 0.25 mm)",
		mm.Of(-0.001):          "0.00 mm",

		Lengths{ByDividers: true}.Of(10.0230):                                   "10.0 mm",
		Lengths{ByDividers: true}.Sure(18.4502, 0.84):                           "18.5 ± 0.8 mm",
		Lengths{Unit: geometry.Inch, ByDividers: true}.Of(25.4):                 "1.00 in (25.4 mm)",
		Lengths{Unit: geometry.Inch, ByDividers: true}.Sure(25.4, 0.1):          "1.00 ± 0.01 in (25.4 ± 0.1 mm)",
		Lengths{Unit: geometry.Millimetre, ByDividers: true}.Fine().Of(10.0230): "10.02 mm",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// A readout shows 0 to 360: what rounds up to a whole turn is 0 again.
func TestRound(t *testing.T) {
	for _, c := range []struct {
		a    geometry.Angle
		n    int
		want string
	}{
		{359.999, 2, "0.00"}, {359.994, 2, "359.99"}, {-0.25, 2, "359.75"}, {720.5, 1, "0.5"}, {359.6, 0, "0"}, {36, 0, "36"},
	} {
		if got := Round(c.a, c.n); got != c.want {
			t.Errorf("Round(%v, %d) = %q, want %q", c.a, c.n, got, c.want)
		}
	}
}

// An uncertainty has two digits, its value the same places (JCGM 100:2008, 7.2.6),
// and what is too small for its places never shows as nothing.
func TestSure(t *testing.T) {
	for got, want := range map[string]string{
		SureDegrees(1.2849, 0.2249): "1.28° ± 0.22°",
		LaterSure(-0.934, 0.0996):   "0.93° earlier ± 0.10°",
		TwoDigits(-0.0349):          "0.035°",
		NotNothing(0.0004, 2):       "0.01",
		NotNothing(0.016, 2):        "0.02",
		Confidence(0.9545):          "95.45 %",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
