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
	}{{[]float64{3}, 3}, {[]float64{9, 1, 4}, 4}, {[]float64{8, 1, 4, 2}, 3}} {
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
