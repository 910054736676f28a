package calculate

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// Drops of common engines (piston-drops.csv, by bisection, printed to 0.01°)
// and contacts with offsets (slider-crank-contacts.csv, mpmath by bisection).
func TestPistonDropAgainstBisection(t *testing.T) {
	for _, r := range testkit.Reference(t, "piston-drops.csv") {
		row := r.Numbers()
		m := PistonMeasure{Stroke: geometry.Length(row[0]), Rod: geometry.Length(row[1])}
		r, err := m.Angles(geometry.Length(row[2]))
		if err != nil {
			t.Fatal(err)
		}
		testkit.Near(t, fmt.Sprint(row, " after"), r.After.Angle.Value.Degrees(), row[3], 0.005)
		testkit.Near(t, fmt.Sprint(row, " before"), r.Before.Angle.Value.Degrees(), -row[3], 0.005)
	}
	for _, r := range testkit.Reference(t, "slider-crank-contacts.csv") {
		row := r.Numbers()
		offset, drop := geometry.Length(row[2]), geometry.Length(row[3])
		m := PistonMeasure{Stroke: geometry.Length(2 * row[0]), Rod: geometry.Length(row[1])}
		// Half of the offset in the bore, half in the pin, whose sign is the other.
		m.BoreOffset.Value, m.PinOffset.Value = offset/2, -offset/2
		r, err := m.Angles(drop)
		if err != nil {
			t.Fatal(err)
		}
		testkit.Near(t, fmt.Sprint(row, " throw"), r.ThrowToTDC.Value.Degrees(), row[4], 1e-13)
		testkit.Near(t, fmt.Sprint(row, " before"), r.Before.Angle.Value.Degrees(), row[5], 1e-11) // as Contacts promises
		testkit.Near(t, fmt.Sprint(row, " after"), r.After.Angle.Value.Degrees(), row[6], 1e-11)
	}
}

func anyPiston(t *rapid.T) PistonMeasure {
	stroke := rapid.Float64Range(20, 500).Draw(t, "stroke")
	part := func(name string, most float64) geometry.Length {
		return geometry.Length(stroke * rapid.Float64Range(0, most).Draw(t, name))
	}
	m := PistonMeasure{
		Stroke: geometry.Length(stroke), Rod: part("rod over the least", 2) + geometry.Length(1.25*stroke),
		Diameter: part("diameter", 4), Probe: geometry.Angle(rapid.Float64Range(0, 60).Draw(t, "probe")),
	}
	m.PinOffset.Value, m.BoreOffset.Value = part("pin", 0.05), -part("bore", 0.2)
	m.PinOffset.Limit.Half, m.BoreOffset.Limit.Half = part("pin limit", 0.02), part("bore limit", 0.02)
	return m
}

// There and back, on both sides; the mm a degree are the slope of the drop; the
// offset at either end of its limits stays within the ±; and a slanting
// indicator's side is the hypotenuse.
func TestPistonDropIsInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyPiston(t)
		drop := m.Stroke * geometry.Length(rapid.Float64Range(0.001, 0.9).Draw(t, "drop"))
		r, err := m.Angles(drop)
		if err != nil {
			t.Fatal(err)
		}
		stroke := m.Stroke.Millimetres()
		for _, side := range []PistonAt{r.Before, r.After} {
			back, err := m.Drop(side.Angle.Value)
			if err != nil {
				t.Fatal(err)
			}
			testkit.Near(t, "back", back.Drop.Value.Millimetres(), drop.Millimetres(), 1e-10*stroke)
			testkit.Near(t, "slope there and back", back.PerDegree.Millimetres(), side.PerDegree.Millimetres(), 0)
			testkit.Near(t, "arc", side.Arc.Millimetres(), math.Pi*m.Diameter.Millimetres()*side.Angle.Value.Degrees()/360, 1e-9)
			if back.Indicator.Value < back.Drop.Value && m.Probe > 0 {
				t.Errorf("an indicator over shows %v of %v", back.Indicator.Value, back.Drop.Value)
			}
		}
		// DropPerDegree is the harmonic mean of the slopes at the two contacts. A
		// difference over a degree errs by its third derivative times
		// (π/360)²/6 = 1.3e-5, which is at most some strokes a radian.
		if half := (r.After.Angle.Value - r.Before.Angle.Value) / 2; half > 5 {
			a, b := r.Before.PerDegree.Millimetres(), r.After.PerDegree.Millimetres()
			testkit.Near(t, "slope", 2*a*b/(a+b), m.Crank().DropPerDegree(half).Millimetres(), 1.3e-5*math.Pi/180*5*stroke)
		}
		for _, sign := range []geometry.Length{-1, 1} {
			moved := m
			moved.PinOffset.Value -= sign * m.PinOffset.Limit.Half
			moved.BoreOffset.Value += sign * m.BoreOffset.Limit.Half
			moved.PinOffset.Limit.Half, moved.BoreOffset.Limit.Half = 0, 0
			far, err := moved.Angles(drop)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range []struct{ near, far PistonAt }{{r.Before, far.Before}, {r.After, far.After}} {
				if d := (s.far.Angle.Value - s.near.Angle.Value).Abs(); d > s.near.Angle.Limit.Half+1e-9 {
					t.Errorf("with the offset at its limit the angle is off by %v, more than ± %v", d, s.near.Angle.Limit.Half)
				}
			}
		}
		if m.Probe > 0 {
			sin, cos := math.Sincos(m.Probe.Radians())
			testkit.Near(t, "indicator", math.Hypot(r.Indicator.Millimetres()*sin, drop.Millimetres()), r.Indicator.Millimetres(), 1e-9*stroke)
			testkit.Near(t, "where it shows the drop", r.Shown.Drop.Millimetres(), drop.Millimetres()*cos, 1e-9*stroke)
		}
	})
}

func TestPistonMeasureRefuses(t *testing.T) {
	limit := geometry.Offset{Limit: geometry.Limit[geometry.Length]{Half: 30}}
	certified := geometry.Offset{Value: 0.8, Limit: geometry.Limit[geometry.Length]{Half: 0.1, K: 2}}
	tests := []struct {
		name     string
		m        PistonMeasure
		drop     geometry.Length
		sentence string
	}{
		{"no rod", PistonMeasure{Stroke: 54}, 1.8, "found a rod of 0 mm"},
		{"no stroke", PistonMeasure{Rod: 110}, 1.8, "found a stroke of 0 mm"},
		{"short rod", PistonMeasure{Stroke: 54, Rod: 20}, 1.8, "too short"},
		{"exchanged", PistonMeasure{Stroke: 105, Rod: 54.5}, 2, "found a rod of 54.5 mm with a stroke of 105 mm, expected a rod longer than the stroke\n  hint: are the two exchanged: stroke 54.5 mm, rod 105 mm?"},
		{"exchanged, too short", PistonMeasure{Stroke: 110, Rod: 54}, 2, "too short for half the stroke and the offset together, 55 mm\n  hint: are the two exchanged: stroke 54 mm, rod 110 mm?"},
		{"too short, checked", PistonMeasure{Stroke: 110, Rod: 54, RodChecked: true}, 2, "too short"},
		{"out of reach", PistonMeasure{Stroke: 54, Rod: 110}, 54.01, "from 0 to the piston's travel of 54.00 mm"},
		{"below zero", PistonMeasure{Stroke: 54, Rod: 110}, -0.1, "from 0 to the piston's travel"},
		{"no number", PistonMeasure{Stroke: 54, Rod: 110}, geometry.Length(math.NaN()), "from 0 to the piston's travel"},
		{"offset at its limit", PistonMeasure{Stroke: 54, Rod: 110, PinOffset: limit}, 1.8, "with the offsets at their limits"},
		{"certified", PistonMeasure{Stroke: 54, Rod: 110, BoreOffset: certified}, 1.8, "coverage factor"},
		{"probe", PistonMeasure{Stroke: 54, Rod: 110, Probe: 61}, 1.8, "0 to 60 degrees"},
		{"probe backward", PistonMeasure{Stroke: 54, Rod: 110, Probe: -1}, 1.8, "0 to 60 degrees"},
		{"rim", PistonMeasure{Stroke: 54, Rod: 110, Diameter: -1}, 1.8, "a diameter above zero"},
	}
	for _, tt := range tests {
		if _, err := tt.m.Angles(tt.drop); err == nil || !strings.Contains(err.Error(), tt.sentence) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.sentence)
		}
	}
	for _, m := range []PistonMeasure{{Stroke: 105, Rod: 54.5, RodChecked: true}, {Stroke: 105, Rod: 105}} {
		if _, err := m.Angles(2); err != nil {
			t.Errorf("%+v: got %v, want none", m, err)
		}
	}
	var short *Unstated
	if _, err := (PistonMeasure{Stroke: 105, Rod: 54.5}).Drop(10); !errors.As(err, &short) || short.What != ShorterRod {
		t.Errorf("a rod shorter than the stroke: got %v, want it unstated", err)
	}
	var refusal *geometry.Refusal
	if _, err := (PistonMeasure{Stroke: 54, Rod: 110}).Drop(360.1); !errors.As(err, &refusal) {
		t.Errorf("more than a turn: got %v, want a refusal", err)
	}
}
