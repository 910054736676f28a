package audit_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"markaudit/audit/sheet"
	"markaudit/audit/warning"
)

// A reading rounded to a step d lies anywhere within half of it either way, which
// has a standard deviation of d/√12 (JCGM 100, F.2.2.1). The middle of two such
// readings has one of d/√24.
func TestRoundingOfAMiddleAndOfALine(t *testing.T) {
	const step = 0.5
	s := handSheet(0)
	s.Readout.Step = step
	s.Setups[0].Trials, s.Setups[0].Marks["line 1"] = pairsAround(4, 47, 0, 25), readings(sheet.Forward, 47, 47, 47, 47)
	m := audited(t, s).ByLine()[0]
	for source, want := range map[string]float64{"step, at TDC": step / math.Sqrt(24), "step, at the line": step / math.Sqrt(12)} {
		row := oneRow(t, m, source)
		if got := row.Standard().Degrees(); math.Abs(got-want) > 1e-12 || row.Idle {
			t.Errorf("%s: got %.9f, want %.9f", source, got, want)
		}
	}
	if got, want := m.Offset.Standard.Degrees(), step/math.Sqrt(8); math.Abs(got-want) > 1e-12 {
		t.Errorf("got a standard uncertainty of %.9f for both, want %.9f", got, want)
	}
}

// Half arcs that scatter more than the middles do say that the stop gave. Where
// all middles read alike, rounding is what a middle may scatter by, d/√24: the
// half arcs then jump from F times its square on, F with as many degrees of
// freedom for either.
func TestHalfArcsAreHeldAgainstRounding(t *testing.T) {
	const step = 0.1
	const n = 6
	f := distuv.F{D1: n - 1, D2: n - 1}.Quantile(0.99)
	for _, c := range []struct {
		times float64
		jumps bool
	}{{0.95, false}, {1.05, true}} {
		s := handSheet(0)
		s.Readout.Step = step
		sd := c.times * math.Sqrt(f) * step / math.Sqrt(24)
		var contacts []float64
		for _, h := range around(n, 25, sd) {
			contacts = append(contacts, 47-h, 47+h)
		}
		s.Setups[0].Trials = trials(contacts...)
		if _, said := values(audited(t, s), warning.HalfArcJumps); said != c.jumps {
			t.Errorf("half arcs at %v of what rounding explains: got said %v, want %v", c.times, said, c.jumps)
		}
	}
}

// Two setups whose readings all agree within themselves still round: a line by
// d²/12, a mean TDC by d²/24. Remounting adds 0.1 where nothing is stated, and of
// two values half their variance is free. That the lines are as measured surprises
// by the setups' deviation from their mean, known to six degrees of freedom, and
// by a line that is off by half of what they differ, 2 ln(1 + m²/(0.5² + u²)). A
// readout that moved by x in one of them leaves nothing over: 4 + 2 ln(1 +
// (x/10)²). Six more refutes.
func TestTwoSetupsAreHeldAgainstRounding(t *testing.T) {
	const step = 0.5
	middle, line := step*step/24, step*step/12
	apart := bisect(0.3, 3, func(a float64) float64 {
		z := a / 2 / math.Sqrt((middle+line+0.1*0.1)/2)
		u2 := (middle + line) / 2
		measured := 7*math.Log(1+z*z/6) + 2*math.Log(1+a*a/4/(0.5*0.5+u2))
		return measured - (4 + 2*math.Log(1+a*a/100)) - 6
	})
	for _, c := range []struct {
		times  float64
		differ bool
	}{{0.97, false}, {1.03, true}, {-0.97, false}, {-1.03, true}} {
		s := handSheet(0)
		s.Readout.Step = step
		second := sheet.Setup{Name: "2", Path: "setups[1]"}
		s.Setups = append(s.Setups, second)
		for i := range s.Setups {
			at := []float64{47, 47 + c.times*apart}[i]
			s.Setups[i].Trials = pairsAround(5, 47, 0, 25)
			s.Setups[i].Marks = map[string][]sheet.Reading{"line 1": readings(sheet.Forward, at, at, at)}
		}
		result := audited(t, s)
		v, said := values(result, warning.SetupsDiffer)
		if said != c.differ || result.Diagnosis.SetupsDiffer() != c.differ {
			t.Errorf("setups apart by %v of what rounding explains: got said %v, want %v", c.times, said, c.differ)
		}
		if said && math.Abs(v[0]-c.times*apart) > 1e-9 {
			t.Errorf("got setups apart by %v, want %v", v[0], c.times*apart)
		}
	}
}
