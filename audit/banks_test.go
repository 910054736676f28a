package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"markaudit/audit"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/simulate"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// vEngine is a V engine whose banks stand 90.3 apart and are declared at 90,
// with two lines of each bank that are off by up to half a degree.
func vEngine(rng *rand.Rand) *rig {
	r := newRig(rng)
	r.fittings = 1
	r.Engine.Cylinders = []simulate.Cylinder{{Name: "A"}, {Name: "B", Declared: 90, TDC: 90.3}}
	for _, c := range r.Engine.Cylinders {
		for _, at := range []geometry.Angle{0, -10} {
			r.line(fmt.Sprintf("%s%d", c.Name, int(-at)), at, r.within(0.5)).Cylinder = c.Name
		}
	}
	return r.told()
}

// A second fitting of the stop in one mounting is no remounting: two setups of
// one mounting give what one setup with all the trials gives.
func TestSplittingTheTrialsOfAMountingChangesNoOffset(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := vEngine(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5)))
		s.setups = rapid.IntRange(1, 4).Draw(t, "mountings")
		s.first().Trials = 2 * rapid.IntRange(1, 3).Draw(t, "half the trials")
		whole := readSheet(t, s.text())
		split := whole
		split.Setups = nil
		for i, x := range whole.Setups {
			second := x
			x.Trials, second.Trials = slices.Clone(x.Trials[:s.first().Trials/2]), x.Trials[s.first().Trials/2:]
			x.Path, second.Path = inputerror.Path(fmt.Sprintf("setups[%d]", 2*i)), inputerror.Path(fmt.Sprintf("setups[%d]", 2*i+1))
			second.Marks = nil
			split.Setups = append(split.Setups, x, second)
		}
		want, got := run(t, whole), run(t, split)
		for i, m := range got.ByLine() {
			w := want.ByLine()[i]
			if !alike(m.Offset.Value.Degrees(), w.Offset.Value.Degrees()) || len(m.Seen) != len(w.Seen) || m.Covers != w.Covers {
				t.Errorf("%s: got %v from %d setups, covering %v, want %v from %d, covering %v",
					m.Name, m.Offset.Value, len(m.Seen), m.Covers, w.Offset.Value, len(w.Seen), w.Covers)
			}
		}
		if a, b := got.Checks.Cylinders[0].Angle.Value, want.Checks.Cylinders[0].Angle.Value; !alike(a.Degrees(), b.Degrees()) {
			t.Errorf("got a bank angle of %v, want %v", a, b)
		}
	})
}

// With the bore beside the crank the middle of each bank's contacts lies past the
// piston's top by what the depth of its own stop makes of it: the rig solves both
// by bisection.
func TestEachBankIsCorrectedForItsOwnStop(t *testing.T) {
	for _, bore := range []geometry.Length{12, -12} {
		for _, thrown := range []bool{false, true} {
			s := vEngine(testkit.Rand(t, 2310))
			s.Engine.Bore, s.Engine.FromThrow, s.Readout.Step = bore, thrown, 1e-4
			*s.hand() = simulate.Hand{MiddleSD: 1e-5, ReadSD: 1e-5}
			s.each = func(i int, x *simulate.Setup) { x.HalfArc += geometry.Angle(20 * i) } // deeper in the second bank
			result := judged(t, s.text())
			if got := result.Checks.Cylinders[0].Angle.Value.Degrees(); math.Abs(got-90.3) > slop {
				t.Errorf("bore %v, from the throw %v: got a bank angle of %.5f, want 90.3", bore, thrown, got)
			}
			for i, m := range result.ByLine() {
				if got, want := m.Offset.Value, s.Lines[i].Offset; (got - want).Abs() > slop {
					t.Errorf("bore %v, from the throw %v, %s: got an offset of %.5f, want %.5f", bore, thrown, m.Name, got, want)
				}
			}
		}
	}
}

// Where the line's own cylinder was not tried, the sheet's angle is taken, and
// said so: the line is then off by as much as the bank is.
func TestABankThatWasNotTriedIsTakenAsDeclared(t *testing.T) {
	rng := testkit.Rand(t, 2300)
	s := vEngine(rng)
	s.Readout.Step, *s.hand() = 0.001, simulate.Hand{MiddleSD: 1e-4, ReadSD: 1e-4}
	untried := readSheet(t, s.text())
	untried.Setups = untried.Setups[:1]
	result, err := audit.Run(untried)
	if err != nil {
		t.Fatal(err)
	}
	if len(result.Checks.Cylinders) > 0 || !has(result, warning.BankNotFound) {
		t.Errorf("got banks %v and %v, want none and a warning", result.Checks.Cylinders, result.Warnings)
	}
	for i, m := range result.ByLine() {
		want := s.Lines[i].Offset.Degrees()
		if m.Cylinder == "B" {
			want += 0.3 // 90.3 on the engine, 90 on the sheet
		}
		// Scatter of 1e-4 and a step of 1e-3.
		if got := m.Offset.Value.Degrees(); math.Abs(got-want) > 3e-3 {
			t.Errorf("%s: got an offset of %v, want %v", m.Name, got, want)
		}
	}
}
