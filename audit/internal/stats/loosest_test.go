package stats

import (
	"math"
	"testing"
)

// With equal numbers it is Cochran's test to the last digit of its tables (ISO
// 5725-2, table 4; testdata/reference/cochran-critical.csv): a variance a little
// above the critical share is found, one a little below is not.
func TestLoosestIsCochranWithEqualNumbers(t *testing.T) {
	for _, p := range []int{2, 3, 5, 12} {
		for _, dof := range []float64{1, 2, 4, 9} {
			_, _, critical := Cochran(alike(p), dof, 0.05)
			for _, c := range []struct {
				factor float64
				want   int
			}{{1.001, p - 1}, {0.999, -1}} {
				share := critical * c.factor
				if share >= 1 {
					continue
				}
				each := make([]Scatter, p)
				for i := range each {
					each[i] = Scatter{(1 - share) / float64(p-1), dof}
				}
				each[p-1].Variance = share
				if got := Loosest(each, 0.05); got != c.want {
					t.Errorf("%d variances on %g, share %.4f of %.4f: got %d, want %d", p, dof, share, critical, got, c.want)
				}
			}
		}
	}
}

// alike is p variances of which the largest is tested.
func alike(p int) []float64 {
	v := make([]float64, p)
	for i := range v {
		v[i] = 1
	}
	return v
}

func TestLoosestOfUnequalNumbers(t *testing.T) {
	// 0.04 on 4 against 0.01 on 9, of three lines: P(F(4, 9) > 4) = 0.0391 (another
	// program), above 0.01/3 and above 0.05/3.
	each := []Scatter{{0.04, 4}, {0.01, 5}, {0.01, 4}}
	if p := FSurvival(4, 4, 9); !(math.Abs(p-0.0391) <= 5e-5) {
		t.Errorf("P = %.4f", p)
	}
	for alpha, want := range map[float64]int{0.01: -1, 0.05: -1, 0.12: 0} {
		if got := Loosest(each, alpha); got != want {
			t.Errorf("at %g: got %d, want %d", alpha, got, want)
		}
	}
	for _, c := range []struct {
		name string
		each []Scatter
		want int
	}{
		{"none", nil, -1},
		{"one alone", []Scatter{{1, 4}}, -1},
		{"one beside lines read once", []Scatter{{1, 4}, {}, {}}, -1},
		{"all nought", []Scatter{{0, 4}, {0, 4}}, -1},
		{"the others nought", []Scatter{{0, 4}, {1, 4}}, 1},
		{"a calm one never", []Scatter{{1, 20}, {1e-6, 20}, {1, 20}}, -1},
	} {
		if got := Loosest(c.each, 0.05); got != c.want {
			t.Errorf("%s: got %d, want %d", c.name, got, c.want)
		}
	}
}
