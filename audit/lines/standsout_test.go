package lines

import (
	"math"
	"testing"

	"markaudit/audit/internal/teststand"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"

	"gonum.org/v1/gonum/stat"
)

// placedLines takes a sheet through the stages up to this one.
func placedLines(t *testing.T, s sheet.Sheet) (tdc.Found, []Line) {
	t.Helper()
	shown := readout.New(s)
	top, err := tdc.Find(s, shown)
	if err != nil {
		t.Fatal(err)
	}
	placed, err := Place(s, shown, top)
	if err != nil {
		t.Fatal(err)
	}
	return top, placed.Lines
}

// Sources that several results share correlate them: u(y, z) is the sum over
// the shared inputs of both sensitivities times u² (JCGM 100:2008, 5.2.2 and
// F.1.2.3, formula F.2). For the wheel the inputs are the sine and the
// cosine of a phase of which nothing is known; averaging over phases laid
// evenly round the circle is then no sample but the expectation itself.
func TestAnOffCentreWheelCorrelatesLinesAsItsPhaseDoes(t *testing.T) {
	const phases = 72
	var moved [4][]float64
	for i := range phases {
		_, placed := placedLines(t, teststand.OffCentre(geometry.Angle(i)*360/phases))
		for k, m := range placed {
			moved[k] = append(moved[k], m.Offset.Value.Degrees())
		}
	}
	compared := func(offCentre geometry.Length) Comparison {
		s := teststand.OffCentre(0)
		s.Readout.OffCentre = offCentre
		top, placed := placedLines(t, s)
		g, ok := Compare(s, top, placed, []int{0, 1, 2, 3})
		if !ok {
			t.Fatal("nothing to compare by")
		}
		return g
	}
	without, with := compared(0), compared(teststand.OffCentre(0).Readout.OffCentre)
	for i := range moved {
		for j := range moved {
			got := with.v.At(i, j) - without.v.At(i, j)
			want := stat.Covariance(moved[i], moved[j], nil) * (phases - 1) / phases
			// The readings themselves are displaced by up to 0.5°, which moves the
			// sensitivities by 0.5·π/180 of E² at most.
			if math.Abs(got-want) > 0.5*math.Pi/180*0.25 {
				t.Errorf("covariance of lines %d and %d: got %.5f, want %.5f", i, j, got, want)
			}
		}
	}
	if with.v.At(1, 1) < 0.05 {
		t.Errorf("the wheel hardly reaches the line at 120: %v", with.v.At(1, 1))
	}
}
