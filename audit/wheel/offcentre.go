package wheel

import (
	"math"

	"markaudit/geometry"
)

const (
	worthFrom   = 0.75                  // of the largest error is what may be left for recentring to be worth doing; common practice, no source
	leastToMove = geometry.Length(0.03) // a wheel cannot be slid by less with any purpose; common practice, no source
)

// Worth says whether recentring is worth doing, or why not.
type Worth uint8

// NotSeen: the first harmonic is no more than scatter. LittleGained: most of the
// error would stay. TooSmall: less than can be slid with any purpose.
const (
	WorthDoing Worth = iota
	NotSeen
	LittleGained
	TooSmall
)

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
	Worth        Worth
}

func (r Result) offCentre() OffCentre {
	first := r.Harmonics[0]
	rho := r.Diameter / 2
	o := OffCentre{
		By: rho * geometry.Length(first.Amplitude.Radians()), Standard: rho * geometry.Length(first.Standard.Radians()),
		Toward: first.Phase, Slide: (first.Phase + 180).Turn(),
	}
	low, _ := r.extreme(2, -1)
	high, _ := r.extreme(2, 1)
	o.Left = max(high, -low)
	if r.Known {
		o.Left = geometry.Angle(math.Hypot(o.Left.Degrees(), r.Coverage()*first.Standard.Degrees()))
	}
	switch {
	case first.Amplitude < negligible || !(first.Seen() || r.Known && first.Standard < negligible):
		o.Worth = NotSeen
	case o.Left > worthFrom*r.Largest:
		o.Worth = LittleGained
	case r.Diameter > 0 && o.By < leastToMove:
		o.Worth = TooSmall
	}
	return o
}
