package advise_test

import (
	"testing"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
)

// All that this stage finds on good sheets and on unusual ones, as it is: what each
// figure should be is the matter of the other tests. A sheet that an earlier stage
// refuses does not come here.
func TestFigures(t *testing.T) {
	found := map[string]any{}
	for name, s := range teststand.Stories(t) {
		r, err := audit.Run(s)
		if err != nil {
			continue
		}
		advice := r.Advice
		for i, l := range advice.Lines {
			if l == advice.Forced[i] { // not held back
				advice.Forced[i] = advise.Scribe{}
			}
		}
		found[name] = struct {
			advise.Advice
			Next      []advise.Next
			Distances []advise.Distance
		}{advice, audit.Next(r), r.Advice.Distances(s, r.TDC, r.Lines)}
	}
	testkit.Figures(t, "figures/stage-advise.txt", found)
}
