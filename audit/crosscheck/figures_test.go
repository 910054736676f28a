package crosscheck_test

import (
	"testing"

	"markaudit/audit/crosscheck"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/internal/teststand"
	"markaudit/audit/lines"
	"markaudit/audit/readout"
	"markaudit/audit/tdc"
)

// All that this stage finds on good sheets and on unusual ones, as it is: what each
// figure should be is the matter of the other tests. A sheet that an earlier stage
// refuses does not come here.
func TestFigures(t *testing.T) {
	found := map[string]crosscheck.Checks{}
	for name, s := range teststand.Stories(t) {
		shown := readout.New(s)
		top, err := tdc.Find(s, shown)
		if err != nil {
			continue
		}
		placed, err := lines.Place(s, shown, top)
		if err != nil {
			continue
		}
		found[name] = crosscheck.All(s, shown, top, placed.Lines)
	}
	testkit.Figures(t, "figures/stage-crosscheck.txt", found)
}
