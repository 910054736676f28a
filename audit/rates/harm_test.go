package rates

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// TestHarm has one slip made on each sheet, by hand or by pen, and the words
// followed to the letter (hand_test.go). Something good that is then spoilt is
// silent harm: a line moved to a wrong place, by more than half its tolerance
// beyond its ±; a pointer moved so that the lines lie further off; a sound part
// replaced. Where the evidence can show the slip it is rarer than one in a
// hundred.
func TestHarm(t *testing.T) {
	measure(t, honestCells())
	var cells []cell
	for _, s := range slices.Concat(penSlips(), moveSlips(), bankSlips(), kindSlips(), dividerSlips(), wayCells(), sideSlips()) {
		cells = append(cells, s.cell())
	}
	measure(t, cells)
	measure(t, rubberCells())
	measure(t, wideCells())
}

const (
	harmDraws   = 400
	honestDraws = 2000
	honestQuick = 100
	mayHold     = 0.02
	harmQuick   = 12
	spoils      = "something good is spoilt in silence"
)

// slip is one mistake on sheets that are right otherwise.
type slip struct {
	name    string
	closing bool
	setups  int
	stand   func(r *simulate.Rig, rng *rand.Rand) // before it is measured
	pen     func(s *sheet.Sheet, rng *rand.Rand)  // after; nil: nothing
	text    bool                                  // the sheet is written and read again before the pen, and after it
	moved   bool                                  // a closing pair of the last setup would show it
	held    float64                               // nothing is wrong: at most this share is withheld; 0: not asked
}

func (c slip) cell() cell {
	out := cell{
		name: fmt.Sprintf("%s, closing pair %v, %d setups", c.name, c.closing, max(c.setups, 1)), draws: harmDraws, quick: harmQuick,
		asks: []ask{atMost(0.01, spoils, promise), atMost(1, "metal is ordered at once", "")},
	}
	if c.held > 0 {
		out.draws, out.quick = honestDraws, honestQuick
		out.asks = append(out.asks, atMost(c.held, "what the readings prove is withheld", promise))
	}
	out.draw = func(t *testing.T, rng *rand.Rand) []answer {
		came := c.made(t, rng).obeyed(t)
		told := answers(came.harmed, came.acted)
		switch {
		case c.held == 0:
		case !came.supported:
			told = append(told, notAsked)
		default:
			told = append(told, answered(!came.acted || came.stopped))
		}
		return told
	}
	return out
}

func (c slip) made(t *testing.T, rng *rand.Rand) job {
	t.Helper()
	r := believable(rng)
	r.Setups[0].Closing = c.closing
	if c.setups > 1 {
		r = r.Repeated(c.setups)
	}
	if c.stand != nil {
		c.stand(&r, rng)
	}
	s, truth := r.Measure(rng)
	again := func() {
		if !c.text {
			return
		}
		text := sheet.Write(s)
		read, _, err := sheet.Read("stand.yaml", []byte(text), nil)
		if err != nil {
			t.Fatalf("a sheet is refused: %v\n%s", err, text)
		}
		s = read
	}
	again()
	if c.pen != nil {
		s = simulate.EveryReading(s, func(_ int, r sheet.Reading) sheet.Reading { return r })
		s.Marks = slices.Clone(s.Marks)
		c.pen(&s, rng)
		again()
	}
	return job{stand: r, truth: truth, sheet: s, moved: c.moved}
}

// believable is a pulley as one meets it: makers' lines that are off by up to a
// degree, in one of four one line that is off by much, in one of four a bent
// pointer; a wheel or an encoder of the usual steps, a careful hand or a hasty one.
func believable(rng *rand.Rand) simulate.Rig {
	at := [][]geometry.Angle{{0, -10, 10, 20}, {0, -14, 120, 240}, {0, -10, 10, 90, 180}, {0, -6, 6, 120, 240, -20}}[rng.IntN(4)]
	r := drawn(rng, []geometry.Angle{0.6, 1}[rng.IntN(2)], at...)
	sd := []float64{0.05, 0.12, 0.25, 0.5}[rng.IntN(4)]
	for i := range r.Lines {
		r.Lines[i].Offset = geometry.Angle(sd * rng.NormFloat64())
	}
	switch rng.IntN(4) {
	case 0:
		r.Lines[rng.IntN(len(at))].Offset += shift(rng)
	case 1:
		r.Part.Bent = shift(rng)
	}
	r.Engine.Turns = []geometry.Rotation{geometry.Clockwise, geometry.Anticlockwise}[rng.IntN(2)]
	r.Part.MarksOn = []sheet.MarksOn{sheet.OnPart, sheet.OnEngine}[rng.IntN(2)]
	r.Readout.Counts = []geometry.Sense{geometry.CountsUp, geometry.CountsDown}[rng.IntN(2)]
	r.Readout.Step = []geometry.Angle{0.1, 0.25, 0.5}[rng.IntN(3)]
	s := &r.Setups[0]
	s.Hand = simulate.Hand{MiddleSD: geometry.Angle(0.03 + 0.1*rng.Float64()), ReadSD: geometry.Angle(0.05 + 0.1*rng.Float64()), RemountSD: 0.06}
	s.Trials, s.Readings = 3+rng.IntN(3), 2+rng.IntN(3)
	r.Told.QuarterTurn, r.Told.Side, r.Told.Remount = true, true, 0.2
	return r
}

// shift is what a knock or a blow does: 1.5 to 5 degrees either way.
func shift(rng *rand.Rand) geometry.Angle {
	x := geometry.Angle(1.5 + 3.5*rng.Float64())
	if rng.IntN(2) == 0 {
		return -x
	}
	return x
}

// add adds to the readings of some lines in some setups.
func add(s *sheet.Sheet, setup func(i int) bool, line func(j int) bool, by geometry.Angle) {
	for i := range s.Setups {
		for j, m := range s.Marks {
			for k := range s.Setups[i].Marks[m.Name] {
				if setup(i) && line(j) {
					r := &s.Setups[i].Marks[m.Name][k]
					r.Value = (r.Value + by).Turn()
				}
			}
		}
	}
}

func all(int) bool { return true }

func only(n int) func(int) bool { return func(i int) bool { return i == n } }

func from(n int) func(int) bool { return func(i int) bool { return i >= n } }

// honestCells are sheets on which nothing is wrong but the metal.
func honestCells() (cells []cell) {
	for _, closing := range []bool{true, false} {
		for setups := 1; setups <= 3; setups++ {
			c := slip{name: "nothing wrong", closing: closing, setups: setups, held: 1}
			if closing {
				c.held = mayHold
			}
			cells = append(cells, c.cell())
		}
	}
	return cells
}

// letters writes BTDC for ATDC of a line, or the other way round.
func letters(s *sheet.Sheet, rng *rand.Rand) {
	for {
		if m := &s.Marks[rng.IntN(len(s.Marks))]; m.At != 0 && m.At.Abs() < 60 {
			m.At, m.AtText = -m.At, ""
			return
		}
	}
}

func exchanged(r *simulate.Rig, rng *rand.Rand) {
	i := rng.IntN(len(r.Lines) - 1)
	r.Slips.Swapped = [2]string{r.Lines[i].Name, r.Lines[i+1].Name}
}

// oneBad has one line off beside what is wrong on the sheet.
func oneBad(r *simulate.Rig, rng *rand.Rand) {
	r.Lines[rng.IntN(len(r.Lines))].Offset += shift(rng)
}

// penSlips are slips of the pen and of the eye.
func penSlips() (slips []slip) {
	tens := func(rng *rand.Rand) geometry.Angle { return geometry.Angle(20*rng.IntN(2) - 10) }
	decade := func(setup func(int) bool) func(*sheet.Sheet, *rand.Rand) {
		return func(s *sheet.Sheet, rng *rand.Rand) { add(s, setup, only(rng.IntN(len(s.Marks))), tens(rng)) }
	}
	cylinder := func(setup func(int) bool, by geometry.Angle) func(*sheet.Sheet, *rand.Rand) {
		return func(s *sheet.Sheet, _ *rand.Rand) { add(s, setup, all, by) }
	}
	for _, setups := range []int{1, 2} {
		slips = append(slips,
			slip{name: "letters of a line", closing: true, setups: setups, pen: letters},
			slip{name: "letters of a line, another is off", closing: true, setups: setups, stand: oneBad, pen: letters},
			slip{name: "names exchanged", closing: true, setups: setups, stand: exchanged},
			slip{name: "a line misread by ten throughout", closing: true, setups: setups, pen: decade(all)},
			slip{name: "the stop in another cylinder, 120", closing: true, setups: setups, pen: cylinder(all, 120)},
		)
	}
	return append(slips,
		slip{name: "a line misread by ten in one setup", closing: true, setups: 2, pen: decade(only(1))},
		slip{name: "the stop in another cylinder in one setup, 90", closing: true, setups: 2, pen: cylinder(only(1), 90)},
		slip{name: "one reading out by ten", closing: true, stand: func(r *simulate.Rig, rng *rand.Rand) {
			r.Slips.Misread = &simulate.Misread{Reading: 1, Line: r.Lines[rng.IntN(len(r.Lines))].Name, By: 10}
		}},
		slip{name: "one reading out by two", closing: true, stand: func(r *simulate.Rig, rng *rand.Rand) {
			r.Slips.Misread = &simulate.Misread{Reading: 1, Line: r.Lines[rng.IntN(len(r.Lines))].Name, By: 2}
		}},
		slip{name: "a contact out by thirty", closing: true, pen: func(s *sheet.Sheet, rng *rand.Rand) {
			s.Setups[0].Trials[1].Forward.Value -= 30 * geometry.Angle(s.Readout.Counts)
		}},
	)
}

// moveSlips are readouts that moved.
func moveSlips() []slip {
	bumped := func(setups ...int) func(*simulate.Rig, *rand.Rand) {
		return func(r *simulate.Rig, rng *rand.Rand) {
			x := shift(rng)
			for _, i := range setups {
				r.Setups[i].Bumped = x
			}
		}
	}
	onlyLine := func(r *simulate.Rig, rng *rand.Rand) {
		r.Lines = r.Lines[:1]
		bumped(0)(r, rng)
	}
	timed := func(s *sheet.Sheet, rng *rand.Rand) {
		first := 1 + rng.IntN(len(s.Marks)-1)
		for j, m := range s.Marks {
			for k := range s.Setups[0].Marks[m.Name] {
				s.Setups[0].Marks[m.Name][k].Time = fmt.Sprintf("10:%02d:%02d", j, k)
			}
		}
		add(s, all, from(first), shift(rng))
	}
	return []slip{
		{name: "moved before the lines", closing: true, stand: bumped(0), moved: true},
		{name: "moved before the lines", stand: bumped(0), moved: true},
		{name: "moved before the only line", stand: onlyLine, moved: true},
		{name: "moved before the lines in one setup", setups: 2, stand: bumped(0)},
		{name: "moved before the lines in one setup", closing: true, setups: 2, stand: bumped(1), moved: true},
		{name: "moved before the lines in one setup", setups: 3, stand: bumped(0)},
		{name: "moved alike in every setup", setups: 2, stand: bumped(0, 1), moved: true},
		{name: "moved before some lines", pen: func(s *sheet.Sheet, rng *rand.Rand) {
			add(s, all, from(1+rng.IntN(len(s.Marks)-1)), shift(rng))
		}, moved: true},
		{name: "moved before some lines, times written", pen: timed, moved: true},
		{name: "moved before the last line in one setup", setups: 2, pen: func(s *sheet.Sheet, rng *rand.Rand) {
			add(s, only(0), only(len(s.Marks)-1), shift(rng))
		}},
		{name: "two sets of contacts 2 apart", closing: true, stand: func(r *simulate.Rig, _ *rand.Rand) { *r = r.Mounted(1, 2) }, pen: func(s *sheet.Sheet, _ *rand.Rand) {
			for k := range s.Setups[1].Trials {
				s.Setups[1].Trials[k].Forward.Value += 2
				s.Setups[1].Trials[k].Backward.Value += 2
			}
			c := *s.Setups[1].Closing
			c.Forward.Value, c.Backward.Value = c.Forward.Value+2, c.Backward.Value+2
		}},
	}
}

// twoBanks is a V engine with lines of both banks, the stop in the cylinders that
// are named.
func twoBanks(r *simulate.Rig, rng *rand.Rand, stated geometry.Angle, found ...string) {
	r.Engine.Cylinders = []simulate.Cylinder{{Name: "A"}, {Name: "B", Declared: stated, TDC: 90}}
	r.Lines = slices.Clone(r.Lines[:4])
	for i := range r.Lines {
		r.Lines[i].At, r.Lines[i].Cylinder = geometry.Angle(-10*(i%2)), []string{"A", "A", "B", "B"}[i]
	}
	first := r.Setups[0]
	first.Mounting = "m"
	r.Setups = nil
	for _, c := range found {
		first.Cylinder = c
		r.Setups = append(r.Setups, first)
	}
}

// bankSlips are V engines.
func bankSlips() []slip {
	knocked := func(s *sheet.Sheet, rng *rand.Rand) {
		x := shift(rng)
		for k := range s.Setups[1].Trials {
			s.Setups[1].Trials[k].Forward.Value += x
			s.Setups[1].Trials[k].Backward.Value += x
		}
		if c := s.Setups[1].Closing; c != nil {
			c.Forward.Value, c.Backward.Value = c.Forward.Value+x, c.Backward.Value+x
		}
	}
	stated := func(by geometry.Angle, found ...string) func(*simulate.Rig, *rand.Rand) {
		return func(r *simulate.Rig, rng *rand.Rand) { twoBanks(r, rng, by, found...) }
	}
	return []slip{
		{name: "two banks, nothing wrong", closing: true, held: mayHold, stand: stated(90, "A", "B")},
		{name: "knocked between two banks", closing: true, stand: stated(90, "A", "B"), pen: knocked},
		{name: "knocked between two banks", stand: stated(90, "A", "B"), pen: knocked},
		{name: "bank angle 88 for 90, not found", closing: true, stand: stated(88, "A")},
		{name: "bank angle 60 for 90, not found", closing: true, stand: stated(60, "A")},
		{name: "bank angle 88 for 90, found", closing: true, stand: stated(88, "A", "B")},
	}
}

// kindSlips are declarations of another kind than was meant.
func kindSlips() []slip {
	drop := func(r *simulate.Rig, rng *rand.Rand) {
		r.Engine.Stroke, r.Engine.Rod = 54, 110
		l := &r.Lines[1]
		l.At, l.Written = r.Engine.Before(1.8), "1.8 mm rim BTDC"
	}
	// The pointer is straight: with 12 mm of offset this is 3.6 degrees on all lines,
	// and a pointer bent by half of that the other way would look the same.
	throw := func(r *simulate.Rig, _ *rand.Rand) { r.Engine.Bore, r.Engine.FromThrow, r.Part.Bent = 12, true, 0 }
	bottom := func(r *simulate.Rig, _ *rand.Rand) { // bottom of the throw, written as of the piston
		r.Engine.Bore = 20
		r.Lines = append(r.Lines, simulate.Line{Name: "valve", At: 140, Written: "40 piston BBDC", Tolerance: 1})
	}
	chord := func(r *simulate.Rig, _ *rand.Rand) {
		r.Readout.Kind, r.Readout.Step, r.Readout.Chord, r.Readout.Chalk = sheet.Rim, 0, true, 20
		r.Part.Diameter = 600
		r.Readout.StepLength = 0.1
		r.Lines = slices.Clone(r.Lines[:4])
		for i := range r.Lines { // within half a turn of the chalk line
			r.Lines[i].At = []geometry.Angle{0, -12.4, 30, 110}[i]
		}
	}
	return []slip{
		{name: "millimetres of the rim for those of the piston", closing: true, stand: drop, text: true},
		{name: "the throw's top for the piston's", closing: true, stand: throw, text: true, pen: func(s *sheet.Sheet, _ *rand.Rand) { s.Engine.RefersToThrow = false }},
		{name: "the piston's bottom for the throw's", closing: true, stand: bottom, text: true},
		{name: "the side of an offset", closing: true, text: true, stand: func(r *simulate.Rig, _ *rand.Rand) { r.Engine.Bore = 20 }, pen: func(s *sheet.Sheet, _ *rand.Rand) { s.Engine.BoreOffset.Value *= -1 }},
		{name: "a tape for dividers", closing: true, stand: chord, text: true, pen: func(s *sheet.Sheet, _ *rand.Rand) { s.Readout.Chord = false }},
	}
}

// spacedOut has distances between neighbouring lines measured on the part.
func spacedOut(r *simulate.Rig, rng *rand.Rand, teeth bool) {
	if r.Part.Teeth = 0; teeth {
		r.Part.Teeth = 135
	}
	for i := range r.Lines[1:] {
		one, other := r.Lines[i], r.Lines[i+1]
		x := sheet.Spacing{From: one.Name, To: other.Name}
		if teeth {
			x.Teeth = r.Teeth(one, other) + within(rng, 0.3)
		} else {
			x.Chord, x.Limit.Half = r.Spans(one, other)+geometry.Length(within(rng, 0.15)), 0.2
		}
		r.Told.Spacings = append(r.Told.Spacings, x)
	}
}

// dividerSlips are sheets with distances that contradict a line.
func dividerSlips() (slips []slip) {
	for _, closing := range []bool{true, false} {
		held := 0.0
		if closing {
			held = mayHold
		}
		for _, teeth := range []bool{false, true} {
			stand := func(r *simulate.Rig, rng *rand.Rand) { spacedOut(r, rng, teeth) }
			misread := func(s *sheet.Sheet, rng *rand.Rand) {
				x := shift(rng)
				if teeth { // each is 2.7 degrees, and counted to the nearest
					x *= 2
				}
				add(s, all, only(1), x)
			}
			slips = append(slips,
				slip{name: fmt.Sprintf("distances right, teeth %v", teeth), closing: closing, held: held, stand: stand},
				slip{name: fmt.Sprintf("a line misread, distances contradict, teeth %v", teeth), closing: closing, stand: stand, pen: misread},
			)
		}
	}
	return slips
}

// wayCells find TDC by drops and sweeps, and on a part at half speed.
func wayCells() (slips []slip) {
	half := func(s *simulate.Rig, _ *rand.Rand) { s.Part.HalfSpeed = true }
	for _, w := range []struct {
		name string
		way  way
	}{{"drops", byDrops(3, 12, 18)}, {"sweep", swept(15, 30)}} {
		stand := func(move bool) func(*simulate.Rig, *rand.Rand) {
			return func(r *simulate.Rig, rng *rand.Rand) {
				for i := range r.Setups {
					w.way(&r.Setups[i])
				}
				if move {
					r.Setups[0].Bumped = shift(rng)
				}
			}
		}
		slips = append(slips,
			slip{name: "TDC by " + w.name + ", nothing wrong", stand: stand(false)},
			slip{name: "TDC by " + w.name + ", nothing wrong", setups: 2, stand: stand(false)},
			slip{name: "TDC by " + w.name + ", moved before the lines", stand: stand(true), moved: true},
			slip{name: "TDC by " + w.name + ", moved before the lines in one setup", setups: 2, stand: stand(true)},
		)
	}
	return append(slips,
		slip{name: "half speed, nothing wrong", closing: true, held: mayHold, stand: half},
		slip{name: "half speed, letters of a line", closing: true, stand: half, pen: letters},
		slip{name: "half speed, moved before the lines", stand: func(r *simulate.Rig, rng *rand.Rand) {
			half(r, rng)
			r.Setups[0].Bumped = shift(rng)
		}, moved: true},
	)
}

// sideSlips are the simulator's mistakes, on sheets that say nothing of the side
// or of the readout's sense: what is left is the check by eye.
func sideSlips() (slips []slip) {
	for _, m := range simulate.Mistakes() {
		for _, half := range []bool{false, true} {
			slips = append(slips, slip{
				name: fmt.Sprintf("side and sense not stated, wrong: %s, half speed %v", m, half), closing: true,
				stand: func(r *simulate.Rig, _ *rand.Rand) {
					r.Told.Side, r.Told.QuarterTurn, r.Part.HalfSpeed = false, false, half
				},
				pen: func(s *sheet.Sheet, rng *rand.Rand) {
					i := rng.IntN(len(s.Marks))
					j := (i + 1 + rng.IntN(len(s.Marks)-1)) % len(s.Marks)
					cylinder := []geometry.Angle{90, -90, 120, -120, 180}[rng.IntN(5)]
					*s, _ = m.Made(*s, i, j, cylinder)
				},
			})
		}
	}
	return slips
}
