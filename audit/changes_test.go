package audit_test

import (
	"testing"

	"markaudit/audit/compare"
	"markaudit/audit/sheet"
)

// compared holds a sheet against the same part with other offsets.
func compared(t *testing.T, before, after []float64) []compare.Change {
	t.Helper()
	one, two := handSheet(before...), handSheet(after...)
	one.Date, two.Date = "2024-05-01", "2025-05-01"
	c, err := compare.Sheets([]sheet.Sheet{one, two})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Changes) != len(before) {
		t.Fatalf("got %d changes, want one a line", len(c.Changes))
	}
	return c.Changes
}

// A line that has become early has changed as surely as one that has become late
// by as much: the interval is symmetric.
func TestAChangeEitherWayIsClaimed(t *testing.T) {
	none := []float64{0, 0, 0}
	late, early := compared(t, none, []float64{0, 1.2, 0})[1], compared(t, none, []float64{0, -1.2, 0})[1]
	for what, c := range map[string]compare.Change{"late": late, "early": early} {
		if !c.Differs || *c.P > 0.001 {
			t.Errorf("%s by twelve standard deviations: got differs %v with a probability of %v, want it claimed", what, c.Differs, *c.P)
		}
	}
	if !alike(*late.P, *early.P) || late.Difference.Value.Abs()-early.Difference.Value.Abs() > 1e-9 {
		t.Errorf("got %v with %v late and %v with %v early, want the same", late.Difference.Value, *late.P, early.Difference.Value, *early.P)
	}
}

// With so many lines compared at once one of them may seem to have changed by
// chance: its probability counts times the number of lines (Bonferroni; NIST/
// SEMATECH e-Handbook, 7.4.7.3). A line that is compared alone is claimed with a
// probability that is no smaller.
func TestAChangeIsWeighedByTheNumberOfLines(t *testing.T) {
	among := compared(t, []float64{0, 0, 0, 0}, []float64{0.25, 0, 0, 0})[0]
	alone := compared(t, []float64{0}, []float64{0.29})[0]
	for what, p := range map[string]float64{"among four": *among.P, "alone": *alone.P} {
		if p < 0.05/4 || p > 0.05 {
			t.Fatalf("%s: got a probability of %v, want one between 0.0125 and 0.05: the test shows nothing", what, p)
		}
	}
	if among.Differs || !alone.Differs {
		t.Errorf("got differs %v for one line among four and %v for one alone, want only the latter", among.Differs, alone.Differs)
	}
}
