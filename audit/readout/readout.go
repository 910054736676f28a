package readout

import (
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Readout is the readout of one sheet, ready to read true angles from.
type Readout struct {
	of    sheet.Readout
	part  sheet.Part
	table *sheet.Correction // as far as it applies; nil without one
}

// New returns the readout of a sheet.
func New(s sheet.Sheet) Readout {
	r := Readout{of: s.Readout, part: s.Part}
	if c := s.Readout.Correction; c != nil {
		applied := *c
		if s.Readout.OffCentre > 0 { // the first harmonic was that of another mounting
			applied.From = 2
		}
		r.table = &applied
	}
	return r
}

// Counts is +1 as the readout's sense where it counts up in the running
// direction, else -1.
func (r Readout) Counts() geometry.Angle { return geometry.Angle(r.of.Counts) }

// Step is the readout's step, in degrees.
func (r Readout) Step() geometry.Angle { return r.of.Step }

// Lost is what the readout loses when the engine is reversed, as the sheet states it;
// zero where it does not.
func (r Readout) Lost() geometry.Angle { return r.of.LostMotion }

// Corrected reports whether a correction is applied to the readings.
func (r Readout) Corrected() bool { return r.table != nil }

// Value is a reading as a true readout would have shown it.
func (r Readout) Value(reading *sheet.Reading) geometry.Angle {
	return reading.Value - r.table.Error(reading.Value)
}

// Shown is what the readout shows where a true one shows an angle.
func (r Readout) Shown(at geometry.Angle) geometry.Angle {
	if r.table == nil {
		return at
	}
	shown := at
	for range 4 { // each step leaves a hundredth of the last, the error's slope
		shown = at + r.table.Error(shown)
	}
	return shown
}

// Pair is the middle of two readings, forward and backward, and half the arc
// between them, as a true readout would have shown them.
func (r Readout) Pair(t sheet.Trial) (middle, halfArc geometry.Angle) {
	return r.of.Counts.Middle(r.Value(t.Forward), r.Value(t.Backward))
}

// Reading is how the readout's errors reach one reading, in the running
// direction, the wheel's centring and lost motion left out.
func (r Readout) Reading(reading *sheet.Reading) Sensitivity {
	return Sensitivity{Rim: r.stretch(reading.Value), Table: r.coefficients(reading)}
}

// Middle is how the readout's errors reach the middle of a pair, the wheel's
// centring and lost motion left out.
func (r Readout) Middle(t sheet.Trial) Sensitivity {
	return r.Reading(t.Forward).Plus(r.Reading(t.Backward), 1).Over(2)
}

// Later is how much later the correction makes a line come up that is reached so.
func (r Readout) Later(c uncertainty.Combination) geometry.Angle {
	var by float64
	for _, x := range c.Inputs {
		if x.Source != uncertainty.Correction {
			continue
		}
		for k := range r.table.Sine {
			by += x.Sensitivity[2*k]*r.table.Sine[k].Degrees() + x.Sensitivity[2*k+1]*r.table.Cosine[k].Degrees()
		}
	}
	return geometry.Angle(by)
}
