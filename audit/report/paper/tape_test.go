package paper

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/internal/reporttest"
	"markaudit/geometry"
)

// A tape on the part begins to the right where the part runs clockwise, for what
// lies ahead passes the pointer first; on a fixed scale it is the other way round.
func TestTapeBeginsWhereItPassesFirst(t *testing.T) {
	tests := []struct {
		turns, marksOn string
		right          bool
		says           string
	}{
		{"clockwise", "part", true, "this end passes the pointer FIRST ►"},
		{"anticlockwise", "part", false, "◄ this end passes the pointer FIRST"},
		{"clockwise", "engine", false, "◄ the line passes this end FIRST"},
		{"anticlockwise", "engine", true, "the line passes this end FIRST ►"},
	}
	for _, tt := range tests {
		r := reporttest.Job{Diameter: 158, Turns: tt.turns, MarksOn: tt.marksOn, Late: 3}.Audit(t)
		s := stripperFor(r, StripOptions{Width: 30})
		for _, ends := range [][]geometry.Angle{{20, -60}, {-60, 20}} {
			way, err := stretchOf(s, ends)
			if err != nil {
				t.Fatal(err)
			}
			strip := graduatedTape(s, way).build(30, 0, "")
			items, _, signs := strip.draw(0, strip.length, 0, 1)
			if !signs {
				t.Fatal("not all signs found room")
			}
			place := func(text string) geometry.Length {
				for _, item := range items {
					if x, ok := item.(drawing.Text); ok && x.Text == text {
						return x.At.X
					}
				}
				t.Errorf("%s, on %s: found no %q", tt.turns, tt.marksOn, text)
				return 0
			}
			place(tt.says)
			if at := place("60 BTDC"); (at > strip.length/2) != tt.right {
				t.Errorf("%s, on %s: 60 BTDC stands at %v of %v", tt.turns, tt.marksOn, at, strip.length)
			}
		}
	}
}

// Two ends go the short way round the part, three over the one between.
func TestStretchOf(t *testing.T) {
	tests := []struct {
		half        bool
		ends        []geometry.Angle
		first, last geometry.Angle
		says        string // an error with it, where both are zero
	}{
		{ends: []geometry.Angle{-10, 20}, first: -10, last: 20, says: "over 0: 30 degrees"},
		{ends: []geometry.Angle{20, -10}, first: -10, last: 20, says: "over 0: 30 degrees"},
		{ends: []geometry.Angle{350, 10}, first: 350, last: 370, says: "over 0: 20 degrees"},
		{ends: []geometry.Angle{-300, 100}, first: 60, last: 100},
		{ends: []geometry.Angle{100, 240}, first: 100, last: 240, says: "the short way: 140 degrees"},
		{ends: []geometry.Angle{-10, 90, 20}, first: 20, last: 350, says: "over 90"},
		{ends: []geometry.Angle{-10, 0, 20}, first: -10, last: 20},
		{ends: []geometry.Angle{0, 90, 180}, first: 0, last: 180},
		{ends: []geometry.Angle{0, -90, 180}, first: 180, last: 360},
		{ends: []geometry.Angle{0, 90, 0}, first: 0, last: 360},
		{ends: []geometry.Angle{0, 180}, says: "exactly half a turn of the part apart"},
		{ends: []geometry.Angle{20, 20}, says: "to itself"},
		{ends: []geometry.Angle{0, 0, 20}, says: "one of its own ends"},
		{half: true, ends: []geometry.Angle{0, 180}, first: 0, last: 180},
		{half: true, ends: []geometry.Angle{0, 400}, first: 400, last: 720},
		{half: true, ends: []geometry.Angle{0, 360}, says: "exactly half a turn"},
	}
	for _, tt := range tests {
		r := reporttest.Job{Diameter: 158, Turns: "clockwise", MarksOn: "part", Half: tt.half, Late: 3}.Audit(t)
		got, err := stretchOf(stripperFor(r, StripOptions{}), tt.ends)
		if tt.first == tt.last {
			if err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%v: got %v, want an error with %q", tt.ends, err, tt.says)
			}
			continue
		}
		turn := geometry.Angle(360)
		if tt.half {
			turn = 720
		}
		if err != nil || (got.last-got.first-tt.last+tt.first).Abs() > 1e-9 || wrapInto(got.first-tt.first+1, turn)-1 > 1e-9 || !strings.Contains(got.said, tt.says) {
			t.Errorf("%v: got %v to %v (%s), %v, want %v to %v", tt.ends, got.first, got.last, got.said, err, tt.first, tt.last)
		}
	}
}

// The graduations of rims of some sizes, worked out by hand: the first steps with
// graduations at least 0.8 mm and numbers at least 6 mm apart.
func TestSteps(t *testing.T) {
	for diameter, want := range map[geometry.Length][2]float64{25: {5, 30}, 60: {5, 15}, 120: {1, 10}, 212: {0.5, 5}, 520: {0.5, 5}, 2000: {0.1, 1}} {
		tooth, number := scale{per: surface{corner: diameter}.along(1)}.step()
		if tooth != want[0] || number != want[1] {
			t.Errorf("%v: got %g and %g, want %g and %g", diameter, tooth, number, want[0], want[1])
		}
	}
}

// Discs keep their order, do not touch and stay between the ends; those with room
// stand above their lines.
func TestSpread(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		n := 2 + draw.IntN(23)
		long := 3 + 147*draw.Float64()
		places := make([]geometry.Length, n)
		for i := range places {
			places[i] = geometry.Length(10 + long*draw.Float64())
		}
		slices.Sort(places)
		to := 10 + geometry.Length(max(long, float64(4*n)))
		got := spread(places, 4, 10, to)
		for i, x := range got {
			if x < 10-1e-9 || x > to+1e-9 || i > 0 && x-got[i-1] < 4-1e-9 {
				t.Fatalf("%v spread to %v between 10 and %v", places, got, to)
			}
		}
	}
	if got := spread([]geometry.Length{20, 40, 41}, 4, 0, 100); !slices.Equal(got, []geometry.Length{20, 38.5, 42.5}) {
		t.Errorf("got %v", got)
	}
}
