package uncertainty

import "math"

// nodes is the number of Gauss-Legendre nodes in a panel.
const nodes = 16

// panel is a piece of the inversion integral, from mid-half to mid+half: an
// amplitude that a polynomial through the nodes follows, times
// exp(i·carrier·t).
type panel struct {
	mid, half, carrier float64
	re, im             [nodes]float64 // amplitude at the nodes times weight and half
	legRe, legIm       [nodes]float64 // Legendre coefficients of the amplitude, times half and 2 iˡ/iˡ
}

// reference is the standard deviation, in units of the largest term, of the
// normal distribution that is taken out of the sum near t = 0, so that no 1/t
// is left there.
const reference = 1.0

// Accuracy of the inversion: the amplitude's own phase over one panel, for
// which sixteen nodes are exact to 1e-9; and what may be left out at the end.
const (
	panelPhase = 3 * math.Pi
	leftOut    = 1e-10
)

// invert lays out the panels of a sum of two or more terms in units of the
// first and largest.
//
// Two things would make many panels: oscillation of the widest bounded term
// while the others have hardly begun to fall, and a large x. The first is met
// by writing that term, once it oscillates, as a slow amplitude times
// exp(i·a·t); the second by integrating the amplitude's polynomial times
// exp(i·x·t) in closed form. So the panels depend on neither.
func invert(terms []Term) []panel {
	widest, rest := Term{}, terms
	for i, t := range terms { // in falling order
		if t.bounded() {
			widest = t
			rest = append(append(make([]Term, 0, len(terms)), terms[:i]...), terms[i+1:]...)
			break
		}
	}
	product := func(terms []Term, t float64) float64 {
		p := 1.0
		for _, term := range terms {
			p *= term.characteristic(t)
		}
		return p
	}
	envelope := func(t float64) float64 {
		p := 1.0
		for _, term := range terms {
			p *= term.envelope(t)
		}
		return p
	}

	var panels []panel
	// Near zero, less the reference. Terms of even degrees of freedom have a
	// logarithm at zero: panels grow from there.
	rate := math.Max(4*reference, rateOf(terms))
	oscillates := 7 / widest.Scale // +Inf without a bounded term
	width := panelPhase / rate
	end, grow := width, false
	for _, t := range terms {
		if t.Shape == StudentT && int(t.DOF)%2 == 0 && t.DOF <= 6 {
			end, grow = width/81, true
		}
	}
	t := 0.0
	for t < oscillates {
		end = math.Min(end, oscillates)
		p := panel{mid: (t + end) / 2, half: (end - t) / 2}
		for k := range nodes {
			x := p.mid + p.half*gauss[k].node
			p.re[k] = (product(terms, x) - math.Exp(-x*x*(reference*reference/2))) / x
		}
		panels = append(panels, p)
		t = end
		if t > 7/reference && envelope(t)/(1+t*rate) < leftOut {
			break
		}
		if grow && 2*t < width {
			end = 3 * t
		} else {
			end = t + width
		}
	}
	if t >= oscillates {
		rate = rateOf(rest)
		for e := envelope(t); e > leftOut && e/(1+t*rate) > leftOut; e = envelope(t) {
			end := t + math.Min(2*t, panelPhase/rate)
			mid, half := (t+end)/2, (end-t)/2
			slow := panel{mid: mid, half: half}
			fast := panel{mid: mid, half: half, carrier: widest.Scale}
			for k := range nodes {
				x := mid + half*gauss[k].node
				p := product(rest, x) / x
				z := widest.Scale * x
				switch widest.Shape {
				case Rectangular: // sin z/z
					fast.im[k] = -p / z
				case Triangular: // 2(1 - cos z)/z²
					slow.re[k] = 2 * p / (z * z)
					fast.re[k] = -2 * p / (z * z)
				case Arcsine: // J0 is the real part of the Hankel function
					sin, cos := math.Sincos(z)
					j, y := math.J0(z), math.Y0(z)
					fast.re[k] = p * (j*cos + y*sin)
					fast.im[k] = p * (y*cos - j*sin)
				}
			}
			if widest.Shape == Triangular {
				panels = append(panels, slow)
			}
			panels = append(panels, fast)
			t = end
		}
	}
	for i := range panels {
		panels[i].finish()
	}
	return panels
}

// rateOf returns how fast the product of characteristic functions may change
// with t: a phase for bounded terms, and for the others what the panels need
// to follow their fall.
func rateOf(terms []Term) (rate float64) {
	for _, t := range terms {
		switch t.Shape {
		case Normal:
			rate += 4 * t.Scale
		case StudentT:
			rate += math.Min(4, math.Sqrt(t.DOF)) * t.Scale
		default:
			rate += t.Scale
		}
	}
	return rate
}

// finish turns amplitudes at the nodes into weighted ones and Legendre
// coefficients.
func (p *panel) finish() {
	for k := range nodes {
		p.re[k] *= gauss[k].weight * p.half
		p.im[k] *= gauss[k].weight * p.half
		for l := range nodes {
			p.legRe[l] += p.re[k] * legendre[k][l]
			p.legIm[l] += p.im[k] * legendre[k][l]
		}
	}
}

// integral returns ∫ amplitude·exp(i·frequency·t) dt over the panel.
func (p *panel) integral(frequency float64) (re, im float64) {
	w := frequency * p.half
	if math.Abs(w) < 2*math.Pi {
		for k := range nodes {
			sin, cos := math.Sincos(w * gauss[k].node)
			re += p.re[k]*cos - p.im[k]*sin
			im += p.re[k]*sin + p.im[k]*cos
		}
	} else {
		// ∫ P_l(s) exp(i·w·s) ds = 2 iˡ j_l(w), DLMF 18.17.19 and 10.49;
		// upward recurrence, as w is not small against l.
		sin, cos := math.Sincos(w)
		j := sin / w
		next := (j - cos) / w
		ire, iim := 1.0, 0.0 // iˡ
		for l := range nodes {
			a, b := p.legRe[l]*j, p.legIm[l]*j
			re += a*ire - b*iim
			im += a*iim + b*ire
			ire, iim = -iim, ire
			j, next = next, float64(2*l+3)/w*next-j
		}
	}
	sin, cos := math.Sincos(frequency * p.mid)
	return re*cos - im*sin, re*sin + im*cos
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
		_, up := p.integral(p.carrier + x)
		if p.carrier == 0 {
			sum += up
			continue
		}
		// sin(xt) times the real part of an oscillating amplitude
		_, down := p.integral(p.carrier - x)
		sum += (up - down) / 2
	}
	return math.Min(1, math.Max(0, math.Erf(x/(reference*math.Sqrt2))+2/math.Pi*sum))
}

// gauss holds the nodes and weights of sixteen-point Gauss-Legendre
// quadrature on (-1, 1) (Abramowitz and Stegun, table 25.4).
var gauss = func() (g [nodes]struct{ node, weight float64 }) {
	half := [nodes / 2][2]float64{
		{0.0950125098376374402, 0.189450610455068496},
		{0.281603550779258913, 0.182603415044923589},
		{0.458016777657227386, 0.169156519395002538},
		{0.617876244402643748, 0.149595988816576732},
		{0.755404408355003034, 0.124628971255533872},
		{0.865631202387831744, 0.0951585116824927848},
		{0.944575023073232576, 0.0622535239386478929},
		{0.989400934991649933, 0.0271524594117540949},
	}
	for i, h := range half {
		g[nodes/2-1-i].node, g[nodes/2-1-i].weight = -h[0], h[1]
		g[nodes/2+i].node, g[nodes/2+i].weight = h[0], h[1]
	}
	return g
}()

// legendre holds (2l+1)·P_l at node k: summed with weights, the Legendre
// coefficients of the amplitude times the 2 of the integral above.
var legendre = func() (m [nodes][nodes]float64) {
	for k := range nodes {
		x := gauss[k].node
		p, next := 1.0, x
		for l := range nodes {
			m[k][l] = float64(2*l+1) * p
			p, next = next, (float64(2*l+3)*x*next-float64(l+1)*p)/float64(l+2)
		}
	}
	return m
}()
