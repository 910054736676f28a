package sheet

import (
	"time"

	"markaudit/geometry"
)

// CorrectionAge is how many days the measurement was taken after its readout's
// correction. It is not known where either has no date.
func (s *Sheet) CorrectionAge() (days int, known bool) {
	if s.Readout.Correction == nil {
		return 0, false
	}
	made, err := time.Parse(time.DateOnly, s.Readout.Correction.Date)
	if err != nil {
		return 0, false
	}
	taken, known := s.Taken()
	if !known {
		return 0, false
	}
	return int(taken.Sub(made).Hours() / 24), true
}

// SameDiameters reports that part and wheel are given one diameter. That is
// possible, and more often one of them was written twice.
func (s *Sheet) SameDiameters() bool {
	return s.Part.Diameter > 0 && s.Part.Diameter == s.Readout.Diameter
}

// OddDiameter is a diameter that is possible and most unlikely.
type OddDiameter struct {
	Key   string // of the sheet
	Value geometry.Length
}

// OddDiameters returns the diameters that may have been written in another unit
// or with a wrong digit.
func (s *Sheet) OddDiameters() (odd []OddDiameter) {
	for _, d := range []struct {
		OddDiameter
		low, high geometry.Length
	}{
		// A small engine's flywheel to a stationary engine's; a pocket wheel to
		// the largest on a stand. Common practice, no source.
		{OddDiameter{"part.diameter", s.Part.Diameter}, 30, 4000},
		{OddDiameter{"readout.diameter", s.Readout.Diameter}, 60, 1500},
	} {
		if d.Value > 0 && (d.Value < d.low || d.Value > d.high) {
			odd = append(odd, d.OddDiameter)
		}
	}
	return odd
}
