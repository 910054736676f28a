package uncertainty

import "math"

// besselK returns the modified Bessel functions K0(z) and K1(z) of the second
// kind for z > 0, good to 1e-14 of themselves. Up to 2 it sums the series of
// DLMF 10.31.1 and 10.31.2, beyond it Chebyshev series of √z·e^z·K(z) in 4/z - 1.
func besselK(z float64) (k0, k1 float64) {
	if z > 2 {
		s := 4/z - 1
		scale := math.Exp(-z) / math.Sqrt(z)
		k0, k1 = chebyshev(s)
		return scale * k0, scale * k1
	}
	const euler = 0.57721566490153286061
	q := z * z / 4
	log := math.Log(z / 2)
	psi := -euler    // digamma of k+1
	t0, t1 := 1., 1. // q^k/(k!)², q^k/(k!(k+1)!)
	i1, s1 := 0., 0. // I1 and the second sum of K1, over z/2
	for k := 1.0; ; k++ {
		next := psi + 1/k
		k0 += t0 * (psi - log)
		i1 += t1
		s1 += t1 * (psi + next)
		psi = next
		t0 *= q / (k * k)
		t1 *= q / (k * (k + 1))
		if t0 < 1e-18 {
			return k0, 1/z + z/2*(log*i1-s1/2)
		}
	}
}

// chebyshev sums ½c₀ + Σ c_k T_k(x) by Clenshaw's recurrence, for K0 and K1 side by
// side: neither waits for the other.
func chebyshev(x float64) (k0, k1 float64) {
	var b0, next0, b1, next1 float64
	for k := len(chebyshevK0) - 1; k > 0; k-- {
		b0, next0 = 2*x*b0-next0+chebyshevK0[k], b0
		b1, next1 = 2*x*b1-next1+chebyshevK1[k], b1
	}
	return x*b0 - next0 + chebyshevK0[0]/2, x*b1 - next1 + chebyshevK1[0]/2
}

// Coefficients of √z·e^z·K(z) on z ≥ 2, computed with 40 digits from the
// function's values by testdata/reference/bessel.py.
var (
	chebyshevK0 = [18]float64{
		2.440303082065955455, -0.03144810131196450054, 0.001569883885730053375,
		-0.0001284954958162780264, 0.00001394981371887649936, -1.831755522719119485e-6,
		2.766813639445015076e-7, -4.660489897687947666e-8, 8.574034017414226086e-9,
		-1.697534509389061516e-9, 3.577397281400328447e-10, -7.957489244477397038e-11,
		1.855949114954926555e-11, -4.514597883374519175e-12, 1.140340588207344235e-12,
		-2.980096923148178355e-13, 8.032890775068374369e-14, -2.22751332674629636e-14,
	}
	chebyshevK1 = [18]float64{
		2.720626190484442669, 0.1039237365768172384, -0.002857816859622779387,
		0.0001952155184713516311, -0.0000193619797416608296, 2.406484947837217117e-6,
		-3.501960603087812542e-7, 5.741084125450049292e-8, -1.034576246567809703e-8,
		2.015049755197034616e-9, -4.190354759341925584e-10, 9.218315187605314126e-11,
		-2.129967838427791022e-11, 5.13963967348234354e-12, -1.289173960949822935e-12,
		3.34841966605224312e-13, -8.976705182010146069e-14, 2.477154424219598681e-14,
	}
)
