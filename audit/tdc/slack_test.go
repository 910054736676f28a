package tdc_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Bearing slack against a virtual engine, which hangs its piston by geometry alone:
// for both ways of turning and of counting, by drops and by a sweep. Half of the
// limit is taken off, so that a piston which hangs by half of it comes out right, one
// without slack late, and one that uses all of the limit early by the half that stays
// in the budget.
func TestSlackHasOneSign(t *testing.T) {
	const limit = 0.1 // mm
	found := func(turns geometry.Rotation, counts geometry.Sense, method sheet.Method, slack geometry.Length, taken sheet.Taken) (off geometry.Angle, s tdc.Setup, rows uncertainty.Budget) {
		rng := rand.New(rand.NewPCG(20261128, 6))
		r := simulate.Steady(0.5, 0)
		r.Engine.Turns, r.Readout.Counts, r.Readout.Step = turns, counts, 0
		r.Engine.Slack, r.Told.Slack = slack, limit
		r.Setups[0].Hand = simulate.Hand{}
		r.Setups[0].Method, r.Setups[0].Trials = method, 2
		r.Setups[0].Drops = []simulate.Drop{{Drop: 2, Taken: taken}, {Drop: 8, Taken: taken}}
		r.Setups[0].Sweep = simulate.Sweep{Points: 15, From: -30, To: 30, Taken: taken}
		measured, truth := r.Measure(rng)
		f, err := tdc.Find(measured, readout.New(measured))
		if err != nil {
			t.Fatal(err)
		}
		at := f.Mountings[0].Tops[0].At
		off = (f.Setups[0].Reading - truth.Setups[0].Reading).Wrap() * geometry.Angle(counts)
		rows, _ = at.Budget()
		return off, f.Setups[0], rows
	}
	for _, turns := range []geometry.Rotation{geometry.Clockwise, geometry.Anticlockwise} {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			for _, method := range []sheet.Method{sheet.EqualDrop, sheet.Sweep} {
				t.Run(fmt.Sprint(turns, counts, method), func(t *testing.T) {
					_, s, rows := found(turns, counts, method, limit/2, sheet.OneWay)
					left := s.PerHeight() * limit / 2
					if math.Abs(s.Slack.Degrees()+left) > 1e-9 || !s.OneWay {
						t.Errorf("corrected by %v, want %v", s.Slack, -left)
					}
					for _, r := range rows {
						if r.Source == uncertainty.Slack && math.Abs(r.Scale.Degrees()-left) > 1e-9 {
							t.Errorf("row of %v, want %v", r.Scale, left)
						}
					}
					// A finite slack bends drop and curve: second order.
					for slack, want := range map[geometry.Length]float64{0: left, limit / 2: 0, limit: -left} {
						off, _, _ := found(turns, counts, method, slack, sheet.OneWay)
						if math.Abs(off.Degrees()-want) > 0.02*left {
							t.Errorf("slack %v: TDC is found %v off, want %v", slack, off, want)
						}
					}
				})
			}
			off, s, rows := found(turns, counts, sheet.EqualDrop, limit, sheet.Rising)
			if s.Slack != 0 || s.OneWay || off.Abs() > 1e-6 {
				t.Errorf("rising: %v off, corrected by %v", off, s.Slack)
			}
			for _, r := range rows {
				if r.Source == uncertainty.Slack {
					t.Error("rising: a row of slack")
				}
			}
		}
	}
}
