package plan

import (
	"math"
	"testing"
)

// c₄ of the control charts (NIST/SEMATECH e-Handbook, 6.3.2, table of factors), of n
// values on n - 1 degrees of freedom.
func TestExpectedScatter(t *testing.T) {
	for n, want := range map[float64]float64{2: 0.7979, 3: 0.8862, 4: 0.9213, 5: 0.9400, 10: 0.9727, 25: 0.9896} {
		if got := expected(n - 1); !(math.Abs(got-want) <= 0.6e-4) {
			t.Errorf("of %g values: %.4f, want %.4f", n, got, want)
		}
	}
	if expected(0) != 0 {
		t.Error("a single value scatters")
	}
	// χ² on 4 degrees of freedom falls below 1.063623, 3.356694 and 7.779440 with 0.1, 0.5
	// and 0.9 (printed tables).
	got := multiples(4)
	for i, chi := range map[int]float64{0: 1.063623, 2: 3.356694, 4: 7.779440} {
		if want := math.Sqrt(chi / 4); !(math.Abs(got[i]-want) <= 1e-6) {
			t.Errorf("quantile %d: %.6f, want %.6f", i, got[i], want)
		}
	}
	// 2.194698 and 4.878433 with 0.3 and 0.7 (R: qchisq).
	for i, chi := range map[int]float64{1: 2.194698, 3: 4.878433} {
		if want := math.Sqrt(chi / 4); !(math.Abs(got[i]-want) <= 1e-6) {
			t.Errorf("quantile %d: %.6f, want %.6f", i, got[i], want)
		}
	}
}

// By adding up: each place of the true value between two graduations, and each
// graduation that is then read with its probability.
func TestRoundingByAddingUp(t *testing.T) {
	const q = 0.25
	for _, sd := range []float64{0.01, 0.05, 0.1, 0.2, 0.5} {
		var alike, within float64
		const places = 400
		for i := range places {
			u := (float64(i) + 0.5) / places * q
			var mean, squares float64
			for k := -30.0; k <= 30; k++ {
				p := (math.Erf((k*q+q/2-u)/(sd*math.Sqrt2)) - math.Erf((k*q-q/2-u)/(sd*math.Sqrt2))) / 2
				mean += p * k * q
				squares += p * k * q * k * q
			}
			alike += (mean - u) * (mean - u) / places
			within += (squares - mean*mean) / places
		}
		for _, n := range []float64{1, 3, 8} {
			ofMean, seen := rounding(sd, q, n)
			if !(math.Abs(seen-within) <= 2e-6) || !(math.Abs(ofMean-(within/n+alike)) <= 2e-6) {
				t.Errorf("sd %g, %g values: mean %.7f, within %.7f; added up %.7f and %.7f", sd, n, ofMean, seen, within/n+alike, within)
			}
		}
	}
	// What does not scatter rounds alike, and shows nothing of it.
	if ofMean, within := rounding(0, q, 5); !(math.Abs(ofMean/(q*q/12)-1) <= 0.005) || !(math.Abs(within) <= 0.005*q*q/12) {
		t.Errorf("without scatter: %g and %g", ofMean, within)
	}
}
