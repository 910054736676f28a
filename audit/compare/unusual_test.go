package compare_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// years are sheets of one stand, a year apart, as each change leaves it.
func years(changes ...func(r *simulate.Rig)) []sheet.Sheet {
	r := simulate.Steady(0.5, 0, 120, -30, 240)
	r.Readout.Step, r.Setups[0].Hand = 0.05, simulate.Hand{MiddleSD: 0.05, ReadSD: 0.05}
	r.Setups[0].Closing, r.Part.Bonded, r.Told.QuarterTurn = true, true, true
	for i, on := range []string{"hub", simulate.Ring, simulate.Ring, simulate.Ring} {
		r.Lines[i].On = on
	}
	r = r.Repeated(2)
	rng := rand.New(rand.NewPCG(20261128, 13))
	var out []sheet.Sheet
	for i, change := range changes {
		change(&r)
		s, _ := r.Measure(rng)
		s.Date = fmt.Sprintf("%d-03-1%d", 2020+i, i)
		out = append(out, s)
	}
	return out
}

func nothing(*simulate.Rig) {}

func offset(line int, by geometry.Angle) func(r *simulate.Rig) {
	return func(r *simulate.Rig) { r.Lines[line].Offset += by }
}

// ofOne has all sheets measured with one readout.
func ofOne(all []sheet.Sheet) []sheet.Sheet {
	for i := range all {
		all[i].Readout.Name = "encoder 1"
	}
	return all
}

// inOneSetup has a line of the last year read in the first setup alone.
func inOneSetup(all []sheet.Sheet) []sheet.Sheet {
	delete(all[len(all)-1].Setups[1].Marks, "line 3")
	return all
}

// Whole comparisons of years in which something changed, as they are.
func TestFiguresOfChanges(t *testing.T) {
	found := map[string]compare.Comparison{}
	for name, all := range map[string][]sheet.Sheet{
		"nothing":                          years(nothing, nothing),
		"one line later":                   years(nothing, offset(2, 1)),
		"one line earlier":                 years(nothing, offset(2, -1)),
		"the line on the hub":              years(nothing, offset(0, 1.5)),
		"the ring":                         years(nothing, func(r *simulate.Rig) { r.Part.RingSlip = 2 }),
		"the ring the other way":           years(nothing, func(r *simulate.Rig) { r.Part.RingSlip = -2 }),
		"the pointer":                      years(nothing, func(r *simulate.Rig) { r.Part.Bent = 1 }),
		"a line put right":                 years(offset(1, 1.5), offset(1, -1.5)),
		"a line put too far":               years(offset(1, 1.5), offset(1, -2.5)),
		"four years, all later":            years(nothing, func(r *simulate.Rig) { r.Part.Bent += 0.3 }, func(r *simulate.Rig) { r.Part.Bent += 0.3 }, func(r *simulate.Rig) { r.Part.Bent += 0.3 }),
		"four years, ring early":           years(nothing, func(r *simulate.Rig) { r.Part.RingSlip -= 0.4 }, func(r *simulate.Rig) { r.Part.RingSlip -= 0.4 }, func(r *simulate.Rig) { r.Part.RingSlip -= 0.4 }),
		"three years, a line in one setup": inOneSetup(years(nothing, nothing, offset(1, 0.3))),
		"a year that moved":                years(nothing, func(r *simulate.Rig) { r.Setups[0].Bumped = 3 }),
		"a step for all":                   years(func(r *simulate.Rig) { r.Readout.Step = 0.5 }, nothing, offset(3, 0.4)),
		"one readout that loses motion": ofOne(years(func(r *simulate.Rig) {
			r.Readout.Lost, r.Told.Lost, r.Told.LostLimit, r.Told.Remount = 0.3, 0.3, 0.1, 0.05
		}, offset(0, 0.6))),
		"no ring": years(func(r *simulate.Rig) {
			r.Part.Bonded = false
			for i := range r.Lines {
				r.Lines[i].On = ""
			}
		}, func(r *simulate.Rig) { r.Part.Bent = -1 }),
	} {
		c, err := compare.Sheets(all)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		c.Audits, c.Taken = nil, nil
		found[name] = c
	}
	testkit.Figures(t, "figures/compare-unusual.txt", found)
}

// A line whose place on the sheet changed says nothing of the part, whichever way its
// place changed.
func TestAnotherPlaceIsAnotherLine(t *testing.T) {
	for _, by := range []geometry.Angle{-3, 3} {
		all := years(nothing, nothing)
		name := all[1].Marks[2].Name
		all[1].Marks[2].At += by
		c, err := compare.Sheets(all)
		if err != nil {
			t.Fatal(err)
		}
		if got := c.Steps[0].Lines; slices.Contains(got, name) || len(got) == 0 {
			t.Errorf("%s moved on the sheet by %v, and the lines compared together are %v", name, by, got)
		}
	}
}

// Sheets are of one part unless they say another: a number that one of them leaves open
// is no other.
func TestSheetsOfOnePart(t *testing.T) {
	for name, c := range map[string]struct {
		second func(s *sheet.Sheet)
		refuse bool
	}{
		"the same":             {func(s *sheet.Sheet) {}, false},
		"the part's number":    {func(s *sheet.Sheet) { s.Part.Number = "P 2" }, true},
		"the engine's number":  {func(s *sheet.Sheet) { s.Engine.Number = "E 2" }, true},
		"no number of a part":  {func(s *sheet.Sheet) { s.Part.Number = "" }, false},
		"no number of engines": {func(s *sheet.Sheet) { s.Engine.Number = "" }, false},
		"what carries lines":   {func(s *sheet.Sheet) { s.Part.MarksOn = sheet.OnEngine }, true},
		"the way it runs":      {func(s *sheet.Sheet) { s.Engine.Turns = geometry.Anticlockwise }, true},
	} {
		all := years(nothing, nothing)
		for i := range all {
			all[i].Part.Number, all[i].Engine.Number = "P 1", "E 1"
		}
		c.second(&all[1])
		if _, err := compare.Sheets(all); (err != nil) != c.refuse || err != nil && !strings.Contains(err.Error(), "on sheet 2 than") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// quiet are two years of some lines, each read four times 0.1 off its mean either way,
// of which the first moves by an angle.
func quiet(lines int, moves geometry.Angle) []sheet.Sheet {
	var out []sheet.Sheet
	for year := range 2 {
		s := sheet.Sheet{
			Date:    fmt.Sprintf("202%d-05-01", year),
			Engine:  sheet.Engine{Turns: geometry.Clockwise},
			Part:    sheet.Part{MarksOn: sheet.OnPart},
			Readout: sheet.Readout{Kind: sheet.Encoder, Step: 1e-6, Counts: geometry.CountsUp},
			Limits:  sheet.Limits{Confidence: 0.95},
		}
		u := sheet.Setup{Name: "1", Marks: map[string][]sheet.Reading{}}
		for _, e := range []geometry.Angle{-0.1, 0.1, -0.1, 0.1} {
			u.Trials = append(u.Trials, sheet.Trial{
				Forward: &sheet.Reading{Value: e - 30, Approach: sheet.Forward}, Backward: &sheet.Reading{Value: e + 30, Approach: sheet.Backward},
			})
			for i := range lines {
				at := geometry.Angle(40 * (i + 1))
				value := at + e
				if i == 0 && year == 1 {
					value += moves
				}
				name := fmt.Sprint("line ", i)
				if len(u.Trials) == 1 {
					s.Marks = append(s.Marks, sheet.Mark{Name: name, At: at, Tolerance: 5})
				}
				u.Marks[name] = append(u.Marks[name], sheet.Reading{Value: value, Approach: sheet.Forward})
			}
		}
		s.Setups = []sheet.Setup{u}
		out = append(out, s)
	}
	return out
}

// A change towards early is claimed as one towards late. The border is where its
// probability is 5 % over the number of lines (Bonferroni; NIST/SEMATECH e-Handbook,
// 7.4.7.3).
func TestWhereAChangeIsClaimed(t *testing.T) {
	changed := func(lines int, moves geometry.Angle) compare.Change {
		c, err := compare.Sheets(quiet(lines, moves))
		if err != nil {
			t.Fatal(err)
		}
		return c.Changes[0]
	}
	for _, n := range []int{1, 2, 4} {
		low, high := geometry.Angle(0), geometry.Angle(2)
		for range 25 {
			if middle := (low + high) / 2; changed(n, middle).Differs {
				high = middle
			} else {
				low = middle
			}
		}
		late, early := changed(n, high+1e-6), changed(n, -high-1e-6)
		if !(math.Abs(*late.P*float64(n)-0.05) <= 1e-4) {
			t.Errorf("%d lines: a change is claimed from a probability of %v on", n, *late.P)
		}
		if !early.Differs || !(math.Abs(*late.P-*early.P) <= 1e-9) || !(math.Abs((late.Difference.Value + early.Difference.Value).Degrees()) <= 1e-9) {
			t.Errorf("%d lines: late %+v, early %+v", n, late, early)
		}
	}
}
