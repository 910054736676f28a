package audit

import (
	"slices"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
)

// gaps warns of the doubts that nothing on the sheet covers.
func gaps(s sheet.Sheet, top tdc.Found, placed []lines.Line) (out []warning.Warning) {
	if len(placed) == 0 { // a check of the wheel
		return nil
	}
	missing := lines.NotIncluded(s, top, placed)
	if s.Readout.Kind == sheet.Dial {
		missing = nil // each line of a dial has its own
		for _, l := range placed {
			for _, c := range l.NotIncluded {
				if !slices.Contains(missing, c) {
					missing = append(missing, c)
				}
			}
		}
	}
	for _, c := range missing {
		out = append(out, warning.Warning{Code: c})
	}
	return out
}

// oddValues warns of what the sheet says that is possible but unusual.
func oddValues(s sheet.Sheet) (out []warning.Warning) {
	if s.Readout.Correction != nil {
		switch days, known := s.CorrectionAge(); {
		case !known:
			out = append(out, warning.Warning{Code: warning.CorrectionUndated})
		case days > 365 || days < -365:
			out = append(out, warning.Warning{Code: warning.CorrectionOld, Values: []float64{float64(days)}})
		}
	}
	if c := s.Readout.Correction; c != nil && c.Origin == nil {
		out = append(out, warning.Warning{Code: warning.CorrectionUnknown})
	}
	if s.ReferenceOverdue() {
		x := s.Readout.Correction.Origin.Reference
		out = append(out, warning.Warning{Code: warning.ReferenceOverdue, Names: []string{x.Name, x.Due}})
	}
	if s.SameDiameters() {
		out = append(out, warning.Warning{Code: warning.SameDiameters, Values: []float64{s.Part.Diameter.Millimetres()}})
	}
	for _, odd := range s.OddDiameters() {
		out = append(out, warning.Warning{Code: warning.OddDiameter, Values: []float64{odd.Value.Millimetres()}, Names: []string{odd.Key}})
	}
	return out
}
