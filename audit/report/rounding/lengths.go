package rounding

import (
	"math"
	"strings"

	"markaudit/audit/calculate"
	"markaudit/geometry"
)

// Lengths prints lengths in the unit in which the diameter was written: inches
// to 0.001 with millimetres in brackets, or millimetres to 0.01.
type Lengths struct {
	Unit geometry.Unit
	// ByDividers prints no finer than dividers are set: inches to 0.01, millimetres to
	// 0.1. So is what is held in the hand at the part, where one way is one number.
	ByDividers bool
}

// Fine prints what a readout or a caliper showed, whatever is printed beside it.
func (l Lengths) Fine() Lengths {
	l.ByDividers = false
	return l
}

// Places are the decimals of millimetres, InchPlaces those of inches.
func (l Lengths) Places() int {
	if l.ByDividers {
		return 1
	}
	return 2
}

// InchPlaces are the decimals of inches.
func (l Lengths) InchPlaces() int {
	if l.ByDividers {
		return 2
	}
	return 3
}

// Of prints a length.
func (l Lengths) Of(x geometry.Length) string {
	mm := Fixed(x.Millimetres(), l.Places()) + " mm"
	if l.Unit.Imperial() {
		return Fixed(x.In(geometry.Inch), l.InchPlaces()) + " in (" + mm + ")"
	}
	return mm
}

// About prints a length to go by, no finer than an eye.
func (l Lengths) About(x geometry.Length) string {
	if l.Unit.Imperial() {
		return Fixed(x.In(geometry.Inch), 1) + " in"
	}
	return Fixed(x.Millimetres(), 0) + " mm"
}

// Sure prints a length with its uncertainty, which is never rounded down to
// nothing.
func (l Lengths) Sure(x, u geometry.Length) string {
	mm := Fixed(x.Millimetres(), l.Places()) + " ± " + NotNothing(u.Millimetres(), l.Places()) + " mm"
	if l.Unit.Imperial() {
		return Fixed(x.In(geometry.Inch), l.InchPlaces()) + " ± " + NotNothing(u.In(geometry.Inch), l.InchPlaces()) + " in (" + mm + ")"
	}
	return mm
}

// ByTape prints a length with its limit, no finer than a tape shows it. A limit of
// zero is none.
func (l Lengths) ByTape(x, limit geometry.Length) string {
	in := func(unit geometry.Unit, places int) string {
		text := Fixed(x.In(unit), places)
		if limit > 0 {
			text += " ± " + NotNothing(limit.In(unit), places)
		}
		return text
	}
	mm := in(geometry.Millimetre, 1) + " mm"
	if l.Unit.Imperial() {
		return in(geometry.Inch, 2) + " in (" + mm + ")"
	}
	return mm
}

// PerDegree prints how much the drop changes over a degree: a place more than a
// length, for it is multiplied by several.
func (l Lengths) PerDegree(x geometry.Length) string {
	mm := Fixed(x.Millimetres(), 3) + " mm"
	if l.Unit.Imperial() {
		return Fixed(x.In(geometry.Inch), 4) + " in (" + mm + ")"
	}
	return mm
}

// Entered prints a length that was typed, with all the decimals it was typed
// with.
func (l Lengths) Entered(x geometry.Length) string {
	if l.Unit.Imperial() {
		return l.Of(x)
	}
	s := Plain(math.Round(x.Millimetres()*1e4) / 1e4)
	if _, decimals, _ := strings.Cut(s, "."); len(decimals) > 2 {
		return s + " mm"
	}
	return l.Of(x)
}

// Quantity prints a length with its limit and the coverage factor of that, as far
// as they were given.
func (l Lengths) Quantity(d geometry.Quantity[geometry.Length]) string {
	if d.Limit.Half == 0 {
		return l.Of(d.Value)
	}
	return l.Sure(d.Value, d.Limit.Half) + covering(d.Limit.K)
}

// Sized prints a length with what an input's limit makes of it: nothing for a limit
// of zero, "± ?" where it is not known (NaN).
func (l Lengths) Sized(s calculate.Sized[geometry.Length]) string {
	switch half := s.Limit.Half.Millimetres(); {
	case half == 0:
		return l.Of(s.Value)
	case math.IsNaN(half):
		return l.Of(s.Value) + " ± ?"
	}
	return l.Sure(s.Value, s.Limit.Half) + covering(s.Limit.K)
}
