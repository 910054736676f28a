package audit_test

import (
	"math"
	"slices"
	"testing"

	"markaudit/audit/lines"
)

// The line that fits worst of five is the worst of five draws: it differs only
// where its own probability, times five, is small (Bonferroni; NIST/SEMATECH
// e-Handbook, 7.4.7.3). By hand: lines with means of four readings, one pooled
// standard deviation of 0.1 with fifteen degrees of freedom, so that a mean has a
// variance of v = 0.0025. Of n lines, one is held against the mean of the others
// by t² = (difference)²/(v (1 + 1/(n - 1))). Taken out, it leaves n - 1.
func TestTheLineThatDiffersIsTheWorstOfMany(t *testing.T) {
	const v, dof = 0.1 * 0.1 / 4, 15
	// times is n P(F(1, ν) > t²) for the line at an offset, with the offsets of the
	// others.
	times := func(line float64, others ...float64) float64 {
		n, mean := float64(len(others)+1), 0.0
		for _, x := range others {
			mean += x / (n - 1)
		}
		return n * fAbove((line-mean)*(line-mean)/(v*(1+1/(n-1))), 1, dof)
	}
	for _, c := range []struct {
		name    string
		offsets []float64
		tried   []float64 // times, of the lines tried one after another
		want    lines.Finding
		out     string
	}{
		// The sum of squares says that these lines differ, but no line does, and the
		// sum decides nothing.
		{"two lines apart", []float64{0.14, -0.14, 0, 0, 0}, []float64{times(0.14, -0.14, 0, 0, 0)}, lines.None, ""},
		{
			"one line off",
			[]float64{0.2, -0.05, -0.05, -0.05, -0.05},
			[]float64{times(0.2, -0.05, -0.05, -0.05, -0.05), times(-0.05, -0.05, -0.05, -0.05)},
			lines.SingleMark, "line 1",
		},
		{
			"two lines off",
			[]float64{0.4, -0.25, 0, 0.01, 0},
			[]float64{times(0.4, -0.25, 0, 0.01, 0), times(-0.25, 0, 0.01, 0), times(0.01, 0, 0)},
			lines.Individual, "",
		},
		{"all alike", []float64{0.4, 0.4, 0.42, 0.4, 0.4}, []float64{times(0.42, 0.4, 0.4, 0.4, 0.4)}, lines.Common, ""},
	} {
		for i, p := range c.tried {
			if differs := i < len(c.tried)-1; (p < 0.025) != differs {
				t.Fatalf("%s: the line tried at %d has %v: the test shows nothing", c.name, i+1, p)
			}
		}
		var mean, q float64
		for _, x := range c.offsets {
			mean += x / 5
		}
		for _, x := range c.offsets {
			q += (x - mean) * (x - mean) / v
		}
		differ := fAbove(q/4, 4, dof)
		if c.name == "two lines apart" && differ > 0.025 {
			t.Fatalf("the sum of squares has %v: the test shows nothing", differ)
		}
		shift := audited(t, handSheet(c.offsets...)).Together
		if math.Abs(*shift.Homogeneity-differ) > 1e-6 {
			t.Errorf("%s: got a probability of %v that the lines are alike, want %v", c.name, *shift.Homogeneity, differ)
		}
		if shift.Finding != c.want || slices.Contains(shift.StandsOut, c.out) != (c.out != "") {
			t.Errorf("%s: got %v, standing out %q, want %v", c.name, shift.Finding, shift.StandsOut, c.want)
		}
	}
}
