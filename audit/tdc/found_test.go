package tdc_test

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Each cylinder of a mounting, the first with the rest.
func TestTopOfACylinder(t *testing.T) {
	m := tdc.Mounting{Tops: []tdc.Top{{Cylinder: "1", Middle: 10}, {Cylinder: "4", Middle: 20}}}
	for cylinder, want := range map[string]geometry.Angle{"1": 10, "4": 20} {
		if top, ok := m.Top(cylinder); !ok || top.Middle != want {
			t.Errorf("%s: %v, %v", cylinder, top.Middle, ok)
		}
	}
	if _, ok := m.Top("2"); ok {
		t.Error("a cylinder that was not found is there")
	}
}

// From one cylinder to the next by hand: the difference of the middles, less that of
// the corrections, plus that of what each lost of 0.4, where the sheet says for both.
func TestApartByHand(t *testing.T) {
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		s := sheet.Sheet{
			Engine:  sheet.Engine{Cylinders: []sheet.Cylinder{{Name: "1"}, {Name: "4", TDC: 300}}},
			Readout: sheet.Readout{Counts: counts, LostMotion: 0.4},
		}
		turn := geometry.Angle(counts)
		first := tdc.Top{Cylinder: "1", Setups: []int{0}, Middle: turn * 350, Correction: 0.1}
		for _, c := range []struct {
			lost          float64
			first, second bool // approach not said
			want          geometry.Angle
		}{{0, false, false, 300 - 0.2}, {0.5, false, false, 300 - 0.2 + 0.2}, {0.5, true, false, 300 - 0.2}, {0.5, false, true, 300 - 0.2}} {
			second := tdc.Top{Cylinder: "4", Setups: []int{1}, Middle: turn * 290, Correction: 0.3, Lost: c.lost, Unsaid: c.second}
			first := first
			first.Unsaid = c.first
			testkit.Near(t, "apart", tdc.Apart(s, first, second), c.want, 1e-9)
			testkit.Near(t, "the other way", tdc.Apart(s, second, first), -c.want, 1e-9)
		}
		testkit.Near(t, "the same", tdc.Apart(s, first, first), 0, 0)
	}
}

// A stop at two depths, read without scatter: a piston that stands h higher at one
// contact moves the middle by h/(2 dx/dα), more at the shallow depth. The height comes
// back, with either sign, and what is left open is it and its ±.
func TestRockComesBack(t *testing.T) {
	crank := geometry.Crank{Stroke: 92, Rod: 152}
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		for _, rock := range []float64{0.3, -0.3} {
			s := sheet.Sheet{
				Engine:  sheet.Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
				Readout: sheet.Readout{Kind: sheet.Encoder, Step: 0.001, Counts: counts},
				Limits:  sheet.Limits{Confidence: 0.95, Contact: geometry.Limit[geometry.Length]{Half: 0.04}},
			}
			for i, half := range []geometry.Angle{20, 60} {
				later := geometry.Angle(rock / (2 * crank.DropPerDegree(half).Millimetres()))
				u := sheet.Setup{Name: []string{"1", "2"}[i], Mounting: "A"}
				for _, e := range []geometry.Angle{-0.001, 0.001} {
					turn := geometry.Angle(counts)
					u.Trials = append(u.Trials, sheet.Trial{
						Forward:  &sheet.Reading{Value: turn * (later + e - half), Approach: sheet.Forward},
						Backward: &sheet.Reading{Value: turn * (later + e + half), Approach: sheet.Backward},
					})
				}
				s.Setups = append(s.Setups, u)
			}
			found, err := tdc.Find(s, readout.New(s))
			if err != nil {
				t.Fatal(err)
			}
			r := found.Rock
			if r == nil || !r.Seen || !r.Used {
				t.Fatalf("%v: %+v", rock, r)
			}
			testkit.Near(t, "height", r.Height.Millimetres(), rock, 1e-6)
			testkit.Near(t, "limit", r.Limit.Millimetres(), math.Abs(rock)+r.U.Millimetres(), 1e-9)
			shallow, deep := crank.DropPerDegree(20).Millimetres(), crank.DropPerDegree(60).Millimetres()
			testkit.Near(t, "shift", r.Shift.Degrees(), rock*(1/(2*shallow)-1/(2*deep)), 1e-5)
			// Two middles a depth, 0.002 apart: a standard deviation of 0.001·√2 on two
			// degrees of freedom, and so has the difference of two means.
			u := 4.302652730 * 0.001 * math.Sqrt2 / (1/(2*shallow) - 1/(2*deep))
			testkit.Near(t, "U", r.U.Millimetres(), u, 1e-6)
		}
	}
}
