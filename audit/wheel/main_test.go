package wheel

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

func TestMain(m *testing.M) { testkit.Main(m) }

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

func run(t testing.TB, o Options, rows []sheet.TableRow) Result {
	t.Helper()
	r, err := audited(o, rows)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func audited(o Options, rows []sheet.TableRow) (Result, error) {
	var a Accumulator
	for _, row := range rows {
		a.Add(row)
	}
	return a.Audit(o)
}

// nearDirection compares graduations round the circle.
func nearDirection(t *testing.T, what string, got, want geometry.Angle, within float64) {
	t.Helper()
	testkit.Near(t, what, (got - want).Wrap(), 0, within)
}

func round(x, step float64) geometry.Angle { return geometry.Angle(math.Round(x/step) * step) }
