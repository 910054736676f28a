package geometry_test

import (
	"fmt"
	"math"
	"testing"

	"markaudit/geometry"
)

func TestEveryVerbPrintsTheUnit(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{fmt.Sprintf("%v", geometry.Angle(12.5)), "12.5°"},
		{fmt.Sprintf("%s", geometry.Angle(12.5)), "12.5°"},
		{fmt.Sprintf("%+.2f", geometry.Angle(12.5)), "+12.50°"},
		{fmt.Sprintf("%+.2f", geometry.Angle(-12.5)), "-12.50°"},
		{fmt.Sprintf("%f", geometry.Angle(12.5)), "12.500000°"},
		{fmt.Sprintf("%d", geometry.Angle(12)), "12°"},
		{fmt.Sprintf("%x", geometry.Angle(12)), "12°"},
		{fmt.Sprintf("%.1e", geometry.Angle(12.5)), "1.2e+01°"},
		{fmt.Sprintf("%.2f", geometry.Angle(-0.001)), "0.00°"},
		{fmt.Sprintf("%+.2f", geometry.Angle(-0.001)), "+0.00°"},
		{fmt.Sprintf("%8.2f|", geometry.Angle(12.5)), "  12.50°|"},
		{fmt.Sprintf("%-8.2f|", geometry.Angle(12.5)), "12.50°  |"},
		{fmt.Sprintf("%08.2f|", geometry.Angle(-1.5)), "-001.50°|"},
		{fmt.Sprintf("%08.2f|", geometry.Angle(1.5)), "0001.50°|"},
		{fmt.Sprintf("%+08.2f|", geometry.Angle(1.5)), "+001.50°|"},
		{fmt.Sprintf("%2.2f|", geometry.Angle(1.5)), "1.50°|"},
		{fmt.Sprintf("%5.2f|", geometry.Angle(1.5)), "1.50°|"},
		{fmt.Sprintf("%6.2f|", geometry.Angle(1.5)), " 1.50°|"},
		{fmt.Sprintf("%F", geometry.Angle(0.5)), "0.500000°"},
		{fmt.Sprintf("%g", geometry.Length(-0.5)), "-0.5 mm"},
		{fmt.Sprintf("%G", geometry.Angle(1e-9)), "1E-09°"},
		{fmt.Sprintf("%E", geometry.Angle(1500)), "1.5E+03°"},
		{fmt.Sprintf("%.0e", geometry.Angle(-0.001)), "-1e-03°"},
		{fmt.Sprintf("%+v", geometry.Angle(math.Inf(1))), "+Inf°"},
		{fmt.Sprintf("%.0f", geometry.Angle(-0.4)), "0°"},
		{fmt.Sprintf("%.1f", geometry.Angle(-0.06)), "-0.1°"},
		{fmt.Sprintf("%v", geometry.Angle(1e6)), "1000000°"},
		{fmt.Sprintf("%.2f", geometry.Length(1.28)), "1.28 mm"},
		{fmt.Sprintf("%v", geometry.Length(158)), "158 mm"},
		{fmt.Sprintf("%v", []geometry.Length{1, 2.5}), "[1 mm 2.5 mm]"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
