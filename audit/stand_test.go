package audit_test

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// rig is a stand of the simulator while a test sets it up. Its first setup is
// repeated, or done in each of the ways.
type rig struct {
	simulate.Rig
	rng      *rand.Rand
	setups   int // or mountings, with fittings
	fittings int // of the stop in each cylinder and mounting; zero: every setup has a mounting of its own
	ways     []way
	each     func(i int, s *simulate.Setup) // more about setup i; nil: nothing
	truth    simulate.Truth                 // of the last sheet
}

// newRig returns a stand with believable scatter and no systematic error.
func newRig(rng *rand.Rand) *rig {
	r := &rig{Rig: simulate.Steady(1), rng: rng, setups: 1}
	r.first().HalfArc = geometry.Angle(15 + 15*rng.Float64())
	r.Readout.Towards = geometry.Angle(360 * rng.Float64())
	return r
}

// first is the setup that is repeated.
func (r *rig) first() *simulate.Setup { return &r.Setups[0] }

func (r *rig) hand() *simulate.Hand { return &r.first().Hand }

// withLines adds lines at the nominals given, all exactly where they belong.
func (r *rig) withLines(tolerance geometry.Angle, at ...geometry.Angle) *rig {
	r.Lines = append(r.Lines, simulate.Steady(tolerance, at...).Lines...)
	return r
}

// line adds a line that is off by so much.
func (r *rig) line(name string, at, offset geometry.Angle) *simulate.Line {
	r.Lines = append(r.Lines, simulate.Line{Name: name, At: at, Offset: offset, Tolerance: 1})
	return &r.Lines[len(r.Lines)-1]
}

// onWheel puts the stand on a degree wheel of 280 mm at the limit of its
// centring.
func (r *rig) onWheel(offCentre geometry.Length) *rig {
	r.Readout.Kind, r.Readout.Diameter, r.Readout.OffCentre, r.Told.OffCentre = sheet.Wheel, 280, offCentre, offCentre
	return r
}

// onRim has the part's own rim measured along a tape, or across.
func (r *rig) onRim(diameter, step geometry.Length, chord bool) *rig {
	r.Readout.Kind, r.Readout.Step, r.Readout.StepLength, r.Readout.Chord = sheet.Rim, 0, step, chord
	r.Part.Diameter = diameter
	if chord { // within half a turn
		r.Readout.Chalk = 20
	}
	return r
}

// quiet leaves no scatter and no rounding, so that what one source does can be
// seen by itself.
func (r *rig) quiet() *rig {
	r.Readout.Step, *r.hand() = 0, simulate.Hand{}
	return r
}

// stand is the stand as it is measured.
func (r *rig) stand() simulate.Rig {
	stand := r.Repeated(cmp.Or(len(r.ways), r.setups))
	if r.fittings > 0 {
		stand = r.Mounted(r.setups, r.fittings)
	}
	for i := range stand.Setups {
		if len(r.ways) > 0 {
			r.ways[i].change(&stand.Setups[i])
		}
		if r.each != nil {
			r.each(i, &stand.Setups[i])
		}
	}
	return stand
}

// sheet writes down what the people at the stand see and know.
func (r *rig) sheet() sheet.Sheet {
	s, truth := r.stand().Measure(r.rng)
	r.truth = truth
	return s
}

// text is the sheet as a person writes it.
func (r *rig) text() string { return sheet.Write(r.sheet()) }

// told has the sheet say what guards it: the side of the BTDC lines and a quarter
// turn.
func (r *rig) told() *rig {
	r.Told.Side, r.Told.QuarterTurn = true, true
	return r
}

// within draws evenly within a limit either way.
func (r *rig) within(limit geometry.Angle) geometry.Angle {
	return limit * geometry.Angle(2*r.rng.Float64()-1)
}

// way is how one setup finds TDC.
type way struct {
	name   string
	change func(s *simulate.Setup)
}

func byStop() way { return way{"stop", func(*simulate.Setup) {}} }

func byDrops(pairs int, drops ...geometry.Length) way {
	return way{"equal drop", func(s *simulate.Setup) {
		s.Method, s.Trials = sheet.EqualDrop, pairs
		for _, d := range drops {
			s.Drops = append(s.Drops, simulate.Drop{Drop: d, Taken: sheet.Rising})
		}
	}}
}

func bySweep(points int, from, to geometry.Angle) way {
	return way{"sweep", func(s *simulate.Setup) {
		s.Method = sheet.Sweep
		s.Sweep = simulate.Sweep{Points: points, From: from, To: to, Taken: sheet.OneWay, Zero: 3.2}
	}}
}

// and is a way with something more about it.
func (w way) and(change func(s *simulate.Setup)) way {
	return way{w.name, func(s *simulate.Setup) {
		w.change(s)
		change(s)
	}}
}

// taken has the readings come to in one way. Unknown: turning forward, which the
// sheet does not say.
func (w way) taken(t sheet.Taken) way {
	return w.and(func(s *simulate.Setup) {
		if t == sheet.Unknown {
			s.Unsaid, t = true, sheet.OneWay
		}
		s.Sweep.Taken = t
		s.Drops = slices.Clone(s.Drops)
		for i := range s.Drops {
			s.Drops[i].Taken = t
		}
	})
}

// unsaid has the sheet say nothing of how the readings were come to.
func (w way) unsaid() way { return w.and(func(s *simulate.Setup) { s.Unsaid = true }) }

// slanting has the indicator of drops slant, and the sheet say so.
func (w way) slanting(by geometry.Angle) way {
	return w.and(func(s *simulate.Setup) {
		s.Drops = slices.Clone(s.Drops)
		for i := range s.Drops {
			s.Drops[i].Slant, s.Drops[i].Probe = by, by
		}
	})
}

func rad(degrees float64) float64 { return degrees * math.Pi / 180 }
func deg(radians float64) float64 { return radians * 180 / math.Pi }

// bisect returns the root of f, which changes sign between low and high.
func bisect(low, high float64, f func(float64) float64) float64 {
	rising := f(high) > 0
	for range 200 {
		middle := (low + high) / 2
		if (f(middle) > 0) == rising {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2
}

// fataler is a test or a property of one.
type fataler interface {
	Helper()
	Fatalf(format string, a ...any)
}

// readSheet reads the text of a sheet that holds no fault.
func readSheet(t fataler, text string) sheet.Sheet {
	t.Helper()
	s, _, err := sheet.Read("stand.yaml", []byte(text), nil)
	if err != nil {
		t.Fatalf("a true sheet is refused: %v\n%s", err, text)
	}
	return s
}

// judged audits the text of a sheet that holds no fault.
func judged(t fataler, text string) audit.Result {
	t.Helper()
	result, err := audit.Run(readSheet(t, text))
	if err != nil {
		t.Fatalf("a true sheet is refused: %v\n%s", err, text)
	}
	return result
}

// has reports whether a result has a warning.
func has(r audit.Result, code warning.Code) bool {
	return slices.ContainsFunc(r.Warnings, func(w warning.Warning) bool { return w.Code == code })
}

// ask audits the rig's sheet.
func ask(t *testing.T, r *rig) audit.Result {
	t.Helper()
	result, err := audit.Run(r.sheet())
	if err != nil {
		t.Fatalf("a true sheet is refused: %v", err)
	}
	return result
}
