package wheel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// remountedTable is a wheel with an error at every graduation, turned in steps
// on a reference with an error at every station.
func remountedTable(random *rand.Rand, wheel, reference []float64, turns []int, noise float64) []Row {
	n := len(reference)
	var rows []Row
	for m, by := range turns {
		for j := range n {
			graduation := (j + by) % n
			at := 360 / float64(n) * float64(j)
			// The reference shows at where the shaft stands at + its error.
			reading := 360/float64(n)*float64(graduation) + reference[j] + wheel[graduation] + 0.37*float64(m) + noise*random.NormFloat64()
			rows = append(rows, Row{Reference: geometry.Angle(at), Reading: geometry.Angle(reading), Mounting: string(rune('A' + m))})
		}
	}
	return rows
}

// centred errors sum to zero.
func centred(x []float64) []float64 {
	var mean float64
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for i := range x {
		x[i] -= mean
	}
	return x
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Wheel and reference with errors of a degree, readings that scatter by 0.02:
// both come out within the stated uncertainty as often as stated, whichever
// mountings there are, as long as they turn the wheel by every step in some
// combination.
func TestClosureSeparates(t *testing.T) {
	for _, tt := range []struct {
		name  string
		n     int
		turns []int
		lose  float64 // share of rows that are lost
	}{
		{"every step", 12, upTo(12), 0},
		{"half of the steps", 12, upTo(6), 0},
		{"three neighbours", 12, []int{0, 1, 2}, 0},
		{"uneven steps", 12, []int{0, 2, 5}, 0},
		{"rows lost", 12, upTo(8), 0.2},
		{"24 stations", 24, []int{0, 1, 5, 11, 18}, 0.1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			random := testkit.Rand(t, 3)
			trials := 20
			if long {
				trials = 120
			}
			inside, all := 0, 0
			harmonic, harmonics := 0, 0
			for range trials {
				wheel, reference := make([]float64, tt.n), make([]float64, tt.n)
				for i := range wheel {
					at := 2 * math.Pi * float64(i) / float64(tt.n)
					wheel[i] = math.Sin(at-1) + 0.2*math.Sin(2*at) + 0.1*random.NormFloat64()
					reference[i] = math.Cos(at) + 0.2*random.NormFloat64()
				}
				centred(wheel)
				centred(reference)
				rows := remountedTable(random, wheel, reference, tt.turns, 0.02)
				rows = slices.DeleteFunc(rows, func(Row) bool { return random.Float64() < tt.lose })
				r := run(t, Options{}, rows)
				c := r.Closure
				if !c.Separated || !c.Complete || !c.Known {
					t.Fatalf("got %+v", c)
				}
				for _, g := range c.Wheel {
					all++
					i := int(math.Round(float64(g.At)*float64(tt.n)/360)) % tt.n
					if math.Abs(float64(g.Error)-wheel[i]) <= float64(c.Expanded(g)) {
						inside++
					}
				}
				for i, g := range c.Reference {
					all++
					if math.Abs(float64(g.Error)-reference[i]) <= float64(c.Expanded(g)) {
						inside++
					}
				}
				// The first harmonic of the wheel's graduations as they are.
				var s, k float64
				for i, w := range wheel {
					at := 2 * math.Pi * float64(i) / float64(tt.n)
					s, k = s+w*math.Sin(at)*2/float64(tt.n), k+w*math.Cos(at)*2/float64(tt.n)
				}
				harmonics++
				h := r.Harmonics[0]
				if math.Abs(float64(h.Amplitude)-math.Hypot(s, k)) <= r.Coverage()*float64(h.Standard)+0.02 {
					harmonic++
				}
			}
			rate := float64(inside) / float64(all)
			// Errors of one table are correlated, so that their shares scatter as
			// if there were but trials of them: three standard deviations.
			if margin := 3 * math.Sqrt(0.95*0.05/float64(trials)); rate < 0.95-margin || rate > 0.95+margin {
				t.Errorf("%.3f of the errors within their stated uncertainty, want 0.95 ± %.3f", rate, margin)
			}
			t.Logf("rate %.4f, first harmonic %d of %d", rate, harmonic, harmonics)
			if float64(harmonic) < 0.9*float64(harmonics) {
				t.Errorf("first harmonic within its uncertainty in %d of %d", harmonic, harmonics)
			}
		})
	}
}

// segments is a divided circle of n segments, each compared with one constant
// angle of a reference: n mountings, two stations.
func segments(n int, measured []float64) []Row {
	var rows []Row
	even := 360 / float64(n)
	for i := range n {
		start := even * float64(i)
		name := fmt.Sprintf("%03d", i)
		rows = append(rows,
			Row{Reference: 0, Reading: geometry.Angle(start), Mounting: name},
			Row{Reference: geometry.Angle(even), Reading: geometry.Angle(start + measured[i]), Mounting: name})
	}
	return rows
}

// Simple closure of six segments, a vector made for tests (not published):
// the mean of all is the reference's angle, what is left of each is its own.
func TestSimpleClosure(t *testing.T) {
	measured := []float64{60.012, 59.991, 60.020, 59.985, 60.004, 60.006}
	want := []float64{60.009, 59.988, 60.017, 59.982, 60.001, 60.003}
	r := run(t, Options{}, segments(6, measured))
	c := r.Closure
	if !c.Complete || c.Known || c.Missing != nil {
		t.Fatalf("got %+v", c)
	}
	for i, w := range want {
		testkit.Near(t, fmt.Sprintf("segment %d", i), 60+c.Wheel[(i+1)%6].Error-c.Wheel[i].Error, geometry.Angle(w), 1e-9)
	}
	testkit.Near(t, "the reference's angle less 60", c.Reference[1].Error-c.Reference[0].Error, 0.003, 1e-9)
}

// Relations of simple closure with independent scatter u of the n comparisons:
// a segment is known to u√(1 − 1/n), the j-th line from the first to
// u√(j(1 − j/n)), two segments have the covariance −u²/n. Simulated by another
// hand, 40,000 draws: 0.8653 for n = 4, 0.9581 and half way 1.7265 for 12, 0.9852
// and 3.0147 for 36, of which the draws leave about 0.4 %.
func TestSimpleClosureUncertainties(t *testing.T) {
	simulated := map[int][2]float64{4: {0.8653, 0}, 12: {0.9581, 1.7265}, 36: {0.9852, 3.0147}}
	for n, want := range simulated {
		measured := make([]float64, n)
		for i := range measured {
			measured[i] = 360 / float64(n)
		}
		r := run(t, Options{}, segments(n, measured))
		q := r.Closure.wheelCofactors // for readings with a variance of one: comparisons have twice that
		between := func(i, j int) float64 {
			return math.Sqrt((q.At(i, i) + q.At(j, j) - 2*q.At(i, j)) / 2)
		}
		m := float64(n)
		for j := 1; j < n; j++ {
			testkit.Near(t, fmt.Sprintf("n %d, line %d", n, j), geometry.Angle(between(0, j)), geometry.Angle(math.Sqrt(float64(j)*(1-float64(j)/m))), 1e-9)
		}
		testkit.Near(t, "simulated segment", geometry.Angle(between(0, 1)), geometry.Angle(want[0]), 0.004*want[0])
		if want[1] > 0 {
			testkit.Near(t, "simulated half way", geometry.Angle(between(0, n/2)), geometry.Angle(want[1]), 0.006*want[1])
		}
		covariance := (q.At(1, 3) - q.At(1, 2) - q.At(0, 3) + q.At(0, 2)) / 2
		testkit.Near(t, "covariance of segments", geometry.Angle(covariance), geometry.Angle(-1/m), 1e-9)
	}
}

// What is missing is named: one more mounting, or the stations of one that is
// there. The harmonics that can be told apart are still the wheel's.
func TestClosureNamesWhatIsMissing(t *testing.T) {
	random := testkit.Rand(t, 4)
	wheel, reference := make([]float64, 12), make([]float64, 12)
	for i := range wheel {
		at := 2 * math.Pi * float64(i) / 12
		wheel[i], reference[i] = math.Sin(at), math.Cos(at)+0.5*math.Sin(4*at)
	}
	table := func(turns ...int) []Row { return remountedTable(random, wheel, reference, turns, 0.02) }

	quarters := run(t, Options{}, table(0, 3, 6, 9))
	c := quarters.Closure
	if !c.Separated || c.Complete || c.Missing == nil || *c.Missing != (Missing{"A", 30}) {
		t.Errorf("quarter turns: got %+v, %+v", c, c.Missing)
	}
	testkit.Near(t, "the wheel's first harmonic", quarters.Harmonics[0].Amplitude, 1, 0.02)
	if len(quarters.Refused) == 0 || quarters.Refused[0] != (Refused{Order: 4, Reason: LikeReference}) {
		t.Errorf("quarter turns: refused %+v", quarters.Refused)
	}

	torn := table(0, 6, 1)
	torn = slices.DeleteFunc(torn, func(r Row) bool { return r.Mounting == "C" && r.Reference > 10 })
	c = run(t, Options{}, torn).Closure
	if c.Complete || c.Missing == nil || *c.Missing != (Missing{Mounting: "C"}) {
		t.Errorf("a torn mounting: got %+v, %+v", c, c.Missing)
	}

	same := run(t, Options{}, table(0, 0))
	if c := same.Closure; c.Separated || c.Complete || c.Missing == nil || c.Missing.Turn != 30 {
		t.Errorf("not turned: got %+v, %+v", c, c.Missing)
	}

	// A station that one mounting alone has is told as well.
	alone := slices.DeleteFunc(table(0, 1, 2), func(r Row) bool { return r.Mounting != "A" && r.Reference > 320 })
	if c := run(t, Options{}, alone).Closure; !c.Complete || len(c.Reference) != 12 || len(c.Wheel) != 12 || math.Abs(float64(c.Reference[11].Error)-reference[11]) > 0.2 {
		t.Errorf("a station of one mounting: %+v", c)
	}

	offGrid := table(0, 1)
	for i := range offGrid {
		if offGrid[i].Mounting == "B" {
			offGrid[i].Reading += 12.7
		}
	}
	if r := run(t, Options{}, offGrid); !r.Closure.Separated || r.Closure.Complete {
		t.Errorf("turned by part of a step: got %+v", r.Closure)
	}
}

// Student's t is what the stated rate rests on.
func TestCoverageFactor(t *testing.T) {
	for _, dof := range []float64{1, 3, 20} {
		want := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile(0.975)
		if got := (Result{DOF: dof}).Coverage(); math.Abs(got-want) > 1e-8 || got != stats.TQuantile(0.975, dof) {
			t.Errorf("dof %g: got %g, want %g", dof, got, want)
		}
	}
}
