package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// history is one part audited over the years, by the tests' own engine: moved is
// what all lines have moved by in each audit, from the first on.
func history(r *rig, moved []float64) []sheet.Sheet {
	var sheets []sheet.Sheet
	was := append([]trueLine(nil), r.lines...)
	for i, m := range moved {
		for j := range r.lines {
			r.lines[j].offset = was[j].offset + m
		}
		s := r.sheet()
		s.Date = fmt.Sprintf("%d-04-0%d", 2021+2*i, 1+i)
		sheets = append(sheets, s)
	}
	r.lines = was
	return sheets
}

func historyRig(rng *rand.Rand, setups int) *rig {
	r := newRig(rng).withLines(1, 0, 120, 240, -10)
	for i := range r.lines {
		r.lines[i].offset = 0.6 * rng.NormFloat64()
	}
	r.step, r.setups, r.stopSD, r.readSD = 0.05, setups, 0.1, 0.1
	r.trials, r.readings = 4, 3
	return r
}

// A ring that slips by 0.8 between the second and the third audit is found, with
// date and amount, and nothing is claimed where nothing slipped.
func TestComparisonFindsASlip(t *testing.T) {
	n := 400
	if testing.Short() {
		n = 80
	}
	for _, setups := range []int{1, 3} {
		rng := testkit.Rand(t, 960+uint64(setups))
		var found, held, before, quiet, single int
		for range n {
			r := historyRig(rng, setups)
			r.wheelDiameter, r.offCentre = 280, 0.1
			c, err := audit.Compare(history(r, []float64{0, 0, 0.8, 0.8}))
			if err != nil {
				t.Fatal(err)
			}
			if len(c.Steps) != 3 {
				t.Fatalf("got %d steps, want 3", len(c.Steps))
			}
			if s := c.Steps[1]; s.Finding == audit.Common && s.Common.Value > 0 {
				found++
				if (s.Common.Value - 0.8).Abs() <= s.Common.Expanded {
					held++
				}
			}
			if s := c.Steps[0]; s.Finding == audit.None {
				quiet++
			} else if s.Finding == audit.Common {
				before++
			}
			for _, change := range c.Changes {
				if change.Differs && change.To != 2 {
					single++
					break
				}
			}
		}
		rate := func(k int) float64 { return float64(k) / float64(n) }
		t.Logf("%d setups: slip found %.3f, its size held %.3f; nothing called common %.3f, quiet %.3f; a line claimed %.3f",
			setups, rate(found), float64(held)/math.Max(1, float64(found)), rate(before), rate(quiet), rate(single))
		slack := 3.5 * math.Sqrt(0.05*0.95/float64(n))
		if rate(found) < 0.95-slack || float64(held) < (0.95-slack)*float64(found) {
			t.Errorf("%d setups: found in %.3f, its size held in %.3f", setups, rate(found), float64(held)/float64(found))
		}
		if rate(before) > 0.025+slack || rate(quiet) < 0.95-slack {
			t.Errorf("%d setups: nothing slipped, but common in %.3f, quiet only in %.3f", setups, rate(before), rate(quiet))
		}
		if rate(single) > 0.10+slack { // two steps, each at 5 %
			t.Errorf("%d setups: nothing slipped, but a line is said to have moved in %.3f", setups, rate(single))
		}
	}
}

// A part that creeps by 0.3 a year shows a trend, whose interval holds the truth.
func TestComparisonFindsATrend(t *testing.T) {
	n := 200
	if testing.Short() {
		n = 50
	}
	rng := testkit.Rand(t, 970)
	rising, held := 0, 0
	for range n {
		r := historyRig(rng, 1)
		c, err := audit.Compare(history(r, []float64{0, 0.6, 1.2, 1.8})) // two years apart, but for days
		if err != nil {
			t.Fatal(err)
		}
		last := c.Trends[len(c.Trends)-1]
		if last.Mark != "" {
			t.Fatalf("the last trend is that of %q", last.Mark)
		}
		if last.Rising {
			rising++
		}
		if (last.PerYear.Value - 0.3).Abs() <= last.PerYear.Expanded+0.002 { // the days
			held++
		}
	}
	if rising < n*95/100 || held < n*88/100 {
		t.Errorf("of %d trends %d are seen, %d hold the truth", n, rising, held)
	}
}

// What two audits share does not count twice, nor cancel where it may not: one
// readout's lost motion drops out, remounting stated by one figure adds up.
func TestSharedDoubtsOfAComparison(t *testing.T) {
	r := quietRig(t, 980)
	r.remountLimit, r.lost, r.lostLimit = 0.2, 0.3, 0.1
	sheets := history(r, []float64{0, 0})
	for i := range sheets {
		sheets[i].Readout.Name = "encoder 1"
	}
	difference := func() audit.Estimate {
		c, err := audit.Compare(sheets)
		if err != nil {
			t.Fatal(err)
		}
		return c.Changes[0].Difference
	}
	one := difference()
	if u := rows(one.Budget, "lost motion")[0].Standard(); u.Abs() > 1e-12 {
		t.Errorf("lost motion of one readout leaves %v", u)
	}
	if u, want := rows(one.Budget, "remounting")[0].Standard().Degrees(), 0.4/math.Sqrt(3); math.Abs(u-want) > 1e-12 {
		t.Errorf("remounting of two audits by one figure: %v, want %v", u, want)
	}
	sheets[1].Readout.Name = "encoder 2"
	if got := rows(difference().Budget, "lost motion"); len(got) != 2 {
		t.Errorf("two readouts share their lost motion: %+v", got)
	}
	c := exactly(offCentre(t, r))
	c.Covariance = [][]float64{{1e-4, 0}, {0, 1e-4}}
	for i := range sheets {
		sheets[i].Readout.Name, sheets[i].Readout.Correction = "wheel", &c
	}
	if got := rows(difference().Budget, "readout's correction"); len(got) != 1 {
		t.Errorf("one correction makes %d rows", len(got))
	}
}

func offCentre(t *testing.T, r *rig) *rig {
	t.Helper()
	other := *r
	other.wheelDiameter, other.offCentre = 280, 0.5
	other.mountings = []mounting{{zero: 40}}
	return &other
}

// A line scribed anew as told comes up where it was meant to.
func TestComparisonAfterScribing(t *testing.T) {
	r := historyRig(testkit.Rand(t, 990), 3)
	for i := range r.lines {
		r.lines[i].offset = 0
	}
	r.lines[1].offset = 2.5
	before := r.sheet()
	before.Date = "2026-03-01"
	r.lines[1].offset = 0
	after := r.sheet()
	after.Date = "2026-03-02"
	c, err := audit.Compare([]sheet.Sheet{after, before}) // the dates put them in order
	if err != nil {
		t.Fatal(err)
	}
	if c.Order[0] != 1 || c.Order[1] != 0 {
		t.Fatalf("order %v, want the earlier first", c.Order)
	}
	for _, change := range c.Changes {
		scribed := change.Mark == r.lines[1].name
		if change.Scribed != scribed || scribed && (!change.AsMeant || (change.Meant+2.5).Abs() > 0.4) {
			t.Errorf("%s: %+v", change.Mark, change)
		}
	}
	if s := c.Steps[0]; s.Finding != audit.None || len(s.Lines) != 3 {
		t.Errorf("the other lines: %v over %v", s.Finding, s.Lines)
	}
}

func TestComparisonRefusesOtherParts(t *testing.T) {
	r := historyRig(testkit.Rand(t, 991), 1)
	for name, change := range map[string]func(s *sheet.Sheet){
		"engine.turns":  func(s *sheet.Sheet) { s.Engine.Turns = geometry.Anticlockwise },
		"part.number":   func(s *sheet.Sheet) { s.Part.Number = "P 2" },
		"part.marks_on": func(s *sheet.Sheet) { s.Part.MarksOn = sheet.OnEngine },
	} {
		sheets := history(r, []float64{0, 0})
		sheets[0].Part.Number = "P 1"
		change(&sheets[1])
		if _, err := audit.Compare(sheets); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if _, err := audit.Compare(history(r, []float64{0})); err == nil {
		t.Error("one sheet is compared")
	}
}

// After a readout has moved nothing is said of the new line: neither as meant nor
// not.
func TestAMovedReadoutTellsNothing(t *testing.T) {
	text := `engine: {turns: anticlockwise}
part: {marks_on: part, btdc_lines: anticlockwise, diameter: 165 mm}
readout: {step: 0.5, counts: up, quarter_turn: [10, 100]}
limits: {tolerance: 1}
marks: [{name: TDC, at: 0}, {name: inject 23, at: 23 BTDC}]
setups:
  - stop: {forward: [342.0, 341.5, 342.0, 342.0], backward: [31.0, 31.0, 30.5, 31.0]}
    marks: {TDC: [6.5, 6.0, 6.5], inject 23: [341.5, 341.0, 341.0]}
    closing: {forward: 342.0, backward: 31.0}
`
	before := readSheet(t, text)
	after := readSheet(t, strings.Replace(text, "{forward: 342.0, backward: 31.0}", "{forward: 347.0, backward: 35.5}", 1))
	c, err := audit.Compare([]sheet.Sheet{before, after})
	if err != nil {
		t.Fatal(err)
	}
	if !c.Audits[1].Moved || !c.Audits[0].Marks[1].Scribe.Worthwhile {
		t.Fatal("the audits are not those that the test needs")
	}
	for _, ch := range c.Changes {
		if !ch.Moved || ch.AsMeant || ch.Differs || ch.Difference.Known || !math.IsNaN(ch.P) {
			t.Errorf("%s: got %+v, want nothing known", ch.Mark, ch)
		}
	}
}
