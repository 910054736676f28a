package stats

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Scatter is a variance with its degrees of freedom; without any it is not known.
type Scatter struct{ Variance, DOF float64 }

// lent is the most that is borrowed, in degrees of freedom: what is borrowed may be
// wrong and must not outvote one's own. Chosen by simulation (docs/method.md).
const lent = 4

// Lend returns the scatter joined with what another lends it, of which at most four
// degrees of freedom count (an estimate joined with an earlier one; JCGM 100,
// 4.2.4 and H.3.6).
//
//	ν₀ = min(4, ν_from),   s² = (ν s² + ν₀ s_from²)/(ν + ν₀),   on ν + ν₀
func (s Scatter) Lend(from Scatter) Scatter {
	more := math.Min(lent, from.DOF)
	dof := s.DOF + more
	if dof == 0 {
		return Scatter{}
	}
	return Scatter{(s.DOF*s.Variance + more*from.Variance) / dof, dof}
}

// Pool joins scatters that estimate one and the same (JCGM 100, 4.2.4).
func Pool(all ...Scatter) Scatter {
	var out Scatter
	for _, s := range all {
		out.Variance += s.DOF * s.Variance
		out.DOF += s.DOF
	}
	if out.DOF == 0 {
		return Scatter{}
	}
	out.Variance /= out.DOF
	return out
}

// The significance at which a line's scatter is taken for larger than that of the
// others, and, over the number of lines, at which what the others share does without
// it. Chosen by simulation (docs/method.md, Findings).
const (
	oddScatter     = 0.05
	leftOutScatter = 0.00001
)

// Odd reports whether a scatter is taken for larger than that of the others, p being
// the probability of one so large by chance.
func Odd(p float64) bool { return p < oddScatter }

// LeftOut reports whether it is also left out of what the others share, one of so many
// that were tested.
func LeftOut(p, tested float64) bool { return p < leftOutScatter/tested }

// ForComparing returns the scatter by which each of several means is compared: one
// and the same for all, but a line whose own is larger than that of the others at
// 5 %, F(ν, ν_rest), has its own. That costs a twentieth of the good lines a little,
// and keeps a loose line from being taken for one that is off. The shared scatter
// leaves out only those that are larger at 0.001 % for all together (F at α/p): without
// those that look loose by chance it would be too small, and something would be
// claimed of the others. A variance up to least is rounding, and never odd. own lists
// the lines that have theirs.
func ForComparing(each []Scatter, least float64) (out []Scatter, own []int) {
	out = make([]Scatter, len(each))
	usual := make([]Scatter, 0, len(each))
	tested := 0.0
	for _, s := range each {
		if s.DOF > 0 {
			tested++
		}
	}
	for i, s := range each {
		rest := Pool(append(append([]Scatter{}, each[:i]...), each[i+1:]...)...)
		p := 1.0
		if s.DOF > 0 && rest.DOF > 0 && s.Variance > least {
			p = FSurvival(s.Variance/rest.Variance, s.DOF, rest.DOF)
		}
		if Odd(p) {
			own, out[i] = append(own, i), s
		}
		if !LeftOut(p, tested) {
			usual = append(usual, s)
		}
	}
	shared := Pool(usual...)
	for i := range out {
		if out[i].DOF == 0 {
			out[i] = shared
		}
	}
	return out, own
}

// Part is what one estimate of scatter puts into a covariance. Pooled: the estimate
// holds the readings of several means.
type Part struct {
	V      mat.Symmetric
	DOF    float64
	Pooled bool
}

// byItself is the significance at which a mean must differ by its own scatter too.
// Chosen by simulation (docs/method.md, Findings).
const byItself = 0.05

// Differ returns the means that differ from the others, the one that differs most
// first. Each is held against the best mean of the others, by the covariance v of
// all, in which what reaches them alike may be left out; parts are those of v that
// are estimated. Of those with p P(F(1, ν_j) > t_j²) below the level, p being the means
// that are left, the one with the largest t is taken out, and the rest is tried again.
// The largest t and not the least probability: far out, more degrees of freedom would
// outweigh a better explanation. Of the last two that differ both are returned, for
// they accuse each other; two have one difference, and p is then 1.
//
//	t_j² = Q - Q_j,   1/ν_j = Σ_k (a'V_k a / a'Va)²/ν_k
//
// with Q the weighted sum of squares about the common mean of all, Q_j of all but
// j, and a the contrast of j with that mean (Welch-Satterthwaite, JCGM 100, G.4.1).
//
// own is what each mean's own scatter makes its variance, in place of the pooled
// parts of v; nil, or without degrees of freedom, where there is none to go by. A mean
// whose own scatter is known must differ by that as well, at 5 %: a loose one is
// otherwise taken for one that is off.
//
// nil where none differs, and where v has no inverse.
func Differ(means []float64, v mat.Symmetric, parts []Part, own []Scatter, level float64) []int {
	in := make([]int, len(means))
	for i := range in {
		in[i] = i
	}
	var out []int
	for len(in) > 1 {
		drop, dof, ok := dropped(means, v, parts, in)
		if !ok {
			return out
		}
		among := float64(len(in))
		if among == 2 {
			among = 1
		}
		at := -1
		for i := range drop {
			larger := at < 0 || drop[i] > drop[at]*(1+1e-9) // of equal ones the first
			if larger && among*FSurvival(drop[i], 1, dof[i]) < level && differsByItself(means, v, parts, own, in, i) {
				at = i
			}
		}
		if at < 0 {
			return out
		}
		if len(in) == 2 {
			if !differsByItself(means, v, parts, own, in, 1-at) {
				return out
			}
			return append(out, in...)
		}
		out = append(out, in[at])
		in = append(append([]int{}, in[:at]...), in[at+1:]...)
	}
	return out
}

// differsByItself reports whether the mean in[at] differs from the others by its own
// scatter too, or has none to go by.
func differsByItself(means []float64, v mat.Symmetric, parts []Part, own []Scatter, in []int, at int) bool {
	j := in[at]
	if own == nil || own[j].DOF == 0 {
		return true
	}
	n := len(means)
	swapped, alone := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	swapped.CopySym(v)
	alone.SetSym(j, j, own[j].Variance)
	swapped.SetSym(j, j, v.At(j, j)+own[j].Variance)
	by := []Part{{V: alone, DOF: own[j].DOF}}
	for _, k := range parts {
		if k.Pooled {
			swapped.SetSym(j, j, swapped.At(j, j)-k.V.At(j, j))
			others := mat.NewSymDense(n, nil)
			others.CopySym(k.V)
			others.SetSym(j, j, 0)
			k.V = others
		}
		by = append(by, k)
	}
	drop, dof, ok := dropped(means, swapped, by, in)
	return !ok || FSurvival(drop[at], 1, dof[at]) < byItself
}

// dropped is by how much the weighted sum of squares about the common mean falls
// for each mean that is left out: with P = V⁻¹ - V⁻¹11'V⁻¹/(1'V⁻¹1) it is
// (Pd)ᵢ²/Pᵢᵢ. The contrast is row i of P over Pᵢᵢ, its variance 1/Pᵢᵢ; the degrees of
// freedom are those of that variance.
func dropped(means []float64, v mat.Symmetric, parts []Part, in []int) (drop, dof []float64, ok bool) {
	n := len(in)
	var chol mat.Cholesky
	if !chol.Factorize(among(v, in)) {
		return nil, nil, false
	}
	p := &mat.SymDense{}
	if err := chol.InverseTo(p); err != nil {
		return nil, nil, false
	}
	rows, total := make([]float64, n), 0.0
	for i := range n {
		for j := range n {
			rows[i] += p.At(i, j)
		}
		total += rows[i]
	}
	for i := range n {
		for j := i; j < n; j++ {
			p.SetSym(i, j, p.At(i, j)-rows[i]*rows[j]/total)
		}
	}
	drop, dof = make([]float64, n), make([]float64, n)
	over := make([]float64, n)
	for _, k := range parts {
		var one, both mat.Dense
		one.Mul(p, among(k.V, in))
		both.Mul(&one, p)
		for i := range n {
			if pii := p.At(i, i); pii > 0 {
				over[i] += Square(both.At(i, i)/pii) / k.DOF
			}
		}
	}
	for i := range n {
		var pd float64
		for j, b := range in {
			pd += p.At(i, j) * (means[b] - means[in[0]])
		}
		if pii := p.At(i, i); pii > 0 {
			drop[i] = pd * pd / pii
		}
		dof[i] = 1 / over[i] // +Inf where nothing is estimated
	}
	return drop, dof, true
}

// among is the covariance of some of the means.
func among(v mat.Symmetric, in []int) *mat.SymDense {
	out := mat.NewSymDense(len(in), nil)
	for i, a := range in {
		for j := i; j < len(in); j++ {
			out.SetSym(i, j, v.At(a, in[j]))
		}
	}
	return out
}
