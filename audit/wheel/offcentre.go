package wheel

import (
	"math"

	"markaudit/audit/internal/enum"
	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

const (
	worthFrom   = 0.75                  // of the largest error is what may be left for recentring to be worth doing; common practice, no source
	leastToMove = geometry.Length(0.03) // a wheel cannot be slid by less with any purpose; common practice, no source
	usualSlide  = geometry.Length(0.05) // standard deviation of where it comes to sit; common practice, no source
	sureEnough  = 0.95                  // chance of a better wheel from which it is advised
)

// Worth says whether recentring is worth doing, or why not.
type Worth uint8

// NotSeen: the first harmonic is no more than scatter. LittleGained: most of the
// error would stay. TooSmall: less than can be slid with any purpose. NotSure: too
// likely it would sit no better. StepRules: the step may make as much of it by
// itself. ColumnsDoubted: the columns look exchanged, and the way with them.
const (
	WorthDoing Worth = iota
	NotSeen
	LittleGained
	TooSmall
	NotSure
	StepRules
	ColumnsDoubted
)

var worthWords = []string{"worth doing", "not seen", "little gained", "too small", "not sure", "step rules", "columns doubted"}

func (w Worth) String() string { return enum.Word(worthWords, w) }

// OffCentre is the first harmonic as a displacement of the wheel's centre from
// the axis, and how to take it away. A readout whose centre is displaced by e
// towards its graduation ψ reads wrong by
//
//	(180/π)(e/ρ) sin(R − ψ)
//
// in the first order of e over the radius ρ of its graduations. With the
// pointer at the graduations that is the first harmonic exactly; the second is
// (e/ρ)²/2, and e is 1 mm at most on wheels that anyone would use.
// (Textbook geometry: the exact error is atan2(e sin(R−ψ), ρ + e cos(R−ψ)).)
type OffCentre struct {
	By, Standard geometry.Length // zero without a diameter
	Toward       geometry.Angle  // graduation
	Slide        geometry.Angle  // graduation that is to move away from the shaft's centre
	Left         geometry.Angle  // largest error then: what the other orders leave, with the doubt about the first
	Chance       float64         // that it is better afterwards; NaN where nothing tells
	Worth        Worth
}

func offCentreOf(r Result) OffCentre {
	first := r.Harmonics[0]
	rho := r.Diameter / 2
	o := OffCentre{
		By: rho * geometry.Length(first.Amplitude.Radians()), Standard: rho * geometry.Length(first.Standard.Radians()),
		Toward: first.Phase, Slide: (first.Phase + 180).Turn(), Chance: chanceOfBetter(r, first),
	}
	low, _ := r.extreme(2, -1)
	high, _ := r.extreme(2, 1)
	o.Left = max(high, -low)
	if r.Known {
		o.Left = geometry.Angle(math.Hypot(o.Left.Degrees(), r.Coverage()*first.Standard.Degrees()))
	}
	switch {
	case r.Swapped:
		o.Worth = ColumnsDoubted
	case r.Lattice != nil && first.Amplitude < r.Step:
		o.Worth = StepRules
	case first.Amplitude < negligible || !(first.Seen() || r.Known && first.Standard < negligible):
		o.Worth = NotSeen
	case o.Left > worthFrom*r.Largest:
		o.Worth = LittleGained
	case r.Diameter > 0 && o.By < leastToMove:
		o.Worth = TooSmall
	case o.Chance < sureEnough:
		o.Worth = NotSure
	}
	return o
}

// chanceOfBetter is the probability that the wheel sits better when slid by what was
// found. With the true displacement v, the found one w and p where it comes to sit
// instead, it is better where |v - w + p| < |v|, so along w where v lies beyond half
// of it and what placing adds:
//
//	P(t ≤ (A/2 - u_p²/A - E)/u),   u_p = (180/π) slide/ρ
//
// A the amplitude, u its standard uncertainty, E the reference's limit.
func chanceOfBetter(r Result, first Harmonic) float64 {
	a, u := first.Amplitude.Degrees(), first.Standard.Degrees()
	if !r.Known || a == 0 {
		return math.NaN()
	}
	slide := r.Slide
	if slide == 0 {
		slide = usualSlide
	}
	placing := 0.0
	if r.Diameter > 0 {
		placing = geometry.AngleFromRadians(slide.Millimetres() / (r.Diameter / 2).Millimetres()).Degrees()
	}
	return chanceOf(a, u, placing, r.referenceLimit().Degrees(), math.Max(1, r.DOF))
}

func chanceOf(a, u, placing, limit, dof float64) float64 {
	d := a/2 - placing*placing/a - limit
	if u == 0 {
		if d > 0 {
			return 1
		}
		return 0
	}
	return 1 - stats.TSurvival(d/u, dof)
}
