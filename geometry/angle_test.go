package geometry_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

func TestWrapAndTurn(t *testing.T) {
	for _, c := range []struct{ in, wrap, turn geometry.Angle }{
		{0, 0, 0},
		{180, 180, 180},
		{-180, 180, 180},
		{181, -179, 181},
		{360, 0, 0},
		{361, 1, 1},
		{-0.5, -0.5, 359.5},
		{540, 180, 180},
		{-540, 180, 180},
		{338.5, -21.5, 338.5},
		{-1e-20, -1e-20, 0},
	} {
		if got := c.in.Wrap(); got != c.wrap {
			t.Errorf("%v wrapped: got %v, want %v", c.in, got, c.wrap)
		}
		if got := c.in.Turn(); got != c.turn {
			t.Errorf("%v turned: got %v, want %v", c.in, got, c.turn)
		}
	}
}

func TestTurnsCountForNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := geometry.Angle(rapid.IntRange(-7200, 7200).Draw(t, "twentieths")) / 4 // exact in binary
		turns := geometry.Angle(rapid.IntRange(-1000, 1000).Draw(t, "turns"))
		w, u := a.Wrap(), a.Turn()
		if (a+360*turns).Wrap() != w || (a+360*turns).Turn() != u {
			t.Fatalf("%v and %v turns more differ", a, turns)
		}
		if w <= -180 || w > 180 || u < 0 || u >= 360 {
			t.Fatalf("%v: got %v and %v", a, w, u)
		}
		if d := w - u; d != 0 && d != -360 {
			t.Fatalf("%v: %v and %v are not one direction", a, w, u)
		}
	})
}

func TestRadians(t *testing.T) {
	within(t, "half a turn", geometry.Angle(180).Radians(), math.Pi, 0)
	rapid.Check(t, func(t *rapid.T) {
		a := geometry.Angle(rapid.Float64Range(-1e6, 1e6).Draw(t, "angle"))
		// Four roundings, or what the smallest floats lack in digits.
		near(t, "back", float64(geometry.AngleFromRadians(a.Radians())), float64(a), max(4.5e-16*math.Abs(float64(a)), 1e-300))
	})
}

func TestOpposite(t *testing.T) {
	if geometry.Clockwise.Opposite() != geometry.Anticlockwise || geometry.Anticlockwise.Opposite() != geometry.Clockwise {
		t.Error("opposite is not the other direction")
	}
	for r, want := range map[geometry.Rotation]string{geometry.Clockwise: "clockwise", geometry.Anticlockwise: "anticlockwise", 0: "no direction"} {
		if r.String() != want {
			t.Errorf("got %q, want %q", r, want)
		}
	}
}

func TestNames(t *testing.T) {
	for s, want := range map[geometry.Sense]string{geometry.CountsUp: "up", geometry.CountsDown: "down", 0: "no sense", 2: "no sense"} {
		if s.String() != want {
			t.Errorf("got %q, want %q", s, want)
		}
	}
	for c, want := range map[geometry.Counted]string{
		geometry.CrankDegrees: "crank degrees", geometry.PistonDegrees: "piston degrees", geometry.PistonDrop: "piston drop", geometry.RimLength: "rim length", 9: "nothing counted",
	} {
		if c.String() != want {
			t.Errorf("got %q, want %q", c, want)
		}
	}
	for l, want := range map[geometry.Letters]string{geometry.NoLetters: "", geometry.BTDC: "BTDC", geometry.ATDC: "ATDC"} {
		if l.String() != want {
			t.Errorf("got %q, want %q", l, want)
		}
	}
	if geometry.Angle(-12.5).Degrees() != -12.5 || geometry.Length(-12.5).Millimetres() != -12.5 {
		t.Error("a bare number is another one")
	}
}

// Plane geometry, by hand: the arc of a readout that counts down runs the other
// way round.
func TestMiddle(t *testing.T) {
	for _, c := range []struct {
		sense              geometry.Sense
		from, to, mid, arc geometry.Angle
	}{
		{geometry.CountsUp, 338, 22, 360, 22},
		{geometry.CountsDown, 22, 338, 0, 22},
		{geometry.CountsUp, -20, 24, 2, 22},
		{geometry.CountsUp, 22, 338, 180, 158},
		{geometry.CountsDown, 338, 22, 180, 158},
		{geometry.CountsUp, 76.1, 256.1, 166.1, 90},
	} {
		mid, half := c.sense.Middle(c.from, c.to)
		if (mid-c.mid).Abs() > 1e-12 || (half-c.arc).Abs() > 1e-12 {
			t.Errorf("%v from %v to %v: got %v and %v, want %v and %v", c.sense, c.from, c.to, mid, half, c.mid, c.arc)
		}
	}
}
