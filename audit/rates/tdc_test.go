package rates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// way turns a setup into one that finds TDC in another way.
type way func(s *simulate.Setup)

func byStop(*simulate.Setup) {}

func byDrops(pairs int, drops ...geometry.Length) way {
	return func(s *simulate.Setup) {
		s.Method, s.Trials = sheet.EqualDrop, pairs
		for _, d := range drops {
			s.Drops = append(s.Drops, simulate.Drop{Drop: d, Taken: sheet.Rising})
		}
	}
}

// swept is a sweep by an indicator of 0.01 mm that scatters as much.
func swept(points int, side geometry.Angle) way {
	return func(s *simulate.Setup) {
		s.Method = sheet.Sweep
		s.Sweep = simulate.Sweep{Points: points, From: -side, To: side, Taken: sheet.OneWay, HeightSD: 0.01, Step: 0.01, Zero: 3.2}
	}
}

// in puts the setup into a mounting, and and changes it further.
func (w way) in(mounting string) way {
	return w.and(func(s *simulate.Setup) { s.Mounting = mounting })
}

func (w way) and(change func(s *simulate.Setup)) way {
	return func(s *simulate.Setup) {
		w(s)
		change(s)
	}
}

// forward has drops or a sweep taken turning forward all the time.
func forward(s *simulate.Setup) {
	s.Sweep.Taken = sheet.OneWay
	s.Drops = slices.Clone(s.Drops)
	for i := range s.Drops {
		s.Drops[i].Taken = sheet.OneWay
	}
}

// taking has the first setup repeated in each of the ways.
func taking(r simulate.Rig, ways ...way) simulate.Rig {
	r = r.Repeated(len(ways))
	for i, w := range ways {
		w(&r.Setups[i])
	}
	return r
}

// methodCell is a stand that finds TDC in its ways, with scatter.
type methodCell struct {
	name   string
	step   geometry.Angle
	stopSD geometry.Angle // of a middle; of one reading of a sweep 1.4 times that
	ways   func(*rand.Rand) []way
	tweak  func(*rand.Rand, *simulate.Rig)
}

func always(ways ...way) func(*rand.Rand) []way {
	return func(*rand.Rand) []way { return ways }
}

// times takes some ways so many times.
func times(n int, ways ...way) []way { return slices.Repeat(ways, n) }

// anywhere are sweeps halted where it pleases.
func anywhere(n, points int) func(*rand.Rand) []way {
	return func(rng *rand.Rand) (all []way) {
		for range n {
			side, further := geometry.Angle(22+10*rng.Float64()), geometry.Angle(6*(rng.Float64()-0.5))
			all = append(all, swept(points, side).and(func(s *simulate.Setup) { s.Sweep.To += further }))
		}
		return all
	}
}

func onWheelBy(offCentre geometry.Length) func(*rand.Rand, *simulate.Rig) {
	return func(_ *rand.Rand, r *simulate.Rig) { *r = onWheel(*r, offCentre) }
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
	{name: "sweep, turned to whole degrees", step: 1, stopSD: 0.05, ways: always(swept(13, 30).and(func(s *simulate.Setup) { s.Sweep.OnSteps = true }))},
	{name: "three sweeps, fine", step: 0.01, stopSD: 0.05, ways: anywhere(3, 13)},
	{name: "three sweeps, coarse", step: 0.5, stopSD: 0.05, ways: anywhere(3, 13)},
	{name: "three sweeps, every four degrees", step: 0.5, ways: always(times(3, swept(15, 28))...)},
	{name: "sweep and stop in one mounting", step: 0.1, stopSD: 0.1, ways: always(swept(15, 28.3).in("A"), way(byStop).in("A"))},
	{name: "sweep and stop in one mounting, coarse", step: 0.5, stopSD: 0.1, ways: always(swept(15, 28.3).in("A"), way(byStop).in("A"))},
	{name: "stop, and drops in another mounting", step: 0.05, stopSD: 0.1, ways: always(byStop, byDrops(2, 1, 4))},
	{name: "stop, drops and sweep in three mountings", step: 0.1, stopSD: 0.1, ways: always(byStop, byDrops(2, 1, 4), swept(15, 28.3))},
	{
		name: "forward, slack and lost motion within limits", step: 0.05, stopSD: 0.05, ways: always(byDrops(3, 2, 6).and(forward)),
		tweak: func(rng *rand.Rand, r *simulate.Rig) {
			// A piston hangs on a rod that pulls, never above it.
			r.Told.Slack, r.Engine.Slack = 0.05, geometry.Length(0.05*rng.Float64())
			r.Told.Lost, r.Told.LostLimit, r.Readout.Lost = 0.3, 0.2, 0.3+within(rng, geometry.Angle(0.2))
			r.Setups[0].Approaches = []sheet.Approach{sheet.Backward}
		},
	},
	{
		name: "sweep forward, slack within its limit", step: 0.05, stopSD: 0.02, ways: always(swept(16, 29)),
		tweak: func(rng *rand.Rand, r *simulate.Rig) {
			// A piston hangs on a rod that pulls, never above it.
			r.Told.Slack, r.Engine.Slack = 0.05, geometry.Length(0.05*rng.Float64())
		},
	},
	{
		name: "approach not stated", step: 0.05, stopSD: 0.05,
		ways: func(rng *rand.Rand) []way {
			w := byDrops(3, 2, 6).and(func(s *simulate.Setup) { s.Unsaid = true })
			if rng.IntN(2) == 0 {
				w = w.and(forward)
			}
			return []way{w}
		},
		tweak: func(rng *rand.Rand, r *simulate.Rig) {
			// A piston hangs on a rod that pulls, never above it.
			r.Told.Slack, r.Engine.Slack = 0.05, geometry.Length(0.05*rng.Float64())
			r.Told.Lost, r.Told.LostLimit, r.Readout.Lost = 0.3, 0.05, 0.3
		},
	},
	{name: "drops on a wheel off centre", step: 0.05, stopSD: 0.05, ways: always(byDrops(3, 2, 6)), tweak: onWheelBy(0.4)},
	{name: "sweep on a wheel off centre", step: 0.05, stopSD: 0.02, ways: always(swept(16, 29)), tweak: onWheelBy(0.4)},
}

func (c methodCell) stand(rng *rand.Rand) simulate.Rig {
	r := drawn(rng, 1, 120, -30, 240)
	r.Engine.Bore = geometry.Length(6 * (rng.Float64() - 0.5))
	r.Readout.Step = c.step
	r.Setups[0].Hand, r.Setups[0].Trials = simulate.Hand{MiddleSD: c.stopSD, ReadSD: 0.05}, 4
	if c.tweak != nil {
		c.tweak(rng, &r)
	}
	ways := c.ways(rng)
	r = taking(r, ways...)
	if len(ways) >= 3 && r.Setups[0].Mounting == "" {
		r = r.Each(func(s *simulate.Setup) { s.Hand.RemountSD = 0.1 })
	}
	return offLattice(r, rng)
}

func (c methodCell) cell() cell {
	return cell{
		name: c.name, draws: 500,
		asks: []ask{
			atLeast(0.95, "the line's interval holds the truth", coverage),
			atLeast(0.95, "the top by itself lies within its rows", coverage), // which a line's own scatter would hide
		},
		draw: func(t *testing.T, rng *rand.Rand) []answer {
			r := c.stand(rng)
			s, truth := r.Measure(rng)
			result := judged(t, s)
			top := math.Remainder(float64(result.TDC.Setups[0].Reading-truth.Setups[0].Reading), 360)
			return answers(
				holds(result.ByLine()[0].Offset, r.Lines[0].Offset),
				math.Abs(top) <= uncertainty.NewSum(result.TDC.Budget.Terms()).HalfWidth(0.95),
			)
		},
	}
}

// ofLineOnly asks nothing of the top: several setups, and what shifts it in a
// known way, are in the line's interval only.
func (c cell) ofLineOnly() cell {
	draw := c.draw
	c.asks = c.asks[:1]
	c.draw = func(t *testing.T, rng *rand.Rand) []answer { return draw(t, rng)[:1] }
	return c
}

// Two depths of the stop in one mounting. The backward contact stands higher by
// the rock, which brings the middle earlier, more so at the shallow stop.
func rockCells() (cells []cell) {
	two := func(mountings ...string) (all []way) {
		for _, m := range mountings {
			for _, h := range []geometry.Angle{9, 30} {
				all = append(all, way(byStop).in(m).and(func(s *simulate.Setup) { s.HalfArc = h }))
			}
		}
		return all
	}
	for _, c := range []struct {
		name  string
		step  geometry.Angle
		rock  geometry.Length
		ways  []way
		least float64 // share of the sheets on which it is seen
	}{
		{"rock", 0.01, 0.05, two("A"), 0.8},
		{"rock, two mountings", 0.01, 0.05, two("A", "B"), 0.95},
		{"rock the other way, coarse", 0.25, -0.05, two("A"), 0.25},
		{"no rock", 0.01, 0, two("A"), 0},
		{"no rock, two mountings", 0.01, 0, two("A", "B"), 0},
		{"no rock, coarse", 0.25, 0, two("A"), 0},
	} {
		asks := []ask{atLeast(0.95, "the interval holds the height", coverage)}
		if c.rock == 0 {
			// Where there is rock that nobody stated, it widens a line's interval once
			// it is seen, and only then.
			asks = append(asks, atMost(0.05, "rock is claimed", claims), atLeast(0.95, "the line's interval holds the truth", coverage))
		} else {
			asks = append(asks, atLeast(c.least, "rock is claimed", promise))
		}
		cells = append(cells, cell{
			name: c.name, draws: 500, asks: asks,
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := drawn(rng, 1, 120, -30)
				r.Readout.Step, r.Engine.Rock = c.step, c.rock
				r.Setups[0].Hand, r.Setups[0].Trials = simulate.Hand{MiddleSD: 0.05, ReadSD: 0.05}, 5
				r = offLattice(taking(r, c.ways...), rng)
				result := audited(t, r, rng)
				miss := math.Abs(float64(result.TDC.Rock.Height + c.rock))
				return answers(miss <= float64(result.TDC.Rock.U), result.TDC.Rock.Seen, holds(result.ByLine()[0].Offset, r.Lines[0].Offset))[:len(asks)]
			},
		})
	}
	return cells
}

// vEngine is a V engine whose banks stand 90.3 apart and are declared at 90, with
// two lines of each bank that are off by up to half a degree.
func vEngine(rng *rand.Rand) simulate.Rig {
	r := drawn(rng, 1)
	r.Engine.Cylinders = []simulate.Cylinder{{Name: "A"}, {Name: "B", Declared: 90, TDC: 90.3}}
	for _, c := range r.Engine.Cylinders {
		for _, at := range []geometry.Angle{0, -10} {
			r.Lines = append(r.Lines, simulate.Line{
				Name: fmt.Sprintf("%s%d", c.Name, int(-at)), At: at, Offset: within(rng, geometry.Angle(0.5)), Tolerance: 1, Cylinder: c.Name,
			})
		}
	}
	return r
}

// mounted has the first setup done in so many mountings, in each of which the
// stop is fitted so many times in every cylinder. From three mountings on each
// adds something to the lines.
func mounted(r simulate.Rig, n, fittings int) simulate.Rig {
	if n >= 3 {
		r.Setups[0].Hand.RemountSD = 0.1
	}
	return r.Mounted(n, fittings)
}

// With both banks' stops in every mounting each line counts from its own bank's
// TDC, and the bank angle is that of the engine, whatever the sheet declares.
// What mounting adds to the lines is in neither TDC.
func bankCells() (cells []cell) {
	for _, c := range []struct {
		mountings int
		step      geometry.Angle
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
		cells = append(cells, cell{
			name: fmt.Sprintf("banks, %d mountings, step %v, wheel %v", c.mountings, c.step, c.wheel), draws: 300,
			asks: append(each(4, atLeast(0.95, "the interval holds the truth", coverage)), atLeast(0.95, "the interval holds the bank angle", coverage)),
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := vEngine(rng)
				r.Readout.Step, r.Setups[0].Trials = c.step, 4
				if c.wheel {
					r = onWheel(r, 0.3)
				}
				r = mounted(r, c.mountings, 1)
				result := audited(t, r, rng)
				return append(linesHeld(r, result), answered(holds(&result.Checks.Cylinders[0].Angle, 90.3)))
			},
		})
	}
	// Two fittings of the stop in each mounting, without cylinders.
	for _, mountings := range []int{1, 2, 3} {
		cells = append(cells, cell{
			name: fmt.Sprintf("%d mountings of two fittings", mountings), draws: 300,
			asks: each(2, atLeast(0.95, "the interval holds the truth", coverage)),
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := drawn(rng, 1, 0, -30)
				r.Readout.Step = 0.05
				r.Lines[0].Offset, r.Lines[1].Offset = within(rng, geometry.Angle(0.5)), within(rng, geometry.Angle(0.5))
				r = r.Mounted(mountings, 2)
				return linesHeld(r, audited(t, r, rng))
			},
		})
	}
	return cells
}

// TestTDC is finding TDC: by drops and sweeps, at two depths, in several
// cylinders.
func TestTDC(t *testing.T) {
	var cells []cell
	for _, c := range methodCells {
		made := c.cell()
		if c.tweak != nil || len(c.ways(rand.New(rand.NewPCG(1, 1)))) > 1 {
			made = made.ofLineOnly()
		}
		cells = append(cells, made)
	}
	measure(t, cells)
	measure(t, rockCells())
	measure(t, bankCells())
}
