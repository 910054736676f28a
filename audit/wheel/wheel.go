package wheel

import (
	"math"
	"slices"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/enum"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Options are what a table does not say of the readout.
type Options struct {
	Diameter geometry.Length // of the wheel at its graduations; zero: not known
	Unit     geometry.Unit   // in which the diameter was written; only printed
	Step     geometry.Angle  // smallest step of the instrument that was read; zero: not known

	Set       Set             // which of the two was set, as far as it was said
	Slide     geometry.Length // standard deviation of where a wheel comes to sit that is slid; zero: 0.05 mm
	Reference Reference
	AsRead    bool // a station that stands out was looked up: it counts as it is
}

// Set says which instrument was set at each station, and the other read.
type Set uint8

// The zero value: nobody said, so the reference is taken to have been set.
const (
	SetUnsaid Set = iota
	SetReference
	SetWheel
)

var setWords = []string{"not said", "reference", "wheel"}

func (s Set) String() string { return enum.Word(setWords, s) }

// Reference is what the readout was compared with. A limit of zero: not stated.
type Reference struct {
	Name, Number, Certificate, Due string
	Limit                          geometry.Angle // its largest error by the certificate
}

// point is one group of rows as the fit sees it.
type point struct {
	*group
	position float64 // mean reading, in [0°, 360°)
	y        float64 // reading error, less a constant of the mounting
	pure     float64 // squares of the runs about their mean
	weight   float64
	way      float64 // ½ forward, −½ backward, 0 not known
	mounting int     // by name
	ref      int     // number of the reference among the different ones
	cluster  int     // points whose graduation is the same
}

// Audit computes the result of all rows so far. The error, of type
// [inputerror.List], says why they allow none.
func (a *Accumulator) Audit(o Options) (Result, error) {
	groups := a.sorted()
	r := Result{Options: o, Opposite: a.opposite, Rows: a.rows, Binned: a.binned, Mountings: slices.Clone(a.names)}
	slices.Sort(r.Mountings)
	if len(groups) == 0 {
		return r, refuse("the table has no rows, expected readings at stations all round", "")
	}
	points, counts, err := a.points(groups, r.Mountings)
	if err != nil {
		return r, err
	}
	r.Counts = counts
	r.stations(points)
	if err := r.fitted(a, points); err != nil {
		return r, err
	}
	findLattice(&r, a)
	doubtColumns(&r, a)
	r.OffCentre = offCentreOf(r)
	if len(r.Mountings) == 1 && !r.Opposite && !r.Binned {
		r.Axis = axisOf(points, counts)
	}
	return r, nil
}

// fitted fits all points, and once more without a station that stands out: a slip
// may neither bend the curve nor send a wheel off.
func (r *Result) fitted(a *Accumulator, points []point) error {
	f, err := r.fit(a, points)
	if err != nil {
		return err
	}
	if s := r.StandsOut; s != nil && !r.AsRead {
		var rest []point
		for i, p := range f.points {
			if f.labelled && i != s.at || !f.labelled && p.cluster != f.points[s.at].cluster {
				rest = append(rest, p)
			}
		}
		without := *r
		without.stations(rest)
		if g, err := without.fit(a, rest); err == nil && (without.Known || g.leftDOF >= 1) {
			without.StandsOut, without.Stations, without.Spacing, without.BothWays = s, r.Stations, r.Spacing, r.BothWays
			s.LeftOut = true
			*r, f = without, g
		}
	}
	if len(f.points) <= mostSeen {
		r.Seen = nil
		for i, p := range f.points {
			at := geometry.Angle(p.position)
			r.Seen = append(r.Seen, Seen{at, r.ErrorAt(at) + geometry.Angle(f.residuals[i])})
		}
	}
	return nil
}

// fit fits points and writes the result.
func (r *Result) fit(a *Accumulator, points []point) (*fitted, error) {
	r.Harmonics, r.Closure, r.StandsOut, r.LostMotion = nil, nil, nil, nil
	m := model{points: slices.Clone(points), counts: r.Counts, names: r.Mountings, mountings: len(r.Mountings), binned: a.binned, way: r.BothWays}
	m.clusters()
	if len(r.Mountings) > 1 && !a.binned {
		m = remounted(r, m)
	}
	f, err := m.fit(r)
	if err != nil {
		return nil, err
	}
	f.tell(r)
	return f, nil
}

// refuse says why a table allows no audit.
func refuse(text, hint string) error {
	return inputerror.List{{Text: text, Hint: hint}}
}

// points turns groups into what is fitted, and finds the sense of counting.
func (a *Accumulator) points(groups []*group, names []string) ([]point, geometry.Sense, error) {
	points := make([]point, len(groups))
	var refs int
	for i, g := range groups {
		if i > 0 && g.station != groups[i-1].station {
			refs++
		}
		way := 0.0
		switch g.approach {
		case sheet.Forward:
			way = 0.5
		case sheet.Backward:
			way = -0.5
		}
		mounting, _ := slices.BinarySearch(names, a.names[g.mounting])
		points[i] = point{group: g, position: turn(g.reading.mean), way: way, mounting: mounting, ref: refs}
	}
	weigh(points)
	if a.opposite {
		for i := range points {
			points[i].y, points[i].pure = wrap(points[i].up.mean)/2, points[i].up.squares/4
			if math.Abs(points[i].y) > 45 {
				return nil, 0, refuse("the two readings of a row are nearer to a whole turn apart than to half a turn, expected pointers opposite each other", "")
			}
		}
		return points, 0, nil
	}
	counts, err := sense(points, len(names))
	if err != nil {
		return nil, 0, err
	}
	centre(points, len(names), counts)
	return points, counts, nil
}

// weigh gives each point the number of its rows, but none more than four times
// the median: runs beyond that no longer tell of the graduation.
func weigh(points []point) {
	n := make([]float64, len(points))
	for i, p := range points {
		n[i] = p.reading.n
	}
	slices.Sort(n)
	most := 4 * n[len(n)/2]
	for i := range points {
		points[i].weight = math.Min(points[i].reading.n, most)
	}
}

// stations counts them.
func (r *Result) stations(points []point) {
	var at []float64
	var ways [2]bool
	for i, p := range points {
		if i == 0 || p.station != points[i-1].station {
			at = append(at, p.reference)
		}
		ways[0], ways[1] = ways[0] || p.way > 0, ways[1] || p.way < 0
	}
	r.Stations, r.BothWays = len(at), ways[0] && ways[1]
	if r.Binned {
		return
	}
	slices.Sort(at)
	even := 360 / float64(len(at))
	for i := range at {
		next := at[(i+1)%len(at)]
		if math.Abs(turn(next-at[i])-even) > 0.01*even {
			return
		}
	}
	r.Spacing = geometry.Angle(even)
}
