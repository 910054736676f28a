package wheel

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// noisy is a table with harmonics, scatter, lost motion and uneven stations.
func noisy(t *rapid.T) []Row {
	n := rapid.IntRange(9, 40).Draw(t, "stations")
	counts := rapid.SampledFrom([]geometry.Sense{geometry.CountsUp, geometry.CountsDown}).Draw(t, "counts")
	runs := rapid.IntRange(1, 3).Draw(t, "runs")
	random := rapid.IntRange(-1000, 1000)
	first, third, phase := random.Draw(t, "first"), random.Draw(t, "third"), random.Draw(t, "phase")
	var rows []Row
	for range runs {
		for i := range n {
			reference := 360*float64(i)/float64(n) + float64(random.Draw(t, "uneven"))/500
			for way := range 2 {
				g := geometry.Angle(float64(counts)*reference + 40)
				e := float64(first)/3000*math.Sin(g.Radians()-float64(phase)) + float64(third)/9000*math.Sin(3*g.Radians()) +
					float64(random.Draw(t, "scatter"))/20000 + 0.02*float64(way)
				rows = append(rows, Row{
					Reference: geometry.Angle(math.Round(reference*1000) / 1000), Reading: geometry.Angle(math.Round((g.Degrees()+e)*1000) / 1000),
					Approach: sheet.Approach(way + 1),
				})
			}
		}
	}
	return rows
}

// figures are what must not change, rounded to what arithmetic leaves.
type figures struct {
	Stations, Orders         int
	Counts                   geometry.Sense
	Amplitudes, Uncertainty  []float64
	PeakToPeak, Lost, LostU  float64
	Residual, OffCentre, DOF float64
	StandsOut                bool
	Axis                     []float64
}

func figuresOf(r Result) figures {
	f := figures{
		Stations: r.Stations, Orders: len(r.Harmonics), Counts: r.Counts,
		PeakToPeak: float64(r.PeakToPeak), Lost: float64(r.LostMotion.Value), LostU: float64(r.LostMotion.Standard),
		Residual: float64(r.Residual), OffCentre: float64(r.OffCentre.By), DOF: r.DOF, StandsOut: r.StandsOut != nil,
	}
	for _, h := range r.Harmonics {
		f.Amplitudes, f.Uncertainty = append(f.Amplitudes, float64(h.Amplitude)), append(f.Uncertainty, float64(h.Standard))
	}
	if r.Axis != nil {
		f.Axis = []float64{float64(r.Axis.Accuracy), float64(r.Axis.Reversal), float64(r.Axis.Repeat), float64(r.Axis.Systematic)}
	}
	return f
}

// 1e-9 degrees: differences of readings of some hundred degrees.
var alike = cmp.Comparer(func(a, b float64) bool { return a == b || math.Abs(a-b) <= 1e-9+1e-7*math.Abs(a) })

func TestInvariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := noisy(t)
		was, err := audited(Options{Diameter: 280}, rows)
		if err != nil {
			t.Skip(err.Error())
		}
		compare := func(what string, change func(row *Row), shift geometry.Angle) {
			changed := slices.Clone(rows)
			for i := range changed {
				change(&changed[i])
			}
			now, err := audited(Options{Diameter: 280}, changed)
			if err != nil {
				t.Fatal(what, err)
			}
			if diff := cmp.Diff(figuresOf(was), figuresOf(now), alike); diff != "" {
				t.Errorf("%s: %s", what, diff)
			}
			for i, h := range was.Harmonics {
				want := h.Phase + geometry.Angle(h.Order)*shift
				// The phase of an amplitude near nothing is known the worse.
				if d := (now.Harmonics[i].Phase - want).Wrap().Abs(); float64(d)*float64(h.Amplitude) > 1e-6 {
					t.Errorf("%s: order %d: phase %v, want %v", what, h.Order, now.Harmonics[i].Phase, want)
				}
			}
		}
		compare("nothing", func(*Row) {}, 0)
		compare("a constant on the references", func(r *Row) { r.Reference += 77.125 }, 0)
		compare("a constant on the readings", func(r *Row) { r.Reading += 123.5 }, 123.5)
		turns := rapid.IntRange(-3, 3)
		compare("whole turns", func(r *Row) {
			r.Reading += 360 * geometry.Angle(turns.Draw(t, "turns"))
			r.Reference -= 360 * geometry.Angle(turns.Draw(t, "turns"))
		}, 0)
		shuffled := rapid.Permutation(rows).Draw(t, "order")
		i := -1
		compare("another order of rows", func(r *Row) { i++; *r = shuffled[i] }, 0)
	})
}

// The same rows give the same bits.
func TestDeterminism(t *testing.T) {
	random := testkit.Rand(t, 1)
	var rows []Row
	for i := range 36 {
		for m, name := range []string{"B", "A", "C"} {
			reference := float64(10 * i)
			rows = append(rows, Row{
				Reference: geometry.Angle(reference), Reading: geometry.Angle(reference + float64(10*m) + 0.1*random.NormFloat64()),
				Mounting: name,
			})
		}
	}
	first := run(t, Options{}, rows)
	for range 5 {
		if diff := cmp.Diff(first, run(t, Options{}, rows), cmp.AllowUnexported(Result{}), cmp.FilterPath(func(p cmp.Path) bool {
			return p.Last().String() == ".wheelCofactors"
		}, cmp.Ignore())); diff != "" {
			t.Fatal(diff)
		}
	}
}
