package uncertainty

import "testing"

// Promised for a sheet of five marks, in docs/validation.md: 1 ms.
func BenchmarkFiveMarkIntervals(b *testing.B) {
	var marks [5][]Term
	for i := range marks {
		for _, t := range usualBudget {
			t.Scale *= 1 + 0.1*float64(i)*float64(t.Shape) // no two marks alike
			marks[i] = append(marks[i], t)
		}
	}
	for b.Loop() {
		for _, terms := range marks {
			s := NewSum(terms)
			if !(s.HalfWidth(0.95) > 0) || !(s.Conformity(0.4, 0.5) > 0) {
				b.Fatal("no interval")
			}
		}
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
