package stats

import "math"

// Creep asks whether the middles of pairs of contacts move from pair to pair, in
// the order in which they were taken. The half arcs do not feel a readout that
// creeps, and scatter as the middles do: they lend their scatter to the test, so
// that three pairs suffice.
//
//	z = b √Sxx / √v,   v = (residuals of the middles + squares of the half arcs) / (2n - 3)
//
// b is the slope of the middles, v at least the square of floor, which is what the
// step alone scatters a middle by. halfArcs is nil where they differ by design, as
// at equal drops; v then has n - 2 degrees of freedom. drift is from the first
// middle to the last, p two-sided. Fewer than three middles show none: p is 1.
func Creep(middles, halfArcs []float64, floor float64) (drift, t, dof, p float64) {
	n := float64(len(middles))
	if n < 3 {
		return 0, 0, 0, 1
	}
	slope, standardError := Slope(middles)
	sxx := n * (n*n - 1) / 12 // of 0, 1, 2 …
	dof = n - 2
	squares := standardError * standardError * sxx * dof
	if len(halfArcs) > 1 {
		_, sd := MeanStdDev(halfArcs)
		more := float64(len(halfArcs) - 1)
		squares += sd * sd * more
		dof += more
	}
	drift = slope * (n - 1)
	v := math.Max(squares/dof, floor*floor)
	if v == 0 {
		if slope == 0 {
			return 0, 0, dof, 1
		}
		return drift, math.Copysign(math.Inf(1), slope), dof, 0
	}
	t = slope * math.Sqrt(sxx/v)
	return drift, t, dof, FSurvival(t*t, 1, dof)
}

// Successive returns the variance of one value from the differences of each to the
// next, so that values which creep do not widen it, and its degrees of freedom
// (von Neumann, Kent, Bellinson and Hart, Ann. Math. Statist. 12 (1941) 153).
//
//	v = Σ (x_{k+1} - x_k)² / (2 Σ (n - 1))
//
// Runs are pooled: middles of several mountings, and half arcs, which scatter as
// middles do where one stop was used throughout. The degrees of freedom are
// counted as Σ (n - 1), of which such differences have about two thirds. Without
// any they are zero, and the variance says nothing.
func Successive(runs ...[]float64) (variance, dof float64) {
	for _, x := range runs {
		for i := 1; i < len(x); i++ {
			d := x[i] - x[i-1]
			variance += d * d
			dof++
		}
	}
	if dof == 0 {
		return 0, 0
	}
	return variance / (2 * dof), dof
}
