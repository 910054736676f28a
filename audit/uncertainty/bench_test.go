package uncertainty

import (
	"testing"
)

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

// What an interval takes is panels of the inversion, sixteen values of the
// characteristic function each.
func TestIntervalsTakeFewPanels(t *testing.T) {
	for _, c := range []struct {
		name  string
		terms []Term
		most  int
	}{
		{"usual budget", usualBudget, 20},
		{"two limits and next to nothing", []Term{arcsine(1), rectangular(0.9), student(0.001, 4)}, 400},
		{"one limit far above the rest", []Term{rectangular(1000), student(1, 3), rectangular(1)}, 20},
		{"one limit far below the rest", []Term{student(1000, 3), rectangular(1)}, 20},
	} {
		if got := len(NewSum(c.terms).panels); got == 0 || got > c.most {
			t.Errorf("%s: got %d panels, want at most %d", c.name, got, c.most)
		} else {
			t.Logf("%s: %d panels", c.name, got)
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
