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

// oddScatter is the significance at which a line's scatter is taken for larger than
// that of the others.
const oddScatter = 0.05

// ForComparing returns the scatter by which each of several means is compared: one
// and the same for all, but a line whose own is larger than that of the others, at
// 5 % for all together, keeps its own and is lent the others'. Cochran's test for
// unequal numbers: each against the rest, F(ν, ν_rest) at α/p, which with equal
// numbers is Cochran's to the last digit of its tables (ISO 5725-2, 7.3.3). A
// variance up to least is rounding, and never odd. odd lists the lines that are.
func ForComparing(each []Scatter, least float64) (out []Scatter, odd []int) {
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
		if s.DOF > 0 && rest.DOF > 0 && s.Variance > least && FSurvival(s.Variance/rest.Variance, s.DOF, rest.DOF) < oddScatter/tested {
			odd = append(odd, i)
			out[i] = s.Lend(rest)
			continue
		}
		usual = append(usual, s)
	}
	shared := Pool(usual...)
	for i := range out {
		if out[i].DOF == 0 {
			out[i] = shared
		}
	}
	return out, odd
}

// Differ returns the means that differ from the others, the one that differs most
// first. Each is held against the best mean of the others, by the covariance v of
// all, in which what reaches them alike may be left out; the largest |t| is taken
// out where p P(F(1, ν) > t²) is below the level, p being the means that are left,
// and the rest is tried again. Of the last two that differ both are returned, for
// they accuse each other; two have one difference, and p is then 1.
//
//	t_j² = Q - Q_j
//
// with Q the weighted sum of squares about the common mean of all, Q_j of all but
// j. dof are the degrees of freedom for comparing them, +Inf where v is known. nil
// where none differs, and where v has no inverse.
func Differ(means []float64, v mat.Symmetric, dof, level float64) []int {
	in := make([]int, len(means))
	for i := range in {
		in[i] = i
	}
	var out []int
	for len(in) > 1 {
		drop, ok := dropped(means, v, in)
		if !ok {
			return out
		}
		at := 0
		for i := range drop {
			if drop[i] > drop[at]*(1+1e-9) { // of equal ones the first
				at = i
			}
		}
		among := float64(len(in))
		if among == 2 {
			among = 1
		}
		if among*FSurvival(drop[at], 1, dof) >= level {
			return out
		}
		if len(in) == 2 {
			return append(out, in...)
		}
		out = append(out, in[at])
		in = append(append([]int{}, in[:at]...), in[at+1:]...)
	}
	return out
}

// dropped is by how much the weighted sum of squares about the common mean falls
// for each mean that is left out: with P = V⁻¹ - V⁻¹11'V⁻¹/(1'V⁻¹1) it is
// (Pd)ᵢ²/Pᵢᵢ.
func dropped(means []float64, v mat.Symmetric, in []int) ([]float64, bool) {
	n := len(in)
	part := mat.NewSymDense(n, nil)
	for i, a := range in {
		for j := i; j < n; j++ {
			part.SetSym(i, j, v.At(a, in[j]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(part) {
		return nil, false
	}
	var inv mat.SymDense
	if err := chol.InverseTo(&inv); err != nil {
		return nil, false
	}
	rows, total := make([]float64, n), 0.0
	for i := range n {
		for j := range n {
			rows[i] += inv.At(i, j)
		}
		total += rows[i]
	}
	drop := make([]float64, n)
	for i := range n {
		var pd float64
		for j, b := range in {
			pd += (inv.At(i, j) - rows[i]*rows[j]/total) * (means[b] - means[in[0]])
		}
		if pii := inv.At(i, i) - rows[i]*rows[i]/total; pii > 0 {
			drop[i] = pd * pd / pii
		}
	}
	return drop, true
}
