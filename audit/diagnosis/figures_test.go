package diagnosis_test

import (
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
)

// All that this stage finds on good sheets and on unusual ones, as it is: what each
// figure should be is the matter of the other tests. A sheet that an earlier stage
// refuses does not come here.
func TestFigures(t *testing.T) {
	found := map[string]diagnosis.Diagnosis{}
	for name, s := range teststand.Stories(t) {
		r, err := audit.Run(s)
		if err != nil {
			continue
		}
		d := r.Diagnosis
		for _, x := range d.Standing {
			if x.Code == diagnosis.AsMeasured {
				d.Measured = diagnosis.Explanation{} // stands there already
			}
		}
		found[name] = d
	}
	testkit.Figures(t, "figures/stage-diagnosis.txt", found)
}
