package qualify

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// Guess is what is expected of a study before it is taken.
type Guess struct {
	Options
	Scatter geometry.Angle // standard deviation of a middle, of either stop
	Fitting geometry.Angle // of what fitting a stop anew does to the difference
	Bias    geometry.Angle // of the new stop
}

// Size is a study's size, with how likely it qualifies a stop as good as guessed.
type Size struct {
	Setups, Pairs int // pairs of each stop in a setup
	Qualified     float64
}

// Planned is a study planned beforehand.
type Planned struct {
	Guess
	Usual []Size // sizes that are usual, and the least, by setups, then pairs
	Least *Size  // the fewest pairs that qualify such a stop four times in five; nil: none of those looked at
}

const likely = 0.8

var usualSizes = [][2]int{{3, 3}, {3, 5}, {4, 4}, {4, 6}, {5, 4}, {5, 5}, {6, 6}, {8, 5}}

// Plan says how large a study has to be. It panics on a guess whose allowed bias,
// step or scatter is not positive.
func Plan(g Guess) Planned {
	if !(g.AllowedBias > 0 && g.Step > 0 && g.Scatter > 0 && g.Fitting >= 0) {
		panic("qualify: allowed bias, step and scatter are above zero")
	}
	if g.AllowedRatio == 0 {
		g.AllowedRatio = usualRatio
	}
	p := Planned{Guess: g}
	for _, size := range usualSizes {
		p.Usual = append(p.Usual, g.chance(size[0], size[1]))
	}
	for pairs := leastSetups * 2; pairs <= 64 && p.Least == nil; pairs++ {
		for setups := leastSetups; setups <= 10; setups++ {
			if n := pairs / setups; pairs%setups == 0 && n >= 2 && n <= 8 {
				if s := g.chance(setups, n); s.Qualified >= likely && (p.Least == nil || s.Qualified > p.Least.Qualified) {
					p.Least = &s
				}
			}
		}
	}
	if p.Least != nil && !slices.Contains(p.Usual, *p.Least) {
		p.Usual = append(p.Usual, *p.Least)
		slices.SortFunc(p.Usual, func(a, b Size) int { return cmp.Or(cmp.Compare(a.Setups, b.Setups), cmp.Compare(a.Pairs, b.Pairs)) })
	}
	return p
}

// chance draws studies of a size, as [Result.Further] draws those to come: means and
// variances from what is guessed, contacts and half arcs with them.
func (g Guess) chance(setups, pairs int) Size {
	k, n := float64(setups), float64(pairs)
	q, sigma := g.Step.Degrees(), g.Scatter.Degrees()
	rng := rand.New(rand.NewPCG(seed, uint64(setups*1000+pairs)))
	dof := k * (n - 1)
	then := newPrediction(g.Options, setups, dof, dof, rng)
	middle := sigma*sigma + q*q/24
	spread := g.Fitting.Degrees()*g.Fitting.Degrees() + 2*middle/n
	slope := math.Sqrt(middle / (k * n * (n*n - 1) / 12)) // of half arcs, which scatter as middles do
	reach := -stats.TQuantile((1-confidence)/2, dof-1)
	qualified := 0
	for range draws {
		v := [2]float64{middle * then.chi(dof) / dof, middle * then.chi(dof) / dof}
		hidden := 0.0
		for range 4 { // forward and backward contacts of both stops
			hidden += hiddenBy(math.Sqrt(2*middle*then.chi(dof)/dof), q) / 2
		}
		creep := Fitting{
			Change: geometry.Angle(slope * rng.NormFloat64() * (n - 1)), Half: geometry.Angle(reach * slope * math.Sqrt(then.chi(dof-1)/(dof-1)) * (n - 1)),
			Trials: pairs, Known: true,
		}
		bias := g.Bias.Degrees() + math.Sqrt(spread/k)*rng.NormFloat64()
		if then.verdict(bias, spread*then.chi(k-1)/(k-1), v, 0, hidden, creep) == Qualified {
			qualified++
		}
	}
	return Size{setups, pairs, float64(qualified) / draws}
}
