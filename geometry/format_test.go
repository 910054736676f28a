package geometry_test

import (
	"fmt"
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
