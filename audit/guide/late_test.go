package guide

import (
	"testing"

	"markaudit/audit"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// A line counts from where it was read, not from its place, while that is not more than
// a line can be off.
func TestALineReadIsWhereItWasRead(t *testing.T) {
	for _, c := range []struct{ off, want geometry.Angle }{{-3, -3}, {0, 0}, {14.9, 14.9}, {40, 0}} {
		s := State{view: View{Result: &audit.Result{Lines: []lines.Line{{Mark: sheet.Mark{Name: "F2"}, Offset: &uncertainty.Estimate{Value: c.off}}}}}}
		if got := s.late("F2"); got != c.want {
			t.Errorf("read %v off: got %v, want %v", c.off, got, c.want)
		}
		if got := s.late("T2"); got != 0 {
			t.Errorf("a line that was not read is %v off", got)
		}
	}
}
