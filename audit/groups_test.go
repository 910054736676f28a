package audit_test

import (
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/lines"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// pulleyOnRubber has lines on its bonded ring and on its hub. The ring is off by
// slip and the pointer by bent.
func pulleyOnRubber(rng *rand.Rand, slip, bent geometry.Angle) *rig {
	r := newRig(rng).told()
	r.Part.Bonded, r.Part.RingSlip, r.Part.Bent = true, slip, bent
	for _, l := range []struct {
		name, on string
		at       geometry.Angle
	}{{"T", simulate.Ring, 0}, {"F", simulate.Ring, -10}, {"T2", simulate.Ring, 120}, {"key", "hub", 0}, {"witness", "hub", 120}} {
		r.line(l.name, l.at, 0).On = l.on
	}
	return r
}

// Without the rubber two parts have moved against each other, and no more can be
// said.
func TestPartsThatMovedApartAreToldWithoutARing(t *testing.T) {
	s := pulleyOnRubber(testkit.Rand(t, 2500), 3.4, 0)
	s.Readout.Step, s.Part.Bonded = 0.01, false
	if result := judged(t, s.text()); result.Slip() != audit.Apart {
		t.Errorf("got %v, want the parts apart", result.Slip())
	}
}

// Lines on the ring alone, all off alike: a slipped ring or a bent pointer. It is
// not told, and no one is sent to bend the pointer of a slipped ring.
func TestARingWithoutAHubLineIsNotTold(t *testing.T) {
	for i, setups := range []int{1, 3} {
		for _, bonded := range []bool{true, false} {
			s := pulleyOnRubber(testkit.Rand(t, 2560+uint64(i)), 3.4, 0)
			s.Lines, s.Part.Bonded, s.setups, s.Readout.Step = s.Lines[:3], bonded, setups, 0.05
			s.first().Closing = true // else a readout that moved before the lines would do as well
			result := judged(t, s.text())
			if result.Slip() != audit.Untold || len(result.Together.Between) > 0 || result.Together.Finding != lines.Common {
				t.Errorf("%d setups: got %v, %v and %v, want no telling and a common shift", setups, result.Slip(), result.Together.Between, result.Together.Finding)
			}
			to := result.Advice.Together
			if bonded && (to.Withheld != advise.WithheldRingUntold || to.Along != advise.NoWay || to.Worthwhile) {
				t.Errorf("%d setups: got %+v, want the pointer's instruction withheld", setups, to)
			}
			if !bonded && (to.Withheld != advise.NotWithheld || to.Along != advise.Against) {
				t.Errorf("%d setups, no rubber: got %+v, want the pointer's instruction", setups, to)
			}
		}
	}
}
