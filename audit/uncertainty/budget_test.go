package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"markaudit/audit/internal/stats"
	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// endGauge is the budget of JCGM 100:2008, H.1, in nanometres where a budget
// of marks has degrees: scales of single sources, degrees of freedom beside
// each. The two rectangular rows have the degrees of freedom of H.1.6.
func endGauge() Budget {
	return Budget{
		{Shape: StudentT, Scale: 25, DOF: 18, Sensitivity: 1},
		{Shape: StudentT, Scale: geometry.Angle(13 / math.Sqrt(5)), N: 5, DOF: 24, Sensitivity: 1},
		{Shape: StudentT, Scale: 3.9, DOF: 5, Sensitivity: 1},
		{Shape: StudentT, Scale: geometry.Angle(20. / 3), DOF: 8, Sensitivity: 1},
		{Shape: Rectangular, Scale: 1e-6, DOF: 50, Sensitivity: -50000623 * -0.1},
		{Shape: Rectangular, Scale: 0.05, DOF: 2, Sensitivity: -50000623 * 11.5e-6},
		{Shape: Normal, Scale: 1000, DOF: Known(), Sensitivity: 1, Idle: true},
	}
}

// JCGM 100:2008, H.1: u_c = 32 nm, 16 degrees of freedom after 16.7, U99 = 93 nm
// from the rounded u_c (92.5 from the unrounded one).
func TestEndGaugeBudget(t *testing.T) {
	b := endGauge()
	u, dof := b.Combined()
	if !(math.Abs(float64(u)-32) <= 0.5) || !(math.Abs(float64(u)-31.66) <= 0.01) {
		t.Errorf("u_c: got %.3f nm, want 32 (31.66)", float64(u))
	}
	if !(math.Abs(float64(dof)-16.7) <= 0.1) {
		t.Errorf("effective degrees of freedom: got %.3f, want 16.7", dof)
	}
	k := -stats.TQuantile(0.005, math.Floor(float64(dof)))
	if !(math.Abs(k-2.92) <= 0.005) {
		t.Errorf("k: got %.4f, want 2.92", k)
	}
	if U := k * math.Round(float64(u)); !(math.Abs(U-93) <= 0.5) {
		t.Errorf("U99: got %.2f nm, want 93", U)
	}
	for i, want := range []float64{25, 5.8, 3.9, 6.7, 2.9, 16.6, 0} { // printed contributions
		if got := float64(b[i].Standard()); !(math.Abs(got-want) <= 0.06) {
			t.Errorf("row %d: got %.2f nm, want %.1f", i, got, want)
		}
	}
	if n := len(b.Terms()); n != 6 {
		t.Errorf("%d rows take part, want 6", n)
	}
}

// JCGM 100:2008, G.4.1 (inputs from memory of the guide, consistent with each
// other): a product of three means, in per cent: u_c = 1.03, 19.0 effective
// degrees of freedom, U95 = 2.2.
func TestEffectiveDegreesOfFreedom(t *testing.T) {
	row := func(u float64, dof DOF) Row {
		return Row{Shape: StudentT, Scale: geometry.Angle(u), DOF: dof, Sensitivity: 1}
	}
	b := Budget{row(0.25, 9), row(0.57, 4), row(0.82, 14)}
	u, dof := b.Combined()
	if !(math.Abs(float64(u)-1.03) <= 0.005) || !(math.Abs(float64(dof)-19.0) <= 0.05) {
		t.Errorf("got %.4f with %.3f, want 1.03 with 19.0", float64(u), dof)
	}
	if U := -stats.TQuantile(0.025, 19) * float64(u); !(math.Abs(U-2.2) <= 0.05) {
		t.Errorf("U95: got %.3f, want 2.2", U)
	}
	if u, dof := (Budget{{Shape: Rectangular, Scale: 3, DOF: Known(), Sensitivity: -1}}).Combined(); !(math.Abs(float64(u)-math.Sqrt(3)) <= 1e-15) || !dof.Infinite() {
		t.Errorf("one limit: got %g with %g", float64(u), dof)
	}
}

func TestShares(t *testing.T) {
	b := endGauge()
	u, _ := b.Combined()
	for i, share := range b.Shares() {
		s := float64(b[i].Standard())
		if want := s * s / float64(u*u); !(math.Abs(share-want) <= 1e-15) {
			t.Errorf("row %d: got %g, want %g", i, share, want)
		}
	}
	for _, zero := range []Budget{nil, {{Shape: Normal, Sensitivity: 1}}, {{Shape: Normal, Scale: 1, Sensitivity: 1, Idle: true}}} {
		for _, share := range zero.Shares() {
			if share != 0 {
				t.Errorf("no uncertainty, but a share of %g", share)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		var b Budget
		for range rapid.IntRange(1, 9).Draw(t, "rows") {
			term := anyTerm(t)
			b = append(b, Row{Shape: term.Shape, Scale: geometry.Angle(term.Scale), DOF: DOF(term.DOF), Sensitivity: rapid.Float64Range(-2, 2).Draw(t, "sensitivity")})
		}
		var sum float64
		for _, share := range b.Shares() {
			sum += share
		}
		if u, _ := b.Combined(); u > 0 && !(math.Abs(sum-1) <= 1e-12) {
			t.Fatalf("shares add up to %g", sum)
		}
	})
}

// JCGM 100:2008, H.2: three results of the same correlated inputs, which are one
// input of three coordinates here: combined uncertainties and the correlation of
// the results must come out.
func TestResultsOfSharedRowsCorrelate(t *testing.T) {
	var x [3][]float64
	for _, r := range testkit.Reference(t, "gum-h2.csv") {
		line := r.Texts()
		for i := range x {
			x[i] = append(x[i], number(t, line[i]))
		}
	}
	var mean [3]float64
	covariance := mat.NewSymDense(3, nil) // of the means
	for i := range x {
		mean[i] = stat.Mean(x[i], nil)
		for j := range i + 1 {
			covariance.SetSym(i, j, stat.Covariance(x[i], x[j], nil)/float64(len(x[i])))
		}
	}
	inputs := Input{ID: ID{Source: Correction, Of: "the three means"}, Shape: Normal, Scale: 1, DOF: Known()}
	for i := range 3 {
		inputs.Covariance = append(inputs.Covariance, []float64{covariance.At(i, 0), covariance.At(i, 1), covariance.At(i, 2)})
	}

	v, i, phi := mean[0], mean[1]/1000, mean[2]
	sin, cos := math.Sincos(phi)
	results := []struct {
		name     string
		gradient [3]float64 // by V, by I in mA, by phi
		u        float64
	}{
		{"R", [3]float64{cos / i, -v * cos / (i * i) / 1000, -v * sin / i}, 0.071},
		{"X", [3]float64{sin / i, -v * sin / (i * i) / 1000, v * cos / i}, 0.295},
		{"Z", [3]float64{1 / i, -v / (i * i) / 1000, 0}, 0.236},
	}
	combined := make([]Combination, len(results))
	u := make([]float64, len(results))
	for k, r := range results {
		combined[k].Inputs = []Contribution{{Input: inputs, Sensitivity: r.gradient[:]}}
		e, _ := combined[k].Evaluate(0.95)
		if u[k] = float64(e.Standard); !(math.Abs(u[k]-r.u) <= 1e-3) { // the printed digit
			t.Errorf("u(%s): got %.4f, want %.3f", r.name, u[k], r.u)
		}
	}
	for _, c := range []struct {
		a, b int
		want float64
	}{{0, 1, -0.588}, {0, 2, -0.485}, {1, 2, 0.993}} {
		if got := Covariance(combined[c.a], combined[c.b]) / (u[c.a] * u[c.b]); !(math.Abs(got-c.want) <= 5e-4) { // half a unit of the last printed digit
			t.Errorf("r(%s, %s): got %.4f, want %.3f", results[c.a].name, results[c.b].name, got, c.want)
		}
	}
}

// Effective degrees of freedom that no readings show come of a scatter that is next to
// nothing: then the doubt is known, and not known on 8e53 degrees of freedom.
func TestManyDegreesOfFreedomAreNone(t *testing.T) {
	rows := Budget{
		{Source: StopContacts, Shape: StudentT, Scale: 1e-15, DOF: 2, Sensitivity: 1},
		{Source: StepAtLine, Shape: Rectangular, Scale: 0.05, DOF: Known(), Sensitivity: 1},
	}
	if _, dof := rows.Combined(); !dof.Infinite() {
		t.Errorf("got %v, want none", dof)
	}
	rows[0].Scale = 0.01 // a share of 0.107: 2/0.107² = 174
	if _, dof := rows.Combined(); !(math.Abs(float64(dof)-174.2) <= 0.1) {
		t.Errorf("got %v, want 174.2", dof)
	}
}
