package wheel

import (
	"math"
	"slices"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Options are what a table does not say of the readout.
type Options struct {
	Diameter geometry.Length // of the wheel at its graduations; zero: not known
	Unit     geometry.Unit   // in which the diameter was written; only printed
	Step     geometry.Angle  // smallest step of the readings; zero: not known
}

// Result is what a table shows of a readout.
type Result struct {
	Options
	Opposite  bool // seen by two opposite pointers: only odd harmonics
	Rows      int
	Stations  int  // different references; of opposite pointers different readings; of a log bins
	Binned    bool // a log gathered in bins of 0.1° of the reading
	BothWays  bool // read from both directions
	Mountings []string
	Spacing   geometry.Angle // between neighbouring stations, where they are equally far apart; else zero

	Counts geometry.Sense // against the reference; zero where there is none

	Harmonics []Harmonic // of the reading error, the lowest order first
	Sine      []geometry.Angle
	Cosine    []geometry.Angle
	cov       [][]float64 // of sine 1, cosine 1, … of the orders in Harmonics; square degrees
	DOF       float64     // of the uncertainties; +Inf when a step rules them
	Known     bool        // whether there is anything to tell the uncertainties from
	FromStep  bool        // the step, not scatter, rules the uncertainties

	PeakToPeak geometry.Angle // of the sum of the harmonics
	Largest    geometry.Angle // the largest magnitude of that sum
	LargestAt  geometry.Angle // the reading that has it
	Residual   geometry.Angle // standard deviation of the readings about it; 0 where none is left over

	LostMotion *LostMotion // nil when read from one direction
	OffCentre  OffCentre
	Axis       *Axis    // nil where there are too few runs or targets
	StandsOut  *Station // nil where no station does
	Refused    []Refused
	Closure    *Closure // nil without remounting

	Seen []Seen // what the stations read, the curve's constants taken out; none of more than a few hundred
}

// Seen is a reading and its error, as one station has it.
type Seen struct{ Reading, Error geometry.Angle }

const mostSeen = 400 // stations that a figure can show apart

// Harmonic is one order of the reading error: Amplitude·sin(Order·R − Phase).
type Harmonic struct {
	Order     int
	Amplitude geometry.Angle
	Phase     geometry.Angle // in [0°, 360°)
	Standard  geometry.Angle // uncertainty of Amplitude; meaningless unless Known
	P         float64        // probability of an amplitude as large from scatter alone
}

// LostMotion is by how much the readout lags when the direction is reversed.
type LostMotion struct {
	Value    geometry.Angle // not negative
	Reversal geometry.Angle // mean reading forward less backward
	Standard geometry.Angle
	DOF      float64
}

// Station is a station and by how much its reading differs from what the others
// let expect.
type Station struct {
	Reference, Reading, By geometry.Angle
	Mounting               string
	Probability            float64 // of one as far out among so many, from scatter alone
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
// [sheet.Faults], says why they allow none.
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
	m := model{points: points, counts: counts, names: r.Mountings, mountings: len(r.Mountings), binned: a.binned, way: r.BothWays}
	m.clusters()
	if len(r.Mountings) > 1 && !a.binned {
		m = r.remounted(m)
	}
	f, err := m.fit(&r)
	if err != nil {
		return r, err
	}
	f.tell(&r)
	if len(f.points) <= mostSeen {
		for i, p := range f.points {
			at := geometry.Angle(p.position)
			r.Seen = append(r.Seen, Seen{at, r.ErrorAt(at) + geometry.Angle(f.residuals[i])})
		}
	}
	r.OffCentre = r.offCentre()
	if len(r.Mountings) == 1 && !r.Opposite && !r.Binned {
		r.Axis = axisOf(points, counts)
	}
	return r, nil
}

// refuse says why a table allows no audit.
func refuse(text, hint string) error {
	return sheet.Faults{{Text: text, Hint: hint}}
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
	if r.Binned || len(at) < 2 {
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
