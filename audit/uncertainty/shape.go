package uncertainty

import (
	"markaudit/audit/internal/enum"
)

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

// Term is one independent contribution to a sum, symmetric about zero. Scale
// is the standard deviation of a normal term, the scale of a Student-t term
// with DOF degrees of freedom, and the half width of a bounded one.
type Term struct {
	Shape Shape
	Scale float64 // not negative, finite
	DOF   float64 // of a Student-t term; whole, at least 1

	share, lighter float64 // of a Student-t term in its sum; see matched
}

var shapeWords = []string{"normal", "t", "rectangular", "triangular", "arcsine"}

func (s Shape) String() string { return enum.Word(shapeWords, s) }

// MarshalText writes the word.
func (s Shape) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Shape) UnmarshalText(text []byte) error { return enum.From(s, shapeWords, text) }
