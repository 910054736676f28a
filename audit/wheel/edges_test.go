package wheel

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The definitions of ISO 230-2:2014, 2.14 to 2.24, over lists: whichever target has the
// largest or smallest of each.
func TestAxisByDefinition(t *testing.T) {
	random := testkit.Rand(t, 31)
	largest := func(x []float64) float64 { return slices.Max(x) }
	for range 50 {
		n := 5 + random.IntN(4)
		var ways [2][]Runs
		var low, high, mean [2][]float64
		var repeat [2][]float64
		for w := range ways {
			for range n {
				m, s := random.NormFloat64(), random.Float64()
				ways[w] = append(ways[w], Runs{geometry.Angle(m), geometry.Angle(s), 2 + random.IntN(4)})
				low[w], high[w], mean[w], repeat[w] = append(low[w], m-2*s), append(high[w], m+2*s), append(mean[w], m), append(repeat[w], 4*s)
			}
		}
		var reversal, both, middle []float64
		var sum float64
		for i := range n {
			b := mean[0][i] - mean[1][i]
			reversal, sum = append(reversal, math.Abs(b)), sum+b
			both = append(both, repeat[0][i], repeat[1][i], repeat[0][i]/2+repeat[1][i]/2+math.Abs(b))
			middle = append(middle, (mean[0][i]+mean[1][i])/2)
		}
		spread := func(high, low []float64) float64 { return largest(high) - slices.Min(low) }
		all := func(x [2][]float64) []float64 { return slices.Concat(x[0], x[1]) }
		a := EvaluateAxis(ways[0], ways[1])
		for name, c := range map[string][2]float64{
			"B": {a.Reversal.Degrees(), largest(reversal)}, "mean B": {a.MeanReversal.Degrees(), sum / float64(n)},
			"R forward": {a.RepeatForward.Degrees(), largest(repeat[0])}, "R backward": {a.RepeatBackward.Degrees(), largest(repeat[1])}, "R": {a.Repeat.Degrees(), largest(both)},
			"E forward": {a.SystematicForward.Degrees(), spread(mean[0], mean[0])}, "E backward": {a.SystematicBackward.Degrees(), spread(mean[1], mean[1])}, "E": {a.Systematic.Degrees(), spread(all(mean), all(mean))},
			"M":         {a.MeanSystematic.Degrees(), spread(middle, middle)},
			"A forward": {a.AccuracyForward.Degrees(), spread(high[0], low[0])}, "A backward": {a.AccuracyBackward.Degrees(), spread(high[1], low[1])}, "A": {a.Accuracy.Degrees(), spread(all(high), all(low))},
		} {
			if math.Abs(c[0]-c[1]) > 1e-12 {
				t.Errorf("%s: got %.12f, want %.12f", name, c[0], c[1])
			}
		}
		runs := math.MaxInt
		for _, r := range all2(ways) {
			runs = min(runs, r.N)
		}
		if a.Targets != n || a.Runs != runs {
			t.Errorf("%d targets, %d runs, want %d and %d", a.Targets, a.Runs, n, runs)
		}
	}
}

func all2(ways [2][]Runs) []Runs { return slices.Concat(ways[0], ways[1]) }

// The figures of an axis need five targets of two runs, and both directions at the same
// ones.
func TestWhenThereIsAnAxis(t *testing.T) {
	table := func(forward, backward []float64, runs int) (rows []Row) {
		for w, at := range [][]float64{forward, backward} {
			for _, x := range at {
				for i := range runs {
					rows = append(rows, Row{Reference: geometry.Angle(x), Reading: geometry.Angle(x + 0.01*float64(i)), Approach: sheet.Approach(w + 1)})
				}
			}
		}
		return rows
	}
	for name, c := range map[string]struct {
		rows []Row
		axis bool
	}{
		"five":              {table(even(5), nil, 2), true},
		"four":              {table(even(4), nil, 2), false},
		"five backward":     {table(nil, even(5), 2), true},
		"five both ways":    {table(even(5), even(5), 2), true},
		"one run":           {table(even(5), nil, 1), false},
		"one lacks":         {table(even(5), even(5)[:4], 2), false},
		"at other stations": {table(even(6)[:5], even(6)[1:], 2), false},
		"by turns":          {table([]float64{0, 72, 144, 216, 288}, []float64{10, 82, 154, 226, 298}, 2), false},
		"one unsaid":        {append(table(even(5), even(5)[1:], 2), Row{}, Row{Reading: 0.01}), false},
	} {
		if r := run(t, Options{}, c.rows); (r.Axis != nil) != c.axis {
			t.Errorf("%s: %+v", name, r.Axis)
		}
	}
}

// own and share by the definitions: what is left of two columns after those before
// them, in the weaker direction the smallest singular value of the block.
func TestPartsOfAnOrder(t *testing.T) {
	random := testkit.Rand(t, 32)
	for range 50 {
		const n = 5
		r := mat.NewDense(n, n, nil)
		for i := range n {
			for j := i; j < n; j++ {
				r.Set(i, j, random.NormFloat64())
			}
		}
		const j = 2
		var svd mat.SVD
		if !svd.Factorize(r.Slice(j, j+2, j, j+2), mat.SVDNone) {
			t.Fatal("no singular values")
		}
		whole, block := 0.0, 0.0
		for c := j; c < j+2; c++ {
			for i := range n {
				whole += r.At(i, c) * r.At(i, c)
				if i >= j {
					block += r.At(i, c) * r.At(i, c)
				}
			}
		}
		if got, want := own(r, j), svd.Values(nil)[1]/math.Sqrt(whole/2); math.Abs(got-want) > 1e-9 {
			t.Errorf("own part %g, want %g", got, want)
		}
		if got, want := share(r, j), 1-block/whole; math.Abs(got-want) > 1e-12 {
			t.Errorf("share %g, want %g", got, want)
		}
	}
	nothing := mat.NewDense(3, 3, nil)
	if got := own(nothing, 1); got != 0 {
		t.Errorf("of nothing: own part %g", got)
	}
	if got := share(nothing, 1); got != 1 {
		t.Errorf("of nothing: share %g", got)
	}
}

// Amplitude and phase of S sin kR + C cos kR; its uncertainty by differences of the
// hypotenuse, and Hotelling's probability by the inverse of the covariance.
func TestHarmonicOfCoefficients(t *testing.T) {
	for _, c := range []struct{ s, c, ss, sc, cc float64 }{{0.3, 0.1, 0.01, 0.002, 0.03}, {-0.2, 0.4, 0.02, -0.01, 0.01}, {-0.1, -0.3, 0.05, 0.01, 0.02}, {0.2, -0.2, 0.01, 0, 0.01}} {
		h := harmonic(3, c.s, c.c, c.ss, c.sc, c.cc, 11)
		for r := 0.0; r < 6; r += 0.7 {
			if got, want := h.Amplitude.Degrees()*math.Sin(r-h.Phase.Radians()), c.s*math.Sin(r)+c.c*math.Cos(r); math.Abs(got-want) > 1e-12 {
				t.Errorf("%+v at %g: %g, want %g", c, r, got, want)
			}
		}
		const d = 1e-6
		ds, dc := (math.Hypot(c.s+d, c.c)-math.Hypot(c.s-d, c.c))/(2*d), (math.Hypot(c.s, c.c+d)-math.Hypot(c.s, c.c-d))/(2*d)
		if want := math.Sqrt(ds*ds*c.ss + 2*ds*dc*c.sc + dc*dc*c.cc); math.Abs(h.Standard.Degrees()-want) > 1e-9 {
			t.Errorf("%+v: standard %g, want %g", c, h.Standard, want)
		}
		v := mat.NewVecDense(2, []float64{c.s, c.c})
		var x mat.VecDense
		if err := x.SolveVec(mat.NewDense(2, 2, []float64{c.ss, c.sc, c.sc, c.cc}), v); err != nil {
			t.Fatal(err)
		}
		if want := (distuv.F{D1: 2, D2: 11}).Survival(mat.Dot(v, &x) / 2); math.Abs(h.P-want) > 1e-9 {
			t.Errorf("%+v: probability %g, want %g", c, h.P, want)
		}
		if h.Order != 3 || h.Phase < 0 || h.Phase >= 360 {
			t.Errorf("%+v: %+v", c, h)
		}
	}
	// Of no amplitude the mean of both, and without a covariance no probability.
	if h := harmonic(1, 0, 0, 0.02, 0, 0.06, 5); math.Abs(h.Standard.Degrees()-0.2) > 1e-12 || h.P != 1 {
		t.Errorf("of nothing: %+v", h)
	}
	if h := harmonic(1, 1, 0, 0, 0, 0, 5); !math.IsNaN(h.P) || h.Standard != 0 || h.Seen() {
		t.Errorf("without scatter: %+v", h)
	}
	if !(Harmonic{P: 0.05}).Seen() || (Harmonic{P: 0.0501}).Seen() {
		t.Error("seen is at 5 %")
	}
}

// The curve's extremes against a fine search, whichever side is farther from zero.
func TestExtremesOfTheCurve(t *testing.T) {
	random := testkit.Rand(t, 33)
	for range 6 {
		n := 1 + random.IntN(6)
		r := Result{Sine: make([]geometry.Angle, n), Cosine: make([]geometry.Angle, n)}
		for i := range n {
			r.Sine[i], r.Cosine[i] = geometry.Angle(random.NormFloat64()), geometry.Angle(random.NormFloat64())
		}
		r.extremes()
		low, high := math.Inf(1), math.Inf(-1)
		for at := 0.0; at < 360; at += 0.01 {
			e := 0.0
			for k := range n {
				sin, cos := math.Sincos(float64(k+1) * at * math.Pi / 180)
				e += r.Sine[k].Degrees()*sin + r.Cosine[k].Degrees()*cos
			}
			low, high = math.Min(low, e), math.Max(high, e)
		}
		testkit.Near(t, "range", r.PeakToPeak.Degrees(), high-low, 1e-6*(high-low))
		testkit.Near(t, "largest", r.Largest.Degrees(), max(high, -low), 1e-6*(high-low))
		testkit.Near(t, "at it", r.ErrorAt(r.LargestAt).Abs().Degrees(), r.Largest.Degrees(), 1e-9)
		above, _ := r.extreme(2, 1)
		if rest := r.errorFrom(2, 123); n > 1 && above < rest || n == 1 && above != 0 {
			t.Errorf("without the first: at most %v, and %v at 123°", above, rest)
		}
	}
	flat := Result{Sine: []geometry.Angle{0}, Cosine: []geometry.Angle{0}}
	if v, at := flat.extreme(1, 1); v != 0 || at != 0 {
		t.Errorf("of no curve: %v at %v", v, at)
	}
	// Of two alike the one that shows too much.
	even := Result{Sine: []geometry.Angle{0.3}, Cosine: []geometry.Angle{0}}
	if even.extremes(); (even.LargestAt-90).Abs() > 1e-6 || (even.Largest-0.3).Abs() > 1e-12 {
		t.Errorf("alike: %v at %v", even.Largest, even.LargestAt)
	}
}

// The uncertainty of the curve is that of a sum with one covariance (JCGM 100, 5.2.2),
// t times its root; a reference of limit L alone has the half width L sin(0.95 · 90°) of
// the arcsine distribution.
func TestExpandedOfTheCurve(t *testing.T) {
	r := Result{
		Harmonics: []Harmonic{{Order: 1}, {Order: 3}}, DOF: 9,
		cov: [][]float64{{4, 1, 0.5, 0.2}, {1, 3, 0.1, -0.3}, {0.5, 0.1, 2, 0.4}, {0.2, -0.3, 0.4, 1}},
	}
	for _, at := range []geometry.Angle{0, 20, 77, 190, 300} {
		x := make([]float64, 4)
		for i, k := range []float64{1, 3} {
			x[2*i], x[2*i+1] = math.Sin(k*at.Radians()), math.Cos(k*at.Radians())
		}
		v := 0.0
		for i := range x {
			for j := range x {
				v += x[i] * x[j] * r.cov[i][j]
			}
		}
		testkit.Near(t, "expanded", r.Expanded(at).Degrees(), 2.262157163*math.Sqrt(v), 1e-7) // t of 9, printed tables
	}
	r.cov = [][]float64{{0, 0, 0, 0}, {0, 0, 0, 0}, {0, 0, 0, 0}, {0, 0, 0, 0}}
	r.Reference.Limit = 0.2
	testkit.Near(t, "reference alone", r.Expanded(50).Degrees(), 0.2*math.Sin(0.95*math.Pi/2), 1e-6)
	one := Result{Harmonics: []Harmonic{{Order: 1}}, cov: [][]float64{{0.01, 0}, {0, 0.01}}}
	one.Reference.Limit = 1e-7
	for _, one.DOF = range []float64{0, 1} { // t of 1, printed tables
		testkit.Near(t, "one degree of freedom", one.Expanded(50).Degrees(), 0.1*12.706205, 1e-4)
	}
	if r.referenceLimit() != 0.2 {
		t.Error("the limit of the reference is in the result")
	}
	for _, out := range []Result{{Options: r.Options, Opposite: true}, {Options: r.Options, Closure: &Closure{Separated: true}}} {
		if out.referenceLimit() != 0 {
			t.Error("the limit of the reference is not in it")
		}
	}
	if in := (Result{Options: r.Options, Closure: &Closure{}}); in.referenceLimit() != 0.2 {
		t.Error("remounting that tells nothing apart leaves it in")
	}
	if c := (Result{DOF: 0}).Coverage(); math.Abs(c-12.7062047) > 1e-6 { // t of 1
		t.Errorf("no degree of freedom counts as one: %g", c)
	}
}

// Readings that equal the reference show no error, and not how sure that is, unless the
// step is known: 0.5°/√12 a reading then, of 24 stations read in both directions the
// same for each direction, 0.5/√12·√(2/24) of the reversal (the difference of two
// means of 24).
func TestEqualToTheReference(t *testing.T) {
	var rows []Row
	for i := range 24 {
		for _, way := range []sheet.Approach{sheet.Forward, sheet.Backward} {
			rows = append(rows, Row{Reference: geometry.Angle(15 * i), Reading: geometry.Angle(15 * i), Approach: way})
		}
	}
	r, err := audited(Options{}, rows)
	if err != nil || r.Known || r.Residual != 0 || r.LostMotion.Standard != 0 {
		t.Errorf("%v: known %v, residual %v, lost motion %+v", err, r.Known, r.Residual, r.LostMotion)
	}
	r, err = audited(Options{Step: 0.5}, rows)
	if want := 0.5 / math.Sqrt(12) * math.Sqrt(2.0/24); err != nil || !r.Known || r.LostMotion.Standard.Degrees() < want-1e-9 {
		t.Errorf("%v: known %v, lost motion %+v, want at least %g", err, r.Known, r.LostMotion, want)
	}
	// A station that stands out is left out all the same.
	rows[7].Reading += 0.5
	rows[6].Reading += 0.5
	r, err = audited(Options{}, rows)
	if err != nil || r.StandsOut == nil || !r.StandsOut.LeftOut || r.Known {
		t.Errorf("%v: %+v, known %v", err, r.StandsOut, r.Known)
	}
}

// Without scatter a slid wheel is better for certain, or for certain not.
func TestChanceWithoutScatter(t *testing.T) {
	for _, c := range []struct{ a, placing, limit, want float64 }{{0.1, 0, 0.04, 1}, {0.1, 0, 0.06, 0}, {0.1, 0.07, 0, 1}, {0.1, 0.08, 0, 0}} {
		if got := chanceOf(c.a, 0, c.placing, c.limit, 5); got != c.want {
			t.Errorf("%+v: %g", c, got)
		}
	}
	// d is 0.1/2 - 0.03²/0.1 - 0.01 = 0.031, so t is 1.55 of 5: 1 - 0.0909 by the t
	// distribution.
	want := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: 5}.CDF(1.55)
	if got := chanceOf(0.1, 0.02, 0.03, 0.01, 5); math.Abs(got-want) > 1e-9 {
		t.Errorf("got %g, want %g", got, want)
	}
}

// Stations are even where each lies within a hundredth of the spacing.
func TestSpacing(t *testing.T) {
	for off, want := range map[float64]geometry.Angle{0: 30, 0.29: 30, -0.29: 30, 0.31: 0, -0.31: 0} {
		references := even(12)
		references[5] += off
		if r := run(t, Options{}, curved(testkit.Rand(t, 35), references, geometry.CountsUp, wave(0.1, 1, 0), 0.01)); r.Spacing != want || r.Stations != 12 {
			t.Errorf("off by %g: spacing %v, %d stations", off, r.Spacing, r.Stations)
		}
	}
}

// Readings may stray by 20°, and the other sense must be four times as far off.
func TestLimitsOfTheSense(t *testing.T) {
	at := func(reading func(reference float64) float64, references ...float64) (geometry.Sense, error) {
		var rows []Row
		for _, r := range references {
			rows = append(rows, Row{Reference: geometry.Angle(r), Reading: geometry.Angle(reading(r))})
		}
		r, err := audited(Options{}, rows)
		return r.Counts, err
	}
	// Square waves of ±a have the root mean square a.
	square := func(a float64) func(float64) float64 {
		return func(r float64) float64 {
			if int(r/30)%2 == 0 {
				return r + a
			}
			return r - a
		}
	}
	if _, err := at(square(19.9), even(12)...); err != nil && strings.Contains(err.Error(), "do not follow") {
		t.Errorf("19.9°: %v", err)
	}
	if _, err := at(square(20.1), even(12)...); err == nil || !strings.Contains(err.Error(), "they stray from it by 20° counting the same way, by ") {
		t.Errorf("20.1°: %v", err)
	}
	// Stations x before and after half a turn, of which the later one reads 1° too much,
	// stray by 0.5 one way and by 2x + 0.5 the other: four times as far from x = 0.75 on.
	for x, told := range map[float64]bool{0.76: true, 0.74: false} {
		_, err := at(func(r float64) float64 {
			if r > 180 {
				return r + 1
			}
			return r
		}, 180-x, 180+x)
		if (err == nil || !strings.Contains(err.Error(), "cannot be told")) != told {
			t.Errorf("±%g: %v", x, err)
		}
	}
}

// Readings closer together than a quarter of the least distance between stations, here
// 10°, are of one graduation, unless they lie over more than half of it; then the
// mountings were not turned by whole stations.
func TestGraduationsOfReadings(t *testing.T) {
	for name, c := range map[string]struct {
		positions []float64
		labels    []int // nil: none
		at        []float64
	}{
		"one by one":        {[]float64{5, 15, 45}, []int{1, 2, 0}, []float64{45, 5, 15}},
		"two of one":        {[]float64{100, 40, 102.4}, []int{0, 1, 0}, []float64{101.2, 40}},
		"just apart":        {[]float64{100, 40, 102.6}, []int{1, 0, 2}, []float64{40, 100, 102.6}},
		"across zero":       {[]float64{359, 40, 1, 200}, []int{0, 1, 0, 2}, []float64{0, 40, 200}},
		"a chain":           {[]float64{10, 12.4, 14.8, 40}, []int{0, 0, 0, 1}, []float64{12.4, 40}},
		"too long a one":    {[]float64{10, 12.4, 14.8, 17.2, 40}, nil, nil},
		"just half":         {[]float64{10, 12.4, 14.8, 14.9, 40}, []int{0, 0, 0, 0, 1}, []float64{13.025, 40}},
		"just more than it": {[]float64{10, 12.4, 14.8, 15.1, 40}, nil, nil},
	} {
		// Stations 10° apart at 0, 10 and 100, by turns.
		var points []point
		for i, x := range c.positions {
			station := int64(min(i, 2))
			points = append(points, point{group: &group{key: key{station: station}, reference: []float64{0, 10, 100}[station]}, position: x})
		}
		labels, at := graduations(points)
		if (labels == nil) != (c.labels == nil) || len(at) != len(c.at) {
			t.Errorf("%s: %v at %v", name, labels, at)
			continue
		}
		// Numbers begin anywhere: what shares one, and where it is.
		for i, l := range labels {
			if math.Abs(wrap(at[l]-c.at[c.labels[i]])) > 1e-9 && !slices.ContainsFunc(c.at, func(x float64) bool { return math.Abs(wrap(x-at[l])) < 1e-9 }) {
				t.Errorf("%s: %v at %v", name, labels, at)
			}
			for j := range labels {
				if (labels[i] == labels[j]) != (c.labels[i] == c.labels[j]) {
					t.Errorf("%s: %v, want as %v", name, labels, c.labels)
				}
			}
		}
	}
	var round []point // no gap anywhere
	for i := range 180 {
		round = append(round, point{group: &group{key: key{station: int64(i / 90)}, reference: 10 * float64(i/90)}, position: 4*float64(i%90) + 2*float64(i/90)})
	}
	if labels, _ := graduations(round); labels != nil {
		t.Errorf("all round: %v", labels)
	}
}

// A graduation's error has t of the closure's degrees of freedom, and of none that of one.
func TestExpandedOfAGraduation(t *testing.T) {
	for dof, want := range map[float64]float64{0: 12.706205, 1: 12.706205, 2: 4.302653, 10: 2.228139} { // printed tables
		if got := (Closure{DOF: dof}).Expanded(Graduation{Standard: 0.1}); math.Abs(got.Degrees()-0.1*want) > 1e-6 {
			t.Errorf("%g degrees of freedom: %v", dof, got)
		}
	}
}

// The variance behind the coefficients, from residuals by hand: four clusters of two points
// each, fitted by a constant and one order, with runs of their own. Between clusters one
// degree of freedom is left, 4 less 3, and within 4 and those of the runs.
func TestScatterBehindTheCurve(t *testing.T) {
	of := func(between, within, pure float64, runs int, step geometry.Angle) *fitted {
		f := &fitted{model: model{mountings: 1, clustered: 4}, k: 1, beta: make([]float64, 3)}
		for i := range 8 {
			// Clusters' means ±between, points ±within about them.
			r := between*float64(1-2*(i/2%2)) + within*float64(1-2*(i%2))
			f.points = append(f.points, point{group: &group{reading: moments{n: float64(1 + runs)}}, weight: 1, pure: pure, cluster: i / 2, ref: i / 2})
			f.residuals = append(f.residuals, r)
		}
		f.scatter(step)
		return f
	}
	// Clusters: 8 between², 1 degree; points: 8 within² and 8 pure, 4 and 8 a run.
	for name, c := range map[string]struct {
		between, within, pure float64
		runs                  int
		variance, dof         float64
		own, ownDOF           float64
	}{
		"graduations scatter": {1, 0.1, 0, 0, 8, 1, 0.08 / 4, 4},
		"all alike":           {0.1, 0.2, 0, 0, (0.08 + 0.32) / 5, 5, 0.32 / 4, 4},
		"runs":                {0.1, 0.2, 0.04, 1, (0.08 + 0.32 + 0.32) / 13, 13, (0.32 + 0.32) / 12, 12},
		"no scatter within":   {0.1, 0, 0, 0, 0.08, 1, 0, 4},
	} {
		f := of(c.between, c.within, c.pure, c.runs, 0)
		if !f.known || f.fromStep || math.Abs(f.variance-c.variance) > 1e-12 || f.dof != c.dof || math.Abs(f.within-c.own) > 1e-12 || f.withinDOF != c.ownDOF || math.Abs(f.left-8*(c.between*c.between+c.within*c.within+c.pure)) > 1e-12 || f.leftDOF != float64(5+8*c.runs) {
			t.Errorf("%s: %+v", name, f)
		}
	}
	// F of 1 and 4 at 20 %: 2.351
	for ratio, between := range map[float64]bool{2.36: true, 2.34: false} {
		f := of(math.Sqrt(ratio*0.08/8), 0.2, 0, 0, 0)
		if (f.dof == 1) != between {
			t.Errorf("at %g: %g degrees of freedom", ratio, f.dof)
		}
	}
	// A step rounds the readings of a graduation alike: q²/12 of each of its two points.
	for step, rules := range map[float64]bool{math.Sqrt(0.08 * 12 / 2 * 1.01): true, math.Sqrt(0.08 * 12 / 2 * 0.99): false} {
		f := of(0.1, 0.2, 0, 0, geometry.Angle(step))
		if f.fromStep != rules || rules && (math.Abs(f.variance-step*step/12*2) > 1e-12 || !math.IsInf(f.dof, 1)) {
			t.Errorf("at a step of %g: %+v", step, f)
		}
	}
	// Of a single point a cluster nothing is known within: it is the same as between.
	single := &fitted{model: model{mountings: 1, clustered: 5}, k: 1, beta: make([]float64, 3)}
	for i := range 5 {
		single.points = append(single.points, point{group: &group{reading: moments{n: 1}}, weight: 1, cluster: i, ref: i})
		single.residuals = append(single.residuals, 0.1*float64(1-2*(i%2)))
	}
	if single.scatter(0); math.Abs(single.variance-0.05/2) > 1e-12 || single.dof != 2 || single.within != single.variance || single.withinDOF != 2 {
		t.Errorf("one point each: %+v", single)
	}
	// As many points as parameters: nothing is left.
	exact := &fitted{model: model{mountings: 1, clustered: 3}, k: 1, beta: make([]float64, 3)}
	for i := range 3 {
		exact.points = append(exact.points, point{group: &group{reading: moments{n: 1}}, weight: 1, cluster: i, ref: i})
		exact.residuals = append(exact.residuals, 0)
	}
	if exact.scatter(0); exact.known || exact.leftDOF != 0 {
		t.Errorf("nothing left: %+v", exact)
	}
}
