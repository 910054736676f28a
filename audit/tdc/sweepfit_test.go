package tdc

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/readout"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// swept is a sweep of a crank that counts up, with its top at 50.
func swept(c geometry.Crank, taken sheet.Taken, at []geometry.Angle, height func(at geometry.Angle) float64) *sheet.Swept {
	s := &sheet.Swept{Taken: taken}
	for _, a := range at {
		s.Points = append(s.Points, sheet.Point{Reading: sheet.Reading{Value: 50 + a}, Height: geometry.Length(height(a))})
	}
	return s
}

// A parabola comes back: 3 - 0.02 (x - 47.5)², and one that opens upwards.
func TestParabola(t *testing.T) {
	for _, bend := range []float64{-0.02, 0.05} {
		var at []geometry.Angle
		var heights []float64
		for _, x := range []float64{30, 41, 44, 60, 71} {
			at, heights = append(at, geometry.Angle(x)), append(heights, 3+bend*(x-47.5)*(x-47.5))
		}
		turn, seen, ok := parabola(at, heights)
		if !ok {
			t.Fatal("no parabola")
		}
		testkit.Near(t, "turn", turn, 47.5, 1e-9)
		testkit.Near(t, "bend", seen, bend, 1e-12)
	}
	if _, _, ok := parabola([]geometry.Angle{1, 1, 1, 2}, []float64{1, 2, 3, 4}); ok {
		t.Error("a parabola through two places")
	}
}

// One column of ones is the mean: each value moves it by 1/n, and HC2 with the degrees
// of freedom of Bell and McCaffrey is then exactly the usual s/√n with n - 1, for two
// values as well. So it is for a column of any other number c, where the parameter is
// the mean over c.
func TestParameterOfAMean(t *testing.T) {
	for _, residuals := range [][]float64{{-1, 1}, {0.3, -0.5, 0.2}, {2, -1, 4, -3, -2}} {
		for _, c := range []float64{1, 0.25} {
			n := len(residuals)
			j := mat.NewDense(n, 1, nil)
			var squares float64
			for i, r := range residuals {
				j.Set(i, 0, c)
				squares += r * r
			}
			pull, standard, dof, ok := parameter(j, residuals, 0)
			if !ok {
				t.Fatal("no parameter")
			}
			testkit.Near(t, "pull", pull[1], 1/(c*float64(n)), 1e-12)
			testkit.Near(t, "standard", standard, math.Sqrt(squares/float64(n*(n-1)))/c, 1e-12)
			testkit.Near(t, "dof", dof, float64(n-1), 0)
		}
	}
	// A line through its two points leaves nothing to judge by.
	if _, _, _, ok := parameter(mat.NewDense(2, 2, []float64{1, 0, 1, 1}), []float64{0, 0}, 0); ok {
		t.Error("a doubt of a line through two points")
	}
}

// Whatever the points, no other top and height has a smaller sum of squares: also for
// points that scatter so much that a full step would overshoot.
func TestFitIsTheLeast(t *testing.T) {
	c := geometry.Crank{Stroke: 92, Rod: 152, Offset: 3}
	show := readout.New(sheet.Sheet{Readout: sheet.Readout{Counts: geometry.CountsUp}})
	for _, of := range []struct{ from, to, sd float64 }{{-30, 30, 0.01}, {-5, 5, 0.3}, {-30, 4, 2}, {8, 40, 2}} {
		rng := rand.New(rand.NewPCG(20261128, 3))
		for range testkit.Cases(60) {
			var at []geometry.Angle
			for i := range 9 {
				at = append(at, geometry.Angle(of.from+(of.to-of.from)*float64(i)/8))
			}
			s := swept(c, sheet.OneWay, at, func(a geometry.Angle) float64 { return 5 - c.Drop(a).Millimetres() + of.sd*rng.NormFloat64() })
			f, ok := fitPoints(show, c, s, nil)
			if !ok {
				t.Fatal("no fit")
			}
			sign := math.Copysign(1, f.curved(s))
			sum := func(top geometry.Angle) float64 { // with the best height for it
				rest, mean := make([]float64, len(at)), 0.0
				for i, p := range s.Points {
					rest[i] = p.Height.Millimetres() - sign*c.Drop(p.Reading.Value-top).Millimetres()
					mean += rest[i] / float64(len(at))
				}
				var ss float64
				for _, r := range rest {
					ss += (r - mean) * (r - mean)
				}
				return ss
			}
			least := sum(f.top)
			for _, by := range []geometry.Angle{-3, -1, -0.1, -0.01, 0.01, 0.1, 1, 3} {
				if sum(f.top+by) < least {
					t.Fatalf("%v: top %v with %.9g, but %.9g %v further", of, f.top, least, sum(f.top+by), by)
				}
			}
		}
	}
}

// curved is how the curve of a fit bends, as its residuals have it.
func (f sweepFit) curved(s *sheet.Swept) float64 {
	i, j := 0, len(s.Points)-1
	if math.Abs(f.crank[i].Degrees()) < math.Abs(f.crank[j].Degrees()) {
		i = j
	}
	return s.Points[i].Height.Millimetres() - f.residuals[i] - f.height.Millimetres()
}

// An indicator whose numbers fall as the piston rises finds the same top, as surely: all
// heights of a sweep have to be on one scale, and no more.
func TestFitSweepOfAFallingIndicator(t *testing.T) {
	c := geometry.Crank{Stroke: 92, Rod: 152, Offset: 2}
	show := readout.New(sheet.Sheet{Readout: sheet.Readout{Counts: geometry.CountsUp}})
	at := []geometry.Angle{-29, -21, -12, -4, 5, 13, 22, 30}
	curve := func(a geometry.Angle) float64 { return 3 - c.Drop(a).Millimetres() + 0.01*math.Sin(7*a.Degrees()) }
	rises, ok := fitSweep(show, c, swept(c, sheet.OneWay, at, curve))
	falls, too := fitSweep(show, c, swept(c, sheet.OneWay, at, func(a geometry.Angle) float64 { return -curve(a) }))
	if !ok || !too {
		t.Fatal("no fit")
	}
	testkit.Near(t, "top", falls.top, rises.top, 1e-9)
	testkit.Near(t, "height", falls.height.Millimetres(), -rises.height.Millimetres(), 1e-9)
	testkit.Near(t, "standard", falls.standard, rises.standard, 1e-9)
	testkit.Near(t, "top of the crank", rises.top, 50, 0.1)
}

// Four points are the fewest; and readings that lag by half of a lost motion of 1
// before the top, and lead by it after, come back to one curve, also the one so near
// the top that it lags by more than it is off.
func TestFitSweepByHand(t *testing.T) {
	c := geometry.Crank{Stroke: 92, Rod: 152}
	curve := func(a geometry.Angle) float64 { return 7 - c.Drop(a).Millimetres() }
	show := readout.New(sheet.Sheet{Readout: sheet.Readout{Counts: geometry.CountsUp, LostMotion: 1, HasLostMotion: true}})
	for n, want := range map[int]bool{3: false, 4: true} {
		f, ok := fitSweep(show, c, swept(c, sheet.OneWay, []geometry.Angle{-20, -8, 7, 25}[:n], curve))
		if ok != want {
			t.Errorf("%d points: %v", n, ok)
		}
		if ok {
			testkit.Near(t, "top", f.top, 50, 1e-9)
			testkit.Near(t, "height", f.height.Millimetres(), 7, 1e-9)
		}
	}
	s := swept(c, sheet.Rising, []geometry.Angle{-22, -14, -7, 0.4, 8, 15, 20}, curve)
	for i := range s.Points {
		if i < 3 {
			s.Points[i].Reading.Value -= 0.5
		} else {
			s.Points[i].Reading.Value += 0.5
		}
	}
	f, ok := fitSweep(show, c, s)
	if !ok {
		t.Fatal("no fit")
	}
	testkit.Near(t, "top", f.top, 50, 1e-9)
	testkit.Near(t, "standard", f.standard, 0, 1e-9)
}
