package wheel

import (
	"cmp"
	"math"
	"slices"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

const (
	mostStations = 20_000 // kept one by one; beyond, rows are gathered in bins
	binsAround   = 3600   // a bin is a tenth of a degree of the reading
	sameStation  = 1e-6   // degrees within which two references are the same station
	perDegree    = 1 / sameStation
	binsPer      = binsAround / 360.0
)

// Accumulator takes the rows of a table one at a time and keeps what the audit
// needs of them, in memory that does not grow with their number. Runs at one
// station, from one direction and in one mounting are kept together; a log with
// more than 20,000 such stations is gathered in bins of 0.1° of the reading.
// The zero value is ready. All rows are of one kind, as in a table: with a
// reference, or of opposite pointers.
type Accumulator struct {
	opposite  bool // the rows are of two opposite pointers
	rows      int
	binned    bool
	groups    map[key]*group
	mountings map[string]int
	names     []string // of the mountings, in the order in which they came

	references, readings distinct

	key     key // of the row before
	group   *group
	name    string
	nameKey int
}

// key is what rows have in common that are kept together.
type key struct {
	station  int64 // the reference in steps of sameStation, or the bin of the reading
	approach sheet.Approach
	mounting int
}

// group is rows that are kept together.
type group struct {
	key
	reference float64
	reading   moments
	up, down  moments // reading less reference, reading plus reference; of opposite pointers the difference from half a turn
}

// moments are the mean and the sum of squares about it of angles that lie within
// half a turn of the first (B. P. Welford, Technometrics 4 (1962) 419).
type moments struct{ n, mean, squares float64 }

func (m *moments) add(x float64) {
	if m.n == 0 {
		m.mean = x
	}
	m.n++
	d := wrap(x - m.mean)
	m.mean += d / m.n
	m.squares += d * (d - d/m.n)
}

// merge adds the moments of other values (T. F. Chan et al., The American
// Statistician 37 (1983) 242).
func (m *moments) merge(o moments) {
	if m.n == 0 {
		*m = o
		return
	}
	d, n := wrap(o.mean-m.mean), m.n+o.n
	m.mean += d * o.n / n
	m.squares += o.squares + d*d*m.n*o.n/n
	m.n = n
}

// wrap is [geometry.Angle.Wrap], quick where there is nothing to do.
func wrap(x float64) float64 {
	if -180 < x && x <= 180 {
		return x
	}
	return geometry.Angle(x).Wrap().Degrees()
}

func turn(x float64) float64 {
	if 0 <= x && x < 360 {
		return x
	}
	return geometry.Angle(x).Turn().Degrees()
}

// Add takes one row.
func (a *Accumulator) Add(row Row) {
	if a.groups == nil {
		a.groups, a.mountings = map[key]*group{}, map[string]int{}
	}
	a.rows++
	a.opposite = row.Pointers
	if !row.Pointers {
		a.references.add(turn(row.Reference.Degrees()))
		a.readings.add(turn(row.Reading.Degrees()))
	}
	if row.Mounting != a.name || len(a.names) == 0 {
		n, ok := a.mountings[row.Mounting]
		if !ok {
			n = len(a.names)
			a.mountings[row.Mounting], a.names = n, append(a.names, row.Mounting)
		}
		a.name, a.nameKey = row.Mounting, n
	}
	reading := turn(row.Reading.Degrees())
	var reference, up, down float64
	if a.opposite {
		reference, up = reading, reading-row.Opposite.Degrees()+180
	} else {
		reference = turn(row.Reference.Degrees())
		up, down = reading-reference, reading+reference
	}
	k := key{stationOf(reference), row.Approach, a.nameKey}
	if a.binned {
		k.station = binOf(reading)
	}
	if a.group == nil || k != a.key {
		a.key, a.group = k, a.groups[k]
		if a.group == nil {
			a.group = &group{key: k, reference: reference}
			a.groups[k] = a.group
		}
	}
	a.group.reading.add(reading)
	a.group.up.add(up)
	a.group.down.add(down)
	if !a.binned && len(a.groups) > mostStations {
		a.gather()
	}
}

func stationOf(reference float64) int64 {
	return int64(math.Round(reference*perDegree)) % (360 * perDegree)
}

func binOf(reading float64) int64 { return int64(reading*binsPer) % binsAround }

// gather puts stations into bins of the reading.
func (a *Accumulator) gather() {
	stations := a.sorted()
	a.binned, a.group, a.groups = true, nil, map[key]*group{}
	for _, g := range stations {
		k := g.key
		k.station = binOf(turn(g.reading.mean))
		into := a.groups[k]
		if into == nil {
			into = &group{key: k}
			a.groups[k] = into
		}
		into.reading.merge(g.reading)
		into.up.merge(g.up)
		into.down.merge(g.down)
	}
}

// sorted returns the groups by station, approach and mounting, and numbers the
// mountings by name, so that nothing depends on the order of the rows.
func (a *Accumulator) sorted() []*group {
	names := slices.Clone(a.names)
	slices.Sort(names)
	place := make([]int, len(names))
	for i, name := range names {
		place[a.mountings[name]] = i
	}
	out := make([]*group, 0, len(a.groups))
	for _, g := range a.groups {
		out = append(out, g)
	}
	slices.SortFunc(out, func(x, y *group) int {
		return cmp.Or(
			cmp.Compare(x.station, y.station), cmp.Compare(x.approach, y.approach),
			cmp.Compare(place[x.mounting], place[y.mounting]),
		)
	})
	return out
}
