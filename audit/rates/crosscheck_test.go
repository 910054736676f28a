package rates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Setups that agree as well as they should are said not to at 5 % (method 4). Two
// setups are judged by two pooled scatters at once, and from three on a stated
// limit stands beside the scatter, so a little above and below passes.
func setupCells() (cells []cell) {
	for _, c := range []struct {
		setups      int
		code        warning.Code
		least, most float64
	}{
		{2, warning.SetupsDiffer, 0, 0.02}, // said only where it refutes the lines as measured
		{4, warning.RemountExceeded, 0.03, 0.065},
	} {
		cells = append(cells, cell{
			name: string(c.code), draws: 1000,
			asks: []ask{about(c.least, c.most, "setups that agree are said to differ", claims)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := drawn(rng, 1, 120, -30, 240)
				r.Readout.Step = 0.01
				if c.setups > 2 {
					r.Told.Remount, r.Setups[0].Hand.RemountSD = 0.2, geometry.Angle(0.2/math.Sqrt(3))
				}
				return answers(warned(audited(t, r.Repeated(c.setups), rng), c.code))
			},
		})
	}
	return cells
}

// A wrong bank angle is found out, a right one is left alone in 95 % of the
// sheets, which is what its interval says.
func bankAngleCells() (cells []cell) {
	for _, c := range []struct {
		mountings int
		declared  geometry.Angle
		wrong     bool
	}{{1, 90.3, false}, {2, 90.3, false}, {3, 90.3, false}, {1, 89, true}, {3, 89, true}} {
		a := atMost(0.05, "a right bank angle is doubted", claims)
		if c.wrong {
			a = atLeast(0.95, "a wrong bank angle is doubted", promise)
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("bank angle, %d mountings, declared %v", c.mountings, c.declared), draws: 300,
			asks: []ask{a, atLeast(1, "there is a warning where it is doubted, and only there", promise)},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := vEngine(rng)
				r.Readout.Step, r.Setups[0].Trials, r.Engine.Cylinders[1].Declared = 0.01, 5, c.declared
				result := audited(t, r.Mounted(c.mountings, 1), rng)
				differs := result.Checks.Cylinders[0].Differs
				return answers(differs, differs == warned(result, warning.BankDiffers))
			},
		})
	}
	return cells
}

// spaced is a part whose lines are measured from one another with dividers or
// counted in teeth, wrong by so much.
type spaced struct {
	setups      int
	step        geometry.Angle
	diameter    geometry.Length
	wheel, half bool
	teeth       int
	wrong       float64 // mm or teeth
}

func (c spaced) stand(rng *rand.Rand) simulate.Rig {
	r := drawn(rng, 1, 0, -40, 100)
	r.Part.HalfSpeed, r.Part.Teeth, r.Readout.Step, r.Setups[0].Trials = c.half, c.teeth, c.step, 4
	r.Told.Diameter, r.Told.DiameterLimit, r.Part.Diameter = 250, c.diameter, 250+within(rng, c.diameter)
	if c.wheel {
		r = onWheel(r, 0.3)
	}
	for i := range r.Lines {
		r.Lines[i].Offset = within(rng, geometry.Angle(1))
	}
	for i := range r.Lines[:2] {
		one, other := r.Lines[i], r.Lines[i+1]
		x := sheet.Spacing{From: one.Name, To: other.Name}
		if c.teeth > 0 {
			x.Teeth = r.Teeth(one, other) + within(rng, 0.5) + c.wrong
		} else {
			x.Chord, x.Limit.Half = r.Spans(one, other)+geometry.Length(within(rng, 0.1)+c.wrong), 0.1
		}
		r.Told.Spacings = append(r.Told.Spacings, x)
	}
	return repeated(r, c.setups)
}

// Dividers and readings share no error. Where both are right they are said to
// differ in 5 % of the cases, which is what the interval of their difference says;
// where the dividers are wrong, nearly always.
func dividerCells() (cells []cell) {
	for _, c := range []spaced{
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
		a := atMost(0.05, "true dividers are doubted", claims)
		switch {
		case c.wrong != 0:
			a = atLeast(0.95, "wrong dividers are doubted", promise)
		case c.step < 0.05:
			a = about(0.05, 0.05, "true dividers are doubted", claims)
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("dividers %+v", c), draws: 300, asks: append(each(2, a), atLeast(1, "there are as many warnings as doubts", promise)),
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				result := read(t, c.stand(rng), rng)
				doubts := 0
				for _, x := range result.Checks.Spacings {
					if x.Differs {
						doubts++
					}
				}
				for _, w := range result.Warnings {
					if w.Code == warning.SpacingDiffers {
						doubts--
					}
				}
				return answers(result.Checks.Spacings[0].Differs, result.Checks.Spacings[1].Differs, doubts == 0)
			},
		})
	}
	// Between lines of two banks the way hangs on no TDC, and on no bank angle of the
	// sheet: a TDC that scatters much makes the interval no wider.
	for _, mountings := range []int{1, 2, 3} {
		a := about(0.05, 0.05, "true dividers are doubted", claims)
		if mountings == 2 {
			a = atMost(0.05, "true dividers are doubted", claims)
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("dividers between two banks, %d mountings", mountings), draws: 300, asks: []ask{a},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := vEngine(rng)
				r.Readout.Step, r.Setups[0].Hand = 0.02, simulate.Hand{MiddleSD: 0.4, ReadSD: 0.05}
				r.Part.Diameter, r.Engine.Cylinders[1].Declared = 600, 88
				chord := r.Spans(r.Lines[0], r.Lines[2]) + within(rng, geometry.Length(0.1))
				r.Told.Spacings = []sheet.Spacing{{From: "A0", To: "B0", Chord: chord, Limit: geometry.Limit[geometry.Length]{Half: 0.1}}}
				if mountings == 2 {
					r = onWheel(r, 0.2)
				}
				return answers(read(t, r.Mounted(mountings, 1), rng).Checks.Spacings[0].Differs)
			},
		})
	}
	return cells
}

// A wheel turned on its shaft against a stop that stays. Each component of the
// displacement lies within the stated limits at the stated rate; a centred wheel
// is seldom said to be off, and four setups are enough.
func centringCells() (cells []cell) {
	for _, c := range []struct {
		setups    int
		offCentre geometry.Length
		step, sd  geometry.Angle
		seen      float64 // at least
	}{{4, 0.3, 0, 0.05, 0.58}, {6, 0.3, 0, 0.05, 0.86}, {8, 0.3, 0.1, 0.1, 0.58}, {8, 0, 0, 0.05, 0}, {6, 0.5, 0.5, 0.05, 0.22}} {
		asks := []ask{
			atLeast(0.95, "a component is held", coverage), atLeast(c.seen, "the wheel is found to be off", promise),
			atLeast(c.seen, "the arcs are said to differ", promise),
		}
		if c.offCentre == 0 {
			// Two components, each beyond its limits in one case of twenty, and the
			// length of both at once more often than either.
			asks[1], asks[2] = atMost(0.10, "a centred wheel is found to be off", claims), atMost(0.14, "the arcs of a centred wheel are said to differ", claims)
		}
		cells = append(cells, cell{
			name: fmt.Sprintf("stop as the reference, %d setups, %v off centre, step %v", c.setups, c.offCentre, c.step), draws: 1000, asks: asks,
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := drawn(rng, 1)
				r.Told.Geometry = false // the pair's middle is the top, as on a crank without offset
				r.Readout.Step, r.Readout.Kind, r.Readout.Diameter = c.step, sheet.Wheel, 280
				r.Readout.OffCentre, r.Readout.Bored = c.offCentre, true
				r.Setups[0].Hand, r.Setups[0].Fitting = simulate.Hand{MiddleSD: c.sd / math.Sqrt2}, "A"
				r.Setups[0].HalfArc = geometry.Angle(20 + 15*rng.Float64())
				r = r.Repeated(c.setups)
				for i := range r.Setups {
					r.Setups[i].Zero = geometry.Angle(17.3 + float64(i)*360/float64(c.setups) + 8*rng.Float64())
				}
				result := audited(t, r, rng)
				found := result.Checks.Arcs[0]
				component := float64(found.Amplitude) * math.Cos(found.Toward.Radians())
				truly := deg(float64(c.offCentre)/140) * math.Cos(r.Readout.Towards.Radians())
				return answers(math.Abs(component-truly) <= float64(found.U), found.Seen, warned(result, warning.ArcsDiffer))
			},
		})
	}
	return cells
}

// doubt is a fault of drops or of a sweep, and what should be said of it.
type doubt struct {
	name   string
	code   warning.Code
	ways   []way
	fault  func(*simulate.Setup) // on each setup that is no stop
	slack  geometry.Length
	wrong  func(*sheet.Sheet) // what the sheet has wrong
	seldom float64            // said of the same without the fault, at most
}

// Each fault is nearly always said, and a clean one seldom: tests at 1 % a setup,
// or at 5 % where the method says so.
var doubts = []doubt{
	{
		name: "an indicator that slants by 35", code: warning.DropMismatch, seldom: 0.01, ways: []way{byDrops(3, 2, 5)},
		fault: func(s *simulate.Setup) {
			for i := range s.Drops {
				s.Drops[i].Slant = 35
			}
		},
	},
	{
		name: "rod much too short", code: warning.DropMismatch, seldom: 0.01,
		ways: []way{byDrops(3, 2, 5)}, wrong: func(s *sheet.Sheet) {
			s.Engine.Rod, s.Checked.Rod = 80, true // else it is asked about
		},
	},
	{
		name: "offset that is not there", code: warning.DropsTrend, seldom: 0.02,
		ways: []way{byDrops(3, 2, 8, 20)}, wrong: func(s *sheet.Sheet) { s.Engine.BoreOffset.Value = 12 },
	},
	{
		name: "limbs at two heights", code: warning.LimbsDiffer, seldom: 0.02,
		ways: []way{swept(17, 30)}, fault: func(s *simulate.Setup) { s.Fallen = 0.1 },
	},
	{
		name: "wrong stroke", code: warning.SweepMisfit, seldom: 0.02,
		ways: []way{swept(17, 30)}, wrong: func(s *sheet.Sheet) { s.Engine.Stroke = 84 },
	},
	{
		name: "all on one side", code: warning.SweepOneSided, seldom: 0,
		ways: []way{swept(17, 30)}, fault: func(s *simulate.Setup) { s.Sweep.To = 3 },
	},
	{
		name: "drops off by slack against a stop", code: warning.MethodsDiffer, seldom: 0.05, slack: 0.15,
		ways: []way{way(byStop).in("A"), byDrops(3, 1, 2).and(forward).in("A")},
	},
	{
		name: "sweep off by slack against a stop", code: warning.MethodsDiffer, seldom: 0.05, slack: 0.15,
		ways: []way{way(byStop).in("A"), swept(17, 30).in("A")},
	},
	{
		name: "drops in other mountings", code: warning.MethodsDiffer, seldom: 0.05, slack: 0.15,
		ways: append(times(2, byStop), times(2, byDrops(3, 1, 2).and(forward))...),
	},
}

func (d doubt) result(t *testing.T, rng *rand.Rand, faulty bool) audit.Result {
	r := drawn(rng, 1, 120, -30)
	r.Readout.Step = 0.05
	r.Setups[0].Hand, r.Setups[0].Trials = simulate.Hand{MiddleSD: 0.05, ReadSD: 0.05}, 5
	r = taking(r, d.ways...)
	if faulty {
		r.Engine.Slack = d.slack
		for i := range r.Setups {
			if r.Setups[i].Method != sheet.Stop && d.fault != nil {
				d.fault(&r.Setups[i])
			}
		}
	}
	s, _ := offLattice(r, rng).Measure(rng)
	if faulty && d.wrong != nil {
		d.wrong(&s)
	}
	return judged(t, s)
}

func doubtCells() (cells []cell) {
	for _, d := range doubts {
		cells = append(cells, cell{
			name: d.name, draws: 250,
			asks: []ask{
				atLeast(0.95, string(d.code)+" is said", promise),
				atMost(d.seldom, string(d.code)+" is said without the fault", claims),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				return answers(warned(d.result(t, rng, true), d.code), warned(d.result(t, rng, false), d.code))
			},
		})
	}
	return cells
}

// TestCrosscheck is one thing found twice.
func TestCrosscheck(t *testing.T) {
	measure(t, setupCells())
	measure(t, bankAngleCells())
	measure(t, dividerCells())
	measure(t, centringCells())
	measure(t, doubtCells())
}
