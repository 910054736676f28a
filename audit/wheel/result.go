package wheel

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

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
	Lattice    *Lattice // nil where rounding is not the same all round
	Swapped    bool     // the columns look exchanged, and nobody said which was set
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
	LeftOut                bool    // all figures are without it
	Rows                   []int   // of the file, as [Table.RowsOf] has them
	at                     int     // into the points of the fit that found it
}

// tell writes what was fitted into the result.
func (f *fitted) tell(r *Result) {
	base, highest := f.base(), f.orders[f.k-1]
	r.Sine, r.Cosine = make([]geometry.Angle, highest), make([]geometry.Angle, highest)
	r.Known, r.DOF, r.FromStep = f.known, f.dof, f.fromStep
	r.cov = make([][]float64, 2*f.k)
	for i := range r.cov {
		r.cov[i] = make([]float64, 2*f.k)
		for j := range r.cov[i] {
			r.cov[i][j] = f.variance * f.cofactor(base+i, base+j)
		}
	}
	for i := range f.k {
		k := f.orders[i]
		s, c := f.beta[base+2*i], f.beta[base+2*i+1]
		r.Sine[k-1], r.Cosine[k-1] = geometry.Angle(s), geometry.Angle(c)
		r.Harmonics = append(r.Harmonics, harmonic(k, s, c, r.cov[2*i][2*i], r.cov[2*i][2*i+1], r.cov[2*i+1][2*i+1], f.dof))
	}
	r.extremes()
	if f.leftDOF >= 1 && f.left/f.leftDOF >= equal {
		r.Residual = geometry.Angle(math.Sqrt(f.left / f.leftDOF))
	}
	if f.way {
		n := f.mountings
		r.LostMotion = &LostMotion{
			Value: geometry.Angle(math.Abs(f.beta[n])), Reversal: geometry.Angle(f.beta[n]),
			Standard: geometry.Angle(math.Sqrt(f.within * f.cofactor(n, n))), DOF: f.withinDOF,
		}
	}
	r.StandsOut = f.standsOut()
}

// cofactor is an element of the covariance of the coefficients for a variance
// of one.
func (f *fitted) cofactor(i, j int) float64 {
	n, _ := f.inverse.Dims()
	var sum float64
	for k := max(i, j); k < n; k++ {
		sum += f.inverse.At(i, k) * f.inverse.At(j, k)
	}
	return sum
}

// harmonic turns S sin kR + C cos kR into an amplitude and a phase. The
// uncertainty is that along the phase (JCGM 100, 5.2.2); P is Hotelling's, for
// both coefficients together.
func harmonic(k int, s, c, ss, sc, cc, dof float64) Harmonic {
	h := Harmonic{Order: k, Amplitude: geometry.Angle(math.Hypot(s, c)), P: math.NaN()}
	h.Phase = geometry.AngleFromRadians(math.Atan2(-c, s)).Turn()
	a := h.Amplitude.Degrees()
	variance := (ss + cc) / 2
	if a > 0 {
		variance = (s*s*ss + 2*s*c*sc + c*c*cc) / (a * a)
	}
	h.Standard = geometry.Angle(math.Sqrt(math.Max(0, variance)))
	if det := ss*cc - sc*sc; det > 0 {
		h.P = stats.FSurvival((s*s*cc-2*s*c*sc+c*c*ss)/det/2, 2, dof)
	}
	return h
}

// CurveKnown reports whether the curve has an uncertainty: where rounding is alike
// all round, it is not known how much of the curve is rounding.
func (r Result) CurveKnown() bool { return r.Known && r.Lattice == nil }

// ExpandedAmplitude is the uncertainty of a harmonic's amplitude with 95 %
// coverage. What rounding alone can make of it, and the reference's largest error,
// are limits: the first is the least, the second comes on top.
func (r Result) ExpandedAmplitude(h Harmonic) geometry.Angle {
	u := geometry.Angle(r.Coverage()) * h.Standard
	if r.Lattice != nil {
		u = max(u, r.Lattice.Limit)
	}
	return u + r.referenceLimit()
}

// referenceLimit is the largest error of the reference, as far as it is in the
// result: remounting takes it out.
func (r Result) referenceLimit() geometry.Angle {
	if r.Opposite || r.Closure != nil && r.Closure.Separated {
		return 0
	}
	return r.Reference.Limit
}

// Seen reports whether an order is more than scatter, at 5 %.
func (h Harmonic) Seen() bool { return h.P <= 0.05 }
