package uncertainty

import (
	"slices"
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

// workCases are sums of every kind, and the work that each takes.
var workCases = []struct {
	name   string
	terms  []Term
	panels int
	looks  [5]int // for coverages of 0.5, 0.9, 0.95, 0.99 and 0.9999
}{
	{"usual budget", usualBudget, 10, [5]int{7, 6, 7, 7, 7}},
	{"two limits and next to nothing", []Term{arcsine(1), rectangular(0.9), student(0.001, 4)}, 300, [5]int{7, 8, 10, 19, 14}},
	{"one limit far above the rest", []Term{rectangular(1000), student(1, 3), rectangular(1)}, 10, [5]int{3, 4, 5, 5, 9}},
	{"one limit far below the rest", []Term{student(1000, 3), rectangular(1)}, 6, [5]int{6, 7, 7, 6, 6}},
	{"a triangle far above the rest", []Term{triangular(100), student(1, 5), normal(0.3)}, 13, [5]int{4, 4, 4, 5, 7}},
	{"an arcsine beside a t of two degrees", []Term{arcsine(1), student(1, 2)}, 9, [5]int{5, 6, 6, 5, 5}},
	{"two t of six degrees", []Term{student(1, 6), student(0.8, 6)}, 8, [5]int{6, 6, 6, 6, 6}},
	{"t of seven and eight degrees", []Term{student(1, 7), student(0.8, 8)}, 4, [5]int{5, 6, 6, 6, 6}},
	{"t of many degrees and a normal", []Term{student(1, 600), student(0.5, 30), normal(0.7)}, 7, [5]int{5, 5, 5, 5, 5}},
	{"Cauchy and a limit", []Term{student(1, 1), rectangular(2)}, 5, [5]int{7, 6, 6, 6, 5}},
	{"a normal beside two limits", []Term{normal(0.1), rectangular(1), triangular(0.7)}, 7, [5]int{6, 5, 6, 8, 10}},
	{"twelve limits", slices.Repeat([]Term{rectangular(1)}, 12), 4, [5]int{7, 6, 7, 8, 8}},
	{"three limits", []Term{rectangular(1), triangular(0.8), arcsine(0.6)}, 37, [5]int{7, 6, 7, 10, 10}},
}

// What an interval takes is panels of the inversion, sixteen values of the
// characteristic function each, and looks at the sum that they make.
func TestIntervalsTakeLittleWork(t *testing.T) {
	for _, c := range workCases {
		s := NewSum(c.terms)
		if got := len(s.panels); got == 0 || got > c.panels {
			t.Errorf("%s: got %d panels, want at most %d", c.name, got, c.panels)
		}
		for i, confidence := range []float64{0.5, 0.9, 0.95, 0.99, 0.9999} {
			if _, got := s.search(confidence); got > c.looks[i] {
				t.Errorf("%s: %d looks for %g, want at most %d", c.name, got, confidence, c.looks[i])
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
