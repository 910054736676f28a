package repeatability

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// torn is a class with cells of one to three values, and some empty.
func torn(rng *rand.Rand, people, marks int, missing float64) (values []Value) {
	for p := range people {
		for m := range marks {
			if m != p%marks && rng.Float64() < missing { // one cell of each person is there
				continue
			}
			level := 0.4*float64(p%3) + 0.7*float64(m%2) + 0.2*rng.NormFloat64()
			for k := range 1 + rng.IntN(3) {
				values = append(values, Value{strconv.Itoa(p), strconv.Itoa(m), geometry.Angle(level + 0.15*rng.NormFloat64()), k + 1})
			}
		}
	}
	return values
}

// dense is the restricted likelihood written out over all values: V their covariance for
// an error of one, with the squares of the ratios for what two values share (Searle,
// Casella and McCulloch, Variance Components (1992), 6.6).
//
//	log|V| + log 1'V⁻¹1,   y'V⁻¹y - (1'V⁻¹y)²/1'V⁻¹1
func dense(t testing.TB, values []Value, ratios [3]float64) (logDet, squares float64) {
	t.Helper()
	n := len(values)
	v, y, one := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	for i, a := range values {
		y.SetVec(i, a.Value.Degrees())
		one.SetVec(i, 1)
		for j, b := range values[:i+1] {
			var c float64
			if a.By == b.By {
				c += ratios[ofPerson] * ratios[ofPerson]
			}
			if a.Mark == b.Mark {
				c += ratios[ofMark] * ratios[ofMark]
			}
			if a.By == b.By && a.Mark == b.Mark {
				c += ratios[ofInteraction] * ratios[ofInteraction]
			}
			if i == j {
				c++
			}
			v.SetSym(i, j, c)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(v) {
		t.Fatal("no covariance")
	}
	var vy, v1 mat.VecDense
	if chol.SolveVecTo(&vy, y) != nil || chol.SolveVecTo(&v1, one) != nil {
		t.Fatal("no inverse")
	}
	oo, oy := mat.Dot(one, &v1), mat.Dot(one, &vy)
	return chol.LogDet() + math.Log(oo), mat.Dot(y, &vy) - oy*oy/oo
}

func denseDeviance(t testing.TB, values []Value, ratios [3]float64) float64 {
	logDet, squares := dense(t, values, ratios)
	return logDet + float64(len(values)-1)*math.Log(squares)
}

// The equations of the cells' means give what the whole covariance does, whichever of
// people and marks are more.
func TestLikelihoodWrittenOut(t *testing.T) {
	rng := testkit.Rand(t, 41)
	for _, size := range [][2]int{{3, 5}, {5, 3}, {4, 4}, {6, 1}, {1, 4}} {
		values := torn(rng, size[0], size[1], 0.25)
		m := newModel(tabulate(values), [3]bool{true, true, true}, false)
		for _, ratios := range [][3]float64{{0, 0, 0}, {1, 0, 0}, {0, 2, 0}, {0, 0, 0.5}, {1.5, 0.3, 0.8}, {-0.7, 2.5, -0.2}} {
			logDet, squares := dense(t, values, ratios)
			p := m.at(ratios)
			if math.Abs(p.logDet-logDet) > 1e-8 || math.Abs(p.rss-squares) > 1e-8*squares {
				t.Errorf("%v, ratios %v: %g and %g, want %g and %g", size, ratios, p.logDet, p.rss, logDet, squares)
			}
			if got, want := m.deviance(ratios), denseDeviance(t, values, ratios); math.Abs(got-want) > 1e-8*math.Abs(want) {
				t.Errorf("%v, ratios %v: deviance %g, want %g", size, ratios, got, want)
			}
		}
		// Of cells alone every mean counts once.
		var means []Value
		tab := tabulate(values)
		for _, c := range tab.cells {
			means = append(means, Value{By: tab.people[c.by], Mark: tab.marks[c.mark], Value: geometry.Angle(c.mean)})
		}
		alone := newModel(tab, [3]bool{true, true}, true)
		logDet, squares := dense(t, means, [3]float64{0.4, 1.2, 0})
		if p := alone.at([3]float64{0.4, 1.2, 0}); math.Abs(p.logDet-logDet) > 1e-8 || math.Abs(p.rss-squares) > 1e-8*squares || alone.values != float64(len(means)) {
			t.Errorf("%v, cells alone: %+v, want %g and %g", size, p, logDet, squares)
		}
	}
}

// What is fitted lies lowest, on every side and beside what other ways down come to;
// the covariance of the logarithms is the inverse of half the curvature of -2 log L.
func TestFitWrittenOut(t *testing.T) {
	rng := testkit.Rand(t, 42)
	for range 3 {
		values := torn(rng, 5, 4, 0.2)
		has := [3]bool{true, true, true}
		m := newModel(tabulate(values), has, false)
		v, least := m.fit()
		var at [3]float64
		for i := range at {
			at[i] = math.Sqrt(v[i] / v[ofError])
		}
		_, squares := dense(t, values, at)
		n := float64(len(values) - 1)
		if e := squares / n; math.Abs(v[ofError]-e) > 1e-6*e {
			t.Errorf("error %g, want %g", v[ofError], e)
		}
		if d := denseDeviance(t, values, at); math.Abs(d-least) > 1e-6 {
			t.Errorf("deviance %g, want %g", least, d)
		}
		for range 60 {
			near := at
			for i := range near {
				near[i] = math.Abs(near[i] + 0.5*rng.NormFloat64())
			}
			if d := denseDeviance(t, values, near); d < least-1e-7 {
				t.Errorf("at %v the deviance is %g, below %g at %v", near, d, least, at)
			}
		}
		for i := range has { // without one of them
			less := at
			less[i] = 0
			d := m.without(i)
			if d > denseDeviance(t, values, less)+1e-7 || d < least-1e-7 {
				t.Errorf("without %d: %g", i, d)
			}
		}
		cov, there := m.information(v)
		criterion := func(v [4]float64) float64 {
			e := v[ofError]
			logDet, squares := dense(t, values, [3]float64{math.Sqrt(v[0] / e), math.Sqrt(v[1] / e), math.Sqrt(v[2] / e)})
			return logDet + n*math.Log(2*math.Pi*e) + squares/e
		}
		if got, want := m.criterion(v), criterion(v); math.Abs(got-want) > 1e-7 {
			t.Errorf("criterion %g, want %g", got, want)
		}
		const h = 2e-3
		k := len(there)
		half := mat.NewSymDense(k, nil)
		for i := range k {
			for j := range i + 1 {
				var sum float64
				for _, s := range [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
					x := v
					x[there[i]] *= math.Exp(s[0] * h)
					x[there[j]] *= math.Exp(s[1] * h)
					sum += s[0] * s[1] * criterion(x)
				}
				half.SetSym(i, j, sum/(4*h*h)/2)
			}
		}
		var want mat.Dense
		if err := want.Inverse(half); err != nil {
			t.Fatal(err)
		}
		for i := range k {
			for j := range k {
				if scale := math.Sqrt(want.At(i, i) * want.At(j, j)); math.Abs(cov.At(i, j)-want.At(i, j)) > 2e-3*scale {
					t.Errorf("covariance %d, %d: %g, want %g", i, j, cov.At(i, j), want.At(i, j))
				}
			}
		}
		for which, of := range at {
			if of == 0 {
				continue
			}
			below, above := m.likely(v, which)
			sd := func(ratio float64) (sd, rise float64) {
				x := at
				x[which] = ratio
				_, squares := dense(t, values, x)
				return ratio * math.Sqrt(squares/n), denseDeviance(t, values, x) - least
			}
			// The standard deviation grows with the ratio: bisect for the rise.
			for _, side := range []struct {
				got, in, out float64
			}{{below, of, 0}, {above, of, 1000 * of}} {
				if _, rise := sd(side.out); rise < 3.841 {
					if side.out == 0 && side.got != 0 {
						t.Errorf("component %d: below %g, want 0", which, side.got)
					}
					continue
				}
				in, out := side.in, side.out
				for range 60 {
					if _, rise := sd((in + out) / 2); rise > 3.841 {
						out = (in + out) / 2
					} else {
						in = (in + out) / 2
					}
				}
				if want, _ := sd(out); math.Abs(side.got-want) > 1e-4*want {
					t.Errorf("component %d: limit %g, want %g", which, side.got, want)
				}
			}
		}
	}
}

// The limits of a variance of the fit: chi-square with 2 v²/var(v) degrees of freedom,
// where the delta method gives var(v) from the covariance of the logarithms, and those of
// the likelihood where they are wider.
func TestLimitsOfComponents(t *testing.T) {
	rng := testkit.Rand(t, 43)
	for range 4 {
		values := torn(rng, 6, 4, 0.2)
		tab := tabulate(values)
		m := newModel(tab, [3]bool{true, true, true}, false)
		v, least := m.fit()
		cov, there := m.information(v)
		var c Components
		ofCell, dof := reml(&c, tab)
		place := map[int]int{}
		for i, of := range there {
			place[of] = i
		}
		of := func(which ...int) (value, low, high, dof float64) {
			sum, variance := 0.0, 0.0
			for _, a := range which {
				sum += v[a]
				for _, b := range which {
					if v[a] > 0 && v[b] > 0 {
						variance += v[a] * v[b] * cov.At(place[a], place[b])
					}
				}
			}
			value, dof = math.Sqrt(sum), 2*sum*sum/variance
			if dof >= 0.5 {
				low = value * math.Sqrt(dof/stats.ChiSquaredQuantile(0.025, dof))
				high = value * math.Sqrt(dof/stats.ChiSquaredQuantile(0.975, dof))
			}
			return value, low, high, dof
		}
		for name, x := range map[string]struct {
			got   Estimate
			which []int
		}{
			"repeatability": {c.Repeatability, []int{ofError}}, "reproducibility": {c.Reproducibility, []int{ofPerson, ofInteraction, ofError}},
			"person": {c.Person, []int{ofPerson}}, "mark": {c.Mark, []int{ofMark}}, "interaction": {c.Interaction, []int{ofInteraction}},
		} {
			value, low, high, dof := of(x.which...)
			if one := x.which[0]; len(x.which) == 1 && one != ofError && !(dof >= 50) {
				below, above := m.likely(v, one)
				if v[one] > 0 && m.without(one)-least < 3.841 {
					below = 0
				}
				low, high = math.Min(low, below), math.Max(high, above)
			}
			low, high = math.Min(low, value), math.Max(high, value)
			if math.Abs(x.got.Value-value) > 1e-9 || x.got.Bounded && (math.Abs(x.got.Low-low) > 1e-6*high || math.Abs(x.got.High-high) > 1e-6*high) {
				t.Errorf("%s: %+v, want %g (%g to %g)", name, x.got, value, low, high)
			}
		}
		if want := 2 / cov.At(len(there)-1, len(there)-1); math.Abs(c.RepeatabilityDOF-want) > 1e-9*want {
			t.Errorf("%g degrees of freedom of the repeatability, want %g", c.RepeatabilityDOF, want)
		}
		want := float64(len(values) - 6 - 4 + 1)
		if v[ofInteraction] > 0 {
			want = float64(len(tab.cells) - 6 - 4 + 1)
		}
		if dof != want {
			t.Errorf("%g degrees of freedom, want %g", dof, want)
		}
		for i := range tab.cells {
			if x := &tab.cells[i]; math.Abs(ofCell(x)-(v[ofInteraction]+v[ofError]/x.n())) > 1e-12 {
				t.Errorf("variance of a mean of %g: %g", x.n(), ofCell(x))
			}
		}
	}
}

// Deviations of people by least squares with the marks as they are, written out with a
// column for each person and mark, both summing to zero, and the variance of each.
func TestDeviationsWrittenOut(t *testing.T) {
	rng := testkit.Rand(t, 44)
	for n := range 6 {
		missing := 0.25 * float64(min(n, 1))
		values := torn(rng, 5, 4, missing)
		if n == 0 { // balanced
			values = nil
			for i := range 60 {
				values = append(values, Value{strconv.Itoa(i % 5), strconv.Itoa(i / 5 % 4), geometry.Angle(rng.NormFloat64()), i/20 + 1})
			}
		}
		tab := tabulate(values)
		ofCell := func(c *cell) float64 { return 0.02 + 0.03/c.n() }
		if n == 2 {
			ofCell = nil
		}
		const p, m = 5, 4
		x := mat.NewDense(len(tab.cells), 1+p-1+m-1, nil)
		y := mat.NewVecDense(len(tab.cells), nil)
		for i, c := range tab.cells {
			w := math.Sqrt(c.n())
			if ofCell != nil {
				w = 1 / math.Sqrt(ofCell(&c))
			}
			x.Set(i, 0, w)
			for _, f := range []struct{ first, of, which int }{{1, p, c.by}, {p, m, c.mark}} {
				for j := range f.of - 1 {
					switch f.which {
					case j:
						x.Set(i, f.first+j, w)
					case f.of - 1:
						x.Set(i, f.first+j, -w)
					}
				}
			}
			y.SetVec(i, w*c.mean)
		}
		var beta mat.VecDense
		if err := beta.SolveVec(x, y); err != nil {
			t.Fatal(err)
		}
		var normal, inverse mat.Dense
		normal.Mul(x.T(), x)
		if err := inverse.Inverse(&normal); err != nil {
			t.Fatal(err)
		}
		deviation, variance := tab.deviations(ofCell)
		last, sum := 0.0, 0.0
		for i := range p {
			want, v := 0.0, 0.0
			if i < p-1 {
				want, v = beta.AtVec(1+i), inverse.At(1+i, 1+i)
				last -= want
			} else {
				want = last
				for a := 1; a < p; a++ {
					for b := 1; b < p; b++ {
						v += inverse.At(a, b)
					}
				}
			}
			if ofCell == nil {
				v = 0
			}
			if math.Abs(deviation[i]-want) > 1e-9 || math.Abs(variance[i]-v) > 1e-9 {
				t.Errorf("class %d, person %d: %g with %g, want %g with %g", n, i, deviation[i], variance[i], want, v)
			}
			sum += deviation[i]
		}
		if math.Abs(sum) > 1e-9 {
			t.Errorf("class %d: deviations sum to %g", n, sum)
		}
	}
}
