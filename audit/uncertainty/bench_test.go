package uncertainty

import (
	"math"
	"testing"
	"time"
)

// Promised for a sheet of five marks, in docs/validation.md.
const fiveMarksTake = time.Millisecond

// fiveMarks are the budgets of a sheet, no two marks alike.
func fiveMarks() [5][]Term {
	var marks [5][]Term
	for i := range marks {
		for _, t := range usualBudget {
			t.Scale *= 1 + 0.1*float64(i)*float64(t.Shape)
			marks[i] = append(marks[i], t)
		}
	}
	return marks
}

func judge(tb testing.TB, marks [5][]Term) {
	for _, terms := range marks {
		s := NewSum(terms)
		if !(s.HalfWidth(0.95) > 0) || !(s.Conformity(0.4, 0.5, 0.5) > 0) {
			tb.Fatal("no interval")
		}
	}
}

func BenchmarkFiveMarkIntervals(b *testing.B) {
	marks := fiveMarks()
	for b.Loop() {
		judge(b, marks)
	}
}

// The promise with a factor of three for a busy machine, and the best of many,
// for a busy moment says nothing of the program.
func TestFiveMarkIntervalsAreQuick(t *testing.T) {
	if testing.Short() {
		t.Skip("takes the time")
	}
	marks := fiveMarks()
	best := time.Duration(math.MaxInt64)
	for range 50 {
		start := time.Now()
		judge(t, marks)
		best = min(best, time.Since(start))
	}
	t.Logf("five marks take %v", best)
	if best > 3*fiveMarksTake {
		t.Errorf("five marks take %v, want at most %v", best, 3*fiveMarksTake)
	}
}

// One step of the search for what would decide a mark.
func BenchmarkHalfWidth(b *testing.B) {
	for b.Loop() {
		if s := NewSum(usualBudget); !(s.HalfWidth(0.9) > 0) {
			b.Fatal("no interval")
		}
	}
}

// The slowest kind: two wide limits and next to nothing beside them.
func BenchmarkTwoLimits(b *testing.B) {
	terms := []Term{arcsine(1), rectangular(0.9), student(0.001, 4)}
	for b.Loop() {
		if s := NewSum(terms); !(s.HalfWidth(0.9) > 0) {
			b.Fatal("no interval")
		}
	}
}
