package audit_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// exactly is the correction of a rig's wheel as it sat in its first mounting:
// the first order of the eccentricity (a circle's graduations seen from a point
// beside its centre; plane geometry).
func exactly(r *rig) sheet.Correction {
	e := 2 * float64(r.Readout.OffCentre/r.Readout.Diameter)
	psi := (r.truth.Setups[0].Reading + r.Readout.Towards).Radians()
	return sheet.Correction{
		Name: "wheel", Sine: []geometry.Angle{geometry.AngleFromRadians(e * math.Cos(psi))}, Cosine: []geometry.Angle{geometry.AngleFromRadians(-e * math.Sin(psi))},
		Covariance: [][]float64{{0, 0}, {0, 0}}, DOF: math.Inf(1), Stations: 24, Counts: geometry.CountsUp,
	}
}

func offCentreRig(t *testing.T, stream uint64, counts geometry.Sense) *rig {
	r := quietRig(t, stream).onWheel(1)
	r.Readout.Counts = counts
	for i := range r.Lines {
		r.Lines[i].Offset = 0.3 - 0.2*geometry.Angle(i)
	}
	return r
}

// A wheel 1 mm off centre misplaces lines far from TDC by tenths of a degree;
// its correction puts them right, and says by how much.
func TestCorrectionPutsAnOffCentreWheelRight(t *testing.T) {
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		r := offCentreRig(t, 900, counts)
		s := r.sheet()
		s.Readout.OffCentre = 0
		raw := offsets(t, s)
		correction := exactly(r)
		s.Readout.Name, s.Readout.Correction = "wheel", &correction
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		wrong := 0.0
		for i, m := range result.ByLine() {
			wrong = math.Max(wrong, math.Abs(raw[i]-r.Lines[i].Offset.Degrees()))
			// What is left is of second order: (e/ρ)²/2 at each of three readings.
			if d := (m.Offset.Value - r.Lines[i].Offset).Abs().Degrees(); d > 2*deg(1.0/140/140/2) {
				t.Errorf("counts %v, %s: off by %.5f with the correction", counts, m.Name, d)
			}
			if d := math.Abs(m.Corrected.Degrees() - (m.Offset.Value.Degrees() - raw[i])); d > 1e-9 {
				t.Errorf("counts %v, %s: says that it moved by %.6f, and moved by %.6f", counts, m.Name, m.Corrected, m.Offset.Value.Degrees()-raw[i])
			}
			for _, c := range m.NotIncluded {
				if c == warning.CentringMissing {
					t.Error("the centring is said to be missing")
				}
			}
		}
		if wrong < 0.3 {
			t.Errorf("without the correction at most %.3f wrong: the test shows nothing", wrong)
		}
		// The readout shows TDC where it stood, error included.
		shown := result.TDC.Setups[0].Reading.Degrees()
		if want := r.Readout.Shows(r.truth.Setups[0].Reading, 0, sheet.Forward).Degrees(); math.Abs(math.Remainder(shown-want, 360)) > 0.01 {
			t.Errorf("counts %v: TDC shown at %.4f, want %.4f", counts, shown, want)
		}
	}
}

// With off_centre stated too the first order is that of another mounting: the
// limit stays and only higher orders are taken off.
func TestCorrectionBesideOffCentre(t *testing.T) {
	r := offCentreRig(t, 901, 1)
	s := r.sheet()
	before := offsets(t, s)
	c := exactly(r)
	s.Readout.Name, s.Readout.Correction = "wheel", &c
	for i, d := range offsets(t, s) {
		if d != before[i] {
			t.Errorf("%s: the first order was taken off beside off_centre", r.Lines[i].Name)
		}
	}
	result, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows(result.ByLine()[1].Offset.Budget, "wheel off centre")) != 1 {
		t.Error("the limit is gone")
	}
}
