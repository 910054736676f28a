package diagnosis

import (
	"math"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

func TestMain(m *testing.M) { testkit.MainOfQuick(m) }

// bench is evidence of one mounting, or several: offsets in degrees, u 0.1 for
// every line, tolerance 1, each verdict proven that the offset's size allows.
func bench(setups ...[]float64) Evidence {
	e := Evidence{DecideAt: 0.95, QuarterTurn: true, Counts: geometry.CountsUp, Scatter: Scatter{Line: 0.07, Middle: 0.07, LineDOF: 10, MiddleDOF: 10}}
	p := len(setups[0])
	for range p {
		e.Lines = append(e.Lines, Line{Early: 1, Late: 1, Known: true, U: 0.2})
	}
	for _, s := range setups {
		row, own := make([]geometry.Angle, p), make([]geometry.Angle, p)
		for j, d := range s {
			row[j], own[j] = geometry.Angle(d), 0.06
		}
		e.Offset, e.Own = append(e.Offset, row), append(e.Own, own)
		// With 0.06 of the line itself 0.1 in all, also of a mean over setups.
		e.TDC = append(e.TDC, geometry.Angle(math.Sqrt(0.01*float64(len(setups))-0.0036)))
		e.Shows = append(e.Shows, 12.3)
	}
	e.prove()
	return e
}

// prove sets the probabilities that go with the mean offsets: normal, with half
// of U as standard deviation.
func (e *Evidence) prove() {
	w := newWeigher(e, nil)
	for j := range e.Lines {
		l := &e.Lines[j]
		sd := l.U.Degrees() / 2
		below := func(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }
		l.TooLate = below((w.mean[j] - l.Late.Degrees()) / sd)
		l.TooEarly = below((-l.Early.Degrees() - w.mean[j]) / sd)
		l.Conforms = 1 - l.TooLate - l.TooEarly
	}
}

func (e *Evidence) closing(value, sd, dof float64) {
	e.Pairs = append(e.Pairs, Pair{Kind: Closing, Value: geometry.Angle(value), SD: geometry.Angle(sd), DOF: dof, AfterLines: true})
}

func (e *Evidence) on(parts ...string) {
	for j, p := range parts {
		e.Lines[j].On = p
	}
}

func (e *Evidence) at(angles ...float64) {
	for j, a := range angles {
		e.Lines[j].At = geometry.Angle(a)
	}
}

// surprise of the best claim of a code, +Inf without one.
func surprise(e Evidence, code Code) float64 {
	return surpriseBy(e, code, math.NaN())
}

// surpriseBy is that of the best claim with one shift, NaN being any.
func surpriseBy(e Evidence, code Code, shift float64) float64 {
	w := newWeigher(&e, nil)
	w.skipAt = math.Inf(1)
	least := math.Inf(1)
	for _, x := range explanations {
		if x.code != code {
			continue
		}
		for _, c := range x.propose(w, x.price) {
			if one, ok := w.weigh(c); ok && (isNaN(shift) || math.Abs(c.shift-shift) < 1e-9) {
				least = math.Min(least, one.Surprise)
			}
		}
	}
	return least
}

// close fails the test unless got is want, give or take the tolerance.
func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g", what, got, want)
	}
}
