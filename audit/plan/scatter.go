package plan

import (
	"math"

	"markaudit/audit"
	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Guess is what one expects of readings that are not taken yet.
type Guess struct {
	Middle  geometry.Angle // standard deviation of one middle of two contacts, rounding left out
	Reading geometry.Angle // of one reading of a line, likewise
	Remount geometry.Angle // of what taking the readout off and fitting it again adds
}

// GuessFrom takes the scatter of an earlier audit: of its middles and readings,
// and of its setups beyond these where there were three or more. What it holds no
// scatter of stays zero.
func GuessFrom(r audit.Result) Guess {
	var g Guess
	if !r.TDC.Any() {
		return g
	}
	// What was seen holds some rounding; a twelfth of the step squared, or half of
	// that in a middle, is the most.
	q := stats.Square(r.Sheet.Readout.Step.Degrees())
	less := func(sd geometry.Angle, most float64) geometry.Angle {
		return geometry.Angle(math.Sqrt(math.Max(0, stats.Square(sd.Degrees())-most)))
	}
	g.Middle = less(r.TDC.Scatter, q/24)
	var squares, dof, between, n float64
	for _, l := range r.Lines {
		if l.Offset == nil {
			continue
		}
		line := stats.Square(l.Scatter.SD.Degrees())
		squares, dof = squares+l.Scatter.DOF*line, dof+l.Scatter.DOF
		if k := float64(len(l.Seen)); k >= uncertainty.EnoughSetups {
			seen, free := stats.Spread(l.Offsets())
			between += seen/free - k*line*l.PerLine() - k*uncertainty.Variance(uncertainty.OfTDC(l.From.Groups[0].Scatter))
			n++
		}
	}
	if dof > 0 {
		g.Reading = less(geometry.Angle(math.Sqrt(squares/dof)), q/12)
	}
	if n > 0 {
		g.Remount = geometry.Angle(math.Sqrt(math.Max(0, between/n)))
	}
	return g
}

// rounding is the variance of the mean of n values of scatter sd, each rounded to
// q, with the true value anywhere between two graduations: rounding errors of
// values that scatter less than the step are alike. within is the part of it that
// the scatter of the values shows, for one of them. From the Fourier series of the
// rounding error, (q/π)·Σ (-1)ᵏ sin(2πkx/q)/k.
func rounding(sd, q, n float64) (ofMean, within float64) {
	var alike float64
	for k := 1.0; k < 200; k++ {
		alike += math.Exp(-stats.Square(2*math.Pi*k*sd/q)) / (k * k)
	}
	alike *= q * q / (2 * math.Pi * math.Pi)
	all := q * q / 12
	return (sd*sd+all-alike)/n + alike, sd*sd + all - alike
}

// multiples are what a standard deviation of dof degrees of freedom comes to over the
// true one, at five quantiles: the mean over them is that over all, near enough.
func multiples(dof float64) []float64 {
	out := make([]float64, 0, 5)
	for _, p := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		out = append(out, quantile(p, dof))
	}
	return out
}

// quantile is what a standard deviation of dof degrees of freedom over the true one
// falls below with probability p.
func quantile(p, dof float64) float64 { return math.Sqrt(stats.ChiSquaredQuantile(1-p, dof) / dof) }

// expected is what a standard deviation of dof degrees of freedom comes to on
// average, over the true one: c₄ of the control charts (NIST/SEMATECH e-Handbook,
// 6.3.2).
func expected(dof float64) float64 {
	if dof == 0 {
		return 0
	}
	a, _ := math.Lgamma((dof + 1) / 2)
	b, _ := math.Lgamma(dof / 2)
	return math.Sqrt(2/dof) * math.Exp(a-b)
}
