package audit_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// dropsAt has two drops with the same half arc, four pairs each, with their TDC
// at zero and beyond it by apart. The middles of each scatter by sd.
func dropsAt(zero, apart, sd float64) sheet.Sheet {
	s := handSheet(0)
	setup := &s.Setups[0]
	setup.Trials, setup.Method = nil, sheet.EqualDrop
	for i, at := range []float64{zero, zero + apart} {
		d := sheet.Drop{
			Drop: geometry.Crank{Stroke: 92, Rod: 152}.DropOfHalfArc(25), Taken: sheet.Rising,
			Path: inputerror.Path(fmt.Sprintf("setups[0].equal_drop[%d]", i)),
		}
		for _, m := range around(4, at, sd) {
			d.Before = append(d.Before, readings(sheet.Forward, m-25)...)
			d.After = append(d.After, readings(sheet.Backward, m+25)...)
		}
		setup.Drops = append(setup.Drops, d)
	}
	for _, lines := range setup.Marks {
		for i := range lines {
			lines[i].Value += geometry.Angle(zero - 47)
		}
	}
	return s
}

// Middles at two drops are held against each other, wherever on the readout they
// lie. Equal half arcs leave no trend, so that what is asked is whether they
// agree.
func TestDropsAreHeldAgainstEachOtherAnywhereOnTheReadout(t *testing.T) {
	for _, zero := range []float64{0.5, 47, 181, 300} {
		if v, said := values(audited(t, dropsAt(zero, 0, 0.1)), warning.DropsDisagree); said {
			t.Errorf("TDC at %v: drops that agree are said to differ by %v", zero, v)
		}
		// Means of four with a standard deviation of 0.1, apart by 0.4: an F of
		// 4·0.4²/2/0.1² = 32 where 5.99 is the quantile of 5 % with 1 and 6 degrees
		// of freedom (printed tables).
		v, said := values(audited(t, dropsAt(zero, 0.4, 0.1)), warning.DropsDisagree)
		if !said || math.Abs(v[0]-0.4) > 1e-9 {
			t.Errorf("TDC at %v: got %v of drops apart by 0.4", zero, v)
		}
		// Apart by 0.15 an F of 4.5, and by 0.2 one of 8.
		for apart, want := range map[float64]bool{0.15: false, -0.15: false, 0.2: true, -0.2: true} {
			if _, said := values(audited(t, dropsAt(zero, apart, 0.1)), warning.DropsDisagree); said != want {
				t.Errorf("TDC at %v, drops apart by %v: got said %v, want %v", zero, apart, said, want)
			}
		}
	}
}

// Pairs that all read alike still round, and alike: the mean of a drop errs as one middle
// of two readings does, by d/√24. Two means are then apart where half the square of their
// difference is more than 5.99 times that variance.
func TestDropsAreHeldAgainstRounding(t *testing.T) {
	const step = 0.1
	apart := math.Sqrt(2 * 5.987 * step * step / 24)
	for times, want := range map[float64]bool{0.97: false, 1.03: true} {
		s := dropsAt(47, times*apart, 0)
		s.Readout.Step = step
		if _, said := values(audited(t, s), warning.DropsDisagree); said != want {
			t.Errorf("drops apart by %v of what rounding explains: got said %v, want %v", times, said, want)
		}
	}
}
