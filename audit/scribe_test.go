package audit_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// disc is what one sees standing before the part: directions in degrees,
// clockwise as one looks at it. It knows no table of directions; it turns, and
// lines pass each other.
type disc struct {
	way   float64 // +1 runs clockwise, -1 anticlockwise
	onto  sheet.MarksOn
	fixed map[string]float64 // what stands still: the pointer "", or the scale's lines
	turns map[string]float64 // what turns, with the crank at the reference: lines, or the one line ""
}

// newDisc scribes the lines so that each comes up offset after its nominal.
func newDisc(r *rig) disc {
	d := disc{way: 1, onto: r.Part.MarksOn, fixed: map[string]float64{}, turns: map[string]float64{}}
	if r.Engine.Turns == geometry.Anticlockwise {
		d.way = -1
	}
	for _, l := range r.Lines {
		comesUp := (l.At + l.Offset).Degrees()
		if r.Part.MarksOn == sheet.OnPart {
			d.fixed[""] = 37
			d.turns[l.Name] = 37 - d.way*comesUp // turning by comesUp brings it to the pointer
		} else {
			d.turns[""] = 37
			d.fixed[l.Name] = 37 + d.way*comesUp // where the line has got to by then
		}
	}
	return d
}

// comesUpAt turns the part until the line and its pointer meet.
func (d disc) comesUpAt(name string) float64 {
	turning, standing := d.turns[name], d.fixed[""]
	if d.onto == sheet.OnEngine {
		turning, standing = d.turns[""], d.fixed[name]
	}
	return nearestTurn(d.way*(standing-turning), 0)
}

// seen is how the lines lie as one looks at them.
func (d disc) seen(name string) float64 {
	if d.onto == sheet.OnEngine {
		return d.fixed[name]
	}
	return d.turns[name]
}

// obey carries out an instruction for one line, or for the pointer or the
// turning line where name is empty.
func (d disc) obey(name string, s advise.Scribe) error {
	by := s.Angle.Degrees()
	if s.Rotation == geometry.Anticlockwise {
		by = -by
	}
	switch {
	case name == "" && s.Move == advise.MovePointer && d.onto == sheet.OnPart:
		d.fixed[""] += by
	case name == "" && s.Move == advise.MoveLine && d.onto == sheet.OnEngine:
		d.turns[""] += by
	case name != "" && s.Move == advise.MoveLine && d.onto == sheet.OnPart:
		d.turns[name] += by
	case name != "" && s.Move == advise.MoveScale && d.onto == sheet.OnEngine:
		d.fixed[name] += by
	default:
		return fmt.Errorf("told to move the %v of %q with the lines on %v", s.Move, name, d.onto)
	}
	return nil
}

// The table of method 5, carried out: after the instruction the line comes up
// where it belongs, and the way is said both along the rim and as one sees it.
func TestAnInstructionObeyedPutsTheLineRight(t *testing.T) {
	for _, turns := range []geometry.Rotation{geometry.Clockwise, geometry.Anticlockwise} {
		for _, on := range []sheet.MarksOn{sheet.OnPart, sheet.OnEngine} {
			for _, off := range []geometry.Angle{1.9, -1.9} {
				for _, together := range []bool{false, true} {
					t.Run(fmt.Sprintf("%v, on %v, off by %v, all alike: %v", turns, on, off, together), func(t *testing.T) {
						r := newRig(testkit.Rand(t, 800)).withLines(0.5, 0, -10, 120, -120)
						r.Engine.Turns, r.Part.MarksOn, r.Readout.Step, *r.hand() = turns, on, 0.02, simulate.Hand{MiddleSD: 0.03, ReadSD: 0.03}
						r.Told.Side, r.first().Closing = true, true
						for i := range r.Lines {
							if together || i == 1 {
								r.Lines[i].Offset = off
							}
						}
						d := newDisc(r)
						for _, l := range r.Lines {
							if got := d.comesUpAt(l.Name); math.Abs(nearestTurn(got-(l.At+l.Offset).Degrees(), 0)) > 1e-9 {
								t.Fatalf("the disc is wrong: %s comes up at %v", l.Name, got)
							}
						}
						s := r.sheet()
						result, err := audit.Run(s)
						if err != nil {
							t.Fatal(err)
						}
						name, scribe := r.Lines[1].Name, result.ByLine()[1].Scribe
						if together {
							if result.Together.Finding != lines.Common {
								t.Fatalf("got %v, want common", result.Together.Finding)
							}
							for _, m := range result.ByLine() {
								if m.Scribe.Withheld != advise.WithheldCommon || m.Scribe.Along != advise.NoWay {
									t.Errorf("%s: got %+v, want one instruction for all", m.Name, m.Scribe)
								}
							}
							name, scribe = "", result.Advice.Together
						}
						if !scribe.Worthwhile || scribe.Withheld != advise.NotWithheld {
							t.Fatalf("got %+v, want an instruction", scribe)
						}
						if running := scribe.Rotation == turns; running != (scribe.Along == advise.Running) || scribe.Along == advise.NoWay {
							t.Errorf("%v and %v contradict each other", scribe.Along, scribe.Rotation)
						}
						if err := d.obey(name, scribe); err != nil {
							t.Fatal(err)
						}
						for i, l := range r.Lines {
							if got := nearestTurn(d.comesUpAt(l.Name)-l.At.Degrees(), 0); math.Abs(got) > 0.1 {
								t.Errorf("line %d now comes up %.3f off", i, got)
							}
						}
						if want := 158 * math.Pi * scribe.Angle.Degrees() / 360; math.Abs(scribe.Arc.Millimetres()-want) > 1e-9 {
							t.Errorf("got an arc of %v, want %.6f", scribe.Arc, want)
						}
						if want := 158 * math.Sin(rad(scribe.Angle.Degrees()/2)); math.Abs(scribe.Chord.Millimetres()-want) > 1e-9 {
							t.Errorf("got a chord of %v, want %.6f", scribe.Chord, want)
						}
					})
				}
			}
		}
	}
}

// Dividers find the chords that the report gives, now and after the new line.
func TestDistancesBetweenLines(t *testing.T) {
	r := quietRig(t, 802)
	r.first().Trials, r.first().Readings, r.first().Closing = 3, 3, true
	r.Lines[1].Offset = 2.5
	d := newDisc(r)
	result, err := audit.Run(r.sheet())
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Distances()) != 4 {
		t.Fatalf("got %d distances, want one for each two neighbours of four", len(result.Distances()))
	}
	after := newDisc(r)
	for _, m := range result.ByLine() {
		if m.Scribe.Worthwhile {
			if err := after.obey(m.Name, m.Scribe); err != nil {
				t.Fatal(err)
			}
		}
	}
	chord := func(d disc, from, to string) float64 {
		return math.Abs(158 * math.Sin(rad(nearestTurn(d.seen(to)-d.seen(from), 0)/2)))
	}
	moved := 0
	for _, x := range result.Distances() {
		if want := chord(d, x.From, x.To); math.Abs(x.Now.Millimetres()-want) > 1e-9 {
			t.Errorf("%s to %s: got %v now, want %.6f", x.From, x.To, x.Now, want)
		}
		if want := chord(after, x.From, x.To); math.Abs(x.After.Millimetres()-want) > 1e-9 {
			t.Errorf("%s to %s: got %v after, want %.6f", x.From, x.To, x.After, want)
		}
		if x.Now != x.After {
			moved++
		}
	}
	if moved != 2 {
		t.Errorf("got %d distances that change, want the two beside the new line", moved)
	}
}
