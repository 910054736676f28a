package stats

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// By hand: (1 · 0.0144 + 4 · 0.01)/5 = 0.01088, whose root is 0.104307.
func TestLend(t *testing.T) {
	s := Scatter{0.0144, 1}.Lend(Scatter{0.01, 13})
	if !(math.Abs(math.Sqrt(s.Variance)-0.104307238) <= 1e-9) || s.DOF != 5 {
		t.Errorf("got %+v", s)
	}
	if s := (Scatter{0.04, 2}).Lend(Scatter{0.01, 3}); !(math.Abs(s.Variance-0.022) <= 1e-15) || s.DOF != 5 {
		t.Errorf("from a poor one: %+v", s)
	}
	if s := (Scatter{}).Lend(Scatter{0.01, 3}); s != (Scatter{0.01, 3}) {
		t.Errorf("to one without: %+v", s)
	}
	if s := (Scatter{}).Lend(Scatter{}); s != (Scatter{}) {
		t.Errorf("nothing: %+v", s)
	}
	if s := Pool(Scatter{0.04, 2}, Scatter{}, Scatter{0.01, 4}); !(math.Abs(s.Variance-0.02) <= 1e-15) || s.DOF != 6 {
		t.Errorf("pooled: %+v", s)
	}
	if s := Pool(); s != (Scatter{}) {
		t.Errorf("pool of none: %+v", s)
	}
}

// Upper tail of F(4, 9) beyond 4, by another program: 0.0391, above 0.05/3 for three
// lines and below 0.05 for one.
func TestForComparing(t *testing.T) {
	each := []Scatter{{0.04, 4}, {0.01, 4}, {0.01, 5}}
	if p := FSurvival(4, 4, 9); !(math.Abs(p-0.0391) <= 0.00005) {
		t.Errorf("p %g", p)
	}
	// It has its own, and is in the shared scatter all the same.
	out, odd := ForComparing(each, 0)
	if !slices.Equal(odd, []int{0}) || out[0] != each[0] || out[1] != out[2] || out[1].DOF != 13 || !(math.Abs(out[1].Variance-0.25/13) <= 1e-15) {
		t.Errorf("larger: %+v, %v", out, odd)
	}
	// F(4, 9) of 10 has 0.0022, above 0.00001/3; of 100 it has 2e-7, and is left out of it.
	each[0].Variance = 0.1
	if out, odd = ForComparing(each, 0); !slices.Equal(odd, []int{0}) || out[1].DOF != 13 {
		t.Errorf("much larger: %+v, %v", out, odd)
	}
	each[0].Variance = 1
	out, odd = ForComparing(each, 0)
	if !slices.Equal(odd, []int{0}) || out[0] != each[0] || out[1] != out[2] || out[1].DOF != 9 || !(math.Abs(out[1].Variance-0.01) <= 1e-15) {
		t.Errorf("a hundred times as large: %+v, %v", out, odd)
	}
	each[0].Variance = 0.03 // F(4, 9) of 3 has 0.079
	out, odd = ForComparing(each, 0)
	if odd != nil || out[0] != out[1] || out[0].DOF != 13 || !(math.Abs(out[0].Variance-0.21/13) <= 1e-15) {
		t.Errorf("alike: %+v, %v", out, odd)
	}
	each[0].Variance = 0.1
	if _, odd := ForComparing(each, 0.1); odd != nil {
		t.Errorf("of rounding: %v", odd)
	}
	// Left out at 0.001 % over the three lines, from both sides; lines read once are none.
	for factor, dof := range map[float64]float64{0.999: 13, 1.001: 9} {
		each[0].Variance = 0.01 * factor * FQuantile(0.00001/3, 4, 9)
		if out, _ := ForComparing(append(each[:3:3], Scatter{}), 0); out[1].DOF != dof {
			t.Errorf("%g of the border: %+v", factor, out)
		}
	}
	// A line read once has the others'.
	if out, _ := ForComparing([]Scatter{{}, {0.01, 4}}, 0); out[0] != (Scatter{0.01, 4}) {
		t.Errorf("read once: %+v", out)
	}
	if out, odd := ForComparing([]Scatter{{}, {}}, 0); odd != nil || out[1].DOF != 0 {
		t.Errorf("no scatter: %+v, %v", out, odd)
	}
}

// Equal variances v make t_j = (x_j - mean of the others)/√(v(1 + 1/(p - 1))). By
// hand, of 0, 0, 0, 1 with v = 0.04: t² = 1/(0.04 · 4/3) = 18.75, of each other
// one 1/9 of that.
func TestDropped(t *testing.T) {
	v := mat.NewDiagDense(4, []float64{.04, .04, .04, .04})
	known := []Part{{V: v, DOF: 20}}
	drop, dof, ok := dropped([]float64{10, 10, 10, 11}, v, known, []int{0, 1, 2, 3})
	if !ok || !(math.Abs(drop[3]-18.75) <= 1e-9) || !(math.Abs(drop[0]-18.75/9) <= 1e-9) || !(math.Abs(dof[0]-20) <= 1e-9) {
		t.Errorf("got %v on %v", drop, dof)
	}
	// Unequal, and a part that all share, which drops out: 1/(0.01 + 0.04·0.09/0.13).
	u := mat.NewSymDense(3, []float64{.51, .5, .5, .5, .54, .5, .5, .5, .59})
	drop, dof, ok = dropped([]float64{1, 0, 0}, u, nil, []int{0, 1, 2})
	if want := 1 / (.01 + .04*.09/.13); !ok || !(math.Abs(drop[0]-want) <= 1e-9) || !math.IsInf(dof[0], 1) {
		t.Errorf("got %v on %v, want %g on infinity", drop, dof, want)
	}
	// The first by itself on 4, the others on 10, of which 0.09/0.13 and 0.04/0.13 of
	// 0.04 and 0.09 count: 0.01 and 0.0276923 (Welch).
	one, rest := mat.NewDiagDense(3, []float64{.01, 0, 0}), mat.NewDiagDense(3, []float64{0, .04, .09})
	_, dof, _ = dropped([]float64{1, 0, 0}, mat.NewDiagDense(3, []float64{.01, .04, .09}), []Part{{V: one, DOF: 4}, {V: rest, DOF: 10}}, []int{0, 1, 2})
	others := .04 * .09 / .13
	if want := (.01 + others) * (.01 + others) / (.01*.01/4 + others*others/10); !(math.Abs(dof[0]-want) <= 1e-9) {
		t.Errorf("got %v degrees of freedom, want %g", dof[0], want)
	}
}

// t² has no unit, and no place on the circle: ten times as wide, and a thousand
// million away, it is what it was. Variances are above 1 there.
func TestDroppedHasNoUnit(t *testing.T) {
	v := mat.NewDiagDense(4, []float64{4, 4, 4, 4})
	const far = 1e9
	drop, dof, ok := dropped([]float64{far, far, far, far + 10}, v, []Part{{V: v, DOF: 20}}, []int{0, 1, 2, 3})
	if !ok || !(math.Abs(drop[3]-18.75) <= 1e-9) || !(math.Abs(drop[1]-18.75/9) <= 1e-9) || !(math.Abs(dof[3]-20) <= 1e-9) {
		t.Errorf("got %v on %v", drop, dof)
	}
	// Of three of them, 0 and 1 and the last: t² = 100/(4 · 3/2).
	drop, _, ok = dropped([]float64{far, far, far, far + 10}, v, nil, []int{0, 1, 3})
	if !ok || !(math.Abs(drop[2]-100./6) <= 1e-9) || !(math.Abs(drop[0]-25./6) <= 1e-9) {
		t.Errorf("of three: %v", drop)
	}
	// Nearly the same twice: no digits are left of an inverse.
	if _, _, ok := dropped([]float64{0, 1}, mat.NewSymDense(2, []float64{1, 1, 1, 1 + 2.3e-16}), nil, []int{0, 1}); ok {
		t.Error("an inverse without digits")
	}
}

// The two significances from both sides: a line's own scatter at 5 %, and left out
// at 0.001 % over the number of lines.
func TestOddAndLeftOut(t *testing.T) {
	for p, want := range map[float64]bool{0.0499: true, 0.0501: false} {
		if Odd(p) != want {
			t.Errorf("p %g: odd %v", p, !want)
		}
	}
	for _, c := range []struct {
		p, tested float64
		want      bool
	}{{0.99e-5, 1, true}, {1.01e-5, 1, false}, {2.49e-6, 4, true}, {2.51e-6, 4, false}} {
		if LeftOut(c.p, c.tested) != c.want {
			t.Errorf("p %g of %g: left out %v", c.p, c.tested, !c.want)
		}
	}
}

func TestDiffer(t *testing.T) {
	equal := func(n int) mat.Symmetric {
		d := make([]float64, n)
		for i := range d {
			d[i] = 0.04
		}
		return mat.NewDiagDense(n, d)
	}
	for _, c := range []struct {
		name  string
		means []float64
		dof   float64
		level float64
		want  []int
	}{
		{"none", []float64{0, .1, -.1, .05}, 20, 0.025, nil},
		{"one", []float64{0, .1, 1.5, -.1}, 20, 0.025, []int{2}},
		{"two, the worse first", []float64{0, 1.5, .1, -3, -.1, .05}, 20, 0.025, []int{3, 1}},
		{"two, the worse the first of all", []float64{-3, 1.5, .1, 0, -.1, .05}, 20, 0.025, []int{0, 1}},
		// 4 P(F(1, 20) > 18.75) = 0.0013
		{"above its level", []float64{0, 0, 0, 1}, 20, 0.00131, []int{3}},
		{"below its level", []float64{0, 0, 0, 1}, 20, 0.00129, nil},
		// Two have one difference: P(F(1, 20) > 12.5) = 0.00208.
		{"two that accuse each other", []float64{0, 1}, 20, 0.0021, []int{0, 1}},
		{"two that do not", []float64{0, 1}, 20, 0.0020, nil},
		{"all over", []float64{0, 3, 9}, math.Inf(1), 0.025, []int{2, 0, 1}},
		{"one alone", []float64{7}, 20, 0.025, nil},
		{"nothing", nil, 20, 0.025, nil},
	} {
		v := equal(max(1, len(c.means)))
		if got := Differ(c.means, v, []Part{{V: v, DOF: c.dof}}, nil, c.level); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
	if got := Differ([]float64{0, 9}, mat.NewSymDense(2, nil), nil, nil, 0.5); got != nil {
		t.Errorf("without an inverse: %v", got)
	}
}

// Five readings that scatter by themselves with a variance of 0.2, in a pool of 0.1:
// 1.5 beside three others that lie at nought. By hand, variances of the means 0.02 by
// the pool, 0.04 by its own:
//
//	t² = 2.25/(0.02 · 4/3) = 84.4        by the pool on 16: far beyond 0.025/4
//	t² = 2.25/(0.04 + 0.02/3) = 48.2     by its own on 4 and more: beyond 5 %
//
// With an own variance of 0.6 it is 2.25/(0.6 + 0.02/3) = 3.71, about the point of
// 12 % of F(1, 4) (tables: 7.71 has 5 %, 4.54 has 10 %).
func TestDifferByItself(t *testing.T) {
	means, v := []float64{0, 0, 0, 1.5}, mat.NewDiagDense(4, []float64{.02, .02, .02, .02})
	for _, c := range []struct {
		name string
		own  Scatter
		want []int
	}{
		{"by both", Scatter{0.04, 4}, []int{3}},
		{"not by its own", Scatter{0.6, 4}, nil},
		{"of which nothing is known", Scatter{0.6, 0}, []int{3}},
	} {
		own := []Scatter{{}, {}, {}, c.own}
		if got := Differ(means, v, []Part{{V: v, DOF: 16, Pooled: true}}, own, 0.025); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
	// By its own at 5 %, from both sides: t² = 2.25/(w + 0.02/3), 1/ν by Welch from w on 4
	// and 0.02/3 on 16, as the others' scatter has it.
	low, high := 0.04, 0.6
	chance := func(w float64) float64 {
		const others = 0.02 / 3
		v := w + others
		return FSurvival(2.25/v, 1, v*v/(w*w/4+others*others/16))
	}
	for range 60 {
		if w := (low + high) / 2; chance(w) < 0.05 {
			low = w
		} else {
			high = w
		}
	}
	for factor, want := range map[float64][]int{0.999: {3}, 1.001: nil} {
		own := []Scatter{{}, {}, {}, {low * factor, 4}}
		if got := Differ(means, v, []Part{{V: v, DOF: 16, Pooled: true}}, own, 0.025); !slices.Equal(got, want) {
			t.Errorf("%g of the border: got %v, want %v", factor, got, want)
		}
	}
	// What is not pooled stays in place beside its own: with 0.01 more of the line, known.
	more := mat.NewDiagDense(4, []float64{0, 0, 0, 0.01})
	all := mat.NewDiagDense(4, []float64{.02, .02, .02, .03})
	for w, want := range map[float64][]int{0.99: {3}, 1.01: nil} {
		const others = 0.02 / 3
		low, high := 0.04, 0.6
		for range 60 {
			s := (low + high) / 2
			u := s + 0.01 + others
			if FSurvival(2.25/u, 1, u*u/(s*s/4+0.01*0.01/50+others*others/16)) < 0.05 {
				low = s
			} else {
				high = s
			}
		}
		own := []Scatter{{}, {}, {}, {low * w, 4}}
		if got := Differ(means, all, []Part{{V: v, DOF: 16, Pooled: true}, {V: more, DOF: 50}}, own, 0.025); !slices.Equal(got, want) {
			t.Errorf("%g of the border beside what is not pooled: got %v, want %v", w, got, want)
		}
	}
	// Of two that accuse each other either may be the loose one.
	two := mat.NewDiagDense(2, []float64{.02, .02})
	for _, own := range [][]Scatter{{{0.6, 4}, {}}, {{}, {0.6, 4}}} {
		if got := Differ([]float64{0, 1.5}, two, []Part{{V: two, DOF: 16, Pooled: true}}, own, 0.025); got != nil {
			t.Errorf("two: got %v", got)
		}
	}
}
