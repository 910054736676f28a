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
		if got := MandelH(int(p), 0.01); !(math.Abs(got-r.number("h")) <= 0.0075) {
			t.Errorf("h of %g: got %.4f, want %s", p, got, r["h"])
		}
		for n := 2.0; n <= 10; n++ {
			want := r.number("k_n" + strconv.Itoa(int(n)))
			if got := MandelK(n-1, (p-1)*(n-1), 0.01); !(math.Abs(got-want) <= 0.0095) {
				t.Errorf("k of %g with %g: got %.4f, want %g", p, n, got, want)
			}
		}
	}
	if rows < 10 {
		t.Errorf("only %d rows", rows)
	}
	// ASTM E691 at 0.5 %, 8 laboratories, 3 results: 2.15 and 2.06, from memory.
	if h, k := MandelH(8, 0.005), MandelK(2, 14, 0.005); !(math.Abs(h-2.15) <= 0.006) || !(math.Abs(k-2.06) <= 0.006) {
		t.Errorf("E691: got %.4f and %.4f, want 2.15 and 2.06", h, k)
	}
	for name, f := range map[string]func(){
		"h": func() { MandelH(2, 0.05) }, "k": func() { MandelK(1, 0, 0.05) }, "k of none": func() { MandelK(0, 1, 0.05) },
	} {
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
		if !(math.Abs(c.got-c.want) <= c.tol) {
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
		if !(math.Abs(low-c.low) <= 1e-4) || !(math.Abs(high-c.high) <= 1e-4) {
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
		if !(math.Abs(low/(1.5*l*l)-1) <= 1e-9) || !(math.Abs(high/(1.5*h*h)-1) <= 1e-9) {
			t.Errorf("sum, %g: got %g and %g", dof, low, high)
		}
		a, b := DifferenceLimits(term, Term{MeanSquare: 3, DOF: 7}, 0.95)
		if !(math.Abs(a/low-1) <= 1e-9) || !(math.Abs(b/high-1) <= 1e-9) {
			t.Errorf("difference, %g: got %g and %g, want %g and %g", dof, a, b, low, high)
		}
	}
}

// Limits of differences and sums by the same formulas with 30 digits, quantiles by
// bisection of the incomplete gamma and beta functions: outside the project.
func TestLimitsOfMeanSquaresAgainstThirtyDigits(t *testing.T) {
	for _, c := range []struct {
		plus, minus           Term
		confidence, low, high float64
	}{
		{Term{2, 1.5, 5}, Term{1, 0.5, 12}, 0.95, 0.500618949661, 17.5121231046},
		{Term{5, 2, 8}, Term{0.5, 2, 20}, 0.9, 4.09445623483, 28.2461076484},
		{Term{1, 1, 4}, Term{1, 1, 9}, 0.95, 0, 7.18168499611},
		{Term{4, 5, 3}, Term{2, 1, 6}, 0.99, 0, 834.203669611},
	} {
		low, high := DifferenceLimits(c.plus, c.minus, c.confidence)
		if !(math.Abs(low-c.low) <= 1e-8) || !(math.Abs(high/c.high-1) <= 1e-9) {
			t.Errorf("%+v less %+v: got %.12g and %.12g, want %.12g and %.12g", c.plus, c.minus, low, high, c.low, c.high)
		}
	}
	for _, c := range []struct {
		terms                 []Term
		confidence, low, high float64
	}{
		{[]Term{{2, 1.5, 5}, {1, 0.5, 12}}, 0.95, 1.65286724994, 18.5706449039},
		{[]Term{{1, 1, 2}, {0.5, 4, 9}, {4, 0.1, 30}}, 0.9, 2.24416864839, 22.2096992038},
	} {
		low, high := SumLimits(c.terms, c.confidence)
		if !(math.Abs(low/c.low-1) <= 1e-9) || !(math.Abs(high/c.high-1) <= 1e-9) {
			t.Errorf("%+v: got %.12g and %.12g, want %.12g and %.12g", c.terms, low, high, c.low, c.high)
		}
	}
}

// The lower limit of a difference leaves zero, and the upper one comes to it, where
// the F test of the two mean squares turns: the limits are made to be exact there.
func TestLimitsOfADifferenceTurnWithF(t *testing.T) {
	for _, dof := range [][2]float64{{3, 8}, {8, 3}, {20, 20}} {
		minus := Term{Weight: 1, MeanSquare: 2, DOF: dof[1]}
		limits := func(ratio float64) (low, high float64) {
			return DifferenceLimits(Term{Weight: 1, MeanSquare: 2 * ratio, DOF: dof[0]}, minus, 0.95)
		}
		upper, lower := FQuantile(0.025, dof[0], dof[1]), FQuantile(0.975, dof[0], dof[1])
		if low, _ := limits(upper * (1 - 1e-6)); low != 0 {
			t.Errorf("%v: the lower limit is %g where F does not differ", dof, low)
		}
		if low, _ := limits(upper * (1 + 1e-6)); low <= 0 {
			t.Errorf("%v: the lower limit is zero where F differs", dof)
		}
		if _, high := limits(lower * (1 - 1e-6)); high != 0 {
			t.Errorf("%v: the upper limit is %g where F differs the other way", dof, high)
		}
		if _, high := limits(lower * (1 + 1e-6)); high <= 0 {
			t.Errorf("%v: the upper limit is zero where F does not differ", dof)
		}
	}
}
