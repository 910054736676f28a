package uncertainty

import "math"

// manyDOF is the number of degrees of freedom above which the characteristic
// function of Student's t is expanded in 1/dof: from there the terms left out
// move a probability by less than 1e-8.
const manyDOF = 500

// matched is the characteristic function of the error that remains, at t ≥ 0,
// from that of each term. With V the sum of the squared scales of the t terms and
// of the squared standard uncertainties of all others, wₖ = sₖ²/V and w_B the rest,
//
//	φ = φ_B·(Σₖ wₖ φₖ Πⱼ≠ₖ φⱼ⁺ + w_B Πⱼ φⱼ⁺)
//
// where φ_B belongs to the terms that are known exactly, φₖ to Student's t, and φⱼ⁺
// to its lighter form (see studentPair). Independent t terms, each with its full
// tail, hold too much where several have few degrees of freedom (the problem of
// Behrens and Fisher). A prior of the standard deviations in proportion to V·Πσₖ⁻³
// makes the posterior of the sum hold what it promises, to the second order
// (probability matching priors: Welch and Peers 1963; Ghosh and Kim 2001, both from
// memory); it is the mixture with t on ν + 2 degrees of freedom and the scale
// √(ν/(ν + 2)) in place of φⱼ⁺. Here φⱼ⁺ has only the share 1 - 1/ν of that, and the
// rest is t as it was: chosen by simulation. Nothing is lightened at one degree of
// freedom, where the full form does not hold what it promises, and nearly all from
// eight up.
type matched struct{ known, light, mixed, shares float64 }

func nothingYet() matched { return matched{known: 1, light: 1} }

// add takes some equal terms more: the function of one, and the lighter one of a t
// term.
func (m *matched) add(f *factor, own, other float64) {
	for range f.times {
		if f.Shape != StudentT {
			m.known *= own
			continue
		}
		m.mixed = m.mixed*other + f.share*own*m.light
		m.light *= other
		m.shares += f.share
	}
}

func (m *matched) value() float64 {
	return m.known * (m.mixed + math.Max(0, 1-m.shares)*m.light)
}

// factor is so many equal terms.
type factor struct {
	Term
	times int
}

// factors joins equal neighbours, so that each is evaluated once.
func factors(terms []Term) []factor {
	out := make([]factor, 0, len(terms))
	for i, t := range terms {
		if i > 0 && t == terms[i-1] {
			out[len(out)-1].times++
		} else {
			out = append(out, factor{t, 1})
		}
	}
	return out
}

// characteristic returns the characteristic function of the sum of the terms
// at t ≥ 0.
func characteristic(all []factor, t float64) float64 {
	sum := nothingYet()
	for i := range all {
		f := &all[i]
		own, other := f.characteristic(t)
		sum.add(f, own, other)
	}
	return sum.value()
}

// envelope returns a bound of characteristic that only falls.
func envelope(all []factor, t float64) float64 {
	sum := nothingYet()
	for i := range all {
		f := &all[i]
		own, other := f.envelope(t)
		sum.add(f, own, other)
	}
	return sum.value()
}

// characteristic returns the characteristic function of the term at t ≥ 0, and
// that of its lighter form, which is the same but for a t term.
func (c *Term) characteristic(t float64) (own, lighter float64) {
	z := c.Scale * t
	switch c.Shape {
	case Rectangular:
		own = sinc(z)
	case Triangular:
		s := sinc(z / 2)
		own = s * s
	case Arcsine:
		own = math.J0(z)
	case StudentT:
		own, next := studentPair(z, c.DOF)
		return own, own + c.lighter*(next-own)
	default:
		own = math.Exp(-z * z / 2)
	}
	return own, own
}

// envelope returns bounds of the characteristic functions that only fall.
func (c *Term) envelope(t float64) (own, lighter float64) {
	z := c.Scale * t
	switch c.Shape {
	case Rectangular:
		own = 1 / math.Max(1, z)
	case Triangular:
		own = 4 / math.Max(4, z*z)
	case Arcsine:
		own = 1 / math.Sqrt(math.Max(1, z*(math.Pi/2)))
	default:
		return c.characteristic(t)
	}
	return own, own
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

// studentPair returns the characteristic function of Student's t with dof degrees
// of freedom, whole or above manyDOF, at t ≥ 0, and that of t with dof + 2 degrees
// of freedom and the scale √(dof/(dof + 2)).
//
//	φ(t) = h(√dof·t),  h(z) = z^ν K_ν(z)/(2^(ν-1) Γ(ν)),  ν = dof/2
//
// Written in h, the recurrence of K (DLMF 10.29.1) has positive terms only:
//
//	h_(ν+1) = h_ν + z²/(4ν(ν-1))·h_(ν-1)
//
// The second is h_(ν+1) at the same z.
func studentPair(t, dof float64) (h, next float64) {
	if dof > manyDOF {
		return manyStudentCharacteristic(t, dof), manyStudentCharacteristic(t*math.Sqrt(dof/(dof+2)), dof+2)
	}
	z := t * math.Sqrt(dof)
	if z > 800 { // nothing is left of exp(-z)
		return 0, 0
	}
	var nu float64
	if int(dof)%2 == 1 {
		h = math.Exp(-z)
		next = (1 + z) * h
		nu = 0.5
	} else {
		if z < 1e-150 {
			return 1, 1
		}
		k0, k1 := besselK(z)
		h = z * k1
		next = h + z*z*k0/2
		nu = 1
	}
	for ; nu < dof/2; nu++ {
		h, next = next, next+z*z*h/(4*nu*(nu+1))
	}
	return h, next
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
