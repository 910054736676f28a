package simulate_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// The rig's own contacts against bisection with 40 digits by another program.
func TestContactsAgainstReference(t *testing.T) {
	for _, r := range testkit.Reference(t, "slider-crank-contacts.csv") {
		field := r.Number
		e := simulate.Engine{Stroke: geometry.Length(2 * field("radius")), Rod: geometry.Length(field("rod")), Bore: geometry.Length(field("offset"))}
		drop := geometry.Length(field("drop"))
		for name, got := range map[string]geometry.Angle{
			"throw_to_tdc": e.ThrowToTDC(), "before": e.Before(drop), "after": e.After(drop),
		} {
			// A height known to some 1e-14 of the rod is an angle known to 1e-9 where the
			// piston hardly moves.
			if math.Abs(float64(got)-field(name)) > 2e-9 {
				t.Errorf("%v: got %v for %s", r, float64(got), name)
			}
		}
	}
}

// The same seed gives the same readings, another one others.
func TestSameSeedSameReadings(t *testing.T) {
	measure := func(seed uint64) sheet.Sheet {
		s, _ := simulate.Steady(1, 0, -10).Repeated(2).Measure(rand.New(rand.NewPCG(seed, 0)))
		return s
	}
	if !reflect.DeepEqual(measure(1), measure(1)) {
		t.Error("the same seed gives other readings")
	}
	if reflect.DeepEqual(measure(1), measure(2)) {
		t.Error("another seed gives the same readings")
	}
}

// Without scatter, rounding and faults the audit finds what the rig hides. The
// two share no code.
func TestFaultlessReadingsGiveTheTruth(t *testing.T) {
	rng := testkit.Rand(t, 1)
	for range 300 {
		r := simulate.Steady(1, 0, -10, 120, 250)
		for i := range r.Lines {
			r.Lines[i].Offset = geometry.Angle(4 * (rng.Float64() - 0.5))
		}
		r.Engine.FromThrow = rng.IntN(2) == 0
		r.Readout.Step = 0
		r.Readout.Counts = []geometry.Sense{geometry.CountsUp, geometry.CountsDown}[rng.IntN(2)]
		if rng.IntN(2) == 0 {
			r.Readout.Lost, r.Told.Lost, r.Told.LostLimit = 0.4, 0.4, 0.01
		} else { // lost motion is in the half arc too, by which pin and bore offset are corrected
			r.Engine.Pin, r.Engine.Bore = geometry.Length(3*(rng.Float64()-0.5)), geometry.Length(3*(rng.Float64()-0.5))
		}
		r.Told.Side, r.Told.QuarterTurn = true, true
		r.Setups[0].HalfArc, r.Setups[0].Closing = geometry.Angle(15+20*rng.Float64()), true
		r.Setups[0].Hand = simulate.Hand{}
		s, truth := r.Measure(rng)
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range result.ByLine() {
			if d := math.Abs(float64(m.Offset.Value - truth.Lines[i].Offset)); d > 1e-9 {
				t.Fatalf("%s: got an offset of %v, truly %v", m.Name, m.Offset.Value, truth.Lines[i].Offset)
			}
		}
		got := result.TDC.Setups[0]
		if d := math.Remainder(float64(got.Reading-truth.Setups[0].Reading), 360); math.Abs(d) > 1e-9 {
			t.Fatalf("got TDC at %v, truly %v", got.Reading, truth.Setups[0].Reading)
		}
		if d := got.HalfArc - truth.Setups[0].HalfArc - r.Readout.Lost/2; math.Abs(float64(d)) > 1e-9 {
			t.Fatalf("got a half arc of %v, truly %v", got.HalfArc, truth.Setups[0].HalfArc)
		}
	}
}
