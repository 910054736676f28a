package audit_test

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

func alike(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-9*(1+math.Abs(a))
}

// sameAnswers holds two results against each other to 1e-9: readings near a
// thousand degrees keep 1e-13, and what is computed from them loses no more
// than four digits. Interval and probability are good to 1e-6 and 1e-9 only,
// but the same rows take the same path through the same arithmetic.
func sameAnswers(t *rapid.T, got, want audit.Result, skip ...warning.Code) {
	t.Helper()
	differs := func(what string, a, b float64) {
		if !alike(a, b) {
			t.Errorf("%s: got %.12g, want %.12g", what, a, b)
		}
	}
	estimates := func(what string, a, b *uncertainty.Estimate) {
		if (a == nil) != (b == nil) {
			t.Errorf("%s: got %v, want %v", what, a, b)
		}
		if a == nil || b == nil {
			return
		}
		differs(what+" offset", a.Value.Degrees(), b.Value.Degrees())
		differs(what+" standard uncertainty", a.Standard.Degrees(), b.Standard.Degrees())
		differs(what+" inverse of the degrees of freedom", 1/float64(a.DOF), 1/float64(b.DOF))
		if math.Abs((a.Expanded - b.Expanded).Degrees()) > 1e-7*b.Expanded.Degrees() {
			t.Errorf("%s: got an interval of ± %v, want %v", what, a.Expanded, b.Expanded)
		}
	}
	if (!got.TDC.Any()) != (!want.TDC.Any()) {
		t.Fatalf("got TDC %v, want %v", got.TDC, want.TDC)
	}
	if got.TDC.Any() {
		differs("repeatability", got.TDC.Scatter.Degrees(), want.TDC.Scatter.Degrees())
		differs("TDC standard uncertainty", got.TDC.Standard.Degrees(), want.TDC.Standard.Degrees())
	}
	for i, m := range got.ByLine() {
		w := want.ByLine()[i]
		estimates(m.Name, m.Offset, w.Offset)
		if math.Abs(m.Conformity.Within-w.Conformity.Within) > 1e-7 {
			t.Errorf("%s: got conformity %.12f, want %.12f", m.Name, m.Conformity.Within, w.Conformity.Within)
		}
		if m.Verdict != w.Verdict || m.Covers != w.Covers || m.Scribe.Along != w.Scribe.Along ||
			m.Scribe.Rotation != w.Scribe.Rotation || m.Scribe.Worthwhile != w.Scribe.Worthwhile {
			t.Errorf("%s: got %v %v %+v, want %v %v %+v", m.Name, m.Verdict, m.Covers, m.Scribe, w.Verdict, w.Covers, w.Scribe)
		}
		differs(m.Name+" arc", m.Scribe.Arc.Millimetres(), w.Scribe.Arc.Millimetres())
	}
	if got.Together.Finding != want.Together.Finding || !slices.Equal(got.Together.StandsOut, want.Together.StandsOut) || got.Together.Small != want.Together.Small {
		t.Errorf("got %v %v, want %v %v", got.Together.Finding, got.Together.StandsOut, want.Together.Finding, want.Together.StandsOut)
	}
	estimates("common shift", got.Together.Common, want.Together.Common)
	if a, b := got.Together.Homogeneity, want.Together.Homogeneity; (a == nil) != (b == nil) || a != nil && !(math.Abs(*a-*b) < 1e-7) {
		t.Errorf("got homogeneity %v, want %v", a, b)
	}
	if a, b := warned(got, skip...), warned(want, skip...); !maps.Equal(a, b) {
		t.Errorf("got warnings %v, want %v", a, b)
	}
}

type about struct {
	code warning.Code
	mark string
}

// warned counts the warnings by what they are about.
func warned(r audit.Result, skip ...warning.Code) map[about]int {
	out := map[about]int{}
	for _, w := range r.Warnings {
		if !slices.Contains(skip, w.Code) {
			out[about{w.Code, w.Mark}]++
		}
	}
	return out
}

func run(t *rapid.T, s sheet.Sheet) audit.Result {
	t.Helper()
	r, err := audit.Run(s)
	if err != nil {
		t.Fatalf("a true sheet is refused: %v", err)
	}
	return r
}

// The invariances of method 1.

func TestAConstantOnEveryReadingChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRig(t, true)
		s := r.sheet()
		before := run(t, s)
		add := rapid.Float64Range(-1000, 1000).Draw(t, "constant")
		after := run(t, simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading {
			x.Value += geometry.Angle(add)
			return x
		}))
		sameAnswers(t, after, before)
	})
}

// Each setup has its own zero. From three setups on, whether they round alike
// depends on the zeros, and with it the interval; the offset does not.
func TestAConstantOnEveryReadingOfOneSetupChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRig(t, true)
		s := r.sheet()
		before := run(t, s)
		constants := rapid.SliceOfN(rapid.Float64Range(-1000, 1000), r.setups, r.setups).Draw(t, "constants")
		after := run(t, simulate.EveryReading(s, func(setup int, x sheet.Reading) sheet.Reading {
			x.Value += geometry.Angle(constants[setup])
			return x
		}))
		if r.setups < 3 {
			sameAnswers(t, after, before)
			return
		}
		for i := range after.ByLine() {
			if a, b := after.ByLine()[i].Offset.Value, before.ByLine()[i].Offset.Value; !alike(a.Degrees(), b.Degrees()) {
				t.Errorf("got an offset of %v, want %v", a, b)
			}
		}
	})
}

func TestWholeTurnsOnSingleReadingsChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyRig(t, true).sheet()
		turns := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "turns seed"), 2))
		after := run(t, simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading {
			x.Value += geometry.Angle(360 * (turns.IntN(7) - 3))
			return x
		}))
		sameAnswers(t, after, run(t, s))
	})
}

func TestAMirroredReadoutChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyRig(t, true).told().sheet()
		before := run(t, s)
		after := simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading {
			x.Value = -x.Value
			return x
		})
		after.Readout.Counts = -s.Readout.Counts
		turn := *s.Readout.QuarterTurn
		turn[0].Value, turn[1].Value = -turn[0].Value, -turn[1].Value
		after.Readout.QuarterTurn = &turn
		sameAnswers(t, run(t, after), before)
	})
}

// Order is data only where a trend is looked for.
func TestTheOrderOfTrialsAndSetupsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyRig(t, true).sheet()
		before := run(t, s)
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 3))
		s = simulate.EveryReading(s, func(_ int, x sheet.Reading) sheet.Reading { return x })
		order.Shuffle(len(s.Setups), func(i, j int) { s.Setups[i], s.Setups[j] = s.Setups[j], s.Setups[i] })
		for i := range s.Setups {
			trials := s.Setups[i].Trials
			order.Shuffle(len(trials), func(i, j int) { trials[i], trials[j] = trials[j], trials[i] })
			for _, m := range s.Marks {
				readings := s.Setups[i].Marks[m.Name]
				order.Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
			}
		}
		sameAnswers(t, run(t, s), before, warning.HalfArcCreeps, warning.HalfArcJumps)
	})
}

// A sheet in inches and its twin in millimetres: 25.4 mm an inch is exact, so
// what differs is the last digit of a product.
func TestInchesAndMillimetresGiveTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRig(t, true)
		r.Told.Geometry = true
		r.Engine.Pin, r.Engine.Bore = 0, 0
		sixteenths := func(name string, low, high int) (inches, millimetres geometry.Length) {
			n := rapid.IntRange(low, high).Draw(t, name)
			read := func(text string) geometry.Length {
				l, _, err := geometry.ParseLength(text)
				if err != nil {
					t.Fatal(err)
				}
				return l
			}
			return read(strconv.FormatFloat(float64(n)/16, 'f', 4, 64) + " in"), read(strconv.FormatFloat(float64(n)*1.5875, 'f', 4, 64) + " mm")
		}
		inches := r.sheet()
		millimetres := inches
		inches.Part.Unit, millimetres.Part.Unit = geometry.Inch, geometry.Millimetre
		for _, l := range []struct {
			name      string
			low, high int
			in, mm    *geometry.Length
		}{
			{"stroke", 40, 70, &inches.Engine.Stroke, &millimetres.Engine.Stroke},
			{"rod", 90, 150, &inches.Engine.Rod, &millimetres.Engine.Rod},
			{"diameter", 60, 300, &inches.Part.Diameter, &millimetres.Part.Diameter},
			{"wheel", 100, 200, &inches.Readout.Diameter, &millimetres.Readout.Diameter},
			{"off centre", 1, 2, &inches.Readout.OffCentre, &millimetres.Readout.OffCentre},
			{"placement", 1, 2, &inches.Limits.Placement, &millimetres.Limits.Placement},
			{"sighting", 1, 2, &inches.Part.Sighting.Half, &millimetres.Part.Sighting.Half},
			{"contact", 1, 2, &inches.Limits.Contact.Half, &millimetres.Limits.Contact.Half},
			{"diameter limit", 1, 4, &inches.Part.DiameterLimit.Half, &millimetres.Part.DiameterLimit.Half},
		} {
			*l.in, *l.mm = sixteenths(l.name, l.low, l.high)
		}
		sameAnswers(t, run(t, inches), run(t, millimetres))
	})
}
