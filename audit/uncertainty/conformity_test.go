package uncertainty

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"markaudit/geometry"
)

// JCGM 106:2012, examples of conformance probability, inputs from memory of the
// guide; the probabilities follow from them to the printed digits.
func TestConformanceProbabilityExamples(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name           string
		estimate, u    float64
		low, high      float64
		printed, exact float64
	}{
		{"Zener breakdown voltage, at most -5.40 V", -5.47, 0.05, -inf, -5.40, 0.92, 0.919243},
		{"container burst pressure, at least 490 kPa", 509.7, 8.6, 490, inf, 0.99, 0.989010},
		{"viscosity of an SAE 40 oil, 12.5 to 16.3 mm²/s", 13.6, 1.8, 12.5, 16.3, 0.66, 0.662630},
	} {
		s := NewSum([]Term{normal(c.u)})
		got := s.Within(c.low-c.estimate, c.high-c.estimate)
		if !(math.Abs(got-c.printed) <= 0.005) || !(math.Abs(got-c.exact) <= 1e-5) {
			t.Errorf("%s: got %.5f, want %.5f", c.name, got, c.exact)
		}
	}
}

// ISO 14253-1:2017: with the default 95 % the guard band is 1.65 u on one
// side; the older rule of U = 2 u leaves Φ(2) = 0.97725. The far limit is 40 u away.
func TestGuardBands(t *testing.T) {
	s := NewSum([]Term{normal(0.3), normal(0.4)}) // u = 0.5
	const tolerance = 10
	for _, c := range []struct{ guard, want float64 }{
		{1.644854 * 0.5, 0.95},  // R: qnorm(0.95)
		{1.65 * 0.5, 0.9505285}, // R: pnorm(1.65)
		{2 * 0.5, 0.9772499},    // R: pnorm(2)
		{0, 0.5},
		{-1.65 * 0.5, 1 - 0.9505285},
	} {
		if got := s.Conformity(geometry.Angle(tolerance-c.guard), tolerance, tolerance); !(math.Abs(got-c.want) <= 1e-7) {
			t.Errorf("guard band %g: got %.7f, want %.7f", c.guard, got, c.want)
		}
	}
}

func TestConformityProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := NewSum(rapid.SliceOfN(rapid.Custom(anyTerm), 1, 6).Draw(t, "terms"))
		offset := geometry.Angle(rapid.Float64Range(-3, 3).Draw(t, "offset"))
		tolerance := geometry.Angle(rapid.Float64Range(0.01, 3).Draw(t, "tolerance"))
		p := s.Conformity(offset, tolerance, tolerance)
		if !(p >= 0 && p <= 1) {
			t.Fatalf("probability %g", p)
		}
		if q := s.Conformity(-offset, tolerance, tolerance); !(math.Abs(p-q) <= 1e-12) {
			t.Fatalf("late %g, early alike %g", p, q)
		}
		if q := s.Conformity(offset, tolerance+0.1, tolerance+0.1); q < p-1e-8 {
			t.Fatalf("with a wider tolerance %g, not %g or more", q, p)
		}
		if q := s.Conformity(0, tolerance, tolerance); !(math.Abs(q-s.Probability(tolerance.Degrees())) <= 1e-12) {
			t.Fatalf("without offset %g", q)
		}
	})
}

// Φ(2) = 0.9772499 and Φ(4) = 0.9999683 (printed tables of the normal
// distribution): an offset of 2 with u = 0.5, tolerance 1 late and 0 early.
func TestSides(t *testing.T) {
	s := NewSum([]Term{normal(0.3), normal(0.4)})
	got := s.Sides(2, 0, 1)
	if !(math.Abs(got.Late-0.9772499) <= 1e-7) || !(math.Abs(got.Early-0.0000317) <= 1e-7) || !(math.Abs(got.Within-(1-0.9772499-0.0000317)) <= 2e-7) {
		t.Errorf("got %+v", got)
	}
	none := NewSum(nil)
	for _, c := range []struct {
		offset geometry.Angle
		want   Sides
	}{{1, Sides{Within: 1}}, {1.01, Sides{Late: 1}}, {-0.5, Sides{Within: 1}}, {-0.51, Sides{Early: 1}}} {
		if got := none.Sides(c.offset, 0.5, 1); got != c.want {
			t.Errorf("%v without a doubt: %+v", c.offset, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := NewSum(rapid.SliceOfN(rapid.Custom(anyTerm), 1, 6).Draw(t, "terms"))
		offset := geometry.Angle(rapid.Float64Range(-3, 3).Draw(t, "offset"))
		early := geometry.Angle(rapid.Float64Range(0.01, 3).Draw(t, "early"))
		late := geometry.Angle(rapid.Float64Range(0.01, 3).Draw(t, "late"))
		p, mirrored := s.Sides(offset, early, late), s.Sides(-offset, late, early)
		if !(math.Abs(p.Early+p.Within+p.Late-1) <= 1e-7) || p.Within != s.Conformity(offset, early, late) {
			t.Fatalf("%+v", p)
		}
		if !(math.Abs(p.Late-mirrored.Early) <= 1e-12) || !(math.Abs(p.Early-mirrored.Late) <= 1e-12) {
			t.Fatalf("%+v, mirrored %+v", p, mirrored)
		}
		if q := s.Sides(offset+0.1, early, late); q.Late < p.Late-1e-8 || q.Early > p.Early+1e-8 {
			t.Fatalf("%+v, later %+v", p, q)
		}
	})
}
