package repeatability

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// Unweighted mean squares of cells' means, missing ones filled by the additive model of
// the others (least squares written out): the harmonic mean of the sizes is the scale.
func TestSquaresWrittenOut(t *testing.T) {
	rng := testkit.Rand(t, 45)
	for n := range 8 {
		a, b := 4+n%3, 5
		if n == 7 {
			a, b = 6, 1
		}
		gone := map[[2]int]bool{}
		if n%2 == 1 && b > 1 {
			gone[[2]int{1, 3}] = true
			if a*b >= 20 {
				gone[[2]int{3, 0}] = true
			}
		}
		var values []Value
		for p := range a {
			for m := range b {
				if gone[[2]int{p, m}] {
					continue
				}
				for k := range 1 + rng.IntN(3) {
					values = append(values, Value{strconv.Itoa(p), strconv.Itoa(m), geometry.Angle(rng.NormFloat64()), k + 1})
				}
			}
		}
		tab := tabulate(values)
		u, ok := tab.squares()
		if !ok {
			t.Errorf("class %d: refused", n)
			continue
		}
		// The additive model of the cells that are there.
		x, y := mat.NewDense(len(tab.cells), a+b, nil), mat.NewVecDense(len(tab.cells), nil)
		person, mark := map[string]int{}, map[string]int{}
		for i, name := range tab.people {
			person[name] = i
		}
		for i, name := range tab.marks {
			mark[name] = i
		}
		inverse, within := 0.0, 0.0
		cells := map[[2]int]float64{}
		for i, c := range tab.cells {
			x.Set(i, c.by, 1)
			x.Set(i, a+c.mark, 1)
			y.SetVec(i, c.mean)
			inverse += 1 / c.n()
			within += c.squares
			cells[[2]int{c.by, c.mark}] = c.mean
		}
		var svd mat.SVD
		var beta mat.VecDense
		if !svd.Factorize(x, mat.SVDThin) {
			t.Fatal("no fit")
		}
		svd.SolveVecTo(&beta, y, a+b-1)
		grand := 0.0
		for i := range a {
			for j := range b {
				if _, ok := cells[[2]int{i, j}]; !ok {
					cells[[2]int{i, j}] = beta.AtVec(i) + beta.AtVec(a+j)
				}
				grand += cells[[2]int{i, j}] / float64(a*b)
			}
		}
		size := float64(len(tab.cells)) / inverse
		ofPeople, ofBoth := 0.0, 0.0
		for i := range a {
			row := 0.0
			for j := range b {
				row += cells[[2]int{i, j}] / float64(b)
			}
			ofPeople += float64(b) * size * (row - grand) * (row - grand)
			for j := range b {
				column := 0.0
				for k := range a {
					column += cells[[2]int{k, j}] / float64(a)
				}
				r := cells[[2]int{i, j}] - row - column + grand
				ofBoth += size * r * r
			}
		}
		free := float64((a-1)*(b-1) - len(gone))
		want := unweighted{
			size:   size,
			people: stats.Term{Weight: 1 / (float64(b) * size), MeanSquare: ofPeople / float64(a-1), DOF: float64(a - 1)},
			within: stats.Term{Weight: 1 - 1/size, MeanSquare: within / float64(len(values)-len(tab.cells)), DOF: float64(len(values) - len(tab.cells))},
		}
		if free > 0 {
			want.both = stats.Term{Weight: (1 - 1/float64(b)) / size, MeanSquare: ofBoth / free, DOF: free}
		}
		for name, c := range map[string][2]stats.Term{"people": {u.people, want.people}, "interaction": {u.both, want.both}, "within": {u.within, want.within}} {
			if math.Abs(c[0].Weight-c[1].Weight) > 1e-9 || math.Abs(c[0].MeanSquare-c[1].MeanSquare) > 1e-9 || c[0].DOF != c[1].DOF {
				t.Errorf("class %d, %s: %+v, want %+v", n, name, c[0], c[1])
			}
		}
		if math.Abs(u.size-size) > 1e-12 {
			t.Errorf("class %d: size %g, want %g", n, u.size, size)
		}
	}
}

// Too many holes, or two in one row or column, are not filled.
func TestWhenSquaresAreRefused(t *testing.T) {
	of := func(people, marks int, gone ...[2]int) (values []Value) {
		for p := range people {
			for m := range marks {
				if !slices.Contains(gone, [2]int{p, m}) {
					for k := range 2 {
						values = append(values, Value{strconv.Itoa(p), strconv.Itoa(m), geometry.Angle(p*m%3 + k), k + 1})
					}
				}
			}
		}
		return values
	}
	for name, c := range map[string]struct {
		values []Value
		ok     bool
	}{
		"one person":       {of(1, 5), false},
		"two people":       {of(2, 5), true},
		"one of ten":       {of(2, 5, [2]int{1, 2}), true},
		"one of nine":      {of(3, 3, [2]int{1, 2}), false},
		"two of twenty":    {of(4, 5, [2]int{1, 2}, [2]int{2, 3}), true},
		"two in a row":     {of(4, 5, [2]int{1, 2}, [2]int{1, 3}), false},
		"two in a column":  {of(4, 5, [2]int{1, 2}, [2]int{2, 2}), false},
		"three of twenty":  {of(4, 5, [2]int{1, 2}, [2]int{2, 3}, [2]int{3, 4}), false},
		"one mark, whole":  {of(12, 1), true},
		"one in first row": {of(4, 5, [2]int{0, 2}), true},
	} {
		if _, ok := tabulate(c.values).squares(); ok != c.ok {
			t.Errorf("%s: %v", name, ok)
		}
	}
}

// F of people against the interaction, or against both together where F of that gives
// more than 0.25; nothing without scatter.
func TestChanceBetweenPeople(t *testing.T) {
	term := func(square, dof float64) stats.Term { return stats.Term{Weight: 0.5, MeanSquare: square, DOF: dof} }
	for name, c := range map[string]struct {
		u        unweighted
		by, dof  float64 // 0: not known
		noLimits bool
	}{
		"interaction":         {unweighted{people: term(3, 2), both: term(2, 6), within: term(0.5, 20)}, 2, 6, false},
		"one degree of it":    {unweighted{people: term(3, 2), both: term(2, 1), within: term(0.5, 20)}, 2, 1, false},
		"pooled":              {unweighted{people: term(3, 2), both: term(0.6, 6), within: term(0.5, 20)}, (0.6*6 + 0.5*20) / 26, 26, false},
		"no interaction":      {unweighted{people: term(3, 2), within: term(0.5, 20)}, 0.5, 20, false},
		"one value each":      {unweighted{people: term(3, 2), both: term(2, 6)}, 2, 6, true},
		"no scatter within":   {unweighted{people: term(3, 2), both: term(2, 6), within: term(0, 20)}, 2, 6, false},
		"no scatter at all":   {unweighted{people: term(3, 2), both: term(0, 6), within: term(0, 20)}, 0, 0, false},
		"nothing to judge by": {unweighted{people: term(3, 2)}, 0, 0, true},
		"interaction unknown": {unweighted{people: term(3, 2), both: stats.Term{Weight: 0.5}, within: term(0.5, 20)}, 0.5, 20, true},
	} {
		got := c.u.chance()
		if got.Known != (c.by > 0) {
			t.Errorf("%s: %+v", name, got)
		} else if got.Known {
			if want := stats.FSurvival(3/c.by, 2, c.dof); math.Abs(got.Value-want) > 1e-12 {
				t.Errorf("%s: %g, want %g", name, got.Value, want)
			}
		}
		if _, _, ok := c.u.limits(); ok == c.noLimits {
			t.Errorf("%s: limits %v", name, ok)
		}
	}
}

// One slope for groups with levels of their own, against the general routine, and its
// 95 % limits and probability by Student's t.
func TestTrendOfGroups(t *testing.T) {
	rng := testkit.Rand(t, 46)
	for range 10 {
		var x, y [][]float64
		var w within
		longest := 0.0
		for range 1 + rng.IntN(3) {
			var gx, gy []float64
			at := 1 + float64(rng.IntN(3))
			for range 3 + rng.IntN(3) {
				gx, gy = append(gx, at), append(gy, 0.1*at+rng.NormFloat64())
				at += 1 + float64(rng.IntN(2))
			}
			longest = math.Max(longest, gx[len(gx)-1]-gx[0])
			x, y = append(x, gx), append(y, gy)
			w.add(gx, gy)
		}
		w.add([]float64{7}, []float64{3}) // says nothing of a slope
		slope, se, dof := stats.CommonSlope(x, y)
		got := w.trend()
		half := -stats.TQuantile(0.025, dof) * se
		chance := 2 * stats.TSurvival(math.Abs(slope)/se, dof)
		for name, c := range map[string][2]float64{
			"slope": {got.Slope.Value, slope}, "low": {got.Slope.Low, slope - half}, "high": {got.Slope.High, slope + half},
			"chance": {got.Chance.Value, chance}, "dof": {got.DOF, dof}, "trials": {got.Trials, longest}, "over": {got.Over(), slope * longest},
		} {
			if math.Abs(c[0]-c[1]) > 1e-9*math.Max(1, math.Abs(c[1])) {
				t.Errorf("%s: %g, want %g", name, c[0], c[1])
			}
		}
	}
	of := func(x, y []float64) Trend {
		var w within
		w.add(x, y)
		return w.trend()
	}
	if got := of([]float64{1, 2}, []float64{1, 2}); got != (Trend{}) {
		t.Errorf("of two values: %+v", got)
	}
	if got := of([]float64{2, 2, 2}, []float64{1, 2, 3}); got != (Trend{}) {
		t.Errorf("of one trial: %+v", got)
	}
	if got := of([]float64{1, 2, 3}, []float64{0.1, 0.2, 0.3}); !got.Chance.Known || got.Chance.Value != 0 || math.Abs(got.Slope.Value-0.1) > 1e-12 || got.Slope.Bounded {
		t.Errorf("of a straight line: %+v", got)
	}
	if got := of([]float64{1, 2, 3}, []float64{0.5, 0.5, 0.5}); got.Chance.Known || got.Slope.Value != 0 || !got.Slope.Known {
		t.Errorf("of a level one: %+v", got)
	}
}

// Beyond five hundred cells one way down is enough, and a component with few degrees of
// freedom by the curvature may be none: that of people is there, the interaction is not.
func TestManyCells(t *testing.T) {
	rng := rand.New(rand.NewPCG(20261128, 18))
	var values []Value
	for p := range 26 {
		off := 0.2 * rng.NormFloat64()
		for m := range 20 {
			for k := range 2 - (p+m)%2*(m%2) {
				values = append(values, Value{strconv.Itoa(p), strconv.Itoa(m), geometry.Angle(off + 0.3*float64(m%3) + 0.1*rng.NormFloat64()), k + 1})
			}
		}
	}
	tab := tabulate(values)
	if len(tab.cells) <= manyCells {
		t.Fatalf("only %d cells", len(tab.cells))
	}
	var c Components
	reml(&c, tab)
	if c.Interaction.Low != 0 || !(c.Person.Low > 0.1) || !(c.Mark.Low > 0.1) {
		t.Errorf("interaction %+v, people %+v, marks %+v", c.Interaction, c.Person, c.Mark)
	}
	m := newModel(tab, [3]bool{true, true, true}, false)
	_, least := m.fit()
	for _, start := range []float64{0.2, 8} {
		if _, d := m.descend([3]float64{start, start, start}); d < least-1e-6 {
			t.Errorf("from %g the deviance falls to %g, below %g", start, d, least)
		}
	}
}
