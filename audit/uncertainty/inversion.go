package uncertainty

import (
	"math"
	"slices"
)

// panel is a piece of the inversion integral, from mid-half to mid+half: a
// complex amplitude, smooth enough for a polynomial through sixteen
// Gauss-Legendre nodes, times exp(i·carrier·t).
type panel struct {
	mid, half, carrier float64
	even, odd          [nodes / 2]complex128 // of the amplitude at ±node, times weight and half
}

const nodes = 16

// usualPanels is room for those of a usual budget.
const usualPanels = 10

// referenceEnd is the argument at which the characteristic function of the
// standard normal distribution has fallen to 2e-11.
const referenceEnd = 7

// Accuracy of the inversion: the amplitude's own phase over one panel, for
// which sixteen nodes are good to 1e-9, and what may be left out at the end.
const (
	panelPhase = 3 * math.Pi
	leftOut    = 1e-10
)

// invert lays out the panels of a sum of two or more terms, none much larger
// than 1. Near t = 0 a normal distribution, the reference, is taken out of the
// sum, so that no 1/t is left there; invert returns its standard deviation.
//
// Two things would make many panels: oscillation of the widest bounded term
// while the others have hardly begun to fall, and a large x. The first is met
// by writing that term, once it oscillates, as a slow amplitude times
// exp(i·a·t); the second by integrating the amplitude's polynomial times
// exp(i·x·t) in closed form. So the panels depend on neither.
func invert(terms []Term) (panels []panel, reference float64) {
	var widest Term
	first := slices.IndexFunc(terms, Term.bounded) // in falling order of scale
	if first >= 0 {
		widest = terms[first]
	}
	all := factors(terms)
	panels = make([]panel, 0, usualPanels)
	add := func(from, to, carrier float64, amplitude func(t float64) complex128) {
		panels = append(panels, newPanel(from, to, carrier, amplitude))
	}

	// From zero to where the widest term oscillates, less the reference. An
	// even number of degrees of freedom makes a logarithm at zero, from which
	// panels may only grow in proportion: a panel from t to 3t keeps it outside
	// the ellipse on which the error of sixteen nodes is 3.7 to the power -32.
	for _, t := range terms {
		reference = math.Hypot(reference, t.Scale/2)
	}
	reference = math.Max(1, reference)
	rate := math.Max(4*reference, rateOf(terms))
	width := panelPhase / rate
	step := width
	for _, t := range terms {
		if t.Shape == StudentT && t.DOF <= 6 && int(t.DOF)%2 == 0 {
			step = width / 81
		}
	}
	t, oscillates := 0.0, referenceEnd/widest.Scale // +Inf without a bounded term
	for t < oscillates {
		end := math.Min(t+step, oscillates)
		add(t, end, 0, func(t float64) complex128 {
			return complex((characteristic(all, t)-math.Exp(-t*t*(reference*reference/2)))/t, 0)
		})
		t, step = end, math.Min(2*end, width)
		if t > referenceEnd/reference && envelope(all, t)/(1+t*rate) < leftOut {
			return panels, reference
		}
	}

	rest := slices.Concat(terms[:first], terms[first+1:]) // there is a bounded term, or t had no end
	others := factors(rest)
	rate = rateOf(rest)
	width = panelPhase / rate
	for e := envelope(all, t); e > leftOut && e/(1+t*rate) > leftOut; e = envelope(all, t) {
		end := t + math.Min(2*t, width)
		add(t, end, widest.Scale, func(t float64) complex128 {
			return complex(characteristic(others, t)/t, 0) * widest.wave(t)
		})
		if widest.Shape == Triangular { // the part that does not oscillate
			add(t, end, 0, func(t float64) complex128 {
				z := widest.Scale * t
				return complex(characteristic(others, t)/t*2/(z*z), 0)
			})
		}
		t = end
	}
	return panels, reference
}

// rateOf returns how fast the product of characteristic functions may change
// with t: a phase for bounded terms, and for the others what the panels need
// to follow their fall. A sum of many bounded terms is hardly ever found beyond
// three of its standard deviations, and what lies there turns but little faster.
func rateOf(terms []Term) (rate float64) {
	var widest, squares float64
	for _, t := range terms {
		switch t.Shape {
		case StudentT:
			rate += math.Min(4, math.Sqrt(t.DOF)) * t.Scale
		case Normal:
			widest += 4 * t.Scale
			squares += t.Scale * t.Scale
		default:
			u := t.Standard()
			widest += t.Scale
			squares += u * u
		}
	}
	return rate + math.Min(widest, 3*math.Sqrt(squares))
}

func newPanel(from, to, carrier float64, amplitude func(t float64) complex128) panel {
	p := panel{mid: (from + to) / 2, half: (to - from) / 2, carrier: carrier}
	for k, g := range gauss {
		w := complex(g.weight*p.half, 0)
		above, below := amplitude(p.mid+p.half*g.node), amplitude(p.mid-p.half*g.node)
		p.even[k], p.odd[k] = w*(above+below), w*(above-below)
	}
	return p
}

// integral returns ∫ amplitude·exp(i·frequency·t) dt over the panel.
func (p *panel) integral(frequency float64) complex128 {
	var sum complex128
	w := frequency * p.half
	if math.Abs(w) < 2*math.Pi {
		var re, im float64
		for k := range gauss {
			sin, cos := math.Sincos(w * gauss[k].node)
			re += real(p.even[k])*cos - imag(p.odd[k])*sin
			im += imag(p.even[k])*cos + real(p.odd[k])*sin
		}
		sum = complex(re, im)
	} else {
		sin, cos := math.Sincos(w)
		// The polynomial's integral in closed form (Bakhvalov and Vasil'eva,
		// 1968): ∫ P_l(s) exp(i·w·s) ds = 2 iˡ j_l(w), DLMF 18.17.19. The
		// recurrence of j_l, DLMF 10.51.1, runs upward, safe as w is not small.
		j := sin / w
		next := (j - cos) / w
		for l, power := 0, complex128(1); l < nodes; l++ {
			sum += p.legendre(l) * power * complex(j, 0)
			power *= 1i
			j, next = next, float64(2*l+3)/w*next-j
		}
	}
	sin, cos := math.Sincos(frequency * p.mid)
	return sum * complex(cos, sin)
}

// legendre returns a coefficient of the series of the amplitude, times 2·half.
func (p *panel) legendre(l int) (sum complex128) {
	values := &p.even
	if l%2 == 1 {
		values = &p.odd
	}
	for k := range values {
		sum += values[k] * complex(legendre[k][l], 0)
	}
	return sum
}

// within returns P(|S| ≤ x) for x ≥ 0 in units of the largest term.
func (s *Sum) within(x float64) float64 {
	switch {
	case x >= s.bound:
		return 1
	case len(s.terms) == 1:
		return s.terms[0].within(x)
	}
	var sum float64
	for i := range s.panels {
		p := &s.panels[i]
		up := imag(p.integral(p.carrier + x))
		if p.carrier == 0 { // the amplitude is real
			sum += up
			continue
		}
		// sin(xt)·Re z = ½ Im(z exp(ixt)) - ½ Im(z exp(-ixt))
		sum += (up - imag(p.integral(p.carrier-x))) / 2
	}
	return math.Min(1, math.Max(0, math.Erf(x/(s.reference*math.Sqrt2))+2/math.Pi*sum))
}

// gauss holds the positive half of the nodes of sixteen-point Gauss-Legendre
// quadrature on (-1, 1), and their weights (Abramowitz and Stegun, table 25.4).
var gauss = [nodes / 2]struct{ node, weight float64 }{
	{0.0950125098376374402, 0.189450610455068496},
	{0.281603550779258913, 0.182603415044923589},
	{0.458016777657227386, 0.169156519395002538},
	{0.617876244402643748, 0.149595988816576732},
	{0.755404408355003034, 0.124628971255533872},
	{0.865631202387831744, 0.0951585116824927848},
	{0.944575023073232576, 0.0622535239386478929},
	{0.989400934991649933, 0.0271524594117540949},
}

// legendre holds (2l+1)·P_l at the nodes.
var legendre = func() (m [nodes / 2][nodes]float64) {
	for k, g := range gauss {
		p, next := 1.0, g.node
		for l := range nodes {
			m[k][l] = float64(2*l+1) * p
			p, next = next, (float64(2*l+3)*g.node*next-float64(l+1)*p)/float64(l+2)
		}
	}
	return m
}()
