package qualify_test

import (
	"slices"
	"strconv"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/qualify"
	"markaudit/geometry"
)

// Whole results, as they are: what each figure should be is the matter of the
// other tests. So in the tests below.
func TestFiguresOfPlannedStudy(t *testing.T) {
	testkit.Figures(t, "figures/qualify-planned.txt", qualify.Plan(qualify.Guess{
		Options: qualify.Options{AllowedBias: 0.1, Step: 0.05}, Scatter: 0.03, Fitting: 0.02, Bias: 0.01,
	}))
	// Where creep, step and the trusted stop's own doubt have their say.
	testkit.Figures(t, "figures/qualify-planned-tight.txt", qualify.Plan(qualify.Guess{
		Options: qualify.Options{AllowedBias: 0.06, Step: 0.06, AllowedRatio: 5, Trusted: &qualify.Stated{Bias: 0.02, Expanded: 0.02}}, Scatter: 0.025, Bias: 0.01,
	}))
}

// A study that is too small to prove anything says what more would.
func TestFiguresOfSmallStudies(t *testing.T) {
	for name, few := range map[string]struct {
		setups  int
		allowed geometry.Angle
		trusted *qualify.Stated
	}{"two-setups": {2, 0.1, nil}, "three-setups": {3, 0.03, nil}, "trusted": {3, 0.06, &qualify.Stated{Bias: 0.01, Expanded: 0.03}}} {
		t.Run(name, func(t *testing.T) {
			study, _, err := qualify.ReadTrials(name, testkit.Read(t, "qualify/new-stop.csv"))
			if err != nil {
				t.Fatal(err)
			}
			study.Trials = slices.DeleteFunc(study.Trials, func(x qualify.Trial) bool { return x.Setup > strconv.Itoa(few.setups) })
			r, err := qualify.Run(study, qualify.Options{AllowedBias: few.allowed, Step: 0.02, Trusted: few.trusted})
			if err != nil {
				t.Fatal(err)
			}
			further := r.Further()
			if r.Verdict != qualify.NotProven || len(further) == 0 {
				t.Fatalf("got %v and %v, want a study that is open", r.Verdict, further)
			}
			testkit.Figures(t, "figures/qualify-"+name+".txt", struct {
				Result  qualify.Result
				Further []qualify.Chance
			}{r, further})
		})
	}
}

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
