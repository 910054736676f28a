package qualify

import (
	"math"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/geometry"
)

// One t row has the half width of the t distribution, and its limit comes on top
// (JCGM 100:2008, G.3.2). Two normal rows add as root of squares (5.1.2), two limits
// as they are.
func TestChainAddsUp(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 2e-6 {
			t.Errorf("%s: found %.8f, expected %.8f", what, got, want)
		}
	}
	quantile := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: 4}.Quantile(0.975)
	one := Link{Stop: "B", Against: "A", Digest: "1", Bias: 0.02, StandardError: 0.01, DOF: 4, Limit: 0.003}
	near("one study", one.Expanded().Degrees(), 0.01*quantile+0.003)
	cauchy := Link{StandardError: 0.01, DOF: 1} // t of one degree of freedom
	near("one degree", cauchy.Expanded().Degrees(), 0.01*12.706205)
	s, err := Chained([]Link{one})
	if err != nil {
		t.Fatal(err)
	}
	near("a chain of one", s.Expanded.Degrees(), 0.01*quantile+0.003)
	s, err = Chained([]Link{
		{Stop: "C", Against: "B", Digest: "2", Bias: 0.03, StandardError: 0.03, Limit: 0.002},
		{Stop: "B", Against: "A", Digest: "1", Bias: -0.01, StandardError: 0.04, Limit: 0.005},
	})
	if err != nil {
		t.Fatal(err)
	}
	near("biases", s.Bias.Degrees(), 0.02)
	near("normal rows and limits", s.Expanded.Degrees(), distuv.UnitNormal.Quantile(0.975)*0.05+0.007)
}

// No reading counts twice, and no stop vouches for itself.
func TestChainIsNoCircle(t *testing.T) {
	refused := func(err error, want string) {
		t.Helper()
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("found %v, expected an error with %q", err, want)
		}
	}
	_, err := Chained([]Link{{Stop: "C", Against: "B", Digest: "1", StandardError: 0.1}, {Stop: "B", Against: "A", Digest: "1", StandardError: 0.1}})
	refused(err, "the same readings")
	_, err = Chained([]Link{{Stop: "B", Against: "A", Digest: "1", StandardError: 0.1}, {Stop: "A", Against: "B", Digest: "2", StandardError: 0.1}})
	refused(err, "B was qualified by way of itself")
	s, err := Chained([]Link{{Stop: "B", Against: "A", Digest: "1", StandardError: 0.1}})
	if err != nil {
		t.Fatal(err)
	}
	refused(s.Admits("C", "1"), "found the readings that B was qualified by")
	refused(s.Admits("A", "2"), "cannot vouch for itself")
	refused(s.Admits("B", "2"), "found B as the new stop")
	for _, c := range [][2]string{{"C", "2"}, {"", "2"}, {"C", ""}, {"", ""}} {
		if err := s.Admits(c[0], c[1]); err != nil {
			t.Error(err)
		}
	}
	// What has no name and no file is not the same as another.
	nameless, err := Chained([]Link{{StandardError: 0.1}, {StandardError: 0.1}})
	if err != nil {
		t.Error(err)
	}
	if err := nameless.Admits("", ""); err != nil {
		t.Error(err)
	}
}

// A limit of the chain comes off the room and on top of the interval.
func TestChainTakesRoom(t *testing.T) {
	data, err := os.ReadFile("../../testdata/qualify/new-stop.csv")
	if err != nil {
		t.Fatal(err)
	}
	study, _, err := ReadTrials("new-stop.csv", data)
	if err != nil {
		t.Fatal(err)
	}
	o := Options{AllowedBias: 0.1, Step: 0.05}
	with := func(limit float64) Result {
		s, err := Chained([]Link{{Stop: "B", Digest: "1", Bias: 0.01, StandardError: 0.01, DOF: 5, Limit: geometry.Angle(limit)}})
		if err != nil {
			t.Fatal(err)
		}
		o.Trusted = &s
		r, err := Run(study, o)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	short, long := with(0), with(0.02)
	if d := (long.Bias.High - short.Bias.High).Degrees(); math.Abs(d-0.02) > 1e-9 {
		t.Errorf("the interval grows by %g, expected 0.02", d)
	}
	if !(long.Bias.PUpper > short.Bias.PUpper && long.Bias.PLower > short.Bias.PLower) {
		t.Error("a limit of the chain makes no verdict harder")
	}
	if short.Verdict != Qualified || with(0.09).Verdict != NotProven {
		t.Error("a chain that leaves nearly all of the allowed bias open still qualifies")
	}
}
