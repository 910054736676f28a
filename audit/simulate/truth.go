package simulate

import "markaudit/geometry"

// Truth is what no reading shows.
type Truth struct {
	Lines  []TrueLine
	Setups []TrueSetup
}

// TrueLine is where a line truly is.
type TrueLine struct {
	Name      string
	Nominal   geometry.Angle
	Offset    geometry.Angle // with what ring and pointer add; late is positive
	Tolerance geometry.Angle
}

// Within reports whether the line truly is within its tolerance.
func (l TrueLine) Within() bool { return -l.Tolerance <= l.Offset && l.Offset <= l.Tolerance }

// TrueSetup is what one setup truly was.
type TrueSetup struct {
	Name, By string
	Reading  geometry.Angle // what a perfect readout shows at the piston's top, 0 to 360, while the contacts are made
	HalfArc  geometry.Angle // of the first contacts with a stop, scatter left out
	Bumped   geometry.Angle // by which the readout was moved after the contacts, in graduations
}
