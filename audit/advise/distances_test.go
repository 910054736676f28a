package advise_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// A distance tells where its ± is less than what a tolerance moves it by: along the rim
// π·D/360 for a degree, straight across that times the cosine of half the gap, and
// the rim where lines lie further apart than dividers are set.
func TestWhichDistancesTell(t *testing.T) {
	for _, c := range []struct {
		second geometry.Angle
		round  bool
	}{{30, false}, {120, false}, {170, true}} {
		listed := func(first, second geometry.Angle) (u, perDegree float64, there bool) {
			r := simulate.Steady(1, 0, c.second).Repeated(3)
			r.Lines[0].Tolerance, r.Lines[1].Tolerance = first, second
			s, _ := r.Measure(rand.New(rand.NewPCG(20261128, 18)))
			found, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			d := found.Advice.Distances(s, found.TDC, found.Lines)
			if len(d) == 0 {
				return 0, 0, false
			}
			gap := (c.second + found.Lines[1].Offset.Value - found.Lines[0].Offset.Value).Radians()
			perDegree = math.Pi * r.Part.Diameter.Millimetres() / 360
			testkit.Near(t, "straight across", d[0].Now.Millimetres(), r.Part.Diameter.Millimetres()*math.Sin(gap/2), 1e-9)
			if !c.round {
				return d[0].U.Millimetres(), perDegree * math.Cos(gap/2), true
			}
			testkit.Near(t, "round the rim", d[0].NowRound.Millimetres(), r.Part.Diameter.Millimetres()*gap/2, 1e-9)
			return d[0].RoundU.Millimetres(), perDegree, true
		}
		u, perDegree, there := listed(14, 14)
		if !there || u == 0 {
			t.Fatalf("%v apart: no distance with a wide tolerance", c.second)
		}
		border := geometry.Angle(u / perDegree)
		for _, side := range []struct {
			first, second geometry.Angle
			there         bool
		}{
			{border * (1 + 1e-6), border / 2, true}, {border / 2, border * (1 + 1e-6), true}, {border * (1 - 1e-6), border / 2, false},
		} {
			if _, _, there := listed(side.first, side.second); there != side.there {
				t.Errorf("%v apart, ± %.3f mm, tolerances %v and %v: listed %v", c.second, u, side.first, side.second, there)
			}
		}
	}
}
