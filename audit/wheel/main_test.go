package wheel

import (
	"cmp"
	"flag"
	"math"
	"math/rand"
	"os"
	"strconv"
	"testing"

	"markaudit/geometry"
)

// TestMain gives the property tests a fixed seed, or that of MARKAUDIT_SEED.
func TestMain(m *testing.M) {
	flag.Parse()
	if seed := flag.Lookup("rapid.seed").Value; seed.String() == "0" {
		if err := seed.Set(cmp.Or(os.Getenv("MARKAUDIT_SEED"), "20261125")); err != nil {
			panic(err)
		}
	}
	m.Run()
}

// seeded is the chance of a test, with a seed of its own.
func seeded(t testing.TB, n int64) *rand.Rand {
	seed, err := strconv.ParseInt(cmp.Or(os.Getenv("MARKAUDIT_SEED"), "20261125"), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return rand.New(rand.NewSource(seed + n))
}

// displaced is what a wheel shows whose centre sits e towards its graduation psi
// from the shaft's, its pointer at the edge of the wheel; exact plane geometry in
// the wheel's own frame, with the shaft turned so that a perfect wheel would
// show g. It shares nothing with the estimator.
func displaced(g, e, rho, psi float64) float64 {
	const rad = math.Pi / 180
	// The shaft's centre is the origin, the wheel's centre lies at e towards psi,
	// the pointer lies in direction g and where the wheel's edge is there.
	cx, cy := e*math.Cos(psi*rad), e*math.Sin(psi*rad)
	ux, uy := math.Cos(g*rad), math.Sin(g*rad)
	along := cx*ux + cy*uy
	t := along + math.Sqrt(along*along-e*e+rho*rho)
	return math.Atan2(t*uy-cy, t*ux-cx) / rad
}

func run(t testing.TB, o Options, rows []Row) Result {
	t.Helper()
	r, err := audited(o, rows)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func audited(o Options, rows []Row) (Result, error) {
	var a Accumulator
	for _, row := range rows {
		a.Add(row)
	}
	return a.Audit(o)
}

func near(t *testing.T, what string, got, want geometry.Angle, within float64) {
	t.Helper()
	if !(math.Abs(float64(got-want)) <= within) {
		t.Errorf("%s: got %v, want %v to within %g", what, got, want, within)
	}
}

// nearDirection compares graduations round the circle.
func nearDirection(t *testing.T, what string, got, want geometry.Angle, within float64) {
	t.Helper()
	near(t, what, (got - want).Wrap(), 0, within)
}

func round(x, step float64) geometry.Angle { return geometry.Angle(math.Round(x/step) * step) }
