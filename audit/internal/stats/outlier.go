package stats

import "math"

// sameValue is the spread, relative to the largest magnitude, below which
// values count as equal: what is left of equal readings after arithmetic.
const sameValue = 1e-13

// Grubbs tests the value farthest from the mean, on either side, at
// significance alpha: two-sided, Student's t at alpha/(2n)
// (NIST/SEMATECH e-Handbook, 1.3.5.17.1; ISO 5725-2, 7.3.4). The value stands
// out if g exceeds critical. The one-sided critical value in print for the
// same data is smaller. Without spread, or with fewer than three values, the
// index is -1 and there is no test. Of equal deviations the first is taken.
func Grubbs(x []float64, alpha float64) (index int, g, critical float64) {
	n := float64(len(x))
	if n < 3 {
		return -1, 0, 0
	}
	mean, sd := MeanStdDev(x)
	var far, largest float64
	for i, v := range x {
		if d := math.Abs(v - mean); d > far {
			index, far = i, d
		}
		largest = math.Max(largest, math.Abs(v))
	}
	if far <= sameValue*largest {
		return -1, 0, 0
	}
	t := TQuantile(alpha/(2*n), n-2)
	return index, far / sd, (n - 1) / math.Sqrt(n) * math.Sqrt(t*t/(n-2+t*t))
}

// Cochran tests the largest of variances, each with dof degrees of freedom, at
// significance alpha (ISO 5725-2, 7.3.3): one-sided, for only a large variance
// stands out.
//
//	C = max s²/Σ s²,  critical = F/(F + p - 1),  F at upper alpha/p with (dof, (p-1)dof)
//
// The variance stands out if c exceeds critical. The critical value is exact
// from 0.5 up and below by less than the last digit of printed tables
// elsewhere. With fewer than two variances, without a degree of freedom, or
// with all variances zero the index is -1 and there is no test.
func Cochran(variances []float64, dof, alpha float64) (index int, c, critical float64) {
	p := float64(len(variances))
	var sum, largest float64
	for i, v := range variances {
		sum += v
		if v > largest {
			index, largest = i, v
		}
	}
	if p < 2 || !(dof > 0) || sum == 0 {
		return -1, 0, 0
	}
	f := FQuantile(alpha/p, dof, (p-1)*dof)
	return index, largest / sum, f / (f + p - 1)
}

// Outlier is the value that stands out most from the cell that it is in.
type Outlier struct {
	Cell      int
	Index     []int   // in that cell: two, in a cell of two, which accuse each other; nil where there is no test
	Deviation float64 // from the mean of the rest of its cell
	T, DOF    float64
	P         float64 // probability of so large a t among n values, at most 1
}

// StandsOut holds every value against the mean of the others of its cell, with the
// scatter pooled over all cells without that value, and returns the one that
// stands out most; of equal ones the first.
//
//	t = |x - mean of the rest| / √(v (1 + 1/(m - 1))),   p = 2 n P(t_ν > t)
//
// m values are in the cell; v is at least the square of floor, which is what the
// step alone scatters by; n is the number of values that could have stood out, of
// this kind and of others (the deleted residual; Cook and Weisberg, Residuals and
// Influence in Regression (1982), 2.2, with Bonferroni's inequality). A cell of
// one value says nothing, nor do cells without a degree of freedom, nor values
// without any scatter and a floor of zero.
func StandsOut(cells [][]float64, floor float64, n int) Outlier {
	out := Outlier{P: 1}
	squares, dof := make([]float64, len(cells)), 0.0
	for c, x := range cells {
		if len(x) > 1 {
			_, sd := MeanStdDev(x)
			squares[c] = sd * sd * float64(len(x)-1)
			dof += float64(len(x) - 1)
		}
	}
	nu := dof - 1
	if nu < 1 {
		return out
	}
	for c, x := range cells {
		m := float64(len(x))
		if m < 2 {
			continue
		}
		rest := make([]float64, len(x)-1)
		for i := range x {
			copy(rest, x[:i])
			copy(rest[i:], x[i+1:])
			mean, sd := MeanStdDev(rest)
			// The other cells are added up without this one, whose difference from
			// the total would lose its digits.
			others := 0.0
			for k, s := range squares {
				if k != c {
					others += s
				}
			}
			v := math.Max((others+sd*sd*(m-2))/nu, floor*floor)
			if v == 0 {
				continue
			}
			d := math.Abs(x[i] - mean)
			t := d / math.Sqrt(v*(1+1/(m-1)))
			if t > out.T*(1+sameValue) {
				out = Outlier{Cell: c, Index: []int{i}, Deviation: d, T: t, DOF: nu}
			}
		}
	}
	if out.Index == nil {
		return Outlier{P: 1}
	}
	if len(cells[out.Cell]) == 2 {
		out.Index = []int{0, 1}
	}
	out.P = math.Min(1, 2*float64(n)*TSurvival(out.T, out.DOF))
	return out
}
