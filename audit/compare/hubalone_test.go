package compare

import (
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/geometry"
)

// The hub's line moved alone where it moved by more than twice its own standard
// deviation, and the others by less than a quarter of the rest.
func TestTheHubAlone(t *testing.T) {
	for _, c := range []struct {
		hub, own, other geometry.Angle
		alone           bool
	}{
		{2, 0.5, 0.2, true},
		{-2, 0.5, 0.2, true},
		{2, 0.5, -0.2, true},
		{2, 0.5, 0.3, false},
		{2, 0.5, -0.3, false},
		{0.9, 0.5, 0, false},
		{0.9, 0.5, 5, false},
		{0, 0, 0, false},
	} {
		e := diagnosis.Evidence{
			Lines:  []diagnosis.Line{{On: lines.OnRing}, {On: lines.OnHub}},
			Offset: diagnosis.Table{{c.other, c.hub}}, Own: diagnosis.Table{{0.1, c.own}},
		}
		if got := hubAlone(e); got != c.alone {
			t.Errorf("%+v: %v", c, got)
		}
	}
}
