package plan_test

import (
	"path"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/plan"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Whole plans, as they are: what each figure should be is the matter of the other
// tests.
func TestFiguresOfPlans(t *testing.T) {
	for _, c := range []struct {
		name   string
		guess  plan.Guess
		wanted geometry.Angle
	}{
		{"pump", plan.Guess{Middle: 0.1, Reading: 0.12, Remount: 0.08}, 0.3},
		{"drops", plan.Guess{Middle: 0.05, Reading: 0.2}, 0},
		{"banks", plan.Guess{Middle: 0.02, Reading: 0.03, Remount: 0.2}, 0.25},
		{"mill", plan.Guess{Middle: 0.1, Reading: 0.12}, 0.3}, // with remounting stated
		{"depths", plan.Guess{}, 0},
		{"rim", plan.Guess{}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := "sheets/good/" + c.name + ".yaml"
			s, _, err := sheet.Read(path.Base(file), testkit.Read(t, file), testkit.Beside(t, "sheets/good"))
			if err != nil {
				t.Fatal(err)
			}
			r, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			seen := plan.GuessFrom(r)
			if c.guess == (plan.Guess{}) {
				c.guess = seen
			}
			p, err := plan.For(s, c.guess, 0, c.wanted)
			if err != nil {
				t.Fatal(err)
			}
			testkit.Figures(t, "figures/plan-"+c.name+".txt", struct {
				Seen plan.Guess
				Plan plan.Plan
			}{seen, p})
		})
	}
}
