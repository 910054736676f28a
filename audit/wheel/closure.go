package wheel

import (
	"cmp"
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"

	"gonum.org/v1/gonum/mat"
)

const (
	mostGraduations = 720     // of wheel and reference together, in a closure
	mostElements    = 5 << 20 // of its matrix
)

// Closure is what remounting the readout on the same reference tells: the two
// have their own errors, which add up in every reading but are turned against
// each other from one mounting to the next. Round the circle the errors of each
// sum to zero. (W. T. Estler, J. Res. NIST 103 (1998) 141.)
type Closure struct {
	// Separated: the harmonics are those of the readout alone. Else the errors
	// of the reference are in them.
	Separated bool
	// Complete: there is an error for every graduation, below. Else Missing says
	// what would make it so, where one mounting is enough.
	Complete         bool
	Missing          *Missing
	Wheel, Reference []Graduation // by angle
	DOF              float64      // of their uncertainties
	Known            bool         // whether there are any
	Residual         geometry.Angle
	wheelCofactors   *mat.Dense // of Wheel, for a variance of one
}

// Graduation is the error of one graduation.
type Graduation struct {
	At, Error, Standard geometry.Angle
}

// Missing is a mounting that is lacking: some stations in one that is there, or
// one turned from it by an angle on.
type Missing struct {
	Mounting string
	Turn     geometry.Angle // of the readout on the reference, further than in Mounting; 0: its stations are incomplete
}

// remounted looks at the mountings of a table, and returns the model with which its
// harmonics are fitted.
func remounted(r *Result, m model) model {
	c := &Closure{}
	r.Closure = c
	references := m.points[len(m.points)-1].ref + 1
	if references < 2 || references > mostGraduations {
		return m
	}
	labels, wheel := graduations(m.points)
	joint := m
	joint.references = references
	if labels != nil {
		joint.points = slices.Clone(m.points)
		for i := range joint.points {
			joint.points[i].cluster = labels[i]
		}
		joint.labelled, joint.clustered = true, len(wheel)
		d := dividing{joint, len(wheel), references}
		if d.size() <= mostElements && len(wheel)+references <= mostGraduations {
			if !d.solve(c, wheel) {
				c.Missing = d.missing(wheel)
			}
		}
	}
	joint.orders = []int{1}
	if factor := joint.factor(); independent(factor, joint.base()) && own(factor, joint.base()) >= joint.least() {
		c.Separated = true
		return joint
	}
	return m
}

// graduations finds which points share a graduation of the wheel: those whose
// readings lie closer together than a quarter of the least distance between
// stations. It returns the number of each point's graduation and where they
// are, in order, or nil where the mountings were not turned by whole stations.
func graduations(points []point) (labels []int, at []float64) {
	apart := 360.0
	var references []float64
	for i, p := range points {
		if i == 0 || p.station != points[i-1].station {
			references = append(references, p.reference)
		}
	}
	slices.Sort(references)
	for i := range references {
		apart = math.Min(apart, turn(references[(i+1)%len(references)]-references[i]))
	}
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(points[i].position, points[j].position) })
	next := func(n int) float64 { // distance to the reading after it
		return turn(points[order[(n+1)%len(order)]].position - points[order[n]].position)
	}
	start := -1 // a place where one graduation ends
	for n := range order {
		if next(n) > apart/4 {
			start = n + 1
			break
		}
	}
	if start < 0 {
		return nil, nil
	}
	labels = make([]int, len(points))
	for n := 0; n < len(order); {
		var sum float64
		first, count := order[(start+n)%len(order)], 0
		for more := true; more && n < len(order); n++ {
			i := order[(start+n)%len(order)]
			offset := turn(points[i].position - points[first].position)
			if offset > apart/2 {
				return nil, nil
			}
			labels[i] = len(at)
			sum += offset
			count++
			more = next((start+n)%len(order)) <= apart/4
		}
		at = append(at, turn(points[first].position+sum/float64(count)))
	}
	return labels, at
}

// dividing is the problem with one error for every graduation of wheel and
// reference. The cluster of a point is its graduation.
type dividing struct {
	model
	wheel, references int
}

func (d dividing) columnCount() int {
	n := d.mountings + d.wheel - 1 + d.references - 1
	if d.way {
		n++
	}
	return n
}

func (d dividing) size() int { return (len(d.points) + 1) * (d.columnCount() + 1) }

func (d dividing) columns(p point, x []float64) {
	clear(x)
	contrast(x[:d.wheel-1], p.cluster)
	n := d.wheel - 1
	contrast(x[n:n+d.references-1], p.ref)
	n += d.references - 1
	x[n+p.mounting] = 1
	if d.way {
		x[n+d.mountings] = p.way
	}
}

func (d dividing) factor() *mat.Dense {
	return triangular(d.points, d.columnCount(), d.columns)
}

// fullRank reports whether the mountings tell all errors apart.
func (d dividing) fullRank() bool { return independent(d.factor(), d.columnCount()) }

// solve finds the errors of all graduations, or returns false where the
// mountings do not tell them apart.
func (d dividing) solve(c *Closure, wheel []float64) bool {
	n, r := d.columnCount(), d.factor()
	if !independent(r, n) {
		return false
	}
	var inverse mat.Dense
	_ = inverse.Inverse(r.Slice(0, n, 0, n)) // a high condition shows as uncertainty
	beta := make([]float64, n)
	for i := range n {
		for j := i; j < n; j++ {
			beta[i] += inverse.At(i, j) * r.At(j, n)
		}
	}
	var pure, runs float64
	for _, p := range d.points {
		pure += p.pure
		runs += p.reading.n - 1
	}
	left := r.At(n, n) * r.At(n, n)
	c.DOF = float64(len(d.points)-n) + runs
	variance := 0.0
	if c.Known = c.DOF >= 1; c.Known {
		variance = (left + pure) / c.DOF
		c.Residual = geometry.Angle(math.Sqrt(variance))
	}
	var cofactors mat.Dense
	cofactors.Mul(&inverse, inverse.T())
	var w, f []float64
	c.wheelCofactors, w = effects(&cofactors, beta, 0, d.wheel)
	fc, f := effects(&cofactors, beta, d.wheel-1, d.references)
	for i, at := range wheel {
		c.Wheel = append(c.Wheel, Graduation{geometry.Angle(at), geometry.Angle(w[i]), geometry.Angle(math.Sqrt(variance * c.wheelCofactors.At(i, i)))})
	}
	seen := -1
	for _, p := range d.points {
		if p.ref > seen {
			seen = p.ref
			c.Reference = append(c.Reference, Graduation{geometry.Angle(p.reference), geometry.Angle(f[seen]), geometry.Angle(math.Sqrt(variance * fc.At(seen, seen)))})
		}
	}
	slices.SortFunc(c.Wheel, func(a, b Graduation) int { return cmp.Compare(a.At, b.At) })
	c.Complete = true
	return true
}

// effects returns effects that sum to zero with their cofactors, from the
// contrasts that begin at a column.
func effects(cofactors *mat.Dense, beta []float64, from, n int) (*mat.Dense, []float64) {
	t := mat.NewDense(n, n-1, nil)
	for i := range n {
		contrast(t.RawRowView(i), i)
	}
	var half, all mat.Dense
	half.Mul(t, cofactors.Slice(from, from+n-1, from, from+n-1))
	all.Mul(&half, t.T())
	out := make([]float64, n)
	for i := range n {
		for j, x := range t.RawRowView(i) {
			out[i] += x * beta[from+j]
		}
	}
	return &all, out
}

// missing looks for one mounting that would tell all errors apart: one that is
// there but lacks stations, or a further turn from the first.
func (d dividing) missing(wheel []float64) *Missing {
	spacing := 360 / float64(len(wheel))
	at := make([][]bool, d.mountings) // stations that a mounting has
	zero := make([]float64, d.mountings)
	references := make([]float64, d.references)
	for i := range at {
		at[i] = make([]bool, d.references)
	}
	names := make([]string, d.mountings)
	counts := float64(d.counts)
	for _, p := range d.points {
		at[p.mounting][p.ref] = true
		references[p.ref] = p.reference
		zero[p.mounting] = p.position - counts*p.reference
		names[p.mounting] = d.names[p.mounting]
	}
	with := func(mounting int, zero float64) bool {
		more := d
		more.points = slices.Clone(d.points)
		for j, reference := range references {
			position := turn(zero + counts*reference)
			p := point{group: d.points[0].group, position: position, weight: 1, mounting: mounting, ref: j}
			p.cluster = slices.IndexFunc(wheel, func(w float64) bool { return math.Abs(wrap(w-position)) < spacing/2 })
			if p.cluster >= 0 {
				more.points = append(more.points, p)
			}
		}
		more.mountings = max(d.mountings, mounting+1)
		return more.size() <= mostElements && more.fullRank()
	}
	for m := range at {
		if slices.Contains(at[m], false) && with(m, zero[m]) {
			return &Missing{Mounting: names[m]}
		}
	}
	for k := 1; k < len(wheel); k++ {
		if with(d.mountings, zero[0]+float64(k)*spacing) {
			return &Missing{Mounting: names[0], Turn: geometry.Angle(float64(k) * spacing)}
		}
	}
	return nil
}

// Expanded is the uncertainty of a graduation's error with 95 % coverage.
func (c Closure) Expanded(g Graduation) geometry.Angle {
	return g.Standard * geometry.Angle(stats.TQuantile(0.975, math.Max(1, c.DOF)))
}
