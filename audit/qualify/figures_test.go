package qualify_test

import (
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/qualify"
	"markaudit/geometry"
)

// Whole results, as they are: what each figure should be is the matter of the
// other tests.
func TestFiguresOfStudies(t *testing.T) {
	for name, o := range map[string]qualify.Options{
		"new-stop":  {AllowedBias: 0.1, Step: 0.05},
		"bent-tip":  {AllowedBias: 0.1, Step: 0.05, Trusted: &qualify.Stated{Bias: 0.01, Expanded: 0.02}, Crank: &geometry.Crank{Stroke: 90, Rod: 150, Offset: 0.5}, OffsetLimit: 0.2},
		"soft-lock": {AllowedBias: 0.2, Step: 0.1, AllowedRatio: 2, AsRead: true, Tolerance: 0.5},
	} {
		t.Run(name, func(t *testing.T) {
			study, _, err := qualify.ReadTrials(name, testkit.Read(t, "qualify/"+name+".csv"))
			if err != nil {
				t.Fatal(err)
			}
			r, err := qualify.Run(study, o)
			if err != nil {
				t.Fatal(err)
			}
			testkit.Figures(t, "figures/qualify-"+name+".txt", struct {
				Result  qualify.Result
				Further []qualify.Chance
			}{r, r.Further()})
		})
	}
}
