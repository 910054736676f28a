package audit_test

import (
	"math"
	"testing"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Two depths of the stop find the rock only to within its uncertainty: what may
// be left in a line is both of them together. A sheet that states that much by
// hand gets the same row.
func TestRockCountsWithItsUncertainty(t *testing.T) {
	const rock, sd = 0.08, 0.03 // mm, degrees
	crank := geometry.Crank{Stroke: 92, Rod: 152}
	s := handSheet(0, 0)
	shallow, deep := s.Setups[0], s.Setups[0]
	deep.Name, deep.Path, deep.Marks = "2", "setups[1]", nil
	shallow.Mounting, deep.Mounting = "A", "A"
	// The middle moves by the difference in height over twice the slope.
	at := func(halfArc float64) []sheet.Trial {
		moved := rock / (2 * crank.DropPerDegree(geometry.Angle(halfArc)).Millimetres())
		return pairsAround(4, 47+moved, sd, halfArc)
	}
	shallow.Trials, deep.Trials = at(9), at(30)
	s.Setups = []sheet.Setup{shallow, deep}
	found := audited(t, s)
	r := found.TDC.Rock
	if r == nil || !r.Seen || !r.Used {
		t.Fatalf("got %+v, want rock that is seen and used", r)
	}
	if math.Abs(r.Height.Millimetres()-rock) > 1e-9 {
		t.Errorf("got a height of %v, want %v mm", r.Height, rock)
	}
	// By hand: a slope through two points, means of four with six degrees of
	// freedom for their scatter.
	gain := func(halfArc geometry.Angle) float64 { return 1 / (2 * crank.DropPerDegree(halfArc).Millimetres()) }
	u := t95(6) * sd * math.Sqrt(2.0/4) / (gain(9) - gain(30))
	if math.Abs(r.U.Millimetres()-u) > 1e-6 {
		t.Errorf("got ± %v, want %.6f mm", r.U, u)
	}
	s.Limits.Contact.Half = geometry.Length(rock + u)
	stated := audited(t, s)
	if stated.TDC.Rock.Used {
		t.Fatal("rock takes the place of a limit that is larger")
	}
	for i := range found.ByLine() {
		got, want := oneRow(t, found.ByLine()[i], "contact height (rock)").Term().Scale, oneRow(t, stated.ByLine()[i], "contact height (rock)").Term().Scale
		if math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s: got a row of %.6f, want %.6f as with %.4f mm stated", found.ByLine()[i].Name, got, want, rock+u)
		}
	}
}
