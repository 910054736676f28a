package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// The invariances of method, section 1, for cylinders, mountings, groups and the
// rim.

// anyStand is a stand with some of what the sheets of other engines hold.
func anyStand(t *rapid.T, readouts ...string) *rig {
	s := newRig(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "stand seed"), 8))).told()
	readout := rapid.SampledFrom(readouts).Draw(t, "readout")
	s.setups = rapid.IntRange(1, 4).Draw(t, "mountings")
	s.fittings = rapid.IntRange(1, 2).Draw(t, "fittings")
	s.first().Trials = rapid.IntRange(2, 4).Draw(t, "trials")
	s.first().Readings = rapid.IntRange(2, 4).Draw(t, "readings")
	s.Readout.Counts = rapid.SampledFrom([]geometry.Sense{geometry.CountsUp, geometry.CountsDown}).Draw(t, "counts")
	s.Part.HalfSpeed = rapid.Bool().Draw(t, "half speed")
	s.Part.Bonded = rapid.Bool().Draw(t, "bonded ring")
	s.Readout.Step, s.hand().RemountSD, s.Part.Teeth = 0.1, 0.05, 120
	s.Told.Diameter, s.Part.Diameter, s.Told.DiameterLimit = 600, 600.5, 1
	s.Engine.Pin, s.Engine.Bore = 0.8, rapid.SampledFrom([]geometry.Length{0, 4}).Draw(t, "bore offset")
	s.Engine.FromThrow = rapid.Bool().Draw(t, "from the throw")
	switch readout {
	case "wheel":
		s.onWheel(0.2)
	case "tape", "chord":
		s.onRim(s.Part.Diameter, 0.1, readout == "chord")
	}
	cylinders := rapid.IntRange(1, 3).Draw(t, "cylinders")
	if cylinders > 1 {
		s.Engine.Cylinders = []simulate.Cylinder{{Name: "A"}, {Name: "B", Declared: 60, TDC: 60.4}, {Name: "C", Declared: 90, TDC: 89.8}}[:cylinders]
	}
	s.Part.RingSlip = rapid.SampledFrom([]geometry.Angle{0, 2.2}).Draw(t, "slip")
	for i, on := range []string{simulate.Ring, "hub", simulate.Ring, "hub", simulate.Ring, ""} {
		l := s.line(fmt.Sprint("line ", i), []geometry.Angle{0, 3, -10, 20, 37, 44}[i], s.within(0.5))
		l.On = on
		if cylinders > 1 {
			l.Cylinder = s.Engine.Cylinders[i%cylinders].Name
		}
	}
	s.Told.Spacings = []sheet.Spacing{
		{From: "line 0", To: "line 4", Chord: s.Spans(s.Lines[0], s.Lines[4]), Limit: geometry.Limit[geometry.Length]{Half: 0.2}},
		{From: "line 2", To: "line 3", Teeth: 7},
	}
	return s
}

// sameCase holds against each other what the other cases add to a result.
func sameCase(t *rapid.T, got, want audit.Result, skip ...warning.Code) {
	t.Helper()
	sameAnswers(t, got, want, skip...)
	differs := func(what string, a, b float64) {
		if !alike(a, b) {
			t.Errorf("%s: got %.12g, want %.12g", what, a, b)
		}
	}
	if got.Slip() != want.Slip() || len(got.Together.Groups) != len(want.Together.Groups) || len(got.Together.Between) != len(want.Together.Between) ||
		len(got.Checks.Cylinders) != len(want.Checks.Cylinders) || len(got.Checks.Spacings) != len(want.Checks.Spacings) || len(got.Distances()) != len(want.Distances()) {
		t.Fatalf("got %v, %d groups, %d differences, %d banks, want %v, %d, %d, %d",
			got.Slip(), len(got.Together.Groups), len(got.Together.Between), len(got.Checks.Cylinders), want.Slip(), len(want.Together.Groups), len(want.Together.Between), len(want.Checks.Cylinders))
	}
	for _, g := range got.Together.Groups {
		i := slices.IndexFunc(want.Together.Groups, func(w lines.Group) bool { return w.Name == g.Name })
		if i < 0 || g.Finding != want.Together.Groups[i].Finding {
			t.Errorf("got %v lines on the %s, want those of %v", g.Finding, g.Name, want.Together.Groups)
		}
	}
	for i, b := range got.Together.Between {
		if w := want.Together.Between[i]; b.From != w.From || b.To != w.To || b.Differ != w.Differ {
			t.Errorf("got %+v, want %+v", b, w)
		}
		differs("between the groups", b.Difference.Value.Degrees(), want.Together.Between[i].Difference.Value.Degrees())
		differs("its uncertainty", b.Difference.Standard.Degrees(), want.Together.Between[i].Difference.Standard.Degrees())
	}
	for i, b := range got.Checks.Cylinders {
		if w := want.Checks.Cylinders[i]; b.From != w.From || b.To != w.To || b.Mountings != w.Mountings || b.Differs != w.Differs {
			t.Errorf("got %+v, want %+v", b, w)
		}
		differs("bank angle", b.Angle.Value.Degrees(), want.Checks.Cylinders[i].Angle.Value.Degrees())
		differs("its uncertainty", b.Angle.Standard.Degrees(), want.Checks.Cylinders[i].Angle.Standard.Degrees())
	}
	for i, x := range got.Checks.Spacings {
		differs("spacing", x.Expected, want.Checks.Spacings[i].Expected)
		if math.Abs(x.U-want.Checks.Spacings[i].U) > 1e-7*(1+x.U) || x.Differs != want.Checks.Spacings[i].Differs {
			t.Errorf("got a spacing within ± %v, want ± %v", x.U, want.Checks.Spacings[i].U)
		}
	}
	for _, d := range got.Distances() {
		i := slices.IndexFunc(want.Distances(), func(w advise.Distance) bool { return w.From == d.From && w.To == d.To })
		if i < 0 {
			t.Errorf("got a distance from %s to %s, want none", d.From, d.To)
			continue
		}
		differs("distance", d.Now.Millimetres(), want.Distances()[i].Now.Millimetres())
		differs("distance after", d.After.Millimetres(), want.Distances()[i].After.Millimetres())
	}
}

// The zero is that of a mounting: all its setups move together. On a rim a
// constant is not a zero for a chord, and beyond that of a tape it is a chalk
// line elsewhere.
func TestAConstantOnEveryReadingOfAMountingChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStand(t, "wheel", "encoder", "tape")
		x := readSheet(t, s.text())
		constants := map[string]geometry.Angle{}
		for _, setup := range x.Setups {
			if _, drawn := constants[setup.Mounting]; !drawn {
				// On the lattice, so that zeros that round alike do so still.
				constants[setup.Mounting] = geometry.Angle(rapid.IntRange(-3000, 3000).Draw(t, "constant")) * x.Readout.Step
			}
		}
		moved := simulate.EveryReading(x, func(setup int, r sheet.Reading) sheet.Reading {
			r.Value += constants[x.Setups[setup].Mounting]
			return r
		})
		before, after := run(t, x), run(t, moved)
		if s.setups < 3 {
			sameCase(t, after, before)
			return
		}
		// From three mountings on whether they round alike depends on the zeros, and
		// with it the interval; values do not.
		for i, m := range after.ByLine() {
			if a, b := m.Offset.Value.Degrees(), before.ByLine()[i].Offset.Value.Degrees(); !alike(a, b) {
				t.Errorf("got an offset of %v, want %v", a, b)
			}
		}
		for i, b := range after.Checks.Cylinders {
			if a, b := b.Angle.Value.Degrees(), before.Checks.Cylinders[i].Angle.Value.Degrees(); !alike(a, b) {
				t.Errorf("got a bank angle of %v, want %v", a, b)
			}
		}
	})
}

func TestAMirroredReadoutChangesNoCase(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := readSheet(t, anyStand(t, "wheel", "encoder", "tape", "chord").text())
		mirrored := simulate.EveryReading(x, func(_ int, r sheet.Reading) sheet.Reading {
			r.Value, r.Length = -r.Value, -r.Length
			return r
		})
		mirrored.Readout.Counts = -x.Readout.Counts
		turn := *x.Readout.QuarterTurn
		turn[0].Value, turn[1].Value = -turn[0].Value, -turn[1].Value
		mirrored.Readout.QuarterTurn = &turn
		sameCase(t, run(t, mirrored), run(t, x))
	})
}

// fewer leaves out some setups of a sheet, but none of the lines' readings, which
// another setup of the mounting takes over: not every cylinder is tried in every
// mounting.
func fewer(t *rapid.T, s sheet.Sheet) sheet.Sheet {
	var kept []sheet.Setup
	for i := 0; i < len(s.Setups); {
		j := i
		for j < len(s.Setups) && s.Setups[j].Mounting == s.Setups[i].Mounting {
			j++
		}
		first := rapid.IntRange(i, j-1).Draw(t, "first kept")
		for k := first; k < j; k++ {
			setup := s.Setups[k]
			if k == first {
				setup.Marks = s.Setups[i].Marks
			} else if setup.Marks = nil; rapid.Bool().Draw(t, "left out") {
				continue
			}
			kept = append(kept, setup)
		}
		i = j
	}
	s.Setups = kept
	return s
}

// shuffled has the mountings of some setups in another order. Within a mounting
// the order is kept: contacts that were taken after the lines say whether the
// readout moved, and those before them do not.
func shuffled(setups []sheet.Setup, order *rand.Rand) (out []sheet.Setup) {
	var mountings [][]sheet.Setup
	for i, s := range setups {
		if i == 0 || s.Mounting == "" || s.Mounting != setups[i-1].Mounting {
			mountings = append(mountings, nil)
		}
		last := &mountings[len(mountings)-1]
		*last = append(*last, s)
	}
	order.Shuffle(len(mountings), func(i, j int) { mountings[i], mountings[j] = mountings[j], mountings[i] })
	return slices.Concat(mountings...)
}

func TestTheOrderOfSetupsAndLinesChangesNoCase(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := readSheet(t, anyStand(t, "wheel", "encoder", "tape", "chord").text())
		if rapid.Bool().Draw(t, "fewer setups") {
			x = fewer(t, x)
		}
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 9))
		y := simulate.EveryReading(x, func(_ int, r sheet.Reading) sheet.Reading { return r })
		y.Marks = slices.Clone(x.Marks)
		y.Setups = shuffled(y.Setups, order)
		order.Shuffle(len(y.Marks), func(i, j int) { y.Marks[i], y.Marks[j] = y.Marks[j], y.Marks[i] })
		got, want := run(t, y), run(t, x)
		// Lines in the order of the first sheet again.
		sorted := got
		sorted.Lines, sorted.Diagnosis.Decisions, sorted.Advice.Lines, sorted.Advice.Forced = nil, nil, nil, nil
		for _, m := range want.Lines {
			i := slices.IndexFunc(got.Lines, func(g lines.Line) bool { return g.Name == m.Name })
			sorted.Lines = append(sorted.Lines, got.Lines[i])
			sorted.Diagnosis.Decisions = append(sorted.Diagnosis.Decisions, got.Diagnosis.Decisions[i])
			sorted.Advice.Lines, sorted.Advice.Forced = append(sorted.Advice.Lines, got.Advice.Lines[i]), append(sorted.Advice.Forced, got.Advice.Forced[i])
		}
		got = sorted
		sameCase(t, got, want, warning.HalfArcCreeps, warning.HalfArcJumps)
	})
}

// Every length of the sheet in inches, readings of a rim among them: 25.4 mm an
// inch is exact.
func TestInchesAndMillimetresGiveTheSameCase(t *testing.T) {
	t.Parallel()
	lengths := regexp.MustCompile(`(?:(-?[\d.]+) ± )?(-?[\d.]+) mm`)
	inch := func(text string) string {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			panic(err)
		}
		return strconv.FormatFloat(x/25.4, 'f', 17, 64)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := anyStand(t, "wheel", "encoder", "tape", "chord").text()
		inches := lengths.ReplaceAllStringFunc(text, func(found string) string {
			parts := lengths.FindStringSubmatch(found)
			if parts[1] != "" {
				return inch(parts[1]) + " ± " + inch(parts[2]) + " in"
			}
			return inch(parts[2]) + " in"
		})
		sameCase(t, judged(t, inches), judged(t, text))
	})
}
