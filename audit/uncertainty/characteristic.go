package uncertainty

import "math"

// manyDOF is the number of degrees of freedom above which the characteristic
// function of Student's t is expanded in 1/dof: from there the terms left out
// move a probability by less than 1e-8.
const manyDOF = 500

// characteristic returns the characteristic function of the sum of the terms
// at t ≥ 0. Equal neighbours are evaluated once.
func characteristic(terms []Term, t float64) float64 {
	product, last := 1.0, 0.0
	for i, term := range terms {
		if i == 0 || term != terms[i-1] {
			last = term.characteristic(t)
		}
		product *= last
	}
	return product
}

// envelope returns a bound of characteristic that only falls.
func envelope(terms []Term, t float64) float64 {
	product := 1.0
	for _, term := range terms {
		product *= term.envelope(t)
	}
	return product
}

// characteristic returns the characteristic function of the term at t ≥ 0.
func (c Term) characteristic(t float64) float64 {
	z := c.Scale * t
	switch c.Shape {
	case Rectangular:
		return sinc(z)
	case Triangular:
		s := sinc(z / 2)
		return s * s
	case Arcsine:
		return math.J0(z)
	case StudentT:
		return studentCharacteristic(z, c.DOF)
	}
	return math.Exp(-z * z / 2)
}

// envelope returns a bound of the characteristic function that only falls.
func (c Term) envelope(t float64) float64 {
	z := c.Scale * t
	switch c.Shape {
	case Rectangular:
		return 1 / math.Max(1, z)
	case Triangular:
		return 4 / math.Max(4, z*z)
	case Arcsine:
		return 1 / math.Sqrt(math.Max(1, z*(math.Pi/2)))
	}
	return c.characteristic(t)
}

// wave returns the slow amplitude w of a bounded term that oscillates: its
// characteristic function is the real part of w·exp(i·scale·t), for a
// triangular term after 2/(scale·t)² is added.
func (c Term) wave(t float64) complex128 {
	z := c.Scale * t
	switch c.Shape {
	case Rectangular: // sin z/z
		return complex(0, -1/z)
	case Triangular: // 2(1 - cos z)/z²
		return complex(-2/(z*z), 0)
	}
	// J0 is the real part of a Hankel function (DLMF 10.4.3).
	sin, cos := math.Sincos(z)
	return complex(math.J0(z), math.Y0(z)) * complex(cos, -sin)
}

// sinc is sin z/z, 1 at 0.
func sinc(z float64) float64 {
	if z < 1e-8 {
		return 1
	}
	return math.Sin(z) / z
}

// studentCharacteristic returns the characteristic function of Student's t
// with dof degrees of freedom, whole or above manyDOF, at t ≥ 0.
//
//	φ(t) = h(√dof·t),  h(z) = z^ν K_ν(z)/(2^(ν-1) Γ(ν)),  ν = dof/2
//
// Written in h, the recurrence of K (DLMF 10.29.1) has positive terms only:
//
//	h_(ν+1) = h_ν + z²/(4ν(ν-1))·h_(ν-1)
func studentCharacteristic(t, dof float64) float64 {
	if dof > manyDOF {
		return manyStudentCharacteristic(t, dof)
	}
	z := t * math.Sqrt(dof)
	if z > 800 { // nothing is left of exp(-z)
		return 0
	}
	var h, next, nu float64 // h_ν and h_(ν+1)
	if int(dof)%2 == 1 {
		h = math.Exp(-z)
		next = (1 + z) * h
		nu = 0.5
	} else {
		if z < 1e-150 {
			return 1
		}
		k0, k1 := besselK(z)
		h = z * k1
		next = h + z*z*k0/2
		nu = 1
	}
	for ; nu < dof/2; nu++ {
		h, next = next, next+z*z*h/(4*nu*(nu+1))
	}
	return h
}

// manyStudentCharacteristic is the expansion of log φ in 1/dof that solves
// t φ" - (dof-1) φ' - dof t φ = 0, the equation of h above in t.
func manyStudentCharacteristic(t, dof float64) float64 {
	if t > 10 { // exp(-50), and the expansion ends
		return 0
	}
	q, v := t*t, 1/dof
	return math.Exp(q * (-0.5 + v*((q/4-1)+v*((-q/3+2)*q-2+v*(((5./8*q-16./3)*q+11)*q-4)))))
}
