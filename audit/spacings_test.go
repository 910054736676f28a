package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/warning"
)

// spaced is a part whose lines are measured from one another with dividers or
// counted in teeth, wrong by so much.
func spaced(rng *rand.Rand, c spacingCell) *stand {
	s := newStand(rng)
	s.half, s.setups, s.step, s.trials = c.half, c.setups, c.step, 4
	s.diameter, s.truly, s.limit = 250, 250+s.within(c.diameter), c.diameter
	if c.setups >= 3 {
		s.remountSD = 0.1
	}
	if c.wheel {
		s.readout, s.wheelDiameter, s.offCentre = "wheel", 280, 0.3
	}
	s.line("T", 0, s.within(1))
	s.line("F", -40, s.within(1))
	s.line("V", 100, s.within(1))
	s.more = "  spacings:\n"
	for _, pair := range [][2]int{{0, 1}, {1, 2}} {
		one, other := s.marks[pair[0]], s.marks[pair[1]]
		what := fmt.Sprintf("chord: %s ± 0.1 mm", number(s.spans(one, other)+s.within(0.1)+c.wrong))
		if c.teeth > 0 {
			s.teeth = c.teeth
			gap := math.Abs(s.turned(s.crank(one) - s.crank(other)))
			what = fmt.Sprintf("teeth: %s", number(gap/360*float64(c.teeth)+s.within(0.5)+c.wrong))
		}
		s.more += fmt.Sprintf("    - {from: %s, to: %s, %s}\n", one.name, other.name, what)
	}
	return s
}

type spacingCell struct {
	setups         int
	step, diameter float64
	wheel, half    bool
	teeth          int
	wrong          float64 // mm or teeth
}

// Dividers and readings share no error. Where both are right they are said to
// differ in 5 % of the cases, which is what the interval of their difference
// says; where the dividers are wrong, nearly always.
func TestDividersAreHeldAgainstTheReadings(t *testing.T) {
	t.Parallel()
	n := sheetsPerCase()
	for i, c := range []spacingCell{
		{setups: 1, step: 0.02},
		{setups: 1, step: 0.02, half: true},
		{setups: 1, step: 0.15, diameter: 1},
		{setups: 1, step: 0.05, wheel: true},
		{setups: 3, step: 0.02},
		{setups: 1, step: 0.02, teeth: 120},
		{setups: 1, step: 0.02, teeth: 96, half: true},
		{setups: 1, step: 0.02, wrong: 2},
		{setups: 1, step: 0.02, wrong: -2, half: true},
		{setups: 3, step: 0.02, wrong: 2.5},
		{setups: 1, step: 0.02, teeth: 120, wrong: 2},
		{setups: 1, step: 0.02, teeth: 96, half: true, wrong: 2},
	} {
		t.Run(fmt.Sprintf("%+v", c), func(t *testing.T) {
			t.Parallel()
			got := rates(t, 3000+uint64(i), n, func(rng *rand.Rand) *stand { return spaced(rng, c) }, func(s *stand, result audit.Result) []bool {
				if len(result.Spacings) != 2 {
					t.Fatalf("got %d spacings, want 2", len(result.Spacings))
				}
				out := []bool{}
				warned := 0
				for _, x := range result.Spacings {
					if x.Differs {
						warned++
					}
					if c.teeth == 0 && x.U <= 0.1*0.9 { // less than the dividers alone
						t.Errorf("got ± %v mm, want more than what the dividers may be off", x.U)
					}
					out = append(out, x.Differs)
				}
				for _, w := range result.Warnings {
					if w.Code == warning.SpacingDiffers {
						warned--
					}
				}
				if warned != 0 {
					t.Error("got a warning too many or too few")
				}
				return out
			})
			t.Logf("%+v: differ %.3f", c, got)
			for j, rate := range got {
				if most := atMost(0.05, n); c.wrong == 0 && rate > most {
					t.Errorf("got true dividers doubted in %.3f of the sheets at %d, want at most %.3f", rate, j, most)
				}
				if least := atLeast(0.05, n); c.wrong == 0 && c.step < 0.05 && rate < least {
					t.Errorf("got true dividers doubted in %.3f of the sheets at %d, want at least %.3f", rate, j, least)
				}
				if c.wrong != 0 && rate < 0.95 {
					t.Errorf("got wrong dividers doubted in %.3f of the sheets at %d, want 0.95 and more", rate, j)
				}
			}
		})
	}
}

// Between lines of two banks the way hangs on no TDC, and on no bank angle of the
// sheet: a TDC that scatters much makes the interval no wider.
func TestDividersBetweenTwoBanks(t *testing.T) {
	t.Parallel()
	n := sheetsPerCase()
	for i, mountings := range []int{1, 2, 3} {
		t.Run(fmt.Sprintf("%d mountings", mountings), func(t *testing.T) {
			t.Parallel()
			rate := rates(t, 3070+uint64(i), n, func(rng *rand.Rand) *stand {
				s := vEngine(rng)
				s.setups, s.step, s.stopSD, s.readSD = mountings, 0.02, 0.4, 0.05
				s.diameter, s.truly = 600, 600
				s.cylinders[1].declared = 88
				s.more = fmt.Sprintf("  spacings:\n    - {from: A0, to: B0, chord: %s ± 0.1 mm}\n", number(s.spans(s.marks[0], s.marks[2])+s.within(0.1)))
				if mountings == 2 {
					s.readout, s.wheelDiameter, s.offCentre = "wheel", 280, 0.2
				}
				return s
			}, func(_ *stand, result audit.Result) []bool { return []bool{result.Spacings[0].Differs} })[0]
			t.Logf("%s: differ %.3f", t.Name(), rate)
			if most, least := atMost(0.05, n), atLeast(0.05, n); rate > most || rate < least && mountings != 2 {
				t.Errorf("got true dividers doubted in %.3f of the sheets, want %.3f to %.3f", rate, least, most)
			}
		})
	}
}

// What dividers should find, by two points on a circle.
func TestSpacingsOfLinesThatAreWhereTheyBelong(t *testing.T) {
	for _, half := range []bool{false, true} {
		s := steady(t, 3050)
		s.half, s.diameter, s.truly, s.teeth = half, 250, 250, 120
		one, other := *s.line("T", 0, 0), *s.line("V", 150, 0)
		chord, teeth := s.spans(one, other), 120*s.turned(150)/360
		s.more = fmt.Sprintf("  spacings:\n    - {from: T, to: V, chord: %s ± 0.05 mm}\n    - {from: V, to: T, teeth: %s}\n", number(chord), number(teeth))
		for i, x := range judged(t, s.text()).Spacings {
			want := []float64{chord, teeth}[i]
			// A slop in degrees is no more in millimetres and teeth.
			if math.Abs(x.Expected-want) > 3*slop || math.Abs(x.Nominal-want) > 1e-6 || math.Abs(x.Measured-want) > 1e-9 || x.Differs {
				t.Errorf("half speed %v: got %+v, want %v", half, x, want)
			}
		}
	}
}
