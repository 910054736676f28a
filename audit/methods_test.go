package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Equal drops and sweeps against the tests' own engine (docs/method.md, TDC).

// engines are cranks with and without offsets to either side, declared as they
// are.
var engines = []struct {
	name                   string
	stroke, rod, pin, bore geometry.Length
}{
	{name: "straight", stroke: 92, rod: 152},
	{name: "bore to the crankpin side", stroke: 90, rod: 144, bore: 12},
	{name: "bore to the other side", stroke: 90, rod: 144, bore: -12},
	{name: "pin to the thrust side", stroke: 80, rod: 140, pin: 1.5},
	{name: "pin to the other side", stroke: 80, rod: 140, pin: -1.5},
	{name: "both", stroke: 54, rod: 110, pin: 0.8, bore: 3},
}

// Readings without scatter give the truth however TDC is found. They carry
// 1e-13 degrees; bisection to the last digit of a height of 200 mm leaves 1e-12
// degrees on the flanks; heights are written to 1e-9 mm.
func TestAllWaysFindTheSameTop(t *testing.T) {
	for _, e := range engines {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			for _, fromThrow := range []bool{false, true} {
				falling := bySweep(21, -35, 35).and(func(s *simulate.Setup) { s.Sweep.CountsDown, s.Sweep.Zero = true, -1.7 })
				for name, w := range map[string]way{
					"stop": byStop(), "one drop": byDrops(1, 2), "drops": byDrops(2, 0.6, 2, 7),
					"sweep": bySweep(15, -30, 30), "indicator that counts down": falling, "sweep further before": bySweep(12, -30, 22),
				} {
					r := quietRig(t, 800)
					r.Engine.Stroke, r.Engine.Rod, r.Engine.Pin, r.Engine.Bore, r.Engine.FromThrow = e.stroke, e.rod, e.pin, e.bore, fromThrow
					r.Readout.Counts = counts
					for i := range r.Lines {
						r.Lines[i].Offset = 0.7 - 0.4*geometry.Angle(i)
					}
					r.ways = []way{w}
					for i, got := range offsets(t, r.sheet()) {
						if want := r.Lines[i].Offset.Degrees(); math.Abs(got-want) > 1e-8 {
							t.Errorf("%s, %s, counts %+v, from throw %v: %s reads %.12f, want %.12f", e.name, name, counts, fromThrow, r.Lines[i].Name, got, want)
						}
					}
				}
			}
		}
	}
}

// A TDC taken forward carries the lag of its readings; what is left in a line is
// the lag of the line less that (docs/method.md, TDC).
func TestLostMotionOfDropsAndSweeps(t *testing.T) {
	const lost = 0.4
	forward, backward, both := []sheet.Approach{sheet.Forward}, []sheet.Approach{sheet.Backward}, []sheet.Approach{sheet.Forward, sheet.Backward}
	for _, c := range []struct {
		taken      sheet.Taken
		approaches []sheet.Approach
		seen       float64 // in the offset, when not stated
	}{
		{sheet.OneWay, forward, 0},
		{sheet.OneWay, backward, lost},
		{sheet.OneWay, both, lost / 2},
		{sheet.Rising, forward, -lost / 2},
		{sheet.Rising, backward, lost / 2},
		{sheet.Rising, both, 0},
	} {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			for _, w := range []way{byDrops(2, 1, 4), bySweep(15, -30, 30)} {
				name := fmt.Sprintf("%s taken %d, lines %v, counts %v", w.name, c.taken, c.approaches, counts)
				// A sweep taken rising has its lag change at the top: the limbs move
				// apart in angle, which the fit shares out evenly about the top.
				w = w.taken(c.taken)
				r := quietRig(t, 810)
				r.Readout.Counts, r.first().Approaches, r.Readout.Lost, r.first().Readings, r.ways = counts, c.approaches, lost, 4, []way{w}
				for i, got := range offsets(t, r.sheet()) {
					if math.Abs(got-c.seen) > 1e-3*lost { // the middle point of a sweep is read forward
						t.Errorf("%s, not stated: %s reads %+.9f, want %+.3f", name, r.Lines[i].Name, got, c.seen)
					}
				}
				r.Told.Lost, r.Told.LostLimit = lost, 0.05
				for _, m := range ask(t, r).ByLine() {
					if m.Offset.Value.Abs() > 1e-5 {
						t.Errorf("%s, stated: %s reads %v, want 0", name, m.Name, m.Offset.Value)
					}
					// A sweep's flanks are weighed where the lag has put them, lag over
					// half arc squared from even.
					if row := oneRow(t, m, "lost motion"); math.Abs(math.Abs(row.Sensitivity)-math.Abs(c.seen/lost)) > 1e-3 || row.Scale != 0.05 {
						t.Errorf("%s: got sensitivity %v of %v, want %v of 0.05", name, row.Sensitivity, row.Scale, c.seen/lost)
					}
				}
			}
		}
	}
}

// Taken rising, the lag changes sign at the top. Where more of a sweep lies
// before TDC than after it, more of the one lag is in the fit than of the other.
func TestLostMotionOfASweepThatLiesToOneSide(t *testing.T) {
	r := quietRig(t, 811)
	r.Readout.Lost, r.first().Readings, r.ways = 0.4, 1, []way{bySweep(14, -32, 22).taken(sheet.Rising)}
	seen := offsets(t, r.sheet())
	r.Told.Lost, r.Told.LostLimit = 0.4, 0.05
	for i, m := range ask(t, r).ByLine() {
		// The lag is taken to the first order: (lag/half arc)² is 1e-4.
		if math.Abs(seen[i]) < 0.1 || m.Offset.Value.Abs() > 2e-3 {
			t.Errorf("%s reads %+.6f without and %v with the lost motion stated, want 0", m.Name, seen[i], m.Offset.Value)
		}
		if got := oneRow(t, m, "lost motion").Sensitivity; math.Abs(math.Abs(got)-math.Abs(seen[i])/0.4) > 5e-3 {
			t.Errorf("%s: got a sensitivity of %v, want %v", m.Name, got, math.Abs(seen[i])/0.4)
		}
	}
}

// Turned forward, the rod pushes before TDC and pulls after it, so that slack
// moves the middle by itself over twice the slope; the row says that. Rising, it
// pushes both times.
func TestBearingSlack(t *testing.T) {
	const slack = 0.05
	for _, e := range engines {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			for _, w := range []way{byDrops(1, 2), byDrops(1, 1, 3, 8), bySweep(31, -30, 30)} {
				r := quietRig(t, 820)
				r.Engine.Stroke, r.Engine.Rod, r.Engine.Pin, r.Engine.Bore = e.stroke, e.rod, e.pin, e.bore
				r.Readout.Counts, r.Told.Slack, r.Engine.Slack = counts, slack, slack
				r.ways = []way{w.taken(sheet.OneWay)}
				for _, m := range ask(t, r).ByLine() {
					row := oneRow(t, m, "bearing slack")
					// To the second order in slack over drop, which is 0.05.
					if said := row.Term().Scale; row.Shape != uncertainty.Rectangular || math.Abs(m.Offset.Value.Abs().Degrees()/said-1) > 0.03 {
						t.Errorf("%s, %v: %s moved by %v, the row says ± %.6f %v", e.name, w.name, m.Name, m.Offset.Value, said, row.Shape)
					}
				}
				r.ways, r.Readout.Lost, r.Told.Lost, r.Told.LostLimit = []way{w.taken(sheet.Rising)}, 0.3, 0.3, 0.05
				r.first().Approaches, r.first().Readings = []sheet.Approach{sheet.Forward, sheet.Backward}, 2
				for _, m := range ask(t, r).ByLine() {
					// Lost motion is in the half arc too, which the correction for an
					// offset goes by, and a sweep's flanks are then not quite alike: a
					// few thousandths of the lost motion remain.
					lag := oneRow(t, m, "lost motion").Sensitivity
					if m.Offset.Value.Abs() > 5e-3*0.3 || math.Abs(lag) > 1e-2 || len(rows(m.Offset.Budget, "bearing slack")) > 0 {
						t.Errorf("%s, %v rising: %s reads %v with lost motion by %v, want 0, no lost motion and no slack", e.name, w.name, m.Name, m.Offset.Value, lag)
					}
				}
			}
		}
	}
}

// The slack row of one drop by hand: half of the limit, for the other half is taken
// off, so limit/2/(2 dx/dα), the slope as a central
// difference of the tests' own height.
func TestSlackRowAgainstACentralDifference(t *testing.T) {
	r := quietRig(t, 821)
	r.Told.Slack = 0.05
	r.ways = []way{byDrops(1, 2).taken(sheet.OneWay)}
	const h = 1e-4
	inner, outer := r.Engine.After(2-h), r.Engine.After(2+h)
	want := 0.05 / 2 / (2 * (2 * h / float64(outer-inner)))
	for _, m := range ask(t, r).ByLine() {
		if got := oneRow(t, m, "bearing slack").Term().Scale; math.Abs(got-want) > 1e-7 {
			t.Errorf("%s: the row says %.9f, want %.9f", m.Name, got, want)
		}
	}
}

// Where the sheet does not say how drops or points were come to, nothing is
// corrected, both rows are there, and either truth lies within them.
func TestAnApproachThatIsNotStated(t *testing.T) {
	const lost, slack = 0.4, 0.05
	for _, taken := range []sheet.Taken{sheet.Rising, sheet.OneWay} {
		for _, approach := range []sheet.Approach{sheet.Forward, sheet.Backward} {
			for _, w := range []way{byDrops(2, 1, 4), bySweep(15, -30, 30)} {
				w = w.taken(taken)
				r := quietRig(t, 830)
				r.Readout.Lost, r.Engine.Slack, r.first().Approaches, r.ways = lost, slack, []sheet.Approach{approach}, []way{w}
				plain := offsets(t, r.sheet()) // nothing stated, so nothing corrected
				r.ways, r.Told.Lost, r.Told.LostLimit, r.Told.Slack = []way{w.unsaid()}, lost, 0.02, slack
				for i, m := range ask(t, r).ByLine() {
					if math.Abs(m.Offset.Value.Degrees()-plain[i]) > 1e-9 {
						t.Errorf("%v: %s reads %v, want %.6f as without any limit", w.name, m.Name, m.Offset.Value, plain[i])
					}
					slackRow, lostRow := oneRow(t, m, "bearing slack"), oneRow(t, m, "lost motion, approach not stated")
					if off := m.Offset.Value.Abs().Degrees(); off > slackRow.Term().Scale*1.03+lostRow.Term().Scale {
						t.Errorf("%v taken %d, line %v: off by %.6f, the rows hold %.6f and %.6f", w.name, taken, approach, off, slackRow.Term().Scale, lostRow.Term().Scale)
					}
				}
			}
		}
	}
}

// A slanting indicator shows more than the piston drops, by its cosine: what is
// stated with the slant is the same as the drop without it.
func TestASlantingIndicator(t *testing.T) {
	r := quietRig(t, 840)
	drops := []geometry.Length{1, 4}
	r.ways = []way{byDrops(2, drops...).slanting(30)}
	result := ask(t, r)
	for _, m := range result.ByLine() {
		if m.Offset.Value.Abs() > 1e-9 {
			t.Errorf("%s reads %v, want 0", m.Name, m.Offset.Value)
		}
	}
	if has(result, warning.DropMismatch) {
		t.Errorf("got %s with the slant stated", warning.DropMismatch)
	}
	for i, h := range result.TDC.Setups[0].HalfArcs {
		fell := drops[i/2] * geometry.Length(math.Sqrt(3)/2)
		if want := (r.Engine.After(fell) - r.Engine.Before(fell)) / 2; (h - want).Abs() > 1e-9 {
			t.Errorf("got a half arc of %v, want that of the drop along the cylinder, %v", h, want)
		}
	}
}

// An off-centre wheel moves a sweep's TDC by what the fit weighs its readings
// with. By exact geometry no direction moves an offset by more than the row
// says, and one by as much, to the second order in e/rho, 1.4e-3.
func TestWheelRowOfDropsAndSweeps(t *testing.T) {
	for _, w := range []way{byDrops(1, 2), byDrops(1, 1, 10), bySweep(15, -30, 30), bySweep(17, -40, 25)} {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			r := quietRig(t, 850)
			r.onWheel(0.2).Readout.Counts, r.first().Readings, r.ways = counts, 1, []way{w}
			largest := make([]float64, len(r.Lines))
			for r.Readout.Towards = 0; r.Readout.Towards < 360; r.Readout.Towards += 3 {
				for i, got := range offsets(t, r.sheet()) {
					largest[i] = math.Max(largest[i], math.Abs(got))
				}
			}
			for i, m := range ask(t, r).ByLine() {
				row := oneRow(t, m, "wheel off centre")
				if row.Shape != uncertainty.Arcsine {
					t.Errorf("got %v, want arcsine", row.Shape)
				}
				if said := row.Term().Scale; math.Abs(largest[i]-said) > 5e-3*said+2e-4 {
					t.Errorf("%v, counts %v: %s moved by %.6f at most, the row says %.6f", w.name, counts, m.Name, largest[i], said)
				}
			}
		}
	}
}

// anyWays draws a rig that finds TDC in one to four ways, some of which share a
// mounting.
func anyWays(t *rapid.T) *rig {
	r := anyRig(t, true)
	r.Told.Geometry = true
	r.Told.Slack = rapid.SampledFrom([]geometry.Length{0, 0.04}).Draw(t, "slack")
	taken := rapid.SampledFrom([]sheet.Taken{sheet.Rising, sheet.OneWay, sheet.Unknown})
	for i := range rapid.IntRange(1, 4).Draw(t, "ways") {
		name := func(what string) string { return fmt.Sprintf("%s %d", what, i+1) }
		var w way
		switch rapid.IntRange(0, 2).Draw(t, name("way")) {
		case 0:
			w = byStop()
		case 1:
			drops := []geometry.Length{1.5, 3, 6}
			w = byDrops(rapid.IntRange(1, 3).Draw(t, name("pairs")), drops[:rapid.IntRange(1, 3).Draw(t, name("drops"))]...)
			w = w.slanting(rapid.SampledFrom([]geometry.Angle{0, 20}).Draw(t, name("slant")))
		default:
			w = bySweep(rapid.IntRange(8, 20).Draw(t, name("points")), -28.3, 28.3)
			down := rapid.Bool().Draw(t, name("counts down"))
			w = w.and(func(s *simulate.Setup) { s.Sweep.HeightSD, s.Sweep.Step, s.Sweep.CountsDown = 0.01, 0.01, down })
		}
		mounting := rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, name("mounting"))
		w = w.taken(taken.Draw(t, name("taken"))).and(func(s *simulate.Setup) { s.Mounting = mounting })
		r.ways = append(r.ways, w)
	}
	return r
}

// The invariances of method 1 for the other ways to find TDC.

func TestDropsAndSweepsKnowNoZero(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyWays(t).sheet()
		add := geometry.Angle(rapid.Float64Range(-1000, 1000).Draw(t, "constant"))
		turns := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "turns seed"), 2))
		after := run(t, simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading {
			x.Value += add + geometry.Angle(360*(turns.IntN(7)-3))
			return x
		}))
		sameAnswers(t, after, run(t, s))
	})
}

func TestDropsAndSweepsMirrored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyWays(t).told().sheet()
		after := simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading {
			x.Value = -x.Value
			return x
		})
		after.Readout.Counts = -s.Readout.Counts
		turn := *s.Readout.QuarterTurn
		turn[0].Value, turn[1].Value = -turn[0].Value, -turn[1].Value
		after.Readout.QuarterTurn = &turn
		sameAnswers(t, run(t, after), run(t, s))
	})
}

// Whether the readout stood still is asked of the order in which things were done;
// where the lines are is not.
func TestTheOrderOfDropsAndPointsMovesNoLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyWays(t).sheet()
		before := run(t, s)
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 3))
		s = simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading { return x })
		order.Shuffle(len(s.Setups), func(i, j int) { s.Setups[i], s.Setups[j] = s.Setups[j], s.Setups[i] })
		for i := range s.Setups {
			setup := &s.Setups[i]
			order.Shuffle(len(setup.Drops), func(i, j int) { setup.Drops[i], setup.Drops[j] = setup.Drops[j], setup.Drops[i] })
			for _, d := range setup.Drops {
				order.Shuffle(len(d.Before), func(i, j int) {
					d.Before[i], d.Before[j] = d.Before[j], d.Before[i]
					d.After[i], d.After[j] = d.After[j], d.After[i]
				})
			}
			if setup.Sweep != nil {
				points := setup.Sweep.Points
				order.Shuffle(len(points), func(i, j int) { points[i], points[j] = points[j], points[i] })
			}
		}
		for i, l := range run(t, s).Lines {
			b := before.Lines[i]
			if !alike(l.Offset.Value.Degrees(), b.Offset.Value.Degrees()) || l.Offset.Known != b.Offset.Known ||
				math.Abs((l.Offset.Expanded-b.Offset.Expanded).Degrees()) > 1e-7*b.Offset.Expanded.Degrees() {
				t.Errorf("%s: got %v, want %v", l.Name, l.Offset, b.Offset)
			}
		}
	})
}

// An indicator in thousandths of an inch and its twin in millimetres: 25.4 mm
// an inch is exact, so what differs is the last digit of a product. A drop with
// its slant, and the drop along the cylinder, are one and the same.
func TestIndicatorsInEitherUnit(t *testing.T) {
	read := func(t *rapid.T, text string) geometry.Length {
		l, _, err := geometry.ParseLength(text)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	rapid.Check(t, func(t *rapid.T) {
		inches := anyWays(t).sheet()
		same := func(_ int, x sheet.Reading) sheet.Reading { return x }
		millimetres, straight := simulate.EveryReading(inches, same), simulate.EveryReading(inches, same)
		inches = simulate.EveryReading(inches, same)
		for i := range inches.Setups {
			for j := range inches.Setups[i].Drops {
				thou := math.Round(inches.Setups[i].Drops[j].Drop.Millimetres() / 0.0254)
				d := read(t, strconv.FormatFloat(thou/1000, 'f', 3, 64)+" in")
				inches.Setups[i].Drops[j].Drop = d
				millimetres.Setups[i].Drops[j].Drop = read(t, strconv.FormatFloat(thou*0.0254, 'f', 4, 64)+" mm")
				along := &straight.Setups[i].Drops[j]
				along.Drop, along.Probe = geometry.Length(d.Millimetres()*math.Cos(rad(along.Probe.Degrees()))), 0
			}
			if inches.Setups[i].Sweep == nil {
				continue
			}
			for j := range inches.Setups[i].Sweep.Points {
				thou := math.Round(inches.Setups[i].Sweep.Points[j].Height.Millimetres() / 0.0254)
				inches.Setups[i].Sweep.Points[j].Height = read(t, strconv.FormatFloat(thou/1000, 'f', 3, 64)+" in")
				millimetres.Setups[i].Sweep.Points[j].Height = read(t, strconv.FormatFloat(thou*0.0254, 'f', 4, 64)+" mm")
				straight.Setups[i].Sweep.Points[j].Height = inches.Setups[i].Sweep.Points[j].Height
			}
		}
		want := run(t, inches)
		sameAnswers(t, run(t, millimetres), want)
		sameAnswers(t, run(t, straight), want)
	})
}
