package uncertainty

import (
	"fmt"

	"markaudit/geometry"
)

// Estimate is a value with its uncertainty. Where Known is false the readings
// hold no scatter, and only Value and the rows of the budget mean anything.
type Estimate struct {
	Value    geometry.Angle
	Budget   Budget
	Known    bool
	Standard geometry.Angle // combined standard uncertainty (JCGM 100, 5.1.2)
	DOF      DOF            // effective, for information
	Expanded geometry.Angle // half width of the interval at the confidence that was asked for
}

// String is the value with its expanded uncertainty, in degrees.
func (e Estimate) String() string {
	if !e.Known {
		return fmt.Sprintf("%.2f, without an interval", e.Value)
	}
	return fmt.Sprintf("%.2f ± %.2f", e.Value, e.Expanded)
}
