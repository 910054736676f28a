package audit_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
)

// The rates that method 10 promises, for the other ways to find TDC.

const methodSheets = 500

// leastCovered is what 95 % may come to in so many sheets: less three and a half
// standard errors, for there are some thirty cells.
func leastCovered(n int) float64 { return 0.95 - 3.5*math.Sqrt(0.95*0.05/float64(n)) }

// times takes a way in so many mountings.
func times(n int, ways ...way) (all []way) {
	for range n {
		all = append(all, ways...)
	}
	return all
}

// swept is a sweep by an indicator of 0.01 mm that scatters as much.
func swept(points int, side float64) way {
	w := bySweep(points, side)
	w.heightSD, w.heightStep = 0.01, 0.01
	return w
}

// methodCell is a rig that finds TDC in its ways, with scatter.
type methodCell struct {
	name   string
	step   float64
	stopSD float64 // of a middle; of one reading of a sweep 1.4 times that
	ways   func(*rand.Rand) []way
	tweak  func(*rig)
}

func always(ways ...way) func(*rand.Rand) []way {
	return func(*rand.Rand) []way { return ways }
}

// anywhere is a sweep halted where it pleases.
func anywhere(n, points int) func(*rand.Rand) []way {
	return func(rng *rand.Rand) (all []way) {
		for range n {
			w := swept(points, 22+10*rng.Float64())
			w.last += 6 * (rng.Float64() - 0.5)
			all = append(all, w)
		}
		return all
	}
}

func atGraduations(w way) way {
	w.graduations = true
	return w
}

var methodCells = []methodCell{
	{name: "one drop, three pairs", step: 0.01, stopSD: 0.1, ways: always(byDrops(3, 2))},
	{name: "three drops", step: 0.01, stopSD: 0.1, ways: always(byDrops(2, 1, 2.5, 6))},
	{name: "three drops, coarse", step: 0.5, stopSD: 0.1, ways: always(byDrops(2, 1, 2.5, 6))},
	{name: "drops, two setups", step: 0.05, stopSD: 0.1, ways: always(times(2, byDrops(2, 1, 4))...)},
	{name: "drops, three setups", step: 0.05, stopSD: 0.1, ways: always(times(3, byDrops(1, 1, 4))...)},
	{name: "drops, five setups, coarse", step: 0.5, stopSD: 0.1, ways: always(times(5, byDrops(1, 2))...)},
	{name: "sweep, readings as fine as can be", step: 0.01, ways: always(swept(13, 27))},
	{name: "sweep, eight points", step: 0.01, ways: always(swept(8, 27))},
	{name: "sweep, readings that scatter", step: 0.01, stopSD: 0.1, ways: anywhere(1, 15)},
	{name: "sweep, half a degree", step: 0.5, stopSD: 0.05, ways: anywhere(1, 15)},
	{name: "sweep, every five degrees, rounded to one", step: 1, ways: always(swept(13, 30))},
	{name: "sweep, turned to whole degrees", step: 1, stopSD: 0.05, ways: always(atGraduations(swept(13, 30)))},
	{name: "three sweeps, fine", step: 0.01, stopSD: 0.05, ways: anywhere(3, 13)},
	{name: "three sweeps, coarse", step: 0.5, stopSD: 0.05, ways: anywhere(3, 13)},
	{name: "three sweeps, every four degrees", step: 0.5, ways: always(times(3, swept(15, 28))...)},
	{name: "sweep and stop in one mounting", step: 0.1, stopSD: 0.1, ways: always(swept(15, 28.3).in("A"), byStop().in("A"))},
	{name: "sweep and stop in one mounting, coarse", step: 0.5, stopSD: 0.1, ways: always(swept(15, 28.3).in("A"), byStop().in("A"))},
	{name: "stop, and drops in another mounting", step: 0.05, stopSD: 0.1, ways: always(byStop(), byDrops(2, 1, 4))},
	{name: "stop, drops and sweep in three mountings", step: 0.1, stopSD: 0.1, ways: always(byStop(), byDrops(2, 1, 4), swept(15, 28.3))},
	{name: "forward, slack and lost motion within limits", step: 0.05, stopSD: 0.05, ways: func(rng *rand.Rand) []way {
		w := byDrops(3, 2, 6)
		w.taken, w.recorded, w.slack = sheet.OneWay, sheet.OneWay, 0.05*(2*rng.Float64()-1)
		return []way{w}
	}, tweak: func(r *rig) {
		r.slackLimit, r.lost, r.lostLimit = 0.05, 0.3, 0.2
		r.lostError, r.approaches = 0.2*(2*r.rng.Float64()-1), []sheet.Approach{sheet.Backward}
	}},
	{name: "sweep forward, slack within its limit", step: 0.05, stopSD: 0.02, ways: func(rng *rand.Rand) []way {
		w := swept(16, 29)
		w.slack = 0.05 * (2*rng.Float64() - 1)
		return []way{w}
	}, tweak: func(r *rig) { r.slackLimit = 0.05 }},
	{name: "approach not stated", step: 0.05, stopSD: 0.05, ways: func(rng *rand.Rand) []way {
		w := byDrops(3, 2, 6)
		w.taken = []sheet.Taken{sheet.Rising, sheet.OneWay}[rng.IntN(2)]
		w.recorded, w.slack = sheet.Unknown, 0.05*(2*rng.Float64()-1)
		return []way{w}
	}, tweak: func(r *rig) { r.slackLimit, r.lost, r.lostLimit = 0.05, 0.3, 0.05 }},
	{name: "drops on a wheel off centre", step: 0.05, stopSD: 0.05, ways: always(byDrops(3, 2, 6)), tweak: func(r *rig) { r.wheelDiameter, r.offCentre = 280, 0.4 }},
	{name: "sweep on a wheel off centre", step: 0.05, stopSD: 0.02, ways: always(swept(16, 29)), tweak: func(r *rig) { r.wheelDiameter, r.offCentre = 280, 0.4 }},
}

func (c methodCell) rig(rng *rand.Rand) *rig {
	r := newRig(rng).withLines(1, 120, -30, 240)
	r.bore = 6 * (rng.Float64() - 0.5)
	r.step, r.stopSD, r.readSD, r.trials = c.step, c.stopSD, 0.05, 4
	r.ways = c.ways(rng)
	if c.tweak != nil {
		c.tweak(r)
	}
	r.setups = len(r.ways)
	if r.ways[0].mounting == "" {
		r.remounted()
	}
	return offLattice(r)
}

func TestIntervalsHoldTheTruthHoweverTDCIsFound(t *testing.T) {
	unhurried(t)
	for i, c := range methodCells {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			tops, held := 0, 0
			rate := cell(t, uint64(1000+i), methodSheets, c.rig, func(r *rig, result audit.Result) bool {
				// The top by itself too, which a line's own scatter would hide.
				if len(r.ways) == 1 && c.tweak == nil {
					tops++
					off := math.Remainder(result.TDC.Setups[0].Reading.Degrees()-r.mountings[0].zero, 360)
					if math.Abs(off) <= uncertainty.NewSum(result.TDC.Budget.Terms()).HalfWidth(0.95) {
						held++
					}
				}
				return r.holds(result.Marks[0].Offset, 0)
			})
			t.Logf("%s: covered %.3f", c.name, rate)
			least := leastCovered(methodSheets)
			if rate < least {
				t.Errorf("got the truth inside %.3f of the intervals, want at least %.3f", rate, least)
			}
			if tops == 0 {
				return
			}
			top := float64(held) / float64(tops)
			t.Logf("%s: the top covered %.3f", c.name, top)
			if top < least {
				t.Errorf("got the top inside %.3f of the intervals, want at least %.3f", top, least)
			}
		})
	}
}

// Two depths of the stop in one mounting. The backward contact stands higher by
// the rock, which brings the middle earlier, more so at the shallow stop.
func TestTwoDepthsFindRock(t *testing.T) {
	unhurried(t)
	two := func(shallow, deep float64, mountings ...string) (all []way) {
		for _, m := range mountings {
			for _, h := range []float64{shallow, deep} {
				w := byStop().in(m)
				w.halfArc = h
				all = append(all, w)
			}
		}
		return all
	}
	for i, c := range []struct {
		name  string
		step  float64
		rock  float64
		ways  []way
		least float64 // share of the sheets on which it is seen
	}{
		{"rock", 0.01, 0.05, two(9, 30, "A"), 0.7},
		{"rock, two mountings", 0.01, 0.05, two(9, 30, "A", "B"), 0.95},
		{"rock the other way, coarse", 0.25, -0.05, two(9, 30, "A"), 0.1},
		{"none", 0.01, 0, two(9, 30, "A"), 0},
		{"none, two mountings", 0.01, 0, two(9, 30, "A", "B"), 0},
		{"none, coarse", 0.25, 0, two(9, 30, "A"), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			seen, covered := 0, 0
			rate := cell(t, uint64(1100+i), methodSheets, func(rng *rand.Rand) *rig {
				r := newRig(rng).withLines(1, 120, -30)
				r.step, r.stopSD, r.readSD, r.trials, r.rock, r.ways = c.step, 0.05, 0.05, 5, c.rock, c.ways
				return offLattice(r)
			}, func(r *rig, result audit.Result) bool {
				if result.Rock.Seen {
					seen++
				}
				if r.holds(result.Marks[0].Offset, 0) {
					covered++
				}
				return math.Abs(result.Rock.Height.Millimetres()+r.rock) <= result.Rock.U.Millimetres()
			})
			share := float64(seen) / methodSheets
			t.Logf("%s: height held %.3f, claimed %.3f, line held %.3f", c.name, rate, share, float64(covered)/methodSheets)
			if least := leastCovered(methodSheets); rate < least {
				t.Errorf("got the height inside %.3f of the intervals, want at least %.3f", rate, least)
			}
			if most := 0.05 + threeErrors(0.05, methodSheets); c.rock == 0 && share > most {
				t.Errorf("got rock claimed on %.3f of the sheets, want at most %.3f", share, most)
			}
			if share < c.least {
				t.Errorf("got rock of %v mm seen on %.3f of the sheets, want at least %v", c.rock, share, c.least)
			}
			// Where there is rock that nobody stated, it widens the interval once it
			// is seen, and only then.
			if c.rock == 0 && float64(covered)/methodSheets < leastCovered(methodSheets) {
				t.Errorf("got the line's truth inside %.3f of the intervals, want %.3f", float64(covered)/methodSheets, leastCovered(methodSheets))
			}
		})
	}
}

// doubt is a fault of drops or of a sweep, and what should be said of it.
type doubt struct {
	name   string
	code   audit.Code
	ways   []way
	wrong  func(*sheet.Sheet) // what the sheet has wrong
	seldom float64            // said of the same without the fault, at most
}

// spoilt returns a copy of a way with something wrong.
func spoilt(w way, f func(*way)) way {
	f(&w)
	return w
}

// Each fault is nearly always said, and a clean one seldom: tests at 1 % a
// setup, or at 5 % where the method says so.
func TestDoubtsOfDropsAndSweeps(t *testing.T) {
	unhurried(t)
	clean := swept(17, 30)
	for i, c := range []doubt{
		{
			name: "an indicator that slants by 35", code: audit.DropMismatch, seldom: 0.01,
			ways: []way{spoilt(byDrops(3, 2, 5), func(w *way) { w.slant, w.hidden = 35, true })},
		},
		{
			name: "rod much too short", code: audit.DropMismatch, seldom: 0.01,
			ways: []way{byDrops(3, 2, 5)}, wrong: func(s *sheet.Sheet) { s.Engine.Rod = 80 },
		},
		{
			name: "offset that is not there", code: audit.DropsTrend, seldom: 0.02,
			ways: []way{byDrops(3, 2, 8, 20)}, wrong: func(s *sheet.Sheet) { s.Engine.BoreOffset.Value = 12 },
		},
		{
			name: "limbs at two heights", code: audit.LimbsDiffer, seldom: 0.02,
			ways: []way{spoilt(clean, func(w *way) { w.fallenBy = 0.1 })},
		},
		{
			name: "wrong stroke", code: audit.SweepMisfit, seldom: 0.02,
			ways: []way{clean}, wrong: func(s *sheet.Sheet) { s.Engine.Stroke = 84 },
		},
		{
			name: "all on one side", code: audit.SweepOneSided, seldom: 0,
			ways: []way{spoilt(clean, func(w *way) { w.last = 3 })},
		},
		{
			name: "drops off by slack against a stop", code: audit.MethodsDiffer, seldom: 0.05,
			ways: []way{byStop().in("A"), spoilt(byDrops(3, 1, 2).in("A"), func(w *way) {
				w.taken, w.recorded, w.slack = sheet.OneWay, sheet.OneWay, 0.15
			})},
		},
		{
			name: "sweep off by slack against a stop", code: audit.MethodsDiffer, seldom: 0.05,
			ways: []way{byStop().in("A"), spoilt(clean.in("A"), func(w *way) { w.slack = 0.15 })},
		},
		{
			name: "drops in other mountings", code: audit.MethodsDiffer, seldom: 0.05,
			ways: append(times(2, byStop()), times(2, spoilt(byDrops(3, 1, 2), func(w *way) {
				w.taken, w.recorded, w.slack = sheet.OneWay, sheet.OneWay, 0.15
			}))...),
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rate := func(stream uint64, faulty bool) float64 {
				rng := testkit.Rand(t, stream)
				said := 0
				for range methodSheets / 2 {
					r := newRig(rng).withLines(1, 120, -30)
					r.step, r.stopSD, r.readSD, r.trials = 0.05, 0.05, 0.05, 5
					r.ways = c.ways
					if !faulty {
						r.ways = nil
						for _, w := range c.ways {
							w.slant, w.slack, w.fallenBy = 0, 0, 0
							if w.method == sheet.Sweep {
								w.last = -w.first
							}
							r.ways = append(r.ways, w)
						}
					}
					s := offLattice(r).sheet()
					if faulty && c.wrong != nil {
						c.wrong(&s)
					}
					result, err := audit.Run(s)
					if err != nil {
						t.Fatalf("the sheet is refused: %v", err)
					}
					if has(result, c.code) {
						said++
					}
				}
				return float64(said) / (methodSheets / 2)
			}
			with, without := rate(uint64(1200+2*i), true), rate(uint64(1201+2*i), false)
			t.Logf("%s: %s said %.3f, without the fault %.3f", c.name, c.code, with, without)
			if with < 0.9 {
				t.Errorf("got %s on %.3f of the sheets, want at least 0.9", c.code, with)
			}
			if most := c.seldom + threeErrors(c.seldom, methodSheets/2); without > most {
				t.Errorf("got %s on %.3f of the clean sheets, want at most %.3f", c.code, without, most)
			}
		})
	}
}
