package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// NIST/SEMATECH e-Handbook, 1.3.5.17.1 (data of Tietjen and Moore). The
// two-sided critical value; 2.032 in print is the one-sided one.
func TestGrubbsMassSpectrometer(t *testing.T) {
	x := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	index, g, critical := Grubbs(x, 0.05)
	if index != 7 || lre(g, 2.46876461121245) < 13 || !(math.Abs(critical-2.1266451) <= 1e-7) {
		t.Errorf("got %d, %.14g, %.8g, want 7, 2.46876461121245, 2.1266451", index, g, critical)
	}
}

// Turned about, the value that stands out is the lowest.
func TestGrubbsOfALowValue(t *testing.T) {
	x := []float64{-199.31, -199.53, -245.57, -200.19, -200.82, -201.92, -201.95, -202.18}
	if index, g, _ := Grubbs(x, 0.05); index != 2 || lre(g, 2.46876461121245) < 13 {
		t.Errorf("got %d, %.14g, want 2, 2.46876461121245", index, g)
	}
}

func TestGrubbsAgreesWithTables(t *testing.T) {
	for _, r := range readCSV(t, "grubbs-critical.csv") {
		n := int(r.number("n"))
		x := make([]float64, n)
		x[n-1] = 1
		for column, alpha := range map[string]float64{"5pct": 0.05, "1pct": 0.01} {
			_, _, got := Grubbs(x, alpha)
			if !(math.Abs(got-r.number("computed_"+column)) <= 0.6e-4) {
				t.Errorf("n = %d, %s: got %.4f, computed %s", n, column, got, r["computed_"+column])
			}
			if n == 7 && column == "5pct" || n == 15 && column == "1pct" {
				continue // print errors, see the file
			}
			if !(math.Abs(got-r.number("published_"+column)) <= 0.8e-3) { // the print is that far off
				t.Errorf("n = %d, %s: got %.4f, published %s", n, column, got, r["published_"+column])
			}
		}
	}
}

func TestGrubbsWithoutTest(t *testing.T) {
	for _, x := range [][]float64{nil, {1}, {1, 9}, {5, 5, 5, 5}, {338.5, 338.5, math.Nextafter(338.5, 400), 338.5}} {
		if index, g, critical := Grubbs(x, 0.05); index != -1 || g != 0 || critical != 0 {
			t.Errorf("%v: value %d was tested, %g and %g", x, index, g, critical)
		}
	}
}

// The table prints three or four digits of an approximation for C below 0.5.
func TestCochranAgreesWithTables(t *testing.T) {
	for _, r := range readCSV(t, "cochran-critical.csv") {
		alpha, p, n, want := r.number("alpha"), int(r.number("p_groups")), r.number("n_per_group"), r.number("C_crit")
		tol := 0.6e-3
		if alpha == 0.01 {
			tol = 0.7e-4
		}
		v := make([]float64, p)
		v[p-1] = 1
		index, c, critical := Cochran(v, n-1, alpha)
		if index != p-1 || c != 1 || !(math.Abs(critical-want) <= tol) {
			t.Errorf("p = %d, n = %g, %g: got %.5f, want %g", p, n, alpha, critical, want)
		}
	}
}

// Ten pair differences of a published check of uncertainty (PMC10973327, table
// 4); the print has 0.225 from a rounded sum.
func TestCochranPairDifferences(t *testing.T) {
	var v []float64
	for _, d := range []float64{0.06, 0.08, 0.09, 0.05, 0.05, 0.07, 0.05, 0.05, 0.05, 0.03} {
		v = append(v, d*d/2)
	}
	if index, c, critical := Cochran(v, 1, 0.05); index != 2 || !(math.Abs(c-0.22253) <= 1e-5) || c > critical {
		t.Errorf("got %d, %.5f (critical %.4f), want 2, 0.22253", index, c, critical)
	}
	for _, none := range [][]float64{nil, {1}, {0, 0, 0}} {
		if index, c, critical := Cochran(none, 2, 0.05); index != -1 || c != 0 || critical != 0 {
			t.Errorf("%v: variance %d was tested, %g and %g", none, index, c, critical)
		}
	}
}

func TestOutlierTestsKeepTheirHandsOff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(0, 100), 3, 12).Draw(t, "x")
		before := slices.Clone(x)
		shift := rapid.Float64Range(-200, 200).Draw(t, "shift")
		moved := make([]float64, len(x))
		for i, v := range x {
			moved[i] = v + shift
		}
		_, g, critical := Grubbs(x, 0.05)
		_, h, _ := Grubbs(moved, 0.05)
		_, _, strict := Grubbs(x, 0.01)
		_, sd := MeanStdDev(x)
		if sd > 1e-6 && (!(math.Abs(g-h) <= 1e-6) || strict <= critical || g > float64(len(x)-1)/math.Sqrt(float64(len(x)))+1e-9) {
			t.Fatalf("g %g, after a shift %g; critical %g, at 1 %% %g", g, h, critical, strict)
		}
		MeanStdDev(x)
		Slope(x)
		Cochran(x, 2, 0.05)
		if !slices.Equal(x, before) {
			t.Fatal("the readings were changed")
		}
	})
}
