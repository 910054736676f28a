package lines

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

// Three lines with the variances 1, 2 and 4, by hand: weights 4, 2 and 1 of 7. What is
// added to all offsets moves the mean alone, and a covariance that all share nothing
// but the covariance.
func TestFitByHand(t *testing.T) {
	for _, shift := range []float64{0, 100} {
		for _, shared := range []float64{0, 3} {
			v := mat.NewSymDense(3, nil)
			for i, own := range []float64{1, 2, 4} {
				for j := range 3 {
					v.SetSym(i, j, shared)
				}
				v.SetSym(i, i, own+shared)
			}
			g := Comparison{Lines: []int{0, 1, 2}, Offsets: []float64{1 + shift, -1 + shift, 2 + shift}, v: v}
			f, ok := g.Fit()
			if !ok {
				t.Fatal("no fit")
			}
			mean := (4.0 - 2 + 2) / 7
			near(t, "mean", f.Mean, mean+shift)
			near(t, "Q", f.Q, (1-mean)*(1-mean)+(-1-mean)*(-1-mean)/2+(2-mean)*(2-mean)/4)
			for i, want := range []float64{4.0 / 7, 2.0 / 7, 1.0 / 7} {
				near(t, "weight", f.Weights[i], want)
			}
		}
	}
	if _, ok := (Comparison{Lines: []int{0, 1}, Offsets: []float64{1, 2}, v: mat.NewSymDense(2, []float64{1, 2, 2, 1})}).Fit(); ok {
		t.Error("a fit by what is no covariance")
	}
}

// Alike variances 2 and 2 with 6 degrees of freedom in one part, and 5 in another:
// both weigh alike, P has a half on its diagonal and a half below it with a minus,
// each divided by the variance. Known parts leave infinity.
func TestDegreesOfFreedomForComparing(t *testing.T) {
	v := mat.NewSymDense(2, []float64{2, 0, 0, 2})
	part := func(a, b, dof float64) stats.Part {
		return stats.Part{V: mat.NewDiagDense(2, []float64{a, b}), DOF: dof}
	}
	g := Comparison{Lines: []int{0, 1}, v: v, parts: []stats.Part{part(2, 2, 6)}}
	near(t, "one estimate", g.mixedDOF(), 6)
	g.parts = []stats.Part{part(2, 0, 6), part(0, 2, 6)}
	near(t, "one each", g.mixedDOF(), 12)
	g.parts = []stats.Part{part(2, 0, 6)}
	near(t, "one of them known", g.mixedDOF(), 24)
	g.parts = nil
	if !math.IsInf(g.mixedDOF(), 1) {
		t.Error("known variances have degrees of freedom")
	}
}

// Welch-Satterthwaite: (v₁ + v₂)²/(v₁²/ν₁ + v₂²/ν₂), an estimate that lines share
// counting once.
func TestScatterOfSeveralLines(t *testing.T) {
	all := read(4)
	for i, dof := range []float64{4, 8, 5, 5} {
		all[i].Scatter = Scatter{DOF: dof, Shared: i > 1}
	}
	near(t, "two of their own", ScatterDOF(all, []int{0, 1}, []float64{1, 2}), 9/(1.0/4+4.0/8))
	near(t, "two that share", ScatterDOF(all, []int{2, 3}, []float64{1, 2}), 5)
	near(t, "one and two", ScatterDOF(all, []int{1, 2, 3}, []float64{3, 1, 2}), 36/(9.0/8+9.0/5))
	all[0].Scatter.DOF = math.Inf(1)
	if !math.IsInf(ScatterDOF(all, []int{0}, []float64{1}), 1) {
		t.Error("a known scatter has degrees of freedom")
	}
}

// Two lines in three setups, by hand: what is left of 1 2 3 and 1 2 6 is 0.5, 0.5, -1
// and the same with the other sign. Added to a line or a setup, nothing changes.
func TestWhatIsLeftOfLinesAndSetups(t *testing.T) {
	for _, line := range []geometry.Angle{0, 7} {
		for _, setup := range []geometry.Angle{0, -3} {
			all := read(2)
			for i, values := range [][]geometry.Angle{{1, 2, 3}, {1, 2, 6}} {
				all[i].Seen = nil
				for j, x := range values {
					all[i].Seen = append(all[i].Seen, Seen{At: tdc.Zero{Mounting: j}, Offset: x + line*geometry.Angle(i) + setup*geometry.Angle(j)})
				}
			}
			g := &group{all: all, mountings: 3, Comparison: Comparison{Lines: []int{0, 1}}}
			left := g.residual([]int{0, 1})
			near(t, "mean square", left.Variance, (0.25+0.25+1)*2/2)
			near(t, "degrees of freedom", left.DOF, 2)
		}
	}
	alone := &group{all: read(1), mountings: 3, Comparison: Comparison{Lines: []int{0}}}
	if left := alone.residual([]int{0}); left.Variance != 0 || left.DOF != 0 {
		t.Errorf("one line: %v on %v", left.Variance, left.DOF)
	}
}

// Three lines in four setups, by hand. The first less the mean of the others is
// 3, -3, 3, -3: variance 12 on 3. The others differ by 0, 2, 0, 2 of which 1, -1, 1, -1
// is left, half of it to each: a mean square of 4 · 2 · 0.25/3 = 2/3. So the first
// varies by 12 - (2/3)/2 = 11.667 of its own, and F = 12/((2/3) · 1.5) = 12 on 3 and 3,
// which has 3.5 % (tables: 5 % at 9.28, 2.5 % at 15.44). The others do not, and with
// the first in the pool it is what is left of all three.
func TestALineThatVariesMoreOverTheSetups(t *testing.T) {
	all := read(3)
	for i, values := range [][]geometry.Angle{{3, -2, 3, -2}, {0, 2, 0, 2}, {0, 0, 0, 0}} {
		all[i].Seen, all[i].Alone = nil, uncertainty.Combination{Groups: []uncertainty.Group{{}}}
		for j, x := range values {
			all[i].Seen = append(all[i].Seen, Seen{At: tdc.Zero{Mounting: j}, Offset: x})
		}
	}
	g := &group{all: all, mountings: 4, Comparison: Comparison{Lines: []int{0, 1, 2}}}
	each, shared := g.overSetups()
	near(t, "of its own", each[0].Variance, 12-1./3)
	near(t, "degrees of freedom", each[0].DOF, 3)
	if !each[0].odd || each[1].odd || each[2].odd {
		t.Errorf("got %+v", each)
	}
	near(t, "shared", shared.Variance, g.residual(g.Lines).Variance)
	near(t, "its degrees of freedom", shared.DOF, 6)
}

// Lines of two cylinders: which count from the same TDCs, and which are alone.
func TestTablesByCylinder(t *testing.T) {
	all := read(4)
	for i, cylinder := range []string{"1", "1", "2", "2"} {
		all[i].Seen = []Seen{{At: tdc.Zero{Cylinder: cylinder}}}
	}
	of := func(lines ...int) *group { return &group{all: all, mountings: 1, Comparison: Comparison{Lines: lines}} }
	for _, c := range []struct {
		lines        []int
		same, single bool
		tables       int
	}{
		{[]int{0, 1}, true, false, 1},
		{[]int{2, 3}, true, false, 1},
		{[]int{0, 2}, false, true, 1},
		{[]int{0, 1, 2}, false, false, 2},
		{[]int{2, 0, 1}, false, false, 2},
		{[]int{0}, true, true, 1},
	} {
		g := of(c.lines...)
		if g.sameTops() != c.same || g.single() != c.single || len(g.tables()) != c.tables {
			t.Errorf("%v: same %v, single %v, tables %v", c.lines, g.sameTops(), g.single(), g.tables())
		}
	}
}

// The offset by each reading: that of the line, with what the reading differs by from
// the mean of its side.
func TestOffsetsSingly(t *testing.T) {
	s := Seen{Offset: 1, Forward: []geometry.Angle{10, 12}, Backward: []geometry.Angle{14}}
	for counts, want := range map[geometry.Sense][]geometry.Angle{geometry.CountsUp: {0, 2, 1}, geometry.CountsDown: {2, 0, 1}} {
		got := s.Singly(counts)
		if len(got) != 3 {
			t.Fatalf("%v", got)
		}
		for i := range want {
			near(t, "offset", got[i].Degrees(), want[i].Degrees())
		}
	}
	if got := (Seen{Backward: []geometry.Angle{3}}).Singly(1); len(got) != 1 {
		t.Errorf("one side alone: %v", got)
	}
}

// An offset of 4 is beyond a quarter of 16 and an offset of 3.9 is not.
func TestSmallEffects(t *testing.T) {
	all := read(2)
	all[0].Tolerance, all[1].Tolerance = 16, 20
	for _, c := range []struct {
		offsets []float64
		small   bool
	}{{[]float64{3.9, -3.9}, true}, {[]float64{4, 0}, false}, {[]float64{0, -4}, false}} {
		if got := small(all, Comparison{Lines: []int{0, 1}, Offsets: c.offsets}, Shift{}); got != c.small {
			t.Errorf("%v: small is %v", c.offsets, got)
		}
	}
}

// Beliefs are ruled out beyond 5 degrees and beyond four times the other.
func TestWorseBeliefs(t *testing.T) {
	for _, c := range []struct {
		one, other float64
		worse      bool
	}{{5.1, 1, true}, {4.9, 0, false}, {8, 2, false}, {8.1, 2, true}} {
		if Worse(c.one, c.other) != c.worse {
			t.Errorf("%v beside %v: %v", c.one, c.other, !c.worse)
		}
	}
	near(t, "root mean square", RMS([]geometry.Angle{3, -4}), math.Sqrt(12.5))
	near(t, "of nothing", RMS(nil), 0)
	near(t, "apart", Apart([]geometry.Angle{179, -179, 178}).Degrees(), 3)
}
