package simulate_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// seeded is a generator for one stream. MARKAUDIT_SEED chooses another seed.
func seeded(t testing.TB, stream uint64) *rand.Rand {
	t.Helper()
	s := uint64(20261125)
	if text := os.Getenv("MARKAUDIT_SEED"); text != "" {
		var err error
		if s, err = strconv.ParseUint(text, 10, 64); err != nil {
			t.Fatalf("MARKAUDIT_SEED is %q, expected a whole number: %v", text, err)
		}
	}
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("MARKAUDIT_SEED=%d", s)
		}
	})
	return rand.New(rand.NewPCG(s, stream))
}

// rows reads a reference file: its columns by name.
func rows(t *testing.T, name string) (header map[string]int, records [][]string) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(data)))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	header = map[string]int{}
	for i, h := range all[0] {
		header[h] = i
	}
	return header, all[1:]
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// The rig's own contacts against bisection with 40 digits by another program.
func TestContactsAgainstReference(t *testing.T) {
	at, records := rows(t, "slider-crank-contacts.csv")
	for _, r := range records {
		field := func(name string) float64 { return number(t, r[at[name]]) }
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
	if len(records) == 0 {
		t.Error("no case")
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
	rng := seeded(t, 1)
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
		for i, m := range result.Marks {
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
