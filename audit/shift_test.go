package audit_test

import (
	"math"
	"testing"

	"markaudit/audit"
	"markaudit/audit/internal/teststand"
)

// Lost motion that is corrected with one doubtful value shifts all lines read
// from one side together: it must drop out of their differences (JCGM 100:2008,
// 5.2.2), so a large limit leaves the homogeneity probability alone.
func TestWhatIsCommonDropsOutOfDifferences(t *testing.T) {
	base := teststand.OffCentre(0)
	base.Readout.OffCentre = 0
	before, err := audit.Run(base)
	if err != nil {
		t.Fatal(err)
	}
	doubtful := teststand.OffCentre(0)
	doubtful.Readout.OffCentre = 0
	doubtful.Readout.HasLostMotion, doubtful.Readout.LostLimit.Half = true, 0.8
	doubtful.Limits.Contact.Half, doubtful.Engine.Stroke, doubtful.Engine.Rod = 0.5, 92, 152
	after, err := audit.Run(doubtful)
	if err != nil {
		t.Fatal(err)
	}
	// 1e-6: the large common part costs digits when V is inverted.
	if got, want := after.Together.Homogeneity, before.Together.Homogeneity; math.Abs(*got-*want) > 1e-6 {
		t.Errorf("homogeneity p: got %v, want %v", *got, *want)
	}
	if after.Together.Common.Expanded <= before.Together.Common.Expanded {
		t.Errorf("the common shift's doubt did not grow: %v, before %v", after.Together.Common.Expanded, before.Together.Common.Expanded)
	}
}
