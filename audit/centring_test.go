package audit_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/crosscheck"
	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// spinner is a wheel turned on its shaft against a stop that stays: the tests'
// own, with the pointer's place on the graduations taken from an arc tangent
// (plane geometry).
type spinner struct {
	rng              *rand.Rand
	counts           float64
	e, psi, diameter float64 // mm, graduation, mm
	halfArc, sd      float64
	step             float64
	setups, trials   int
	turned           float64 // from setup to setup
}

func (w spinner) shows(reading float64) float64 {
	t := rad(reading - w.psi)
	reading += deg(math.Atan2(w.e*math.Sin(t), w.diameter/2+w.e*math.Cos(t)))
	if w.step > 0 {
		reading = math.Round(reading/w.step) * w.step
	}
	return reading
}

func (w spinner) sheet() sheet.Sheet {
	s := sheet.Sheet{
		Engine:  sheet.Engine{Turns: geometry.Clockwise},
		Part:    sheet.Part{MarksOn: sheet.OnPart},
		Readout: sheet.Readout{Step: geometry.Angle(math.Max(w.step, 1e-6)), Counts: geometry.Sense(w.counts), Diameter: geometry.Length(w.diameter)},
		Limits:  sheet.Limits{Confidence: 0.95, Placement: sheet.DefaultPlacement},
	}
	for i := range w.setups {
		setup := sheet.Setup{Name: fmt.Sprint(i + 1), Path: inputerror.Path(fmt.Sprintf("setups[%d]", i)), Fitting: "A", Marks: map[string][]sheet.Reading{}}
		zero := 17.3 + float64(i)*w.turned + 8*w.rng.Float64()
		for range w.trials {
			f := w.shows(zero + w.counts*(-w.halfArc+w.sd*w.rng.NormFloat64()))
			b := w.shows(zero + w.counts*(w.halfArc+w.sd*w.rng.NormFloat64()))
			setup.Trials = append(setup.Trials, sheet.Trial{
				Forward:  &sheet.Reading{Value: geometry.Angle(f), Approach: sheet.Forward},
				Backward: &sheet.Reading{Value: geometry.Angle(b), Approach: sheet.Backward},
			})
		}
		s.Setups = append(s.Setups, setup)
	}
	return s
}

func (w spinner) centring(t *testing.T) (crosscheck.Centring, audit.Result) {
	t.Helper()
	r, err := audit.Run(w.sheet())
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Checks.Arcs) != 1 {
		t.Fatalf("got %d centrings, want one", len(r.Checks.Arcs))
	}
	return r.Checks.Arcs[0], r
}

// Slid as the report says, the wheel keeps less than 2 % of its first harmonic;
// readings without scatter, exact geometry, either sense of counting.
func TestRecentringByTheStop(t *testing.T) {
	for _, counts := range []float64{1, -1} {
		for _, psi := range []float64{3, 118, 250.5} {
			w := spinner{rng: rand.New(rand.NewPCG(1, 2)), counts: counts, e: 1, psi: psi, diameter: 280, halfArc: 27.3, setups: 8, trials: 2, turned: 45}
			c, _ := w.centring(t)
			if !c.Fitted || !c.Seen || !c.Varies {
				t.Fatalf("counts %v, towards %v: %+v", counts, psi, c)
			}
			x := w.e*math.Cos(rad(psi)) - c.OffCentre.Millimetres()*math.Cos(c.Toward.Radians())
			y := w.e*math.Sin(rad(psi)) - c.OffCentre.Millimetres()*math.Sin(c.Toward.Radians())
			if left := math.Hypot(x, y) / w.e; left > 0.02 {
				t.Errorf("counts %v, towards %v: found %v towards %v, which leaves %.3f of it", counts, psi, c.OffCentre, c.Toward, left)
			}
		}
	}
}

// Three setups, or four that lie on one side, leave the first harmonic open.
func TestCentringNeedsTheRound(t *testing.T) {
	rng := testkit.Rand(t, 951)
	for _, w := range []spinner{{setups: 3, turned: 120}, {setups: 6, turned: 1}} {
		w.rng, w.counts, w.e, w.psi, w.diameter, w.halfArc, w.trials = rng, 1, 0.3, 40, 280, 25, 3
		if c, _ := w.centring(t); c.Fitted {
			t.Errorf("%d setups %v apart: fitted", w.setups, w.turned)
		}
	}
}

// What the first harmonic leaves has as many degrees of freedom as setups less
// three: the mean, the sine and the cosine are taken from the same arcs. With
// setups evenly round the wheel the fit is a sum of sines and cosines by hand.
func TestWhatTheHarmonicLeaves(t *testing.T) {
	for n, quantile := range map[int]float64{4: 12.706, 6: 3.182, 8: 2.571} { // Student's t, 2.5 % above, n - 3 (printed tables)
		w := spinner{rng: rand.New(rand.NewPCG(3, 4)), counts: 1, setups: n, trials: 2, halfArc: 25, diameter: 280}
		s := w.sheet()
		var arcs []float64
		var mean, cosine, sine float64
		for i := range s.Setups {
			at := float64(i) * 360 / float64(n)
			arc := 50 + 0.3*math.Cos(rad(at)) + 0.05*math.Cos(rad(2*at)) // what a second harmonic does to a stop's arc
			s.Setups[i].Trials = pairsAround(2, at, 0, arc/2)
			arcs = append(arcs, arc)
			mean += arc / float64(n)
			cosine += arc * math.Cos(rad(at)) * 2 / float64(n)
			sine += arc * math.Sin(rad(at)) * 2 / float64(n)
		}
		var left float64
		for i, arc := range arcs {
			at := rad(float64(i) * 360 / float64(n))
			d := arc - mean - cosine*math.Cos(at) - sine*math.Sin(at)
			left += d * d
		}
		left = math.Sqrt(left / float64(n-3))
		result, err := audit.Run(s)
		if err != nil {
			t.Fatal(err)
		}
		c := result.Checks.Arcs[0]
		if !c.Fitted || math.Abs(c.Left.Degrees()-left) > 1e-9 {
			t.Errorf("%d setups: got %.9f left, want %.9f", n, c.Left.Degrees(), left)
		}
		gain := 2 * math.Sin(rad(mean/2))
		if want := quantile * left * math.Sqrt(2/float64(n)) / gain; math.Abs(c.U.Degrees()/want-1) > 2e-4 {
			t.Errorf("%d setups: got ± %.6f, want %.6f", n, c.U.Degrees(), want)
		}
	}
}
