package tdc

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// sweepFit is a slider-crank curve laid through a sweep by least squares.
type sweepFit struct {
	top       geometry.Angle  // reading at the piston's top
	height    geometry.Length // that the indicator shows there
	standard  geometry.Angle  // standard uncertainty of top, by HC2
	dof       float64
	residuals []float64        // mm, in the order of the points
	crank     []geometry.Angle // where each point lies, after the top
	jacobian  *mat.Dense       // mm a degree, and 1
	pull      []float64        // degrees that the top moves by for a millimetre at each point
	used      []sheet.Point
}

// fitSweep fits reading and height at the top by Gauss-Newton steps, each a
// least squares solution by QR, halved while they make things worse. It reports
// false when the points do not bend over a top.
func fitSweep(show readout.Readout, crank geometry.Crank, sweep *sheet.Swept) (sweepFit, bool) {
	f, ok := fitPoints(show, crank, sweep, nil)
	if !ok || sweep.Taken != sheet.Rising || show.Lost() == 0 {
		return f, ok
	}
	// The readout lags behind on either side of the top, so that the curve seems
	// wider. What is declared of that is put back, each point by its side.
	lags := make([]geometry.Angle, len(f.crank))
	for i, t := range f.crank {
		lags[i] = show.Counts() * show.Lost() / 2
		if t > 0 {
			lags[i] = -lags[i]
		}
	}
	return fitPoints(show, crank, sweep, lags)
}

// fitPoints fits the curve to the readings with their lags put back; nil for none.
func fitPoints(show readout.Readout, crank geometry.Crank, sweep *sheet.Swept, lags []geometry.Angle) (sweepFit, bool) {
	var f sweepFit
	var readings []geometry.Angle
	var heights []float64
	for _, p := range sweep.Points {
		if !p.Reading.Struck {
			f.used = append(f.used, p)
			readings, heights = append(readings, show.Value(&p.Reading)), append(heights, p.Height.Millimetres())
		}
	}
	n := len(readings)
	if n < 4 {
		return sweepFit{}, false
	}
	readings, together := stats.Gather(readings)
	if !together {
		return sweepFit{}, false
	}
	for i, lag := range lags {
		readings[i] += lag
	}
	start, bend, ok := parabola(readings, heights)
	if !ok {
		return sweepFit{}, false
	}
	// An indicator may count up or down as the piston rises; the bend tells, and
	// TDC is the same either way.
	sign := -1.0
	if bend > 0 {
		sign = 1
	}
	s := float64(show.Counts())
	f.top, f.residuals, f.crank = start, make([]float64, n), make([]geometry.Angle, n)
	residuals := func(top geometry.Angle, height float64, out []float64) (ss float64) {
		for i, r := range readings {
			theta := geometry.Angle(s) * (r - top)
			out[i] = heights[i] - height - sign*crank.Drop(theta).Millimetres()
			ss += out[i] * out[i]
		}
		return ss
	}
	var height float64 // which the first step finds, whatever it begins at
	ss := residuals(f.top, height, f.residuals)
	f.jacobian = mat.NewDense(n, 2, nil)
	for range 60 {
		for i, r := range readings {
			theta := geometry.Angle(s) * (r - f.top)
			f.jacobian.Set(i, 0, -sign*s*crank.SlopeAt(theta).Millimetres())
			f.jacobian.Set(i, 1, 1)
		}
		step, ok := stats.LeastSquares(f.jacobian, f.residuals)
		if !ok {
			return sweepFit{}, false
		}
		taken := false
		for scale := 1.0; scale > 1e-6; scale /= 2 {
			top, h := f.top+geometry.Angle(scale*step[0]), height+scale*step[1]
			trial := make([]float64, n)
			moved := math.Abs(scale * step[0])
			// So close to the least sum, the last digits of a sum do not tell.
			if t := residuals(top, h, trial); t <= ss || moved < 1e-5 {
				f.top, height, ss, f.residuals = top, h, t, trial
				taken = moved > 1e-11
				break
			}
		}
		if !taken {
			break
		}
	}
	f.height = geometry.Length(height)
	for i, r := range readings {
		f.crank[i] = geometry.Angle(s) * (r - f.top)
	}
	pull, standard, dof, ok := parameter(f.jacobian, f.residuals, 0)
	f.pull, f.standard, f.dof = pull, geometry.Angle(standard), dof
	return f, ok
}

// parameter returns what stands behind one parameter of a least squares fit: what
// each observation moves it by, its standard uncertainty, and the degrees of
// freedom of that, whole. A reading that errs moves a point on the flank
// far up or down and one near the top not at all, so residuals do not scatter
// alike, and those that count most scatter most. The usual covariance is up to a
// third too small then; this one asks for no equal scatter (J. G. MacKinnon,
// H. White, J. Econometrics 29 (1985) 305, HC2; degrees of freedom by R. M. Bell,
// D. F. McCaffrey, Survey Methodology 28 (2002) 169).
func parameter(j *mat.Dense, residuals []float64, column int) (pull []float64, standard, dof float64, ok bool) {
	var jtj, inverse, pulls, hat mat.Dense
	jtj.Mul(j.T(), j)
	if err := inverse.Inverse(&jtj); err != nil {
		return nil, 0, 0, false
	}
	pulls.Mul(&inverse, j.T())
	hat.Mul(j, &pulls)
	n := len(residuals)
	pull, weights := make([]float64, n), make([]float64, n)
	var variance, trace, squares float64
	for i := range n {
		pull[i] = pulls.At(column, i)
		if free := 1 - hat.At(i, i); free > 1e-9 { // else the curve passes through the point
			weights[i] = pull[i] * pull[i] / free
			trace += weights[i] * free
		}
		variance += weights[i] * residuals[i] * residuals[i]
	}
	for i := range n {
		for k := range n {
			m := -hat.At(i, k)
			if i == k {
				m++
			}
			squares += weights[i] * weights[k] * m * m
		}
	}
	if squares == 0 {
		return nil, 0, 0, false
	}
	return pull, math.Sqrt(variance), math.Max(1, math.Floor(trace*trace/squares+1e-9)), true
}

// parabola fits a parabola and returns where it turns and how it bends.
func parabola(readings []geometry.Angle, heights []float64) (turn geometry.Angle, bend float64, ok bool) {
	j := mat.NewDense(len(readings), 3, nil)
	centre := stats.MeanAngle(readings)
	for i, r := range readings {
		x := (r - centre).Degrees()
		j.SetRow(i, []float64{1, x, x * x})
	}
	c, ok := stats.LeastSquares(j, heights)
	if !ok || c[2] == 0 {
		return 0, 0, false
	}
	return centre - geometry.Angle(c[1]/(2*c[2])), c[2], true
}

// misses fits one more shape to the residuals, of the points that count, and
// reports its size and whether it is there, t test at 1 %.
func (f sweepFit) misses(shape func(t geometry.Angle) (x float64, counts bool)) (size float64, seen bool) {
	var rows, residuals []float64
	for i, r := range f.residuals {
		if x, counts := shape(f.crank[i]); counts {
			rows, residuals = append(rows, f.jacobian.At(i, 0), 1, x), append(residuals, r)
		}
	}
	n := len(residuals)
	if n < 6 {
		return 0, false
	}
	j := mat.NewDense(n, 3, rows)
	x, ok := stats.LeastSquares(j, residuals)
	if !ok {
		return 0, false
	}
	rest := make([]float64, n)
	for i := range n {
		rest[i] = residuals[i] - x[0]*j.At(i, 0) - x[1] - x[2]*j.At(i, 2)
	}
	_, se, dof, ok := parameter(j, rest, 2)
	return x[2], ok && math.Abs(x[2]) > stats.TQuantile(0.995, dof)*se
}
