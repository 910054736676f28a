package geometry

// Length is a length in millimetres.
type Length float64

// Unit is a unit in which a length was written. The zero value is millimetres.
type Unit uint8

// The units that a sheet may use.
const (
	Millimetre Unit = iota
	Centimetre
	Metre
	Inch
	Thou
)

// Millimetres returns the length as a bare number of millimetres.
func (l Length) Millimetres() float64 { return float64(l) }
