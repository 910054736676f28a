package stats

import (
	"slices"
	"testing"
)

// By counting: the middle one of an odd
// number of values by counting, the mean of two of an even one.
func TestMedian(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		want float64
	}{{[]float64{3}, 3}, {[]float64{9, 1, 4}, 4}, {[]float64{8, 1, 4, 2}, 3}, {[]float64{9, 7, 1, 4, 2}, 4}, {[]float64{9, 7, 1, 4, 2, 5}, 4.5}, {[]float64{6, 0}, 3}, {[]float64{70, 60, 50, 40, 30, 20, 10}, 40}} {
		before := slices.Clone(c.x)
		if got := Median(c.x); got != c.want || !slices.Equal(c.x, before) {
			t.Errorf("%v: got %g, want %g", before, got, c.want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic on nothing")
		}
	}()
	Median(nil)
}
