package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// history is one part audited over the years, moved is what all lines
// have moved by in each audit, from the first on.
func history(r *rig, moved ...geometry.Angle) []sheet.Sheet {
	var sheets []sheet.Sheet
	for i, m := range moved {
		r.Part.Bent = m
		s := r.sheet()
		s.Date = fmt.Sprintf("%d-04-0%d", 2021+2*i, 1+i)
		sheets = append(sheets, s)
	}
	r.Part.Bent = 0
	return sheets
}

func historyRig(rng *rand.Rand, setups int) *rig {
	r := newRig(rng).withLines(1, 0, 120, 240, -10)
	for i := range r.Lines {
		r.Lines[i].Offset = geometry.Angle(0.6 * rng.NormFloat64())
	}
	r.Readout.Step, r.setups, *r.hand() = 0.05, setups, simulate.Hand{MiddleSD: 0.1, ReadSD: 0.1}
	r.first().Trials, r.first().Readings = 4, 3
	return r
}

// What two audits share does not count twice, nor cancel where it may not: one
// readout's lost motion drops out, remounting stated by one figure adds up.
func TestSharedDoubtsOfAComparison(t *testing.T) {
	r := quietRig(t, 980)
	r.Told.Remount, r.Readout.Lost, r.Told.Lost, r.Told.LostLimit = 0.2, 0.3, 0.3, 0.1
	sheets := history(r, 0, 0)
	for i := range sheets {
		sheets[i].Readout.Name = "encoder 1"
	}
	difference := func() uncertainty.Estimate {
		c, err := compare.Sheets(sheets)
		if err != nil {
			t.Fatal(err)
		}
		return c.Changes[0].Difference
	}
	one := difference()
	if left := rows(one.Budget, "lost motion"); len(left) > 0 {
		t.Errorf("lost motion of one readout leaves %+v", left)
	}
	if u, want := rows(one.Budget, "remounting")[0].Standard().Degrees(), 0.4/math.Sqrt(3); math.Abs(u-want) > 1e-12 {
		t.Errorf("remounting of two audits by one figure: %v, want %v", u, want)
	}
	sheets[1].Readout.Name = "encoder 2"
	if got := rows(difference().Budget, "lost motion"); len(got) != 2 {
		t.Errorf("two readouts share their lost motion: %+v", got)
	}
	r.onWheel(0.5)
	c := exactly(r)
	c.Covariance = [][]float64{{1e-4, 0}, {0, 1e-4}}
	for i := range sheets {
		sheets[i].Readout.Name, sheets[i].Readout.Correction = "wheel", &c
	}
	if got := rows(difference().Budget, "readout's correction"); len(got) != 1 {
		t.Errorf("one correction makes %d rows", len(got))
	}
}

// A line scribed anew as told comes up where it was meant to.
func TestComparisonAfterScribing(t *testing.T) {
	r := historyRig(testkit.Rand(t, 990), 3)
	for i := range r.Lines {
		r.Lines[i].Offset = 0
	}
	r.Lines[1].Offset = 2.5
	before := r.sheet()
	before.Date = "2026-03-01"
	r.Lines[1].Offset = 0
	after := r.sheet()
	after.Date = "2026-03-02"
	c, err := compare.Sheets([]sheet.Sheet{after, before}) // the dates put them in order
	if err != nil {
		t.Fatal(err)
	}
	if c.Order[0] != 1 || c.Order[1] != 0 {
		t.Fatalf("order %v, want the earlier first", c.Order)
	}
	for _, change := range c.Changes {
		scribed := change.Mark == r.Lines[1].Name
		if change.Scribed != scribed || scribed && (!change.AsMeant || (change.Meant+2.5).Abs() > 0.4) {
			t.Errorf("%s: %+v", change.Mark, change)
		}
	}
	if s := c.Steps[0]; s.Finding != lines.None || len(s.Lines) != 3 {
		t.Errorf("the other lines: %v over %v", s.Finding, s.Lines)
	}
}

func TestComparisonRefusesOtherParts(t *testing.T) {
	r := historyRig(testkit.Rand(t, 991), 1)
	for name, change := range map[string]func(s *sheet.Sheet){
		"engine.turns":  func(s *sheet.Sheet) { s.Engine.Turns = geometry.Anticlockwise },
		"part.number":   func(s *sheet.Sheet) { s.Part.Number = "P 2" },
		"engine.number": func(s *sheet.Sheet) { s.Engine.Number = "E 2" },
		"part.marks_on": func(s *sheet.Sheet) { s.Part.MarksOn = sheet.OnEngine },
	} {
		sheets := history(r, 0, 0)
		sheets[0].Part.Number, sheets[0].Engine.Number = "P 1", "E 1"
		if _, err := compare.Sheets(sheets); err != nil { // who leaves a number out says nothing against it
			t.Errorf("a sheet without numbers beside one with: got %v", err)
		}
		change(&sheets[1])
		if _, err := compare.Sheets(sheets); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if _, err := compare.Sheets(history(r, 0)); err == nil {
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
	c, err := compare.Sheets([]sheet.Sheet{before, after})
	if err != nil {
		t.Fatal(err)
	}
	if !c.Audits[1].Diagnosis.ReadoutMoved() || !c.Audits[0].ByLine()[1].Scribe.Worthwhile {
		t.Fatal("the audits are not those that the test needs")
	}
	for _, ch := range c.Changes {
		if !ch.Moved || ch.AsMeant || ch.Differs || ch.Difference.Known || ch.P != nil {
			t.Errorf("%s: got %+v, want nothing known", ch.Mark, ch)
		}
	}
}
