// Package uncertainty combines independent sources of doubt into a budget, an
// exact coverage interval and a probability of conformity.
//
// It assumes that the terms of a sum are independent and symmetric about zero;
// correlation between marks is carried by the caller, who says which rows two
// marks share.
package uncertainty

// Shape is the distribution of one source.
type Shape uint8

// The shapes that a budget row can have.
const (
	Normal Shape = iota
	StudentT
	Rectangular
	Triangular
	Arcsine
)

func (s Shape) String() string {
	return [...]string{"normal", "t", "rectangular", "triangular", "arcsine"}[s]
}

// Term is one independent contribution to a sum, symmetric about zero. Scale
// is the standard deviation of a normal term, the scale of a Student-t term
// with DOF degrees of freedom, and the half width of a bounded one.
type Term struct {
	Shape Shape
	Scale float64 // not negative, finite
	DOF   float64 // of a Student-t term; whole, at least 1
}
