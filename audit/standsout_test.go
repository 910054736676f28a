package audit_test

import (
	"slices"
	"testing"

	"markaudit/audit/lines"
)

// The line that fits worst of five is the worst of five draws: alone it stands
// out only where its own probability, times five, is small (Bonferroni; NIST/
// SEMATECH e-Handbook, 7.4.7.3). By hand: lines with means of four readings, one
// pooled standard deviation of 0.1 with fifteen degrees of freedom, so that a
// mean has a variance of v = 0.0025; q is the sum of squares over v, and leaving
// out a line lowers it by d²/(v·4/5).
func TestTheLineThatStandsOutIsTheWorstOfMany(t *testing.T) {
	const v, dof, count = 0.1 * 0.1 / 4, 15, 5
	for _, c := range []struct {
		name    string
		offsets []float64 // with a mean of zero
		want    lines.Finding
		out     string
	}{
		// Two lines on opposite sides: either could be the one.
		{"two lines apart", []float64{0.14, -0.14, 0, 0, 0}, lines.Individual, ""},
		{"one line off", []float64{0.2, -0.05, -0.05, -0.05, -0.05}, lines.SingleMark, "line 1"},
	} {
		var q float64
		for _, x := range c.offsets {
			q += x * x / v
		}
		largest := c.offsets[0] * c.offsets[0] / (v * 4 / 5)
		differ, alone := fAbove(q/(count-1), count-1, dof), fAbove(largest, 1, dof)
		if differ > 0.025 || alone > 0.025 || (count*alone < 0.025) != (c.want == lines.SingleMark) {
			t.Fatalf("%s: lines differ with %v, the worst with %v: the test shows nothing", c.name, differ, alone)
		}
		shift := audited(t, handSheet(c.offsets...)).Together
		if d := *shift.Homogeneity - differ; d > 1e-6 || d < -1e-6 {
			t.Errorf("%s: got a probability of %v that the lines are alike, want %v", c.name, *shift.Homogeneity, differ)
		}
		if shift.Finding != c.want || slices.Contains(shift.StandsOut, c.out) != (c.out != "") {
			t.Errorf("%s: got %v, standing out %q, want %v", c.name, shift.Finding, shift.StandsOut, c.want)
		}
	}
}
