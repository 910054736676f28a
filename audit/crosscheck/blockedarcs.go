package crosscheck

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Centring is what a stop left in its place says of the wheel: the arc that it
// blocks is one angle, so where it reads differently as the wheel is turned on
// the shaft, it is the wheel that differs.
type Centring struct {
	Fitting   string
	Setups    []string
	Range     geometry.Angle  // of the setups' blocked arcs
	Varies    bool            // by more than the contacts scatter
	Fitted    bool            // the setups lie so that the first harmonic can be found
	Amplitude geometry.Angle  // of the reading error's first harmonic
	U         geometry.Angle  // expanded, 95 %, of its two components
	Toward    geometry.Angle  // graduation towards which the wheel's centre is displaced, [0°, 360°)
	OffCentre geometry.Length // of the wheel's centre; zero without readout.diameter
	OffU      geometry.Length
	Seen      bool           // Amplitude is beyond U
	Left      geometry.Angle // standard deviation of the arcs that the harmonic leaves
}

// leastTurned is the number of setups from which the first harmonic is fitted:
// three unknowns, and one arc to judge them by. leastSpread is how well their
// positions must tell sine, cosine and mean apart: the smallest singular value of
// the design over the largest. Common practice, no source.
const (
	leastTurned = 4
	leastSpread = 0.15
)

// blockedArcs fits, for every fitting of the stop that several setups share, the
// blocked arcs against where on the wheel they lie (docs/method.md, The stop as
// the reference).
func blockedArcs(in input, c *Checks) {
	var names []string
	fittings := map[string][]tdc.Setup{} // only looked up
	for _, s := range in.top.Setups {
		name := in.sheet.Setups[s.Index].Fitting
		if name == "" || s.Method != sheet.Stop {
			continue
		}
		if fittings[name] == nil {
			names = append(names, name)
		}
		fittings[name] = append(fittings[name], s)
	}
	for _, name := range names {
		if len(fittings[name]) < 2 {
			continue
		}
		found := centring(in, name, fittings[name])
		c.Arcs = append(c.Arcs, found)
		if found.Varies {
			c.warn(warning.Warning{Code: warning.ArcsDiffer, Names: []string{name}, Values: []float64{found.Range.Degrees()}})
		}
		if limit := in.sheet.Readout.OffCentreLimit(); limit > 0 && found.Seen && found.Amplitude-found.U > limit {
			c.warn(warning.Warning{Code: warning.OffCentreExceeded, Names: []string{name}, Values: []float64{found.Amplitude.Degrees(), limit.Degrees()}})
		}
	}
}

func centring(in input, name string, setups []tdc.Setup) Centring {
	c := Centring{Fitting: name}
	n := len(setups)
	arcs, per := make([]float64, n), 0.0
	var squares, dof, half float64
	for i, s := range setups {
		c.Setups = append(c.Setups, s.Name)
		arcs[i] = 2 * s.HalfArc.Degrees()
		half += s.HalfArc.Radians() / float64(n)
		ss, d := stats.Spread(s.HalfArcs)
		squares, dof = squares+4*ss, dof+d
		per += 1 / float64(len(s.HalfArcs)) / float64(n)
	}
	lo, hi := arcs[0], arcs[0]
	for _, x := range arcs {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	c.Range = geometry.Angle(hi - lo)
	// One setup's arc scatters as its contacts do, and rounds as two of them.
	step := stats.Square(in.sheet.Readout.Step.Degrees()) / 6
	within := step
	if dof > 0 {
		within = math.Max(squares/dof*per, step)
	}
	_, sd := stats.MeanStdDev(arcs)
	c.Varies = dof > 0 && sd*sd > within*stats.FQuantile(0.05, float64(n-1), dof)
	design := mat.NewDense(n, 3, nil)
	for i, s := range setups {
		sin, cos := math.Sincos(s.Middle.Radians())
		design.SetRow(i, []float64{1, cos, sin})
	}
	var svd mat.SVD
	if n < leastTurned || !svd.Factorize(design, mat.SVDNone) {
		return c
	}
	if values := svd.Values(nil); values[2] < leastSpread*values[0] {
		return c
	}
	x, ok := stats.LeastSquares(design, arcs)
	if !ok {
		return c
	}
	// The arc reads 2α + 2E sin α cos(R - ψ).
	gain := 2 * math.Sin(half)
	z := complex(x[1], x[2]) / complex(gain, 0)
	c.Fitted = true
	c.Amplitude, c.Toward = geometry.Angle(cmplx.Abs(z)), geometry.AngleFromRadians(cmplx.Phase(z)).Turn()
	var left float64
	for i := range arcs {
		left += stats.Square(arcs[i] - x[0] - x[1]*design.At(i, 1) - x[2]*design.At(i, 2))
	}
	left /= float64(n - 3)
	c.Left = geometry.Angle(math.Sqrt(left))
	// What the harmonic leaves is scatter, step and higher harmonics; it has few
	// degrees of freedom, so the contacts' own scatter counts where that is more.
	var jtj, inverse mat.Dense
	jtj.Mul(design.T(), design)
	if inverse.Inverse(&jtj) != nil {
		c.Fitted = false
		return c
	}
	u := math.Sqrt((inverse.At(1, 1)+inverse.At(2, 2))/2) / gain
	term := uncertainty.Term{Shape: uncertainty.StudentT, Scale: u * math.Sqrt(left), DOF: float64(n - 3)}
	if within > left && dof > 0 {
		term.Scale, term.DOF = u*math.Sqrt(within), dof
	}
	c.U = geometry.Angle(uncertainty.NewSum([]uncertainty.Term{term}).HalfWidth(sheet.DefaultConfidence))
	c.Seen = c.Amplitude > c.U
	c.Varies = c.Varies || c.Seen
	if d := in.sheet.Readout.Diameter; d > 0 {
		c.OffCentre = geometry.Length(c.Amplitude.Radians()) * d / 2
		c.OffU = geometry.Length(c.U.Radians()) * d / 2
	}
	return c
}
