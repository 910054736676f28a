package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// steady is a stand without scatter to speak of: what it reads is what is there.
func steady(t *testing.T, stream uint64) *rig {
	t.Helper()
	s := newRig(testkit.Rand(t, stream)).told()
	s.Readout.Step, *s.hand() = 1e-4, simulate.Hand{MiddleSD: 1e-5, ReadSD: 1e-5}
	return s
}

// slop is what a step of 1e-4 and that scatter do to an offset, and more.
const slop = 3e-4

// A wheel numbered both ways shows every number twice; with its letters it says
// what one numbered round says.
func TestAWheelNumberedBothWaysSaysTheSame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		draw := rapid.Uint64().Draw(t, "seed")
		step := rapid.SampledFrom([]geometry.Angle{0.25, 0.5, 1}).Draw(t, "step")
		setups := rapid.IntRange(1, 4).Draw(t, "setups")
		read := func(bothWays bool) audit.Result {
			s := newRig(rand.New(rand.NewPCG(draw, 7))).told()
			s.onWheel(0.2)
			s.Readout.Step, s.setups, s.Readout.BothWays = step, setups, bothWays
			for i, at := range []geometry.Angle{0, -10, 120, 180} {
				s.line(fmt.Sprint("line ", i), at, s.within(1))
			}
			return judged(t, s.text())
		}
		sameAnswers(t, read(true), read(false))
	})
}

// Where a line belongs, on an engine whose lines are right: valve events count
// from 180 degrees after TDC, and from the piston's lowest point on request. That
// point is where rod and throw lie folded upon each other, and with an offset it
// is not half a turn from the highest, where they lie stretched (the reference
// table has it from the roots of the height's slope).
func TestValveEventsCountFromTheirOwnDeadCentre(t *testing.T) {
	t.Parallel()
	for i, r := range testkit.Reference(t, "piston-bottoms.csv") {
		c := r.Numbers()
		radius, rod, offset, bottom := c[0], c[1], c[2], c[3]
		for _, thrown := range []bool{false, true} {
			s := steady(t, 2800+uint64(i))
			s.Engine.Stroke, s.Engine.Rod, s.Engine.Bore, s.Engine.FromThrow = geometry.Length(2*radius), geometry.Length(rod), geometry.Length(offset), thrown
			top := 0.0
			if thrown {
				top = s.Engine.ThrowToTDC().Degrees()
			}
			for _, l := range []struct {
				text string
				at   float64
			}{
				{"40 BBDC", 140},
				{"15 ABDC", 195},
				{"BDC", 180},
				{"12 ATDC", 12},
				{"piston BDC", top + bottom},
				{"40 piston BBDC", top + bottom - 40},
				{"15 piston ABDC", top + bottom + 15},
			} {
				s.line(fmt.Sprint("line ", len(s.Lines)), geometry.Angle(l.at), 0).Written = l.text
			}
			result := judged(t, s.text())
			for j, m := range result.ByLine() {
				l := s.Lines[j]
				if got := m.Offset.Value.Degrees(); math.Abs(got) > slop {
					t.Errorf("offset %v, from the throw %v, %s: got it off by %.5f, want 0", offset, thrown, l.Written, got)
				}
				if got := m.At.Degrees(); math.Abs(math.Remainder(got-l.At.Degrees(), 360)) > 1e-9 {
					t.Errorf("offset %v, from the throw %v, %s: got %.10f, want %.10f", offset, thrown, l.Written, got, l.At)
				}
			}
			// The simulator's own lowest point: where its height no longer changes.
			lowest := bisect(120, 240, func(x float64) float64 {
				return float64(s.Engine.Drop(geometry.Angle(x-1e-4)) - s.Engine.Drop(geometry.Angle(x+1e-4)))
			})
			if got := lowest; math.Abs(got-bottom) > 1e-4 { // a difference over 2e-4
				t.Errorf("offset %v: the rig's piston stands lowest at %.5f, the table has %.5f", offset, got, bottom)
			}
		}
	}
}

// Nominals and tolerances along the rim, by plane geometry: a length over the
// radius, twice that in crank degrees on a part at half speed.
func TestNominalsAlongTheRim(t *testing.T) {
	t.Parallel()
	for _, half := range []bool{false, true} {
		turns := 1.0
		if half {
			turns = 2
		}
		s := steady(t, 2820)
		s.Part.HalfSpeed, s.Part.Diameter = half, 600
		at := turns * deg(65/300.0)
		for _, l := range []struct {
			text string
			at   float64
		}{{"65 mm rim BTDC", -at}, {"6.5 cm rim ATDC", at}, {"0", 0}} {
			s.line(fmt.Sprint("line ", len(s.Lines)), geometry.Angle(l.at), 0.2).Written = l.text
		}
		result := judged(t, strings.ReplaceAll(s.text(), "tolerance: 1\n", "tolerance: 3 mm rim\n"))
		for j, m := range result.ByLine() {
			if got := m.Offset.Value.Degrees(); math.Abs(got-0.2) > slop {
				t.Errorf("half speed %v, %s: got an offset of %.5f, want 0.2", half, s.Lines[j].Written, got)
			}
			if got, want := m.Tolerance.Degrees(), turns*deg(3/300.0); math.Abs(got-want) > 1e-9 {
				t.Errorf("half speed %v, %s: got a tolerance of %v, want %v", half, s.Lines[j].Written, got, want)
			}
			early, late := m.Allowed()
			if early != m.Tolerance || late != m.Tolerance {
				t.Errorf("got %v early and %v late, want both %v", early, late, m.Tolerance)
			}
		}
	}
}

// rotated is how far a rotation turns a line in the running direction.
func rotated(s *rig, to advise.Scribe) float64 {
	if to.Rotation == s.Engine.Turns {
		return to.Angle.Degrees()
	}
	return -to.Angle.Degrees()
}

// Instructions are carried out on the engine and measured again. A line that
// turns lies phi ahead on its part and meets what is fixed, phi' ahead, when the
// engine has turned by phi' - phi: that settles the directions of method, section
// 5, without its table.
func TestInstructionsCarriedOutPutTheLinesRight(t *testing.T) {
	t.Parallel()
	for _, turns := range []geometry.Rotation{geometry.Clockwise, geometry.Anticlockwise} {
		for _, on := range []sheet.MarksOn{sheet.OnPart, sheet.OnEngine} {
			for _, half := range []bool{false, true} {
				for _, offsets := range [][]geometry.Angle{{3, 3, 3}, {-3, -3, -3}, {0, 0, 4}, {0, -4, 0}} {
					s := steady(t, 2840)
					s.Engine.Turns, s.Part.MarksOn, s.Part.HalfSpeed = turns, on, half
					s.Readout.Counts, s.first().Closing = geometry.CountsDown, true // from the other end
					for i, o := range offsets {
						s.line(fmt.Sprint("line ", i), []geometry.Angle{0, 90, 200}[i], o)
					}
					what := fmt.Sprintf("turns %v, on %v, half %v, %v", turns, on, half, offsets)
					result := judged(t, s.text())
					// Where the engine stands when line i comes up, from places on what
					// turns and on what is fixed.
					var fixed, turning [3]float64
					for i, l := range s.Lines {
						if on == sheet.OnPart {
							turning[i] = -(l.At + l.Offset).Degrees()
						} else {
							fixed[i] = (l.At + l.Offset).Degrees()
						}
					}
					moved := 0
					for i, m := range result.ByLine() {
						if !m.Scribe.Worthwhile {
							continue
						}
						moved++
						if on == sheet.OnPart && m.Scribe.Move == advise.MoveLine {
							turning[i] += rotated(s, m.Scribe)
						}
						if on == sheet.OnEngine && m.Scribe.Move == advise.MoveScale {
							fixed[i] += rotated(s, m.Scribe)
						}
					}
					if to := result.Advice.Together; to.Worthwhile {
						moved++
						for i := range s.Lines {
							switch {
							case on == sheet.OnPart && to.Move == advise.MovePointer:
								fixed[i] += rotated(s, to)
							case on == sheet.OnEngine && to.Move == advise.MoveLine:
								turning[i] += rotated(s, to)
							}
						}
					}
					if moved != 1 {
						t.Errorf("%s: got %d instructions, want one", what, moved)
					}
					for i := range s.Lines {
						s.Lines[i].Offset = geometry.Angle(fixed[i]-turning[i]) - s.Lines[i].At
					}
					for _, m := range judged(t, s.text()).ByLine() {
						if got := m.Offset.Value.Degrees(); math.Abs(got) > 2*slop {
							t.Errorf("%s: %s is off by %.5f once the instructions are carried out, want 0", what, m.Name, got)
						}
					}
				}
			}
		}
	}
}

// A flat twin seen through a window, all lines at 0 or 180, so that only the
// quarter turn tells which way the readout counts.
func TestAWindowNeedsItsQuarterTurn(t *testing.T) {
	s := steady(t, 2860)
	s.Part.MarksOn, s.Engine.Turns, s.Readout.Counts = sheet.OnEngine, geometry.Anticlockwise, geometry.CountsDown
	s.line("T", 0, 2)
	s.line("B", 180, 2)
	told := readSheet(t, strings.Replace(s.text(), "part:\n", "part:\n  moves: left\n", 1))
	for _, c := range []struct {
		mirrored, observed bool
		warns              bool
		offset             float64
	}{{false, true, false, 2}, {false, false, true, 2}, {true, false, true, -2}} {
		x := told
		if !c.observed {
			x.Readout.QuarterTurn = nil
		}
		if c.mirrored { // counts and the contacts' names, as one who looks from the wrong end writes them
			x.Readout.Counts = -x.Readout.Counts
			for i := range x.Setups {
				trials := make([]sheet.Trial, len(x.Setups[i].Trials))
				for j, trial := range x.Setups[i].Trials {
					forward, backward := *trial.Backward, *trial.Forward
					forward.Approach, backward.Approach = sheet.Forward, sheet.Backward
					trials[j] = sheet.Trial{Forward: &forward, Backward: &backward}
				}
				x.Setups[i].Trials = trials
			}
		}
		result, err := audit.Run(x)
		if err != nil {
			t.Fatal(err)
		}
		if got := has(result, warning.DirectionUnchecked); got != c.warns {
			t.Errorf("%+v: got the direction doubted: %v, want %v", c, got, c.warns)
		}
		for _, m := range result.ByLine() {
			if got := m.Offset.Value.Degrees(); math.Abs(got-c.offset) > slop {
				t.Errorf("%+v, %s: got an offset of %.5f, want %v", c, m.Name, got, c.offset)
			}
		}
	}
}

// twoStroke is timed by its piston: a line so many millimetres before or after
// the top, with a tolerance in the same.
func twoStroke(s *rig, at string, tolerance geometry.Length) *rig {
	s.Engine.Stroke, s.Engine.Rod = 54, 110
	s.line("T", 0, 0)
	l := s.line("spark", 0, 0)
	l.Written, l.DropTolerance = at, tolerance
	return s
}

// reference/piston-drops.csv: the angles of the drops, printed to 0.01 degrees.
func TestPistonMillimetresAreAngles(t *testing.T) {
	t.Parallel()
	for i, r := range testkit.Reference(t, "piston-drops.csv") {
		c := r.Numbers()
		stroke, rod, drop, angle := c[0], c[1], c[2], c[3]
		for _, letters := range []string{"BTDC", "ATDC"} {
			s := steady(t, 2880+uint64(i))
			s.Readout.Step, *s.hand() = 1e-6, simulate.Hand{MiddleSD: 1e-7, ReadSD: 1e-7}
			s = twoStroke(s, fmt.Sprintf("%v mm piston %s", drop, letters), 0.2)
			s.Engine.Stroke, s.Engine.Rod = geometry.Length(stroke), geometry.Length(rod)
			if s.Lines[1].At = s.Engine.After(geometry.Length(drop)); letters == "BTDC" {
				s.Lines[1].At = s.Engine.Before(geometry.Length(drop))
			}
			m := judged(t, s.text()).ByLine()[1]
			if got := m.At.Abs().Degrees(); math.Abs(got-angle) > 0.005 {
				t.Errorf("stroke %v, rod %v, %v mm: got %.4f, want %.2f", stroke, rod, drop, got, angle)
			}
			// A line exactly there comes up at its nominal drop: the step is 1e-6
			// degrees, of 0.3 mm at most.
			if got := m.DropAt.Millimetres(); math.Abs(got-drop) > 2e-6 {
				t.Errorf("stroke %v, rod %v: got a drop of %.8f mm, want %v", stroke, rod, got, drop)
			}
			if math.Abs(m.Offset.Value.Degrees()) > 1e-5 {
				t.Errorf("stroke %v, rod %v, %v mm: got an offset of %v, want 0", stroke, rod, drop, m.Offset.Value)
			}
		}
	}
}

// The tolerance in piston millimetres on each side, found by bisection, with
// offsets of either side and nominals that count from the piston's top or the
// throw's. A line exactly at a limit is as likely within it as not.
func TestPistonTolerancesOnEachSide(t *testing.T) {
	t.Parallel()
	conformity, lines := 0.0, 0.0
	for i, c := range []struct {
		pin, bore geometry.Length
		thrown    bool
	}{{0, 0, false}, {1.5, 0, false}, {-1.5, 6, false}, {1.5, 0, true}, {-1, 6, true}} {
		for _, letters := range []string{"BTDC", "ATDC"} {
			for _, late := range []bool{false, true} {
				s := steady(t, 2900+uint64(i))
				s.Engine.Pin, s.Engine.Bore, s.Engine.FromThrow = c.pin, c.bore, c.thrown
				s = twoStroke(s, "1.8 mm piston "+letters, 0.4)
				side := func(drop geometry.Length) float64 { // from the piston's top
					if letters == "BTDC" {
						return s.Engine.Before(drop).Degrees()
					}
					return s.Engine.After(drop).Degrees()
				}
				nominal, low, high := side(1.8), side(2.2), side(1.4)
				early, later := nominal-low, high-nominal
				if letters == "ATDC" {
					early, later = nominal-high, low-nominal
				}
				there := 2.2
				if (letters == "BTDC") == late {
					there = 1.4
				}
				l := &s.Lines[1]
				l.At = geometry.Angle(nominal)
				if s.Engine.FromThrow {
					l.At += s.Engine.ThrowToTDC()
				}
				if l.Offset = geometry.Angle(-early); late {
					l.Offset = geometry.Angle(later)
				}
				what := fmt.Sprintf("%+v, %s, late %v", c, letters, late)
				m := judged(t, s.text()).ByLine()[1]
				if got := m.At; (got - l.At).Abs() > 1e-8 {
					t.Errorf("%s: got a nominal of %v, want %v", what, got, l.At)
				}
				gotEarly, gotLate := m.Allowed()
				if math.Abs(gotEarly.Degrees()-early) > 1e-8 || math.Abs(gotLate.Degrees()-later) > 1e-8 {
					t.Errorf("%s: got %v early and %v late, want %v and %v", what, gotEarly, gotLate, early, later)
				}
				if got := m.DropAt.Millimetres(); math.Abs(got-there) > slop {
					t.Errorf("%s: got a drop of %.5f mm, want %v", what, got, there)
				}
				if (m.Offset.Value - l.Offset).Abs() > slop {
					t.Errorf("%s: got an offset of %v, want %v", what, m.Offset.Value, l.Offset)
				}
				conformity += m.Conformity.Within
				lines++
			}
		}
	}
	// Of each line it is as likely to be any number from 0 to 1, with a standard
	// deviation of 0.29.
	if got := conformity / lines; math.Abs(got-0.5) > 3.5*0.29/math.Sqrt(lines) {
		t.Errorf("got a mean probability of %.3f at the limits, want 0.5", got)
	}
}
