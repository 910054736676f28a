package wheel

import (
	"math"

	"markaudit/audit/sheet"
)

// Correction returns the result as a correction of the readout of that name.
// date is a day such as 2026-03-14, or empty. The error, of type
// [inputerror.List], says why there can be none.
func (r Result) Correction(name, date string) (sheet.Correction, error) {
	switch {
	case r.Opposite:
		return sheet.Correction{}, refuse("opposite pointers see the odd harmonics alone, expected a table with a reference to make a correction of",
			"or read both pointers at the engine and take the mean: that needs no correction of them")
	case !r.Known:
		return sheet.Correction{}, refuse("nothing in the table tells how sure a correction would be, expected more stations or repeated ones", "")
	}
	return sheet.Correction{
		Name: name, Date: date, Diameter: r.Diameter, Counts: r.Counts,
		Sine: r.Sine, Cosine: r.Cosine, Covariance: r.cov, DOF: math.Max(1, r.DOF), Stations: r.Stations,
	}, nil
}
