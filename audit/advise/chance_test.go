package advise

import (
	"math"
	"testing"

	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// within is a line read so often in one setup, off by an angle.
func within(off geometry.Angle, pairs, readings float64) lines.Line {
	scatter := func(source uncertainty.Source, of string, n float64) uncertainty.Contribution {
		return uncertainty.By(uncertainty.Input{
			ID: uncertainty.ID{Source: source, Of: of}, Shape: uncertainty.StudentT, Scale: 0.1, DOF: uncertainty.DOF(n - 1), N: int(n), Pool: of,
		}, 1/math.Sqrt(n))
	}
	from := uncertainty.Combination{Groups: []uncertainty.Group{{
		Mountings: []string{"1"}, Values: []geometry.Angle{off},
		Scatter: []uncertainty.Contribution{scatter(uncertainty.StopContacts, "stop", pairs), scatter(uncertainty.LineReadings, "T", readings)},
	}}}
	e, _ := from.Evaluate(0.95)
	return lines.Line{Mark: sheet.Mark{Name: "T", Tolerance: 0.5}, Offset: &e, From: from, Seen: make([]lines.Seen, 1)}
}

// Today's scatter at its face value: with more of both the estimate moves by the
// root of what its variance loses, and is judged by the interval that is left.
func TestChanceTakesScatterAtItsFaceValue(t *testing.T) {
	l := within(0.35, 4, 4)
	s := newSearch(l, 0.95)
	now := 0.01/4 + 0.01/4
	then := 0.01/9 + 0.01/7
	moves := math.Sqrt(now - then)
	half := uncertainty.NewSum([]uncertainty.Term{
		{Shape: uncertainty.StudentT, Scale: 0.1 / 3, DOF: 8}, {Shape: uncertainty.StudentT, Scale: 0.1 / math.Sqrt(7), DOF: 6},
	}).HalfWidth(0.9)
	phi := func(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
	want := phi((0.5-half-0.35)/moves) - phi((-0.5+half-0.35)/moves) + 1 - phi((0.5+half-0.35)/moves) + phi((-0.5-half-0.35)/moves)
	if got := s.chance(5, 3, 0); math.Abs(got-want) > 1e-9 {
		t.Errorf("chance %.10f, want %.10f", got, want)
	}
}

// Three tenths of an offer come first, rounded up, and nothing where that is all.
func TestFirstStage(t *testing.T) {
	for _, c := range []struct {
		offer Next
		want  First
	}{
		{Next{Trials: 5, Readings: 5, Chance: 0.8}, First{2, 2, 0.7}},
		{Next{Trials: 10, Readings: 3, Chance: 0.9}, First{3, 1, 0.7}},
		{Next{Trials: 0, Readings: 4, Chance: 0.6}, First{0, 2, 0.6}},
		{Next{Trials: 1, Readings: 1, Chance: 0.8}, First{}},
		{Next{Trials: 1, Readings: 0, Chance: 0.8}, First{}},
	} {
		if got := c.offer.stage(); got != c.want {
			t.Errorf("%+v: %+v, want %+v", c.offer, got, c.want)
		}
	}
}

// What is offered keeps the promise by its own reckoning, and no cheaper offer does.
func TestBestIsTheCheapest(t *testing.T) {
	for _, off := range []geometry.Angle{0.3, 0.36, 0.42, 0.6, 0.7} {
		s := newSearch(within(off, 4, 4), 0.95)
		best := s.best()
		if best.Way != MoreReadings || best.Chance < likely {
			continue
		}
		for i := range mostFurther + 1 {
			for j := range mostFurther + 1 {
				if i+j > 0 && effort(i, j) < effort(best.Trials, best.Readings) && s.chance(i, j, 0) >= likely {
					t.Errorf("%v: offered %d and %d, but %d and %d do", off, best.Trials, best.Readings, i, j)
				}
			}
		}
	}
}

// An undecided line that lies so that both sides together keep it undecided is not
// offered nothing.
func TestAnOfferIsSomething(t *testing.T) {
	for off := geometry.Angle(0); off < 1; off += 0.01 {
		for _, threshold := range []float64{0.6, 0.9, 0.95} {
			if best := newSearch(within(off, 3, 3), threshold).best(); best.Way == MoreReadings && best.Trials+best.Readings == 0 {
				t.Errorf("%v at %g: %+v", off, threshold, best)
			}
		}
	}
}
