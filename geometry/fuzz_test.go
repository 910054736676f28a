package geometry_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"markaudit/geometry"
)

// seed adds every line of a file of testdata/seeds. A fuzz target without
// seeds would pass by starting from nothing.
func seed(f *testing.F, name string) {
	f.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "seeds", name))
	if err != nil {
		f.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	if len(lines) < 5 {
		f.Fatalf("%s: %d seeds", name, len(lines))
	}
	for _, line := range lines {
		f.Add(line)
	}
}

func FuzzParseAngle(f *testing.F) {
	seed(f, "angles.txt")
	f.Fuzz(func(t *testing.T, text string) {
		a, letters, err := geometry.ParseAngle(text)
		if err != nil {
			refused(t, text, err, "found")
			return
		}
		if !(a.Abs() <= 1e6) {
			t.Fatalf("%q: accepted %v", text, a)
		}
		if letters == geometry.BTDC && a > 0 || letters == geometry.ATDC && a < 0 {
			t.Fatalf("%q: %v with %v", text, a, letters)
		}
		if again, _, err := geometry.ParseAngle(fmt.Sprint(a)); err != nil || again != a {
			t.Fatalf("%q: printed %v, read %v, %v", text, a, again, err)
		}
		crank, err := geometry.CrankText(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if again, letters, err := geometry.ParseAngle(crank); err != nil || again != a || (letters == geometry.NoLetters) != (a == 0) {
			t.Fatalf("%q: %v echoed as %q, read %v, %v", text, a, crank, again, err)
		}
		if once, err := geometry.CrankText(crank); err != nil || once != crank {
			t.Fatalf("%q: echoed as %q and then %q, %v", text, crank, once, err)
		}
	})
}

func FuzzParseLength(f *testing.F) {
	seed(f, "lengths.txt")
	f.Fuzz(func(t *testing.T, text string) {
		l, unit, err := geometry.ParseLength(text)
		if err != nil {
			refused(t, text, err, "found")
			return
		}
		if !(math.Abs(float64(l)) <= 1e6) || math.IsInf(l.In(unit), 0) {
			t.Fatalf("%q: accepted %v", text, l)
		}
		if again, unit, err := geometry.ParseLength(fmt.Sprint(l)); err != nil || again != l || unit != geometry.Millimetre {
			t.Fatalf("%q: printed %v, read %v %v, %v", text, l, again, unit, err)
		}
	})
}

// FuzzParseQuantity reads each text in all four ways.
func FuzzParseQuantity(f *testing.F) {
	seed(f, "quantities.txt")
	f.Fuzz(func(t *testing.T, text string) {
		if q, err := geometry.ParseLengthQuantity(text); err != nil {
			refused(t, text, err, "found")
		} else {
			again, err := geometry.ParseLengthQuantity(q.String())
			again.Unit = q.Unit // printed in millimetres
			if err != nil || again != q || !sound(q) {
				t.Fatalf("%q: printed %v, read %v, %v", text, q, again, err)
			}
		}
		if q, err := geometry.ParseAngleQuantity(text); err != nil {
			refused(t, text, err, "found")
		} else if again, err := geometry.ParseAngleQuantity(q.String()); err != nil || again != q || !sound(q) {
			t.Fatalf("%q: printed %v, read %v, %v", text, q, again, err)
		}
		for _, way := range []struct {
			parse func(string) (geometry.Offset, error)
			text  func(geometry.Offset) string
		}{{geometry.ParsePinOffset, geometry.Offset.PinText}, {geometry.ParseBoreOffset, geometry.Offset.BoreText}} {
			o, err := way.parse(text)
			if err != nil {
				refused(t, text, err, "found")
				continue
			}
			echo := strings.TrimSuffix(way.text(o), ", side unknown")
			again, err := way.parse(echo)
			// Inches with more digits than a float holds may come back an ulp beside.
			if err != nil || !same(again.Value, o.Value) || !same(again.Limit.Half, o.Limit.Half) || again.Limit.K != o.Limit.K {
				t.Fatalf("%q: %v echoed as %q, read %v, %v", text, o, echo, again, err)
			}
		}
	})
}

// sound reports whether a quantity is finite and its limit above zero.
func sound[T geometry.Angle | geometry.Length](q geometry.Quantity[T]) bool {
	standard := float64(q.Limit.Standard())
	return math.Abs(float64(q.Value)) <= 1e6 && q.HasLimit == (q.Limit.Half > 0) && standard >= 0 && !math.IsInf(standard, 0) &&
		(q.HasValue || q.HasLimit)
}

func same(a, b geometry.Length) bool {
	return math.Abs(float64(a-b)) <= max(4e-16*math.Abs(float64(b)), 1e-300)
}
