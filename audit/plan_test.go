package audit_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/plan"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// The depths of method 9: drop and slope for stroke 92, rod 152.
func TestPlanDepths(t *testing.T) {
	s := plannedSheet()
	plan, err := plan.For(s, plan.Guess{Middle: 0.1, Reading: 0.1, Remount: 0.05}, 0, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	want := map[geometry.Angle][2]float64{5: {0.23, 0.091}, 10: {0.91, 0.181}, 15: {2.03, 0.269}, 20: {3.59, 0.353}, 30: {7.91, 0.508}, 45: {16.99, 0.692}, 60: {28.31, 0.804}}
	seen := 0
	for _, d := range plan.Depths {
		if w, ok := want[d.HalfArc]; ok {
			seen++
			if math.Abs(d.Drop.Millimetres()-w[0]) > 0.005 || math.Abs(d.PerDegree.Millimetres()-w[1]) > 0.0005 {
				t.Errorf("half arc %v: drop %.3f, %.4f a degree; want %v", d.HalfArc, d.Drop, d.PerDegree, w)
			}
		}
	}
	if seen != len(want) {
		t.Errorf("%d of %d depths are listed", seen, len(want))
	}
	if h := plan.Best.HalfArc; h < 20 || h > 35 { // best 20 to 35: common practice, no source
		t.Errorf("the best half arc is %v", h)
	}
	if plan.Least == nil || plan.Least.U > 0.4 {
		t.Errorf("nothing reaches 0.4: %+v", plan.Least)
	}
	if plan.Outside <= 1 {
		t.Errorf("an offset within the tolerance, %v, is called outside", plan.Outside)
	}
}

func plannedSheet() sheet.Sheet {
	return sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
		Part:    sheet.Part{MarksOn: sheet.OnPart, Diameter: 158, Sighting: geometry.Limit[geometry.Length]{Half: 0.2}},
		Readout: sheet.Readout{Step: 0.25, Counts: geometry.CountsUp, Diameter: 280, OffCentre: 0.3},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: 0.2, Contact: geometry.Limit[geometry.Length]{Half: 0.04}},
		Marks:   []sheet.Mark{{Name: "T", At: 0, Tolerance: 1}, {Name: "3-4", At: 120, Tolerance: 1}},
	}
}

// More is never predicted to give less, and what better means bring is smaller.
func TestPlanGrowsSurer(t *testing.T) {
	s := plannedSheet()
	plan, err := plan.For(s, plan.Guess{Middle: 0.15, Reading: 0.15, Remount: 0.1}, 0, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	for n := 2; n < 9; n++ {
		if plan.Predict(1, n+1, 3) > plan.Predict(1, n, 3)+1e-9 || plan.Predict(3, n+1, 3) > plan.Predict(3, n, 3)+1e-9 {
			t.Errorf("%d pairs and one more: surer with fewer", n)
		}
	}
	now := plan.Best.U
	if len(plan.Gains) == 0 {
		t.Error("nothing would be gained by better means")
	}
	for _, g := range plan.Gains {
		if g.U >= now {
			t.Errorf("%v: %v, without it %v", g.Means, g.U, now)
		}
	}
}

// The scatter of an earlier audit comes back near what it was made with.
func TestGuessFromAnEarlierAudit(t *testing.T) {
	r := newRig(testkit.Rand(t, 1010)).withLines(1, 0, 120, -20)
	r.Readout.Step, *r.hand() = 0.02, simulate.Hand{MiddleSD: 0.12, ReadSD: 0.08, RemountSD: 0.3}
	r.setups, r.first().Trials, r.first().Readings = 8, 8, 6
	result, err := audit.Run(r.sheet())
	if err != nil {
		t.Fatal(err)
	}
	g := plan.GuessFrom(result)
	// Some fifty and hundred degrees of freedom, and seven: within three sigma.
	for _, c := range []struct{ got, want, within float64 }{
		{g.Middle.Degrees(), 0.12, 0.3}, {g.Reading.Degrees(), 0.08, 0.25}, {g.Remount.Degrees(), 0.3, 0.8},
	} {
		if math.Abs(c.got/c.want-1) > c.within {
			t.Errorf("guessed %.3f, made with %.3f", c.got, c.want)
		}
	}
}
