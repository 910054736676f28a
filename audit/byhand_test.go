package audit_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Sheets whose means and standard deviations are what a test says, so that what
// is claimed of them can be computed by hand. Student's t and the F distribution
// are those of gonum, which the packages under test do not use.

// around returns n readings, an even number, with this mean and this standard
// deviation: half of them above and half below.
func around(n int, mean, sd float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = mean + sd*math.Sqrt(float64(n-1)/float64(n))*float64(1-2*(i%2))
	}
	return out
}

// pairsAround returns n pairs of contacts whose middles have this mean and this
// standard deviation, and whose half arcs are all the same.
func pairsAround(n int, mean, sd, halfArc float64) []sheet.Trial {
	var contacts []float64
	for _, m := range around(n, mean, sd) {
		contacts = append(contacts, m-halfArc, m+halfArc)
	}
	return trials(contacts...)
}

// nominals of the lines of handSheet; a sheet of fewer lines has the first.
var handNominals = []float64{0, 120, -110, 60, -50}

// handSheet has one setup with its TDC at 47, six pairs that scatter by 0.1 and
// four readings of each line that scatter by 0.1, with these offsets. The step
// is so fine that no rounding shows.
func handSheet(offsets ...float64) sheet.Sheet {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
		Part:    sheet.Part{Diameter: 158, MarksOn: sheet.OnPart, BTDCLines: geometry.Clockwise},
		Readout: sheet.Readout{Kind: sheet.Encoder, Step: 1e-6, Counts: geometry.CountsUp},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: sheet.DefaultPlacement},
		Setups: []sheet.Setup{{
			Name: "1", Path: "setups[0]", Trials: pairsAround(6, 47, 0.1, 25), Marks: map[string][]sheet.Reading{},
		}},
	}
	turn := [2]sheet.Reading{{Value: 10, Approach: sheet.Forward}, {Value: 100, Approach: sheet.Forward}}
	s.Readout.QuarterTurn = &turn
	for i, offset := range offsets {
		name := fmt.Sprint("line ", i+1)
		s.Marks = append(s.Marks, sheet.Mark{Name: name, At: geometry.Angle(handNominals[i]), Tolerance: 1, Path: inputerror.Path(fmt.Sprintf("marks[%d]", i))})
		s.Setups[0].Marks[name] = readings(sheet.Forward, around(4, 47+handNominals[i]+offset, 0.1)...)
	}
	return s
}

// audited audits a sheet that holds no fault.
func audited(t *testing.T, s sheet.Sheet) audit.Result {
	t.Helper()
	result, err := audit.Run(s)
	if err != nil {
		t.Fatalf("a true sheet is refused: %v", err)
	}
	return result
}

// values returns what the first warning of a code says, and whether there is
// one.
func values(r audit.Result, code warning.Code) ([]float64, bool) {
	for _, w := range r.Warnings {
		if w.Code == code {
			return w.Values, true
		}
	}
	return nil, false
}

// t95 is the quantile of Student's t that 2.5 % lie above.
func t95(dof float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile(0.975)
}

// fAbove is the probability of an F above x.
func fAbove(x, d1, d2 float64) float64 { return distuv.F{D1: d1, D2: d2}.Survival(x) }
