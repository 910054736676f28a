package wheel

import (
	"math"

	"markaudit/audit/sheet"
)

// Source is the table that a correction comes from.
type Source struct{ Software, File, Digest, Number string } // Number: of the readout

// Correction returns the result as a correction of the readout of that name, with
// what it came from: the table's file and digest, the reference. date is a day such
// as 2026-03-14, or empty. The error, of type
// [inputerror.List], says why there can be none.
func (r Result) Correction(name, date string, of Source) (sheet.Correction, error) {
	switch {
	case r.Opposite:
		return sheet.Correction{}, refuse("opposite pointers see the odd harmonics alone, expected a table with a reference to make a correction of",
			"or read both pointers at the engine and take the mean: that needs no correction of them")
	case r.Swapped:
		return sheet.Correction{}, refuse("the readings look set and the reference read: nobody said which, and a correction of exchanged columns has every sign wrong",
			"say --set wheel if the wheel was set and the reference read; if not, the columns are swapped")
	case r.Lattice != nil:
		return sheet.Correction{}, refuse("the stations lie on the graduations of the step, so it is not known how much of the curve is rounding",
			"read a number of stations that does not lie so, or set the wheel to its graduations and read the finer instrument")
	case !r.Known:
		return sheet.Correction{}, refuse("nothing in the table tells how sure a correction would be, expected more stations or repeated ones", "")
	}
	x := r.Reference
	return sheet.Correction{
		Origin: &sheet.CorrectionOrigin{
			Software: of.Software, File: of.File, Digest: of.Digest, Rows: r.Rows, Number: of.Number, Step: r.Step,
			Reference: sheet.CorrectionReference{Name: x.Name, Number: x.Number, Certificate: x.Certificate, Due: x.Due, Limit: r.referenceLimit()},
		},
		Name: name, Date: date, Diameter: r.Diameter, Counts: r.Counts,
		Sine: r.Sine, Cosine: r.Cosine, Covariance: r.cov, DOF: math.Max(1, r.DOF), Stations: r.Stations,
	}, nil
}
