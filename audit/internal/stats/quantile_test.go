package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// R 4.2.2, see testdata/reference/quantiles.R. The tolerances are those of the
// doc comments.
func TestQuantilesAgreeWithR(t *testing.T) {
	seen := map[string]int{}
	for _, r := range readCSV(t, "quantiles.csv") {
		p, d1, d2, want := r.number("p"), r.number("d1"), r.number("d2"), r.number("value")
		var got, tol float64
		switch r["function"] {
		case "qt":
			got, tol = TQuantile(p, d1), 1e-10
		case "qchisq":
			got, tol = ChiSquaredQuantile(p, d1), 1e-12
		case "qf":
			got, tol = FQuantile(p, d1, d2), 1e-8 // R's own iteration ends there in a flat tail
		case "pf":
			got, tol = FSurvival(p, d1, d2), 1e-10
		default:
			continue
		}
		seen[r["function"]]++
		if want != 0 && !(math.Abs(got/want-1) <= tol) {
			t.Errorf("%s(%g, %g, %g) = %.15g, want %.15g", r["function"], p, d1, d2, got, want)
		}
	}
	for _, f := range []string{"qt", "qchisq", "qf", "pf"} {
		if seen[f] < 20 {
			t.Errorf("only %d values of %s", seen[f], f)
		}
	}
}

// JCGM 100:2008, table G.2, to six decimals.
func TestTQuantileAgreesWithTableG2(t *testing.T) {
	for _, r := range readCSV(t, "gum-table-g2.csv") {
		for name, p := range map[string]float64{
			"t_0.6827": 0.6827, "t_0.9": 0.9, "t_0.95": 0.95, "t_0.9545": 0.9545, "t_0.99": 0.99, "t_0.9973": 0.9973,
		} {
			got, want := -TQuantile((1-p)/2, r.number("nu")), r.number(name)
			if !(math.Abs(got-want) <= 0.6e-6) { // half of the last digit
				t.Errorf("t factor of %g at %s degrees of freedom: got %.6f, want %.6f", p, r["nu"], got, want)
			}
		}
	}
	// Values seen in print, two decimals.
	for _, c := range []struct{ p, nu, want float64 }{
		{0.6827, 1, 1.84},
		{0.95, 1, 12.71},
		{0.9973, 5, 5.51},
		{0.9, 20, 1.72},
		{0.9545, math.Inf(1), 2.00},
		{0.9973, 2, 19.21},
		{0.9, 10, 1.81},
		{0.95, 20, 2.09},
		{0.99, 11, 3.11},
	} {
		if got := -TQuantile((1-c.p)/2, c.nu); !(math.Abs(got-c.want) <= 0.0051) {
			t.Errorf("t factor of %g at %g: got %.3f, want %.2f", c.p, c.nu, got, c.want)
		}
	}
}

// F with 2 and d2 degrees of freedom has the closed survival (1 + 2x/d2)^(-d2/2),
// with d1 and 2 the closed distribution (d1 x/(2 + d1 x))^(d1/2).
func TestFAgainstClosedForms(t *testing.T) {
	for _, d := range []float64{0.5, 1, 3, 10, 777, 1e5} {
		for _, q := range []float64{0.99, 0.5, 0.05, 1e-5, 1e-12, 1e-40} {
			want := d / 2 * math.Expm1(-2/d*math.Log(q))
			if got := FQuantile(q, 2, d); !(math.Abs(got/want-1) <= 1e-9) {
				t.Errorf("FQuantile(%g, 2, %g) = %.12g, want %.12g", q, d, got, want)
			}
		}
		for _, q := range []float64{0.99, 0.5, 0.05} {
			v := math.Pow(1-q, 2/d)
			want := 2 * v / (d * -math.Expm1(math.Log1p(-q)*2/d))
			if got := FQuantile(q, d, 2); !(math.Abs(got/want-1) <= 1e-8) {
				t.Errorf("FQuantile(%g, %g, 2) = %.12g, want %.12g", q, d, got, want)
			}
		}
	}
}

// A bound that is the root itself is not left again for the slow way: then thirty steps
// would not do.
func TestFQuantileThatIsHit(t *testing.T) {
	for _, c := range []struct{ d1, d2 float64 }{{1, 98.2}, {8.3, 1.26}, {63.2, 0.48}, {0.7, 7133}, {1, 4}, {1, 16}, {3, 9}} {
		for x := 0.02; x < 40; x *= 1.03 {
			q := FSurvival(x, c.d1, c.d2)
			if got := FQuantile(q, c.d1, c.d2); q > 1e-200 && !(math.Abs(got/x-1) <= 1e-11/(1-q)) { // a probability near 1 holds few digits of x
				t.Errorf("%g and %g degrees of freedom: %.15g, want %.15g", c.d1, c.d2, got, x)
			}
		}
	}
}

// The probability beyond t by quadrature of the density, its factor by the series of a
// ratio of gamma functions (DLMF 5.11.13): from 10,000 degrees of freedom on the
// quantile is an expansion, and far out its last term counts.
func TestTQuantileOfManyDegreesByQuadrature(t *testing.T) {
	for _, dof := range []float64{1e4, 3e4} {
		factor := (1 + (-1./4+(1./32+5./128/dof)/dof)/dof) / math.Sqrt(2*math.Pi)
		density := func(x float64) float64 { return factor * math.Exp(-(dof+1)/2*math.Log1p(x*x/dof)) }
		for _, p := range []float64{0.3, 0.025, 1e-4, 1e-9, 1e-15} {
			from := -TQuantile(p, dof)
			const n, width = 4000, 10 // Simpson's rule
			sum := density(from+width) - density(from)
			for i := range n {
				x := from + float64(i)*width/n
				sum += 4*density(x+0.5*width/n) + 2*density(x+width/n)
			}
			if got := sum * width / n / 6; !(math.Abs(got/p-1) <= 2e-10) { // what the expansion leaves out, at 1e-15
				t.Errorf("%g degrees of freedom: %.14g beyond the quantile of %g (%.1e)", dof, got, p, got/p-1)
			}
		}
	}
}

func TestQuantileAndProbabilityInvert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := math.Exp(rapid.Float64Range(-30, -0.01).Draw(t, "log q"))
		d1 := math.Exp(rapid.Float64Range(0, 7).Draw(t, "log d1"))
		d2 := math.Exp(rapid.Float64Range(0, 13).Draw(t, "log d2"))
		if got := FSurvival(FQuantile(q, d1, d2), d1, d2); !(math.Abs(got/q-1) <= 1e-9) {
			t.Fatalf("survival of the quantile is %g, want %g", got, q)
		}
		if q < 0.5 {
			x := TQuantile(q, d2)
			if got := FSurvival(x*x, 1, d2) / 2; !(math.Abs(got/q-1) <= 1e-7) { // tails of 1e-13 amplify the quantile's 1e-10
				t.Fatalf("t: probability of the quantile is %g, want %g", got, q)
			}
			if y := TQuantile(1-q, d2); q > 0.01 && !(math.Abs(y/x+1) <= 1e-9) {
				t.Fatalf("quantiles %g and %g are not opposite", x, y)
			}
		}
	})
}
