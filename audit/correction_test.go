package audit_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// exactly is the correction of a rig's wheel as it sits in its first mounting:
// the first order of the eccentricity (a circle's graduations seen from a point
// beside its centre; plane geometry).
func exactly(r *rig) sheet.Correction {
	e := 2 * r.offCentre / r.wheelDiameter
	psi := rad(r.mountings[0].zero + r.phase)
	return sheet.Correction{
		Name: "wheel", Sine: []geometry.Angle{geometry.AngleFromRadians(e * math.Cos(psi))}, Cosine: []geometry.Angle{geometry.AngleFromRadians(-e * math.Sin(psi))},
		Covariance: [][]float64{{0, 0}, {0, 0}}, DOF: math.Inf(1), Stations: 24, Counts: geometry.CountsUp,
	}
}

func offCentreRig(t *testing.T, stream uint64, counts float64) *rig {
	r := quietRig(t, stream)
	r.wheelDiameter, r.offCentre, r.counts = 280, 1, counts
	for i := range r.lines {
		r.lines[i].offset = 0.3 - 0.2*float64(i)
	}
	return r
}

// A wheel 1 mm off centre misplaces lines far from TDC by tenths of a degree;
// its correction puts them right, and says by how much.
func TestCorrectionPutsAnOffCentreWheelRight(t *testing.T) {
	for _, counts := range []float64{1, -1} {
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
		for i, m := range result.Marks {
			wrong = math.Max(wrong, math.Abs(raw[i]-r.lines[i].offset))
			// What is left is of second order: (e/ρ)²/2 at each of three readings.
			if d := math.Abs(m.Offset.Value.Degrees() - r.lines[i].offset); d > 2*deg(1.0/140/140/2) {
				t.Errorf("counts %v, %s: off by %.5f with the correction", counts, m.Name, d)
			}
			if d := math.Abs(m.Corrected.Degrees() - (m.Offset.Value.Degrees() - raw[i])); d > 1e-9 {
				t.Errorf("counts %v, %s: says that it moved by %.6f, and moved by %.6f", counts, m.Name, m.Corrected, m.Offset.Value.Degrees()-raw[i])
			}
			for _, c := range m.NotIncluded {
				if c == audit.CentringMissing {
					t.Error("the centring is said to be missing")
				}
			}
		}
		if wrong < 0.3 {
			t.Errorf("without the correction at most %.3f wrong: the test shows nothing", wrong)
		}
		// The readout shows TDC where it stood, error included.
		shown := result.TDC.Setups[0].Reading.Degrees()
		if want := r.shows(r.mountings[0], 0, sheet.Forward); math.Abs(math.Remainder(shown-want, 360)) > 0.01 {
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
			t.Errorf("%s: the first order was taken off beside off_centre", r.lines[i].name)
		}
	}
	result, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows(result.Marks[1].Offset.Budget, "wheel off centre")) != 1 {
		t.Error("the limit is gone")
	}
}

// The intervals hold the truth when the correction errs as its covariance says,
// in lines and in what they have in common (JCGM 100, 5.2).
func TestCorrectionCovarianceCovers(t *testing.T) {
	n := 400
	if testing.Short() {
		n = 100
	}
	const u = 0.15 // degrees, of each coefficient: far more than all else
	held, sharing := make([]int, 4), 0
	rng := testkit.Rand(t, 902)
	for i := range n {
		r := offCentreRig(t, 903+uint64(i), 1)
		r.stopSD, r.readSD, r.offCentre = 0.02, 0.02, 0.3
		for j := range r.lines {
			r.lines[j].offset = 0.4
		}
		s := r.sheet()
		s.Readout.OffCentre = 0
		c := exactly(r)
		c.Sine[0] += geometry.Angle(u * rng.NormFloat64())
		c.Cosine[0] += geometry.Angle(u * rng.NormFloat64())
		c.Covariance = [][]float64{{u * u, 0}, {0, u * u}}
		s.Readout.Name, s.Readout.Correction = "wheel", &c
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		for j, m := range result.Marks {
			if math.Abs(m.Offset.Value.Degrees()-0.4) <= m.Offset.Expanded.Degrees() {
				held[j]++
			}
		}
		if f := result.Shift.Finding; f == audit.Common {
			sharing++
		}
	}
	least := 0.95 - 3.5*math.Sqrt(0.95*0.05/float64(n))
	for j, h := range held {
		if rate := float64(h) / float64(n); rate < least {
			t.Errorf("line %d: the interval holds the truth in %.3f", j, rate)
		}
	}
	// Lines off alike are not called different for what the correction does to
	// each in its own way.
	if rate := float64(sharing) / float64(n); rate < 0.95-3.5*math.Sqrt(0.05*0.95/float64(n)) {
		t.Errorf("a common shift is called common in %.3f", rate)
	}
}
