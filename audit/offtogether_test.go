package audit_test

import (
	"testing"

	"markaudit/audit/lines"
)

// Lines that are off by different amounts, but all the same way and by more than
// twice what they differ by, are off together first (docs/method.md, Findings).
func TestLinesOffTogetherByFarMoreThanTheyDiffer(t *testing.T) {
	for _, c := range []struct {
		offsets []float64
		act     bool
	}{
		{[]float64{6.0, 8.9, 7.2}, true},  // apart by 2.9: 5.8
		{[]float64{6.0, 9.1, 7.2}, false}, // apart by 3.1: 6.2
		{[]float64{-6.0, -8.9, -7.2}, true},
		{[]float64{-6.0, -9.1, -7.2}, false},
		{[]float64{4.9, 6.0, 5.4}, false}, // by no more than five
	} {
		s := handSheet(c.offsets...)
		for i := range s.Marks {
			s.Marks[i].Tolerance = 0.5
		}
		told := audited(t, s).Diagnosis
		shift := told.Together
		if shift.Finding != lines.Individual {
			t.Fatalf("%v: got %v, want lines that differ: the test shows nothing", c.offsets, shift.Finding)
		}
		if told.Act != c.act {
			t.Errorf("%v: got off together %v, want %v", c.offsets, told.Act, c.act)
		}
	}
}
