package advise_test

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// A distance by which a new line is proven changes with the order, and by more than its ±:
// two lines that go alike are never such a pair. Each line that is scribed has one, where
// any pair of it would do. Plane geometry by hand: lines that are a apart on D across are
// D sin(a/2) apart straight across; the wrong side is as far from what it was as the right
// one, the other way.
func TestTellingDistancesChangeWithTheOrder(t *testing.T) {
	t.Parallel()
	doubt := func(now geometry.Length, scribed int) geometry.Length {
		return max(now, 0.2) + 0.3*geometry.Length(scribed)
	}
	for _, c := range []struct {
		name string
		off  []geometry.Angle // of the lines, 0 12 24 36 48 60
		none int              // lines that are scribed and can have no pair
	}{
		{"one", []geometry.Angle{0, 0, 3, 0, 0, 0}, 0},
		{"two alike", []geometry.Angle{0, 3, 3, 0, 0, 0}, 0},
		{"two apart", []geometry.Angle{0, 3, 0, -3, 0, 0}, 0},
		{"some each way", []geometry.Angle{0, 3, -3, 3, -2, 0}, 0},
		{"hardly", []geometry.Angle{0, 0, 0, 0.6, 0, 0}, 1},
		{"nothing", []geometry.Angle{0, 0, 0, 0, 0, 0}, 0},
	} {
		f := ran(t, func(r *simulate.Rig) {
			for i := range r.Setups {
				r.Setups[i].Closing = true
			}
			for i := range r.Lines {
				r.Lines[i].Offset = c.off[i]
			}
		}, 12, 24, 36, 48, 60)
		told := map[string]bool{}
		for _, d := range f.Advice.Telling(f.Sheet, f.TDC, f.Lines, doubt) {
			i, j := index(f, d.From), index(f, d.To)
			a, b := f.Advice.Lines[i], f.Advice.Lines[j]
			n := 0
			turned := f.Lines[j].Place - f.Lines[i].Place
			for _, k := range []int{i, j} {
				if f.Advice.Lines[k].Worthwhile {
					told[f.Lines[k].Name] = true
					n++
				}
			}
			if n == 0 || n == 2 && a.Along == b.Along {
				t.Errorf("%s: %s to %s: %d are scribed, %v and %v", c.name, d.From, d.To, n, a.Along, b.Along)
			}
			if !a.Worthwhile {
				turned -= f.Lines[i].Offset.Value
			}
			if !b.Worthwhile {
				turned += f.Lines[j].Offset.Value
			}
			testkit.Near(t, d.From+" to "+d.To+" after", d.After.Millimetres(), f.Sheet.Part.Diameter.Millimetres()*math.Abs(math.Sin(turned.Radians()/2)), 1e-6)
			if changes := math.Abs((d.After - d.Now).Millimetres()); changes <= doubt(d.U, n).Millimetres() {
				t.Errorf("%s: %s to %s changes by %.2f mm, less than its ± of %v", c.name, d.From, d.To, changes, doubt(d.U, n))
			}
		}
		scribed := 0
		for i, s := range f.Advice.Lines {
			if s.Worthwhile {
				scribed++
				if c.none == 0 && !told[f.Lines[i].Name] {
					t.Errorf("%s: nothing tells of %s", c.name, f.Lines[i].Name)
				}
			}
		}
		if c.none == 0 && len(told) != scribed || c.none > 0 && len(told) > 0 {
			t.Errorf("%s: %d lines are told of, %d scribed", c.name, len(told), scribed)
		}
		if moved := c.name != "nothing" && c.none == 0; moved != (scribed > 0) && c.none == 0 {
			t.Errorf("%s: %d lines are scribed", c.name, scribed)
		}
	}
	f := ran(t, func(r *simulate.Rig) { r.Lines[1].Offset = 3 }, 12, 60)
	f.Sheet.Part.Diameter = 0
	if got := f.Advice.Telling(f.Sheet, f.TDC, f.Lines, doubt); got != nil {
		t.Errorf("without a diameter: %+v", got)
	}
}
