package wheel

import (
	"fmt"
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"

	"gonum.org/v1/gonum/mat"
)

const (
	separated   = 0.05 // the same where remounting tells an order from the reference's: two mountings 6° apart
	dependent   = 1e-8 // part of a column not in the others below which it is taken to lie in them
	supported   = 0.2  // that part for the weaker direction of an order, from which it can be told
	negligible  = 1e-7 // degrees: what is left of readings without scatter after arithmetic
	mostOrders  = 6    // fitted; readouts have their errors below
	lackOfFit   = 0.20 // at which scatter between graduations is taken to be more than that between readings
	standsOutAt = 0.01 // significance at which a station does
)

// model is the least-squares problem
//
//	y = mounting + way·reversal + reference + Σ S sin kR + C cos kR
//
// with y the reading error at a point. Reference errors, one a station and
// summing to zero, are there only where remounting can tell them apart.
type model struct {
	points     []point
	counts     geometry.Sense
	names      []string // of the mountings
	mountings  int
	binned     bool
	way        bool
	references int // columns for them and one more; 0: none
	orders     []int
	clustered  int  // number of clusters
	labelled   bool // clusters are graduations of the wheel over all mountings
}

func (m model) base() int {
	n := m.mountings
	if m.way {
		n++
	}
	if m.references > 0 {
		n += m.references - 1
	}
	return n
}

// columns writes the columns of a point.
func (m model) columns(p point, x []float64) {
	clear(x)
	x[p.mounting] = 1
	n := m.mountings
	if m.way {
		x[n] = p.way
		n++
	}
	if m.references > 0 {
		contrast(x[n:n+m.references-1], p.ref)
		n += m.references - 1
	}
	for i, k := range m.orders {
		if n+2*i+1 < len(x) {
			x[n+2*i], x[n+2*i+1] = math.Sincos(float64(k) * geometry.Angle(p.position).Radians())
		}
	}
}

// contrast writes one of several effects that sum to zero: the last is less the
// sum of the others.
func contrast(x []float64, which int) {
	if which < len(x) {
		x[which] = 1
		return
	}
	for i := range x {
		x[i] = -1
	}
}

// clusters gives the points of one station and mounting the same number: read
// from both directions, they share the error of one graduation.
func (m *model) clusters() {
	type place struct {
		station  int64
		mounting int
	}
	seen := map[place]int{} // only looked up
	for i, p := range m.points {
		at := place{p.station, p.mounting}
		n, ok := seen[at]
		if !ok {
			n = len(seen)
			seen[at] = n
		}
		m.points[i].cluster = n
	}
	m.clustered = len(seen)
}

// used is the number of parameters that clusters determine, with k orders.
func (m model) used(k int) int {
	if m.labelled {
		return 1 + 2*k
	}
	n := m.base() + 2*k
	if m.way && m.within() {
		n--
	}
	return n
}

// within reports whether some station was read from both directions.
func (m model) within() bool {
	ways := make([]float64, m.clustered)
	for _, p := range m.points {
		if ways[p.cluster]*p.way < 0 {
			return true
		}
		if p.way != 0 {
			ways[p.cluster] = p.way
		}
	}
	return false
}

// fitted is a solved model.
type fitted struct {
	model
	r         *mat.Dense // triangular factor of the columns with y as the last
	k         int        // orders in use
	beta      []float64
	inverse   *mat.Dense // of the leading part of r
	residuals []float64
	variance  float64 // of a reading, for the coefficients
	dof       float64
	known     bool
	fromStep  bool
	within    float64 // variance of a reading within a graduation, for the reversal
	withinDOF float64
	left      float64 // all squares left over
	leftDOF   float64
}

// flat reports whether no harmonic is above what computing leaves behind.
func (f *fitted) flat() bool {
	for _, b := range f.beta[f.base():] {
		if b*b >= equal {
			return false
		}
	}
	return true
}

// equal is the variance of readings that are equal, degrees squared.
var equal = stats.Square(geometry.Tie.Degrees())

// factor returns the triangular factor of weighted columns and values.
func (m model) factor() *mat.Dense {
	return triangular(m.points, m.base()+2*len(m.orders), m.columns)
}

// triangular returns the factor of the weighted columns of points, with their
// values as the last column. Rows of zeros below do not change it.
func triangular(points []point, columns int, fill func(p point, row []float64)) *mat.Dense {
	a := mat.NewDense(max(len(points), columns+1), columns+1, nil)
	for i, p := range points {
		row := a.RawRowView(i)
		fill(p, row[:columns])
		row[columns] = p.y
		w := math.Sqrt(p.weight)
		for j := range row {
			row[j] *= w
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	var r mat.Dense
	qr.RTo(&r)
	return mat.DenseCopyOf(r.Slice(0, columns+1, 0, columns+1))
}

// independent reports whether the first n columns are.
func independent(r *mat.Dense, n int) bool {
	for j := range n {
		if !(math.Abs(r.At(j, j)) > dependent*columnNorm(r, j)) {
			return false
		}
	}
	return true
}

func columnNorm(r *mat.Dense, j int) float64 {
	var sum float64
	for i := 0; i <= j; i++ {
		sum += r.At(i, j) * r.At(i, j)
	}
	return math.Sqrt(sum)
}

// own is the part of the two columns from j on that does not lie in those before
// them, as a share of their length, in the direction where it is smallest.
func own(r *mat.Dense, j int) float64 {
	a, b, d := r.At(j, j), r.At(j, j+1), r.At(j+1, j+1)
	p, q := a*a+b*b+d*d, a*d
	smallest := math.Sqrt(math.Max(0, (p-math.Sqrt(math.Max(0, p*p-4*q*q)))/2))
	length := math.Hypot(columnNorm(r, j), columnNorm(r, j+1)) / math.Sqrt2
	if length == 0 {
		return 0
	}
	return smallest / length
}

// fit finds the orders that the stations can tell apart, and solves.
func (m model) fit(r *Result) (*fitted, error) {
	step, most := 1, sheet.MostOrders
	if r.Opposite {
		step = 2
	}
	m.orders = nil
	for k := 1; k <= most && m.used(len(m.orders)+1) <= m.clustered; k += step {
		m.orders = append(m.orders, k)
	}
	f := &fitted{model: m, r: m.factor()}
	base := m.base()
	carried := 0
	if independent(f.r, base) {
		for carried < len(m.orders) && own(f.r, base+2*carried) >= m.least() {
			carried++
		}
	}
	r.Refused = m.refused(m.orders[:carried], step)
	if carried == 0 {
		return nil, m.tooFew(r)
	}
	// All orders that so many stations can give with as many degrees of freedom
	// left as there are orders. To choose among them by the data would give a ±
	// that is too small wherever an order is there and was not chosen.
	highest := max(1, min(mostOrders, (r.Stations-1)/3))
	for carried > 1 && m.orders[carried-1] > highest {
		carried--
	}
	f.solve(carried)
	f.scatter(r.Step)
	return f, nil
}

// least is the part of an order that must not lie in what comes before it.
func (m model) least() float64 {
	if m.references > 0 {
		return separated
	}
	return supported
}

func (m model) tooFew(r *Result) error {
	what := fmt.Sprintf("found %d stations", r.Stations)
	if r.Stations == 1 {
		what = "found 1 station"
	}
	if r.Stations >= 3 {
		return refuse(what+", which lie so that not even the first harmonic can be told from a constant",
			"spread the stations over the whole turn")
	}
	return refuse(what+", expected at least 3, and better 12 or more, spread over the whole turn", "")
}

// solve computes coefficients and residuals with the first k orders.
func (f *fitted) solve(k int) {
	n, last := f.base()+2*k, f.r.RawMatrix().Cols-1
	var inverse mat.Dense
	// A high condition is reported as an error, but the orders were chosen so
	// that the columns are independent.
	_ = inverse.Inverse(f.r.Slice(0, n, 0, n))
	f.k, f.inverse, f.beta = k, &inverse, make([]float64, n)
	for i := range n {
		for j := i; j < n; j++ {
			f.beta[i] += inverse.At(i, j) * f.r.At(j, last)
		}
	}
	x := make([]float64, n)
	f.residuals = make([]float64, len(f.points))
	for i, p := range f.points {
		f.columns(p, x)
		f.residuals[i] = p.y
		for j, b := range f.beta {
			f.residuals[i] -= x[j] * b
		}
	}
}

// between returns the weighted squares of the cluster means of the residuals,
// and all weighted squares.
func (f *fitted) between() (clusters, all float64) {
	sum, weight := make([]float64, f.clustered), make([]float64, f.clustered)
	for i, p := range f.points {
		sum[p.cluster] += p.weight * f.residuals[i]
		weight[p.cluster] += p.weight
		all += p.weight * f.residuals[i] * f.residuals[i]
	}
	for c, s := range sum {
		clusters += s * s / weight[c]
	}
	return clusters, all
}

// scatter finds the variance behind the coefficients. Where graduations scatter
// more than readings of one graduation do, repeating them does not help, and
// the graduations are what counts; else all is pooled.
func (f *fitted) scatter(step geometry.Angle) {
	var pure, runs, total float64
	stations := map[[2]int]bool{} // only counted
	for _, p := range f.points {
		pure += p.pure
		runs += p.reading.n - 1
		total += p.weight
		stations[[2]int{p.ref, p.mounting}] = true
	}
	between, all := f.between()
	betweenDOF := float64(f.clustered - f.used(f.k))
	pointDOF := float64(len(f.points) - len(f.beta))
	f.left, f.leftDOF = all+pure, pointDOF+runs
	within, withinDOF := all-between+pure, f.leftDOF-math.Max(0, betweenDOF)
	if withinDOF >= 1 {
		f.within, f.withinDOF = math.Max(0, within)/withinDOF, withinDOF
	}
	switch {
	case f.leftDOF < 1:
	case betweenDOF < 1:
		f.variance, f.dof, f.known = f.within, f.withinDOF, f.withinDOF >= 1
	case withinDOF < 1 || stats.FSurvival(between/betweenDOF/math.Max(f.within, math.SmallestNonzeroFloat64), betweenDOF, withinDOF) < lackOfFit:
		f.variance, f.dof, f.known = between/betweenDOF, betweenDOF, true
	default:
		f.variance, f.dof, f.known = f.left/f.leftDOF, f.leftDOF, true
	}
	// Readings that show no error at all, but for what computing leaves behind, are
	// equal to the reference as far as their digits go, and tell nothing of more.
	if f.variance < equal && f.flat() {
		f.variance, f.dof, f.known = 0, 0, false
	}
	// What rounds all readings of a graduation alike does not show as scatter.
	if least := step.Degrees() * step.Degrees() / 12 * total / float64(len(stations)); step > 0 && f.variance < least {
		f.variance, f.dof, f.known, f.fromStep = least, math.Inf(1), true, true
	}
	if f.withinDOF == 0 || f.fromStep && f.within < equal {
		f.within, f.withinDOF = f.variance, f.dof
	}
}
