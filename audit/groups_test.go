package audit_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
)

// pulleyOnRubber has lines on its bonded ring and on its hub. The ring is off by
// slip and the pointer by bent.
func pulleyOnRubber(rng *rand.Rand, slip, bent float64) *stand {
	s := newStand(rng)
	s.bonded = true
	for _, l := range []struct {
		name, on string
		at       float64
	}{{"T", "ring", 0}, {"F", "ring", -10}, {"T2", "ring", 120}, {"key", "hub", 0}, {"witness", "hub", 120}} {
		offset := bent
		if l.on == "ring" {
			offset += slip
		}
		s.line(l.name, l.at, offset).on = l.on
	}
	return s
}

// groupCell is how a pulley in groups is read.
type groupCell struct {
	setups int
	step   float64
	wheel  bool
}

var groupCells = []groupCell{
	{1, 0.01, false}, {1, 0.15, false}, {1, 0.05, true}, {3, 0.05, true}, {4, 0.15, false},
}

func (c groupCell) String() string {
	return fmt.Sprintf("%d setups, step %v, wheel %v", c.setups, c.step, c.wheel)
}

func (c groupCell) stand(s *stand) *stand {
	s.setups, s.step = c.setups, c.step
	if c.setups >= 3 {
		s.remountSD = 0.1
	}
	if c.wheel {
		s.readout, s.wheelDiameter, s.offCentre = "wheel", 280, 0.4
	}
	for i := range s.marks { // off the lattice, all alike
		s.marks[i].offset += s.step * s.phase / 360
	}
	return s
}

// between is the difference of the two groups, ring less hub.
func between(t *testing.T, result audit.Result) audit.Between {
	t.Helper()
	if len(result.Between) != 1 || result.Between[0].From != "hub" || result.Between[0].To != "ring" {
		t.Fatalf("got %+v, want the ring held against the hub", result.Between)
	}
	return result.Between[0]
}

// A slipped ring is replaced, not re-marked; the lines on the hub stay as they
// are, and the pointer too (method, section 4).
func TestASlippedRingIsTold(t *testing.T) {
	t.Parallel()
	n := sheetsPerCase()
	for i, c := range groupCells {
		t.Run(c.String(), func(t *testing.T) {
			t.Parallel()
			got := rates(t, 2400+uint64(i), n, func(rng *rand.Rand) *stand {
				return c.stand(pulleyOnRubber(rng, 3.4, 0))
			}, func(s *stand, result audit.Result) []bool {
				told := result.Slip == audit.RingSlipped
				if told {
					for _, m := range result.Marks {
						if withheld := m.Scribe.Withheld == audit.WithheldRing; withheld != (m.On == "ring") || withheld && m.Scribe.Along != audit.NoWay {
							t.Errorf("%s on the %s: got %+v, want new lines withheld on the ring alone", m.Name, m.On, m.Scribe)
						}
					}
					if result.Shift.Act || result.Shift.Scribe.Along != audit.NoWay {
						t.Errorf("got %+v, want the pointer left alone", result.Shift.Scribe)
					}
				}
				b := between(t, result)
				return []bool{told, b.Differ, holdsTruth(&b.Difference, 3.4)}
			})
			t.Logf("%s: told, differ, difference covered %.3f", t.Name(), got)
			for j, least := range []float64{atLeast(0.98, n), atLeast(0.98, n), atLeast(0.95, n)} {
				if got[j] < least {
					t.Errorf("got %.3f at %d, want at least %.3f", got[j], j, least)
				}
			}
		})
	}
}

// Without the rubber two parts have moved against each other, and no more can be
// said.
func TestPartsThatMovedApartAreToldWithoutARing(t *testing.T) {
	s := groupCells[0].stand(pulleyOnRubber(testkit.Rand(t, 2500), 3.4, 0))
	s.bonded = false
	if result := judged(t, s.text()); result.Slip != audit.Apart {
		t.Errorf("got %v, want the parts apart", result.Slip)
	}
}

// A bent pointer shifts the lines on both parts alike: it is the pointer that
// moves, to meet the lines that come up late.
func TestABentPointerIsTold(t *testing.T) {
	t.Parallel()
	n := sheetsPerCase()
	for i, c := range groupCells {
		t.Run(c.String(), func(t *testing.T) {
			t.Parallel()
			got := rates(t, 2510+uint64(i), n, func(rng *rand.Rand) *stand {
				return c.stand(pulleyOnRubber(rng, 0, 2.5))
			}, func(_ *stand, result audit.Result) []bool {
				to := result.Shift.Scribe
				return []bool{
					result.Slip == audit.Together,
					result.Shift.Finding == audit.Common,
					to.Move == audit.MovePointer && to.Along == audit.Against && to.Withheld == audit.NotWithheld && to.Worthwhile,
				}
			})
			t.Logf("%s: together, common, the pointer moves %.3f", t.Name(), got)
			// Groups that agree are said to differ at 2.5 %, and so are lines; the
			// pointer moves when neither happens. With a wheel off centre lines are
			// said to differ in up to 7 %: the degrees of freedom of method,
			// section 4, go by the mean contrast, and the wheel is in few of them.
			common := atLeast(0.975, n)
			if c.wheel {
				common = atLeast(0.93, n)
			}
			for j, least := range []float64{atLeast(0.975, n), common, atLeast(0.93, n)} {
				if got[j] < least {
					t.Errorf("got %.3f at %d, want at least %.3f", got[j], j, least)
				}
			}
		})
	}
}

// A good ring is seldom called slipped, and the interval of the difference
// between ring and hub holds zero, at the rates of method, section 4.
func TestAGoodRingIsLeftAlone(t *testing.T) {
	t.Parallel()
	n := 2 * sheetsPerCase()
	for i, c := range groupCells {
		t.Run(c.String(), func(t *testing.T) {
			t.Parallel()
			got := rates(t, 2530+uint64(i), n, func(rng *rand.Rand) *stand {
				return c.stand(pulleyOnRubber(rng, 0, 0))
			}, func(_ *stand, result audit.Result) []bool {
				b := between(t, result)
				return []bool{result.Slip == audit.RingSlipped, holdsTruth(&b.Difference, 0)}
			})
			t.Logf("%s: called slipped, difference covered %.3f", t.Name(), got)
			if most := atMost(0.025, n); got[0] > most {
				t.Errorf("got a good ring called slipped in %.3f of the sheets, want at most %.3f", got[0], most)
			}
			if least := atLeast(0.95, n); got[1] < least {
				t.Errorf("got the difference covered in %.3f of the sheets, want at least %.3f", got[1], least)
			}
		})
	}
}

// Lines on the ring alone, all off alike: a slipped ring or a bent pointer. It is
// not told, and no one is sent to bend the pointer of a slipped ring.
func TestARingWithoutAHubLineIsNotTold(t *testing.T) {
	for i, setups := range []int{1, 3} {
		for _, bonded := range []bool{true, false} {
			s := pulleyOnRubber(testkit.Rand(t, 2560+uint64(i)), 3.4, 0)
			s.marks, s.bonded, s.setups, s.step = s.marks[:3], bonded, setups, 0.05
			result := judged(t, s.text())
			if result.Slip != audit.Untold || len(result.Between) > 0 || result.Shift.Finding != audit.Common {
				t.Errorf("%d setups: got %v, %v and %v, want no telling and a common shift", setups, result.Slip, result.Between, result.Shift.Finding)
			}
			to := result.Shift.Scribe
			if bonded && (to.Withheld != audit.WithheldRingUntold || to.Along != audit.NoWay || to.Worthwhile) {
				t.Errorf("%d setups: got %+v, want the pointer's instruction withheld", setups, to)
			}
			if !bonded && (to.Withheld != audit.NotWithheld || to.Along != audit.Against) {
				t.Errorf("%d setups, no rubber: got %+v, want the pointer's instruction", setups, to)
			}
		}
	}
}
