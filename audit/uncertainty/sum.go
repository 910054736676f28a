package uncertainty

import "math"

// Standard returns the term's standard uncertainty: the scale itself, or the
// half width over √3, √6 or √2.
func (t Term) Standard() float64 {
	switch t.Shape {
	case Rectangular:
		return t.Scale / math.Sqrt(3)
	case Triangular:
		return t.Scale / math.Sqrt(6)
	case Arcsine:
		return t.Scale / math.Sqrt2
	}
	return t.Scale
}
