package geometry

import "math"

// Limit says how far a value may be off. With K zero it is a limit that is
// never passed (rectangular distribution); otherwise Half is an expanded
// uncertainty from a certificate with coverage factor K (normal distribution).
// The zero Limit says nothing was stated.
type Limit[T Angle | Length] struct {
	Half T
	K    float64
}

// Standard returns the standard uncertainty that the limit stands for, in the
// unit of T: Half/√3 for limits (JCGM 100, 4.3.7), Half/K for a certificate
// (JCGM 100, 4.3.3).
func (l Limit[T]) Standard() T {
	if l.K > 0 {
		return T(float64(l.Half) / l.K)
	}
	return T(float64(l.Half) / math.Sqrt(3))
}

// Quantity is a value with a limit as a person writes it: "158.0 ± 0.2 mm",
// "± 0.3 mm", "0.10 ± 0.05", "158.0 ± 0.2 mm (k=2)".
type Quantity[T Angle | Length] struct {
	Value    T
	HasValue bool // false for "± 0.3 mm"
	Limit    Limit[T]
	HasLimit bool
	Unit     Unit // of a length; meaningless for an angle
}

// Offset is a sideways offset of piston pin or bore. Value is positive to the
// thrust side for a pin and to the crankpin side for a bore; when the side is
// unknown Value is zero and Limit holds the size.
type Offset struct {
	Value Length
	Limit Limit[Length]
	Unit  Unit
}
