package stats

import (
	"math"
	"strconv"
	"testing"
)

// ISO 5725-2:1994, table 6, at 1 %. The print is up to 0.009 low in the column
// n = 2, and up to 0.007 off elsewhere.
func TestMandelAgreesWithTable(t *testing.T) {
	rows := 0
	for _, r := range readCSV(t, "mandel-critical.csv") {
		p := r.number("p")
		rows++
		if got := MandelH(int(p), 0.01); math.Abs(got-r.number("h")) > 0.0075 {
			t.Errorf("h of %g: got %.4f, want %s", p, got, r["h"])
		}
		for n := 2.0; n <= 10; n++ {
			want := r.number("k_n" + strconv.Itoa(int(n)))
			if got := MandelK(n-1, (p-1)*(n-1), 0.01); math.Abs(got-want) > 0.0095 {
				t.Errorf("k of %g with %g: got %.4f, want %g", p, n, got, want)
			}
		}
	}
	if rows < 10 {
		t.Errorf("only %d rows", rows)
	}
	// ASTM E691 at 0.5 %, 8 laboratories, 3 results: 2.15 and 2.06, from memory.
	if h, k := MandelH(8, 0.005), MandelK(2, 14, 0.005); math.Abs(h-2.15) > 0.006 || math.Abs(k-2.06) > 0.006 {
		t.Errorf("E691: got %.4f and %.4f, want 2.15 and 2.06", h, k)
	}
	for name, f := range map[string]func(){"h": func() { MandelH(2, 0.05) }, "k": func() { MandelK(1, 0, 0.05) }} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}

// NIST/SEMATECH e-Handbook, 1.3.5.8: gear diameters, and factors for a unit
// standard deviation at 95 %, both sides.
func TestDeviationFactors(t *testing.T) {
	var x []float64
	for _, r := range readCSV(t, "gear.csv") {
		x = append(x, r.number("diameter"))
	}
	_, sd := MeanStdDev(x)
	low, high := DeviationFactors(float64(len(x)-1), 0.95)
	for _, c := range []struct{ got, want, tol float64 }{
		{sd, 0.0062789, 0.6e-7},
		{low * sd, 0.005512921, 0.6e-9},
		{high * sd, 0.007294048, 0.6e-9},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("got %.9f, want %.9f", c.got, c.want)
		}
	}
	for _, c := range []struct{ n, low, high float64 }{
		{2, 0.4461, 31.9102},
		{3, 0.5207, 6.2847},
		{4, 0.5665, 3.7285},
		{5, 0.5991, 2.8736},
		{6, 0.6242, 2.4526},
		{10, 0.6878, 1.8256},
		{20, 0.7605, 1.4606},
		{30, 0.7964, 1.3443},
		{50, 0.8353, 1.2461},
		{100, 0.8780, 1.1617},
		{1000, 0.9580, 1.0459},
	} {
		low, high := DeviationFactors(c.n-1, 0.95)
		if math.Abs(low-c.low) > 1e-4 || math.Abs(high-c.high) > 1e-4 {
			t.Errorf("n = %g: got %.4f and %.4f, want %.4f and %.4f", c.n, low, high, c.low, c.high)
		}
	}
}

// One mean square alone has the exact chi-square interval, and so has a
// difference of which one part weighs nothing.
func TestComponentLimitsOfOneMeanSquare(t *testing.T) {
	for _, dof := range []float64{1, 2, 5, 30} {
		term := Term{Weight: 0.5, MeanSquare: 3, DOF: dof}
		low, high := SumLimits([]Term{term}, 0.95)
		l, h := DeviationFactors(dof, 0.95)
		if math.Abs(low/(1.5*l*l)-1) > 1e-9 || math.Abs(high/(1.5*h*h)-1) > 1e-9 {
			t.Errorf("sum, %g: got %g and %g", dof, low, high)
		}
		a, b := DifferenceLimits(term, Term{MeanSquare: 3, DOF: 7}, 0.95)
		if math.Abs(a/low-1) > 1e-9 || math.Abs(b/high-1) > 1e-9 {
			t.Errorf("difference, %g: got %g and %g, want %g and %g", dof, a, b, low, high)
		}
	}
}
