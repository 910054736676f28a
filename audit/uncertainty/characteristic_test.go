package uncertainty

import (
	"math"
	"math/cmplx"
	"testing"

	"markaudit/audit/internal/testkit"
)

// R 4.2.2, besselK; see testdata/reference/quantiles.R.
func TestBesselKAgreesWithR(t *testing.T) {
	n := 0
	for _, r := range testkit.Reference(t, "quantiles.csv") {
		line := r.Texts()
		if line[0] != "besselK" {
			continue
		}
		n++
		got, k1 := besselK(number(t, line[1]))
		if line[2] == "1" {
			got = k1
		}
		if want := number(t, line[4]); !(math.Abs(got/want-1) <= 2e-14) { // R's last digits
			t.Errorf("K%s(%s) = %.16g, want %.16g", line[2], line[1], got, want)
		}
	}
	if n < 20 {
		t.Errorf("only %d values", n)
	}
}

// Gauss-Legendre quadrature with sixteen nodes is exact up to degree 31
// (Abramowitz and Stegun 25.4.29).
func TestGaussNodes(t *testing.T) {
	for degree := 0; degree < 32; degree += 2 {
		var got float64
		for _, g := range gauss {
			got += 2 * g.weight * math.Pow(g.node, float64(degree))
		}
		if want := 2 / float64(degree+1); !(math.Abs(got-want) <= 1e-15) {
			t.Errorf("degree %d: got %.16g, want %.16g", degree, got, want)
		}
	}
}

// Student's t: closed forms at 1 and 3 degrees of freedom, the first moments of
// others (1 - ½ var·t²), and the two ways of computing it where they meet.
func TestStudentCharacteristic(t *testing.T) {
	for _, x := range []float64{0, 1e-9, 0.01, 0.3, 1, 4, 20} {
		if got, want := student(1, 1).own(x), math.Exp(-x); !(math.Abs(got-want) <= 1e-15) {
			t.Errorf("1 degree of freedom at %g: got %g, want %g", x, got, want)
		}
		z := math.Sqrt(3) * x
		if got, want := student(1, 3).own(x), (1+z)*math.Exp(-z); !(math.Abs(got-want) <= 1e-15) {
			t.Errorf("3 degrees of freedom at %g: got %g, want %g", x, got, want)
		}
		got, want := student(1, manyDOF).own(x), manyStudentCharacteristic(x, manyDOF)
		if !(math.Abs(got-want) <= 2e-8) {
			t.Errorf("%d degrees of freedom at %g: got %.10g, expanded %.10g", manyDOF, x, got, want)
		}
		if want := math.Exp(-x * x / 2); !(math.Abs(manyStudentCharacteristic(x, 1e12)-want) <= 1e-11) {
			t.Errorf("many degrees of freedom at %g are not normal", x)
		}
	}
	for dof := 5; dof < 400; dof++ {
		const x = 1e-3
		variance := float64(dof) / float64(dof-2)
		got := 2 * (1 - student(1, float64(dof)).own(x)) / (x * x)
		if !(math.Abs(got/variance-1) <= 1e-5) { // x² times the fourth moment
			t.Errorf("%d degrees of freedom: variance %g, want %g", dof, got, variance)
		}
	}
	for _, x := range []float64{1e3, 1e9, 1e300} {
		for _, dof := range []float64{1, 2, 8, 500, 501, 1e9} {
			if got := student(1, dof).own(x); got != 0 {
				t.Errorf("%g degrees of freedom at %g: got %g, want 0", dof, x, got)
			}
		}
	}
}

func TestWaveIsTheCharacteristicFunction(t *testing.T) {
	for _, shape := range []Shape{Rectangular, Triangular, Arcsine} {
		for _, x := range []float64{3.5, 8, 31, 1e3, 1e6} {
			term := Term{Shape: shape, Scale: 2}
			z := 2 * x
			got := real(term.wave(x) * cmplx.Exp(complex(0, z)))
			if shape == Triangular {
				got += 2 / (z * z)
			}
			if want := term.own(x); !(math.Abs(got-want) <= 1e-10*term.bound(x)) {
				t.Errorf("%v at %g: got %g, want %g", shape, x, got, want)
			}
		}
	}
}

func TestEnvelopeBounds(t *testing.T) {
	for shape := Normal; shape <= Arcsine; shape++ {
		term := Term{Shape: shape, Scale: 1, DOF: 3}
		last := 1.0
		for x := 0.0; x < 60; x += 0.01 {
			e := term.bound(x)
			if e > last || !(math.Abs(term.own(x)) <= e*(1+1e-12)) {
				t.Fatalf("%v at %g: envelope %g, before %g, function %g", shape, x, e, last, term.own(x))
			}
			last = e
		}
	}
}

func (c Term) own(t float64) float64 {
	own, _ := c.characteristic(t)
	return own
}

func (c Term) bound(t float64) float64 {
	own, _ := c.envelope(t)
	return own
}
