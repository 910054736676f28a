package wheel

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// What part of rounding is alike: 24 or 36 even stations and a step of half a
// degree all lie on graduations, an odd number that shares no factor with 720 does
// not. Worked by other code.
func TestStationsOnTheLattice(t *testing.T) {
	for _, c := range []struct {
		n          int
		step, want float64
	}{{24, 0.5, 1}, {36, 0.5, 1}, {23, 0.5, 0}, {25, 0.5, 0}, {35, 0.5, 0}, {27, 0.5, 1.0 / 3}, {36, 0.25, 1}} {
		if got := roundedAlike(even(c.n), c.step); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%d stations, step %g: %.7f, want %.7f", c.n, c.step, got, c.want)
		}
	}
}

// How likely a slid wheel is better, worked by other code.
func TestChanceOfCentring(t *testing.T) {
	for _, c := range []struct{ a, want float64 }{{0.1, 0.98775}, {0.05, 0.88477}} {
		if got := chanceOf(c.a, 0.02, 0, 0, 15); math.Abs(got-c.want) > 5e-6 {
			t.Errorf("amplitude %g: %.6f, want %g", c.a, got, c.want)
		}
	}
	// By symmetry: where half the amplitude is what the reference may be off, it is
	// as likely as not.
	if got := chanceOf(0.1, 0.02, 0, 0.05, 15); math.Abs(got-0.5) > 1e-12 {
		t.Errorf("as likely as not: %g", got)
	}
}

// rounded rounds readings to a step.
func rounded(rows []Row, step float64) []Row {
	for i := range rows {
		rows[i].Reading = round(float64(rows[i].Reading), step)
	}
	return rows
}

// Stations on the graduations give no ± to the curve, no correction, no centring
// below a step, and a number of stations that would do.
func TestOnTheLattice(t *testing.T) {
	random := testkit.Rand(t, 21)
	rows := rounded(curved(random, even(24), geometry.CountsUp, wave(0.15, 1, 35), 0.02), 0.5)
	r := run(t, Options{Step: 0.5, Diameter: 280}, rows)
	if r.Lattice == nil || r.CurveKnown() || r.OffCentre.Worth != StepRules {
		t.Fatalf("24 stations: %+v, centring %v", r.Lattice, r.OffCentre.Worth)
	}
	testkit.Near(t, "limit", r.Lattice.Limit, 0.3183, 1e-4) // 2 · 0.5/π
	if got := r.ExpandedAmplitude(r.Harmonics[0]); got < 0.3183 {
		t.Errorf("amplitude ± %v", got)
	}
	if r.Lattice.Stations != 25 {
		t.Errorf("advises %d stations, want 25", r.Lattice.Stations)
	}
	if _, err := r.Correction("w", "", Source{}); err == nil {
		t.Error("a correction of what may be rounding")
	}
	odd := run(t, Options{Step: 0.5, Diameter: 280}, rounded(curved(random, even(25), geometry.CountsUp, wave(0.15, 1, 35), 0.02), 0.5))
	if odd.Lattice != nil || !odd.CurveKnown() {
		t.Errorf("25 stations: %+v", odd.Lattice)
	}
	// The wheel set to its graduations, the finer reference read: its step counts.
	if fine := run(t, Options{Step: 0.001, Diameter: 280, Set: SetWheel}, rounded(curved(random, even(25), geometry.CountsUp, wave(0.15, 1, 35), 0.02), 15)); fine.Swapped {
		t.Error("columns doubted although it was said which was set")
	}
}

// The wheel was set to whole 15s and the reference read: nobody said so, so the
// columns may be exchanged, and nothing is to be slid by them.
func TestExchangedColumns(t *testing.T) {
	rows := curved(testkit.Rand(t, 22), even(24), geometry.CountsUp, wave(0.15, 1, 35), 0.01)
	for i := range rows {
		rows[i].Reference, rows[i].Reading = rows[i].Reading, rows[i].Reference
	}
	r := run(t, Options{Diameter: 280}, rows)
	if !r.Swapped || r.OffCentre.Worth != ColumnsDoubted {
		t.Errorf("doubted %v, centring %v", r.Swapped, r.OffCentre.Worth)
	}
	if _, err := r.Correction("w", "", Source{}); err == nil {
		t.Error("a correction of columns that may be exchanged")
	}
	if said := run(t, Options{Diameter: 280, Set: SetWheel}, rows); said.Swapped || said.OffCentre.Worth != WorthDoing {
		t.Errorf("said: doubted %v, centring %v", said.Swapped, said.OffCentre.Worth)
	}
	straight := run(t, Options{Diameter: 280}, curved(testkit.Rand(t, 22), even(24), geometry.CountsUp, wave(0.15, 1, 35), 0.01))
	if straight.Swapped || straight.OffCentre.Worth != WorthDoing {
		t.Errorf("as it should be: doubted %v, centring %v", straight.Swapped, straight.OffCentre.Worth)
	}
}

// What the reference may be off comes on top of the amplitude, widens the curve,
// and holds back a centring that it may make by itself.
func TestReferenceLimit(t *testing.T) {
	rows := curved(testkit.Rand(t, 23), even(24), geometry.CountsUp, wave(0.15, 1, 35), 0.01)
	plain := run(t, Options{Diameter: 280}, rows)
	with := run(t, Options{Diameter: 280, Reference: Reference{Limit: 0.08}}, rows)
	first := plain.Harmonics[0]
	testkit.Near(t, "amplitude ±", with.ExpandedAmplitude(first)-plain.ExpandedAmplitude(first), 0.08, 1e-9)
	// With hardly any scatter the arcsine row alone rules: 0.08 sin(0.95 · 90°).
	if got := with.Expanded(35); got < 0.0797 || got > 0.08+plain.Expanded(35) {
		t.Errorf("curve ± %v", got)
	}
	if plain.OffCentre.Worth != WorthDoing || with.OffCentre.Worth != NotSure {
		t.Errorf("centring %v, with the reference %v", plain.OffCentre.Worth, with.OffCentre.Worth)
	}
}
