package job_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/job"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Three pairs of which the mean has a standard deviation of 0.1°: the expanded
// uncertainty is t times that, with t of 2, 3 and 4 degrees of freedom for 95 %: 4.303,
// 3.182 and 2.776 (NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2).
func TestUnsureTDC(t *testing.T) {
	tests := []struct {
		tolerance geometry.Angle
		pairs     int
		would     float64
		unsure    bool
	}{
		{2, 0, 0, false}, // goal 0.5
		{1.2, 1, 3.182 * 0.1 * math.Sqrt(3.0/4), true}, // goal 0.3
		{1, 2, 2.776 * 0.1 * math.Sqrt(3.0/5), true},   // goal 0.25
		{0.1, 4, 2.447 * 0.1 * math.Sqrt(3.0/7), true}, // more than anybody takes
	}
	for _, test := range tests {
		r := audit.Result{
			Sheet: sheet.Sheet{Limits: sheet.Limits{Confidence: 0.95}, Marks: []sheet.Mark{{Tolerance: test.tolerance}}},
			TDC: tdc.Found{Setups: make([]tdc.Setup, 1), DOF: 2, Budget: uncertainty.Budget{
				{Source: uncertainty.StopContacts, Shape: uncertainty.StudentT, Scale: 0.1, N: 3, DOF: 2, Sensitivity: 1},
			}},
		}
		got, unsure := job.UnsureTDC(r)
		if unsure != test.unsure || got.Pairs != test.pairs || math.Abs(got.Would.Degrees()-test.would) > 0.0002 {
			t.Errorf("tolerance %v: got %+v, %v, want %d pairs and ± %.4f", test.tolerance, got, unsure, test.pairs, test.would)
		}
	}
}
