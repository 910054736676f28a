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
