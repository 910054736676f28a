package calculate

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// A crank with its top at 0, its stop at -h and h, and a readout that shows
// zero + sense·crank: whatever the zero, the sense and the whole turns, the
// middle is where the crank is at 0, and obeying the moves leads there.
func TestPairTop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		half := geometry.Angle(rapid.Float64Range(0.5, 90).Draw(t, "half arc"))
		zero := geometry.Angle(rapid.Float64Range(-1000, 1000).Draw(t, "zero"))
		turns := 360 * geometry.Angle(rapid.IntRange(-3, 3).Draw(t, "turns"))
		sense := rapid.SampledFrom([]geometry.Sense{geometry.CountsUp, geometry.CountsDown}).Draw(t, "sense")
		standing := rapid.SampledFrom([]sheet.Approach{sheet.Forward, sheet.Backward}).Draw(t, "standing")
		s := geometry.Angle(sense)
		half -= 1e-9 // readings are rounded, and 90 is the most
		top, err := Pair{
			Forward: sheet.Reading{Value: zero - s*half}, Backward: sheet.Reading{Value: zero + s*half + turns},
			Counts: sense, Step: 0.5, Standing: standing,
		}.Top()
		if err != nil {
			t.Fatal(err)
		}
		const close = 1e-9 // readings of up to 2,100° carry 2e-13° of rounding each
		near := func(what string, got, want geometry.Angle) {
			if (got - want).Wrap().Abs() > close {
				t.Errorf("%s: got %v, want %v", what, got, want)
			}
		}
		near("reading", top.Reading, zero)
		near("half arc", top.HalfArc, half)
		if top.Reading < 0 || top.Reading >= 360 {
			t.Errorf("reading %v is on no readout", top.Reading)
		}
		if top.InDwell != (2*top.HalfArc < 8) {
			t.Errorf("half arc %v: in the dwell %v", top.HalfArc, top.InDwell)
		}
		crank := half
		if standing == sheet.Forward {
			crank = -half
		}
		for _, m := range top.Moves {
			if m.By <= 0 || m.Turning != sheet.Forward && m.Turning != sheet.Backward {
				t.Errorf("no move: %v", m)
			}
			if m.Turning == sheet.Forward {
				crank += m.By
			} else {
				crank -= m.By
			}
			near("on the way", m.To, zero+s*crank)
		}
		near("at the end", crank, 0)
		if top.Moves[len(top.Moves)-1].Turning != sheet.Forward {
			t.Error("the last move is against the way the engine runs: lost motion is in it")
		}
	})
}

func TestPairTopRefuses(t *testing.T) {
	tests := []struct {
		name              string
		forward, backward geometry.Angle
		counts            geometry.Sense
		lettered          bool
	}{
		{"alike", 22, 22, geometry.CountsUp, false},
		{"alike a turn later", 22, 382, geometry.CountsDown, false},
		{"swapped", 22, 338, geometry.CountsUp, false},
		{"counts the other way", 338, 22, geometry.CountsDown, false},
		{"letters on a readout that counts down", 12, -12, geometry.CountsDown, true},
	}
	for _, tt := range tests {
		_, err := Pair{
			Forward:  sheet.Reading{Value: tt.forward, Lettered: tt.lettered},
			Backward: sheet.Reading{Value: tt.backward, Lettered: tt.lettered}, Counts: tt.counts,
		}.Top()
		var refusal *geometry.Refusal
		if !errors.As(err, &refusal) {
			t.Errorf("%s: got %v, want a refusal", tt.name, err)
		}
	}
}

// The same crank without a wheel: a chalk line on the rim, and lengths from it
// along a tape, or between two points of the plane. The middle is found
// whatever way the lengths grow, the distances to it are those of the rim, and
// rounding the lengths to their step never puts it further off than is said.
func TestPairTopOnRim(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(50, 2000).Draw(t, "diameter")
		half := geometry.Angle(rapid.Float64Range(1, 60).Draw(t, "half arc"))
		zero := geometry.Angle(rapid.Float64Range(-80, 80).Draw(t, "TDC from the chalk line"))
		sense := rapid.SampledFrom([]geometry.Sense{geometry.CountsUp, geometry.CountsDown}).Draw(t, "sense")
		chord, stated := rapid.Bool().Draw(t, "chord"), rapid.Bool().Draw(t, "stated")
		step := geometry.Length(d * rapid.Float64Range(0.0001, 0.005).Draw(t, "step over diameter"))
		read := func(a geometry.Angle) geometry.Length {
			if !chord {
				return geometry.Length(a.Radians() * d / 2)
			}
			sin, cos := math.Sincos(a.Radians())
			return geometry.Length(math.Copysign(math.Hypot(d/2*sin, d/2*(1-cos)), a.Degrees()))
		}
		s := geometry.Angle(sense)
		exact := Pair{
			Forward:  sheet.Reading{Measured: true, Length: read(zero - s*half)},
			Backward: sheet.Reading{Measured: true, Length: read(zero + s*half)},
			Standing: sheet.Backward, Chord: chord, StepLength: step,
			Rim: RimMeasure{Diameter: geometry.Quantity[geometry.Length]{Value: geometry.Length(d), HasValue: true}},
		}
		if stated {
			exact.Counts = sense
		}
		top, err := exact.Top()
		if err != nil {
			t.Fatal(err)
		}
		// The arcsine of a chord of 140 degrees loses a digit or two.
		testkit.Near(t, "reading", (top.Reading - zero).Wrap().Degrees(), 0, 1e-9)
		testkit.Near(t, "half arc", top.HalfArc.Degrees(), half.Degrees(), 1e-9)
		testkit.Near(t, "shown", top.Shown(top.Reading).Millimetres(), shownFrom(top.Pair, zero, read, d), 1e-9*d)
		testkit.Near(t, "along the rim", top.Half.Arc.Value.Millimetres(), half.Radians()*d/2, 1e-9*d)
		testkit.Near(t, "straight across", top.Half.Chord.Value.Millimetres(), d*math.Sin(half.Radians()/2), 1e-9*d)
		if top.Guessed == stated || top.Counts != sense {
			t.Errorf("counts %v, guessed %v", top.Counts, top.Guessed)
		}
		rounded := exact
		for _, r := range []*sheet.Reading{&rounded.Forward, &rounded.Backward} {
			r.Length = step * geometry.Length(math.Round(float64(r.Length/step)))
		}
		off, err := rounded.Top()
		if err != nil {
			t.Skip("rounded past the diameter")
		}
		if moved := (off.Reading - zero).Wrap().Abs(); moved > off.StepLimit+1e-9 {
			t.Errorf("rounding to %v moves the middle by %v, more than %v", step, moved, off.StepLimit)
		}
	})
}

// shownFrom is what is read at the pointer at an angle from the chalk line: a
// tape that shows no minus goes on to the whole way round.
func shownFrom(p Pair, a geometry.Angle, read func(geometry.Angle) geometry.Length, d float64) float64 {
	l := read(a).Millimetres()
	if l < 0 && !p.Chord && p.Forward.Length >= 0 && p.Backward.Length >= 0 {
		l += math.Pi * d
	}
	return l
}

// Lengths half a turn apart fit both senses of counting, and lengths without a
// rim fit any angle: the error says which statement is missing, and is a refusal
// like the others.
func TestPairTopAsksForWhatIsMissing(t *testing.T) {
	half := geometry.Rim{Diameter: 600}.Arc(180)
	contact := func(l geometry.Length) sheet.Reading { return sheet.Reading{Measured: true, Length: l} }
	rim := RimMeasure{Diameter: geometry.Quantity[geometry.Length]{Value: 600, HasValue: true}}
	for want, p := range map[Statement]Pair{
		SenseOfCounting: {Forward: contact(0), Backward: contact(half), Rim: rim},
		RimDiameter:     {Forward: contact(0), Backward: contact(230.4)},
	} {
		_, err := p.Top()
		var missing *Unstated
		var refusal *geometry.Refusal
		if !errors.As(err, &missing) || missing.What != want || !errors.As(err, &refusal) {
			t.Errorf("%v: got %v", want, err)
			continue
		}
		if text := err.Error(); !strings.HasPrefix(text, missing.Found+", expected ") || strings.Contains(text, "--") {
			t.Errorf("%v: got %q", want, text)
		}
	}
}
