package audit_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// quietRig reads without scatter and without rounding, so that what one source
// does to an offset can be seen by itself.
func quietRig(t *testing.T, stream uint64) *rig {
	return newRig(testkit.Rand(t, stream)).withLines(0.5, 0, 120, -30, 240).quiet()
}

func offsets(t *testing.T, s sheet.Sheet) []float64 {
	t.Helper()
	result, err := audit.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, m := range result.ByLine() {
		out = append(out, m.Offset.Value.Degrees())
	}
	return out
}

// row returns the rows of one source of a mark's budget.
func rows(b uncertainty.Budget, source string) (out uncertainty.Budget) {
	for _, r := range b {
		if r.Source.String() == source {
			out = append(out, r)
		}
	}
	return out
}

func oneRow(t *testing.T, m audit.LineResult, source string) uncertainty.Row {
	t.Helper()
	found := rows(m.Offset.Budget, source)
	if len(found) != 1 {
		t.Fatalf("%s: got %d rows of %q, want one: %+v", m.Name, len(found), source, m.Offset.Budget)
	}
	return found[0]
}

// Lost motion makes a reading taken forward too early by half of it, and one
// taken backward too late by as much; the mean of both sides is free of it, and
// so is the middle of two contacts (method 3).
func TestLostMotion(t *testing.T) {
	const lost = 0.4
	for _, c := range []struct {
		name       string
		approaches []sheet.Approach
		seen       float64 // what it does to an offset that is not corrected
		weight     float64
	}{
		{"forward", []sheet.Approach{sheet.Forward}, -lost / 2, 0.5},
		{"backward", []sheet.Approach{sheet.Backward}, lost / 2, -0.5},
		{"both", []sheet.Approach{sheet.Forward, sheet.Backward}, 0, 0},
	} {
		for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
			r := quietRig(t, 700)
			r.Readout.Counts, r.first().Approaches, r.Readout.Lost, r.first().Readings = counts, c.approaches, lost, 4
			for i, got := range offsets(t, r.sheet()) {
				if math.Abs(got-c.seen) > 1e-9 {
					t.Errorf("%s, not stated: %s reads %+.9f, want %+.3f", c.name, r.Lines[i].Name, got, c.seen)
				}
			}
			r.Told.Lost, r.Told.LostLimit = lost, 0.05
			result, err := audit.Run(r.sheet())
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range result.ByLine() {
				if m.Offset.Value.Abs() > 1e-9 {
					t.Errorf("%s, stated: %s reads %v, want 0", c.name, m.Name, m.Offset.Value)
				}
				if row := oneRow(t, m, "lost motion"); math.Abs(math.Abs(row.Sensitivity)-math.Abs(c.weight)) > 1e-12 || row.Scale != 0.05 {
					t.Errorf("%s: got sensitivity %v of %v, want %v of 0.05", c.name, row.Sensitivity, row.Scale, c.weight)
				}
			}
		}
	}
}

// The wheel's centre goes once round the shaft's, by exact geometry. No
// direction moves an offset by more than the row says, and one moves it by as
// much: to the second order in e/rho, 1.4e-3, which tells where the first cancels.
func TestWheelRowAgainstMovingTheWheel(t *testing.T) {
	for _, counts := range []geometry.Sense{geometry.CountsUp, geometry.CountsDown} {
		r := quietRig(t, 701)
		r.onWheel(0.2).Readout.Counts, r.first().Trials, r.first().Readings = counts, 1, 1
		largest := make([]float64, len(r.Lines))
		for r.Readout.Towards = 0; r.Readout.Towards < 360; r.Readout.Towards += 3 {
			for i, got := range offsets(t, r.sheet()) {
				largest[i] = math.Max(largest[i], math.Abs(got))
			}
		}
		result, err := audit.Run(r.sheet())
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range result.ByLine() {
			row := oneRow(t, m, "wheel off centre")
			if row.Shape != uncertainty.Arcsine {
				t.Errorf("got %v, want arcsine", row.Shape)
			}
			if said := row.Term().Scale; math.Abs(largest[i]/said-1) > 5e-3 {
				t.Errorf("%s: moved by %.6f at most, the row says %.6f", m.Name, largest[i], said)
			}
		}
		// A wheel that is off centre hardly matters at TDC and most opposite to it.
		if !(largest[0] < 0.2*largest[1]) {
			t.Errorf("got %.4f at TDC and %.4f at 120", largest[0], largest[1])
		}
	}
}

// Each limit is put on the engine one way and the other; half of what the
// offset moves is what its row says. Tolerance: the second order of the limit.
func TestLimitsAgainstACentralDifference(t *testing.T) {
	for _, halfArc := range []geometry.Angle{8, 15, 30, 70} {
		for _, fromThrow := range []bool{false, true} {
			t.Run(fmt.Sprintf("half arc %v, from throw %v", halfArc, fromThrow), func(t *testing.T) {
				rigged := func(edit func(r *rig)) []float64 {
					r := quietRig(t, 702)
					r.first().HalfArc, r.Engine.FromThrow, r.Engine.Bore = halfArc, fromThrow, 1.5
					edit(r)
					s := r.sheet()
					s.Engine.PinOffset.Value, s.Engine.BoreOffset.Value = 0, 1.5 // as believed
					return offsets(t, s)
				}
				r := quietRig(t, 702)
				r.first().HalfArc, r.Engine.FromThrow, r.Engine.Bore = halfArc, fromThrow, 1.5
				r.Told.Contact, r.Told.Sighting = 0.04, 0.3
				s := r.sheet()
				s.Engine.PinOffset.Limit = geometry.Limit[geometry.Length]{Half: 0.8}
				s.Engine.BoreOffset.Limit = geometry.Limit[geometry.Length]{Half: 0.5}
				result, err := audit.Run(s)
				if err != nil {
					t.Fatal(err)
				}
				for source, set := range map[string]func(r *rig, sign geometry.Length){
					"contact height (rock)":    func(r *rig, sign geometry.Length) { r.Engine.Rock = sign * 0.04 },
					"sighting, engine pointer": func(r *rig, sign geometry.Length) { r.hand().Squint = sign * 0.3 },
					"pin offset":               func(r *rig, sign geometry.Length) { r.Engine.Pin = sign * 0.8 },
					"bore offset":              func(r *rig, sign geometry.Length) { r.Engine.Bore = 1.5 + sign*0.5 },
				} {
					one, other := rigged(func(r *rig) { set(r, 1) }), rigged(func(r *rig) { set(r, -1) })
					for i, m := range result.ByLine() {
						said := float64(oneRow(t, m, source).Term().Scale)
						if seen := math.Abs(one[i]-other[i]) / 2; math.Abs(seen-said) > 2e-3*said {
							t.Errorf("%s, %s: moved by %.6f, the row says %.6f", m.Name, source, seen, said)
						}
					}
				}
			})
		}
	}
	// Published with the method: 0.02 mm at half arc 8, 15, 30, stroke 92, rod 152.
	for halfArc, want := range map[geometry.Angle]float64{8: 0.069, 15: 0.037, 30: 0.020} {
		r := quietRig(t, 703)
		r.first().HalfArc, r.Told.Contact = halfArc, 0.02
		result, err := audit.Run(r.sheet())
		if err != nil {
			t.Fatal(err)
		}
		if got := oneRow(t, result.ByLine()[0], "contact height (rock)").Term().Scale; math.Abs(got-want) > 0.0005 {
			t.Errorf("half arc %v: got %.4f, want %.3f", halfArc, got, want)
		}
	}
}
