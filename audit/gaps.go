package audit

import (
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// gaps warns of the doubts that nothing on the sheet covers.
func gaps(s sheet.Sheet, top tdc.Found, placed []lines.Line) (out []warning.Warning) {
	if len(placed) == 0 { // a check of the wheel
		return nil
	}
	for _, c := range lines.NotIncluded(s, top, placed) {
		out = append(out, warning.Warning{Code: c})
	}
	return out
}

// odd warns of what the sheet says that is possible but unusual.
func odd(s sheet.Sheet) (out []warning.Warning) {
	part, readout := s.Part, s.Readout
	if readout.Correction != nil {
		switch days, known := s.CorrectionAge(); {
		case !known:
			out = append(out, warning.Warning{Code: warning.CorrectionUndated})
		case days > 365 || days < -365:
			out = append(out, warning.Warning{Code: warning.CorrectionOld, Values: []float64{float64(days)}})
		}
	}
	if part.Diameter > 0 && part.Diameter == readout.Diameter {
		out = append(out, warning.Warning{Code: warning.SameDiameters, Values: []float64{part.Diameter.Millimetres()}})
	}
	for _, d := range []struct {
		key    string
		value  geometry.Length
		lo, hi geometry.Length
	}{
		// A small engine's flywheel to a stationary engine's; a pocket wheel to
		// the largest on a stand. Common practice, no source.
		{"part.diameter", part.Diameter, 30, 4000},
		{"readout.diameter", readout.Diameter, 60, 1500},
	} {
		if d.value > 0 && (d.value < d.lo || d.value > d.hi) {
			out = append(out, warning.Warning{Code: warning.OddDiameter, Values: []float64{d.value.Millimetres()}, Names: []string{d.key}})
		}
	}
	return out
}
