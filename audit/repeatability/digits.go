package repeatability

import (
	"math"
	"math/cmplx"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// Setups of one person below which last digits are not tested, and from which
// the limiting distribution is taken in place of counting.
const (
	leastSetups = 4
	mostCounted = 100_000 // ways to turn the setups against each other
)

// digits returns how many last digits a step allows, and the span after which
// they begin again: ten of 0.1 in 1, two of 0.5 in 1, four of 0.25 in 1. It
// returns 0 for a step that does not divide a power of ten.
func digits(step geometry.Angle) (n int, span geometry.Angle) {
	if step <= 0 {
		return 0, 0
	}
	span = geometry.Angle(math.Pow(10, math.Floor(math.Log10(step.Degrees()))))
	for range 3 {
		k := math.Round(float64(span / step))
		if k >= 2 && k <= 20 && math.Abs(float64(span/step)-k) < 1e-6 {
			return int(k), span
		}
		span *= 10
	}
	return 0, 0
}

// zeroFree reports whether the readout's zero fell anywhere in a span of last
// digits from setup to setup, as it does where the wheel pointer is shifted:
// Rayleigh's test at 5 % does not see the TDC readings gather (Zar,
// Biostatistical Analysis, 5th ed., 27.1).
func (r *Result) zeroFree() bool {
	k, span := digits(r.Data.Step)
	if k == 0 {
		return false
	}
	var sum complex128
	n := 0.0
	for _, s := range r.Data.Setups {
		sum += cmplx.Rect(1, 2*math.Pi*float64(s.Top/span))
		n++
	}
	return n > 0 && real(sum)*real(sum)+imag(sum)*imag(sum) < n*-math.Log(significant)
}

// likes tests whether a person's readings prefer some last digits. Marks of one
// setup share its zero, and readings of one mark fall on the same graduation
// again and again; but where the zero is free, turning all digits of a setup by
// any number is as likely as not turning them. So the statistic is summed over
// the frequencies of the digits,
//
//	Q = Σ w |Σ ĉₛ(f)|²/Σ |ĉₛ(f)|²,  w = 2, for the highest of an even number 1
//
// with ĉₛ the Fourier transform of the digits of setup s, and its chance counted
// over all turnings of the setups, or, where these are many, that of chi-square
// with a degree of freedom less than there are digits. (A randomization test;
// Edgington and Onghena, Randomization Tests, 4th ed.)
func (r *Result) likes(by string, setups []Setup, free bool, people float64) Digits {
	k, span := digits(r.Data.Step)
	step := r.Data.Step
	var counts [][]float64
	d := Digits{Digits: k}
	total := make([]float64, k)
	var readings float64
	for _, s := range setups {
		if len(s.Places) == 0 {
			continue
		}
		c := make([]float64, k)
		for _, p := range s.Places {
			if k > 0 {
				i := int(math.Round(float64((p-span*geometry.Angle(math.Floor(float64(p/span))))/step))) % k
				c[i]++
				total[i]++
				readings++
			}
		}
		counts = append(counts, c)
	}
	d.Setups = len(counts)
	switch {
	case k == 0 || len(counts) == 0:
		d.Nothing = NoReadings
		return d
	case len(counts) < leastSetups:
		d.Nothing = FewSetups
		return d
	case !free:
		d.Nothing = ZeroedAlike
		return d
	}
	for i, c := range total {
		if c > total[d.Liked] {
			d.Liked = i
		}
	}
	d.Share = total[d.Liked] / readings
	d.Chance = know(turned(counts, k))
	if d.Chance.Value < significant/people {
		r.Flags = append(r.Flags, Flag{Code: Digit, By: by, Statistic: d.Chance, Critical: know(significant / people), Values: []float64{float64(d.Liked) * step.Degrees(), d.Share}})
	}
	return d
}

// turned returns how likely setups turned at random agree in their digits as
// well as these do.
func turned(counts [][]float64, k int) float64 {
	top := k / 2
	waves := make([][]complex128, len(counts)) // by setup and frequency
	power := make([]float64, top+1)
	for s, c := range counts {
		waves[s] = make([]complex128, top+1)
		for f := 1; f <= top; f++ {
			for i, n := range c {
				waves[s][f] += cmplx.Rect(n, -2*math.Pi*float64(f*i%k)/float64(k))
			}
			power[f] += real(waves[s][f])*real(waves[s][f]) + imag(waves[s][f])*imag(waves[s][f])
		}
	}
	dof := 0.0
	weight := make([]float64, top+1)
	for f := 1; f <= top; f++ {
		weight[f] = 2
		if 2*f == k {
			weight[f] = 1
		}
		if power[f] <= 1e-9 {
			weight[f] = 0
			continue
		}
		dof += weight[f]
		weight[f] /= power[f]
	}
	if dof == 0 {
		return 1
	}
	statistic := func(sum []complex128) (q float64) {
		for f := 1; f <= top; f++ {
			q += weight[f] * (real(sum[f])*real(sum[f]) + imag(sum[f])*imag(sum[f]))
		}
		return q
	}
	sum := make([]complex128, top+1)
	for _, w := range waves {
		for f := range w {
			sum[f] += w[f]
		}
	}
	seen := statistic(sum)
	if math.Pow(float64(k), float64(len(counts)-1)) > mostCounted {
		return stats.FSurvival(seen/dof, dof, math.Inf(1))
	}
	root := make([]complex128, k)
	for i := range root {
		root[i] = cmplx.Rect(1, 2*math.Pi*float64(i)/float64(k))
	}
	var as, all float64
	var turn func(s int, sum []complex128)
	turn = func(s int, sum []complex128) {
		if s == len(waves) {
			all++
			if statistic(sum) >= seen-1e-9*math.Max(1, seen) {
				as++
			}
			return
		}
		next := make([]complex128, top+1)
		for i := range k {
			for f := 1; f <= top; f++ {
				next[f] = sum[f] + waves[s][f]*root[f*i%k]
			}
			turn(s+1, next)
		}
	}
	turn(1, waves[0]) // turning all of them together changes nothing
	return as / all
}
