package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// spoked is a single with a flywheel of about 600 mm and no degree wheel, the
// true diameter anywhere within its limit. A chord is read within half a turn.
func spoked(rng *rand.Rand, chord bool, limit geometry.Length) *rig {
	s := newRig(rng).told().onRim(600, 0.5, chord)
	s.Told.Diameter, s.Told.DiameterLimit = 600, limit
	s.Part.Diameter += geometry.Length(s.within(geometry.Angle(limit)))
	s.line("T", 0, s.within(0.5))
	s.line("F", -12.4, s.within(0.5))
	s.line("V", 110, s.within(0.5))
	return s
}

// Where the circumference is 360 mm a millimetre of tape is a degree, so a sheet
// of tape readings and one of wheel readings hold the same numbers, and say the
// same to the last digits. On a part at half speed a degree of crank is half a
// millimetre: there the circumference is 720 mm.
func TestATapeReadsAsAWheelDoes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := newRig(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 6))).told()
		s.setups = rapid.IntRange(1, 4).Draw(t, "setups")
		s.Readout.Step = rapid.SampledFrom([]geometry.Angle{0.01, 0.25, 1}).Draw(t, "step")
		s.Readout.Counts = rapid.SampledFrom([]geometry.Sense{geometry.CountsUp, geometry.CountsDown}).Draw(t, "counts")
		s.Part.HalfSpeed = rapid.Bool().Draw(t, "half speed")
		s.Part.Diameter = 360 / math.Pi
		if s.Part.HalfSpeed {
			s.Part.Diameter *= 2
		}
		for i, at := range []geometry.Angle{0, -10, 120} {
			s.line(fmt.Sprint("line ", i), at, s.within(1))
		}
		wheel := s.text()
		tape := strings.Replace(wheel, "kind: encoder", "kind: rim\n  measured: tape", 1)
		tape = regexp.MustCompile(`step: \S+`).ReplaceAllString(tape, "$0 mm")
		inLists := regexp.MustCompile(`\[[^\]]*\]`)
		numbers := regexp.MustCompile(`[-\d.]+`)
		tape = inLists.ReplaceAllStringFunc(tape, func(list string) string { return numbers.ReplaceAllString(list, "$0 mm") })
		got, want := judged(t, tape), judged(t, wheel)
		// An encoder may lag behind when the engine is reversed; the rim does not.
		sameAnswers(t, got, want, warning.LostMotionMissing)
	})
}

// A tape that goes on beyond a full turn says the same where the diameter is
// known, and less surely where it is not: a turn more of tape is a turn more of
// what the diameter is wrong by.
func TestATapeGoesOnBeyondATurn(t *testing.T) {
	t.Parallel()
	beyond := func(s sheet.Sheet) sheet.Sheet {
		turn := geometry.Angle(360)
		if s.Part.HalfSpeed {
			turn = 720
		}
		s = simulate.EveryReading(s, func(_ int, r sheet.Reading) sheet.Reading { return r })
		for _, setup := range s.Setups {
			for _, m := range s.Marks {
				readings := setup.Marks[m.Name]
				for i := range readings {
					readings[i].Value += turn
					readings[i].Length += s.Part.Diameter * math.Pi
				}
			}
		}
		return s
	}
	for _, half := range []bool{false, true} {
		s := spoked(testkit.Rand(t, 2700), false, 1)
		s.Part.HalfSpeed = half
		near := readSheet(t, s.text())
		far := beyond(near)
		a, err := audit.Run(near)
		if err != nil {
			t.Fatal(err)
		}
		b, err := audit.Run(far)
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range b.ByLine() {
			w := a.ByLine()[i].Offset
			if !alike(m.Offset.Value.Degrees(), w.Value.Degrees()) {
				t.Errorf("half speed %v, %s: got %v beyond a turn, want %v", half, m.Name, m.Offset.Value, w.Value)
			}
			// 1 mm in 600, of a turn, evenly spread (JCGM 100, 4.3.7).
			turn := 360.0
			if half {
				turn = 720
			}
			if least := turn / 600 / math.Sqrt(3) * 0.6; m.Offset.Standard.Degrees() < least {
				t.Errorf("half speed %v, %s: got a standard uncertainty of %v beyond a turn, want at least %.3f°", half, m.Name, m.Offset.Standard, least)
			}
		}
	}
}

// Across a rim no more than the diameter can be spanned, and the closer to it
// the less a chord says: the step is taken where the longest chord was read.
func TestChordsEndAtTheDiameter(t *testing.T) {
	s := spoked(testkit.Rand(t, 2710), true, 0.5)
	*s.hand(), s.Readout.StepLength = simulate.Hand{MiddleSD: 1e-4, ReadSD: 1e-4}, 0.01
	text := s.text()
	want := "a chord cannot be longer than the diameter of 600 mm"
	for _, c := range []struct {
		length  string
		refused bool
	}{{"599", false}, {"600.1", true}, {"-600.1", true}} {
		reading := regexp.MustCompile(`(?s)      V:\n        forward: \[\S+ mm`)
		_, _, err := sheet.Read("stand.yaml", []byte(reading.ReplaceAllString(text, "      V:\n        forward: ["+c.length+" mm")), nil)
		if got := err != nil && strings.Contains(err.Error(), want); got != c.refused {
			t.Errorf("%s mm: got %v, want it refused: %v", c.length, err, c.refused)
		}
	}
	// A step of 0.01 mm at a chord of c is 0.01·(360/π)/√(600² - c²) degrees: the
	// slope of 2 asin(c/600) by a difference.
	read := readSheet(t, text)
	longest := 0.0
	for _, setup := range read.Setups {
		for _, trial := range setup.Trials {
			longest = max(longest, math.Abs(trial.Forward.Length.Millimetres()), math.Abs(trial.Backward.Length.Millimetres()))
		}
		for _, readings := range setup.Marks {
			for _, r := range readings {
				longest = max(longest, math.Abs(r.Length.Millimetres()))
			}
		}
	}
	slope := deg(2*math.Asin((longest+1e-4)/600)-2*math.Asin((longest-1e-4)/600)) / 2e-4
	if got := read.Readout.Step.Degrees(); math.Abs(got-0.01*slope) > 1e-6*got { // the difference's own error
		t.Errorf("got a step of %v degrees, want %v", got, 0.01*slope)
	}
}

// On a part at half speed angles stay crank degrees, and every length is that of
// half the angle: the figures are plane geometry by hand.
func TestAPartAtHalfSpeedHalvesItsLengths(t *testing.T) {
	s := newRig(testkit.Rand(t, 2720)).told().onRim(250, 0.001, false)
	s.Part.HalfSpeed, s.Part.Teeth, s.Told.Sighting, s.first().Closing = true, 96, 0.4, true
	*s.hand() = simulate.Hand{MiddleSD: 1e-4, ReadSD: 1e-4}
	s.line("T", 0, 3)
	s.line("late", 130, 3)
	s.line("other stroke", 360, 3) // half way round the part
	s.line("early", -100, 3)
	result := judged(t, s.text())
	m := result.ByLine()[0]
	const slop = 2e-3 // a step of 0.001 mm is 0.001 degrees of crank; readings scatter less
	testkit.Near(t, "offset", m.Offset.Value.Degrees(), 3, slop)
	testkit.Near(t, "arc", m.OnRim.Arc.Millimetres(), 125*rad(1.5), slop)
	testkit.Near(t, "chord", m.OnRim.Chord.Millimetres(), 250*math.Sin(rad(0.75)), slop)
	testkit.Near(t, "teeth", m.OnRim.Teeth, 96*3.0/720, slop)
	testkit.Near(t, "arc of the instruction", result.Advice.Together.Arc.Millimetres(), 125*rad(1.5), slop)
	testkit.Near(t, "teeth of the instruction", result.Advice.Together.Teeth, 96*3.0/720, slop)
	for _, row := range m.Offset.Budget {
		if row.Source == uncertainty.Sighting {
			// 0.4 mm on a radius of 125 mm turns the part by 0.1833 and the crank by
			// 0.3667 degrees.
			testkit.Near(t, "sighting limit", float64(row.Scale)*row.Sensitivity, 2*deg(0.4/125), slop)
		}
	}
	// The lines in the order in which they pass the pointer, and a line of the
	// other stroke is not the line at TDC.
	type pair struct{ from, to string }
	want := map[pair]float64{
		{"T", "late"}:             250 * math.Sin(rad(130.0/4)),
		{"late", "other stroke"}:  250 * math.Sin(rad(230.0/4)),
		{"other stroke", "early"}: 250 * math.Sin(rad(260.0/4)),
		{"early", "T"}:            250 * math.Sin(rad(100.0/4)),
	}
	if len(result.Distances()) != len(want) {
		t.Errorf("got %d distances, want %d", len(result.Distances()), len(want))
	}
	for _, d := range result.Distances() {
		testkit.Near(t, d.From+" to "+d.To, d.Now.Millimetres(), want[pair{d.From, d.To}], slop)
	}
}
