package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
)

// vEngine is a V engine whose banks stand 90.3 apart and are declared at 90,
// with two lines of each bank that are off by up to half a degree.
func vEngine(rng *rand.Rand) *stand {
	s := newStand(rng)
	s.cylinders = []standCylinder{{"A", 0, 0}, {"B", 90, 90.3}}
	for _, c := range s.cylinders {
		for _, at := range []float64{0, -10} {
			l := s.line(fmt.Sprintf("%s%d", c.name, int(-at)), at, s.within(0.5))
			l.cylinder = c.name
		}
	}
	return s
}

// With both banks' stops in every mounting each line counts from its own bank's
// TDC, and the bank angle is that of the engine, whatever the sheet declares.
// What mounting adds to the lines is in neither TDC.
func TestBanksHoldTheTruth(t *testing.T) {
	t.Parallel()
	var cells []standCell
	for _, c := range []struct {
		mountings int
		step      float64
		wheel     bool
	}{
		{1, 0.01, false},
		{1, 0.15, true},
		{2, 0.01, false},
		{2, 0.15, false}, // where scatter and step weigh the same
		{2, 0.15, true},
		{3, 0.01, false},
		{3, 0.15, false},
		{3, 0.5, true},
	} {
		cells = append(cells, standCell{fmt.Sprintf("%d mountings, step %v, wheel %v", c.mountings, c.step, c.wheel), func(rng *rand.Rand) *stand {
			s := vEngine(rng)
			s.setups, s.step, s.trials = c.mountings, c.step, 4
			if c.mountings >= 3 {
				s.remountSD = 0.1
			}
			if c.wheel {
				s.readout, s.wheelDiameter, s.offCentre = "wheel", 280, 0.3
			}
			return s
		}})
	}
	cover(t, 2000, cells, func(s *stand, result audit.Result) []bool {
		bank := result.Banks[0]
		if bank.From != "A" || bank.To != "B" || bank.Declared != 90 || bank.Mountings != s.setups {
			t.Errorf("got %+v, want A to B from %d mountings", bank, s.setups)
		}
		for _, m := range result.Marks {
			if m.Setups != s.setups || (m.Covers == audit.Remounting) != (s.setups >= 3) {
				t.Errorf("%s covers %v from %d setups, want %d: the second bank's stop is no remounting", m.Name, m.Covers, m.Setups, s.setups)
			}
		}
		return append(ofLines(s, result), holdsTruth(&bank.Angle, s.tdc("B")))
	})
}

// A wrong bank angle is found out, a right one is left alone in 95 % of the
// sheets, which is what its interval says.
func TestOnlyAWrongBankAngleIsDoubted(t *testing.T) {
	t.Parallel()
	n := sheetsPerCase()
	for i, c := range []struct {
		mountings int
		declared  float64
		wrong     bool
	}{{1, 90.3, false}, {2, 90.3, false}, {3, 90.3, false}, {1, 89, true}, {3, 89, true}} {
		t.Run(fmt.Sprintf("%d mountings, declared %v", c.mountings, c.declared), func(t *testing.T) {
			t.Parallel()
			rate := rates(t, 2050+uint64(i), n, func(rng *rand.Rand) *stand {
				s := vEngine(rng)
				s.setups, s.step, s.trials = c.mountings, 0.01, 5
				s.cylinders[1].declared = c.declared
				return s
			}, func(_ *stand, result audit.Result) []bool {
				if result.Banks[0].Differs != has(result, audit.BankDiffers) {
					t.Error("got no warning of a bank that differs, or one of a bank that does not")
				}
				return []bool{result.Banks[0].Differs}
			})[0]
			t.Logf("%s: doubted in %.3f", t.Name(), rate)
			switch {
			case c.wrong && rate < 0.9:
				t.Errorf("got it doubted in %.3f of the sheets, want 0.9 and more", rate)
			case !c.wrong && rate > atMost(0.05, n):
				t.Errorf("got it doubted in %.3f of the sheets, want at most %.3f", rate, atMost(0.05, n))
			}
		})
	}
}

// A tab bolted to the cover and bent shifts the lines of both banks alike. It is
// the tab that moves: towards the line, so against the running direction for
// lines that come up late (method, section 5).
func TestABentTabShiftsBothBanks(t *testing.T) {
	t.Parallel()
	n := sheetsPerCase()
	for i, c := range []struct {
		mountings int
		tab       float64
		along     audit.Along
	}{{1, 2, audit.Against}, {1, -2, audit.Running}, {3, 2, audit.Against}, {4, 2, audit.Against}} {
		t.Run(fmt.Sprintf("%d mountings, %v", c.mountings, c.tab), func(t *testing.T) {
			t.Parallel()
			got := rates(t, 2100+uint64(i), n, func(rng *rand.Rand) *stand {
				s := vEngine(rng)
				s.setups, s.step, s.trials = c.mountings, 0.05, 5
				for j := range s.marks {
					s.marks[j].offset = c.tab
				}
				return s
			}, func(s *stand, result audit.Result) []bool {
				shift := result.Shift
				common := shift.Finding == audit.Common
				if common {
					for _, m := range result.Marks {
						if m.Scribe.Along != audit.NoWay || m.Scribe.Withheld != audit.WithheldCommon {
							t.Errorf("%s: got %+v, want no new line where the tab moves", m.Name, m.Scribe)
						}
					}
				}
				moves := shift.Scribe.Move == audit.MovePointer && shift.Scribe.Along == c.along && shift.Scribe.Worthwhile
				return []bool{common, common && moves, holdsTruth(shift.Common, c.tab)}
			})
			t.Logf("%s: common, the tab moves, shift covered: %.3f", t.Name(), got)
			// Lines that agree are said to differ at 2.5 %, and the tab stays where
			// no line is outside for sure.
			for j, least := range []float64{atLeast(0.975, n), atLeast(0.95, n), atLeast(0.95, n)} {
				if got[j] < least {
					t.Errorf("got %.3f at %d, want at least %.3f", got[j], j, least)
				}
			}
		})
	}
}

// Lines of two banks on one good part: nothing is claimed more often than the
// levels of method, section 4, say.
func TestNothingIsClaimedOnTwoGoodBanks(t *testing.T) {
	t.Parallel()
	n := 2 * sheetsPerCase()
	for i, c := range []struct {
		mountings int
		step      float64
	}{{1, 0.01}, {1, 0.15}, {2, 0.01}, {4, 0.01}, {4, 0.15}} {
		t.Run(fmt.Sprintf("%d mountings, step %v", c.mountings, c.step), func(t *testing.T) {
			t.Parallel()
			rate := rates(t, 2150+uint64(i), n, func(rng *rand.Rand) *stand {
				s := vEngine(rng)
				s.setups, s.step = c.mountings, c.step
				for k := range s.marks {
					s.marks[k].offset = 0
				}
				if c.mountings > 2 {
					s.remountSD = 0.1
				}
				return s
			}, func(_ *stand, result audit.Result) []bool {
				claimed := result.Shift.Finding != audit.None && !result.Differ // which has its own 5 %
				return []bool{claimed, result.Differ}
			})
			t.Logf("%s: claimed and setups said to differ %.3f", t.Name(), rate)
			if most := atMost(0.05, n); max(rate[0], rate[1]) > most {
				t.Errorf("got a claim on %.3f of the sheets, want each at most %.3f", rate, most)
			}
		})
	}
}

// A second fitting of the stop in one mounting is no remounting: two setups of
// one mounting give what one setup with all the trials gives.
func TestSplittingTheTrialsOfAMountingChangesNoOffset(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := vEngine(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5)))
		s.setups = rapid.IntRange(1, 4).Draw(t, "mountings")
		s.trials = 2 * rapid.IntRange(1, 3).Draw(t, "half the trials")
		whole := readSheet(t, s.text())
		split := whole
		split.Setups = nil
		for i, x := range whole.Setups {
			second := x
			x.Trials, second.Trials = slices.Clone(x.Trials[:s.trials/2]), x.Trials[s.trials/2:]
			x.Path, second.Path = sheet.Path(fmt.Sprintf("setups[%d]", 2*i)), sheet.Path(fmt.Sprintf("setups[%d]", 2*i+1))
			second.Marks = nil
			split.Setups = append(split.Setups, x, second)
		}
		want, got := run(t, whole), run(t, split)
		for i, m := range got.Marks {
			w := want.Marks[i]
			if !alike(m.Offset.Value.Degrees(), w.Offset.Value.Degrees()) || m.Setups != w.Setups || m.Covers != w.Covers {
				t.Errorf("%s: got %v from %d setups, covering %v, want %v from %d, covering %v",
					m.Name, m.Offset.Value, m.Setups, m.Covers, w.Offset.Value, w.Setups, w.Covers)
			}
		}
		if a, b := got.Banks[0].Angle.Value, want.Banks[0].Angle.Value; !alike(a.Degrees(), b.Degrees()) {
			t.Errorf("got a bank angle of %v, want %v", a, b)
		}
	})
}

// Two fittings of the stop in each mounting, without cylinders: coverage stays,
// and one mounting covers repeatability.
func TestFittingsThatShareAMountingHoldTheTruth(t *testing.T) {
	t.Parallel()
	var cells []standCell
	for _, mountings := range []int{1, 2, 3} {
		cells = append(cells, standCell{fmt.Sprintf("%d mountings of two fittings", mountings), func(rng *rand.Rand) *stand {
			s := newStand(rng)
			s.line("T", 0, s.within(0.5))
			s.line("F", -30, s.within(0.5))
			s.setups, s.fittings, s.step, s.trials = mountings, 2, 0.05, 3
			return s
		}})
	}
	cover(t, 2200, cells, func(s *stand, result audit.Result) []bool {
		for _, m := range result.Marks {
			if m.Setups != s.setups || (m.Covers == audit.Remounting) != (s.setups >= 3) {
				t.Errorf("%s covers %v from %d setups, want %d", m.Name, m.Covers, m.Setups, s.setups)
			}
		}
		return ofLines(s, result)
	})
}

// With the bore beside the crank the middle of each bank's contacts lies past the
// piston's top by what the depth of its own stop makes of it: the rig solves both
// by bisection.
func TestEachBankIsCorrectedForItsOwnStop(t *testing.T) {
	for _, bore := range []float64{12, -12} {
		for _, thrown := range []bool{false, true} {
			s := vEngine(testkit.Rand(t, 2310))
			s.bore, s.deeper, s.fromThrow = bore, 3, thrown
			s.step, s.stopSD, s.readSD = 1e-4, 1e-5, 1e-5
			result := judged(t, s.text())
			if got := result.Banks[0].Angle.Value.Degrees(); math.Abs(got-90.3) > slop {
				t.Errorf("bore %v, from the throw %v: got a bank angle of %.5f, want 90.3", bore, thrown, got)
			}
			for i, m := range result.Marks {
				if got := m.Offset.Value.Degrees(); math.Abs(got-s.marks[i].offset) > slop {
					t.Errorf("bore %v, from the throw %v, %s: got an offset of %.5f, want %.5f", bore, thrown, m.Name, got, s.marks[i].offset)
				}
			}
		}
	}
}

// Where the line's own cylinder was not tried, the sheet's angle is taken, and
// said so: the line is then off by as much as the bank is.
func TestABankThatWasNotTriedIsTakenAsDeclared(t *testing.T) {
	rng := testkit.Rand(t, 2300)
	s := vEngine(rng)
	s.step, s.stopSD, s.readSD = 0.001, 1e-4, 1e-4
	untried := readSheet(t, s.text())
	untried.Setups = untried.Setups[:1]
	result, err := audit.Run(untried)
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Banks) > 0 || !has(result, audit.BankNotFound) {
		t.Errorf("got banks %v and %v, want none and a warning", result.Banks, result.Warnings)
	}
	for i, m := range result.Marks {
		want := s.marks[i].offset
		if m.Cylinder == "B" {
			want += 0.3 // 90.3 on the engine, 90 on the sheet
		}
		// Scatter of 1e-4 and a step of 1e-3.
		if got := m.Offset.Value.Degrees(); math.Abs(got-want) > 3e-3 {
			t.Errorf("%s: got an offset of %v, want %v", m.Name, got, want)
		}
	}
}
