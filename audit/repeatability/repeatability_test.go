package repeatability

import (
	"math"
	"strconv"
	"testing"

	"markaudit/audit/internal/testkit"
	"markaudit/geometry"
)

// values makes a study of some columns of a reference file.
func values(t *testing.T, file, by, mark, value string, keep func(testkit.Record) bool) []Value {
	t.Helper()
	var out []Value
	trial := map[[2]string]int{}
	for _, r := range testkit.Reference(t, file) {
		if keep != nil && !keep(r) {
			continue
		}
		v := Value{By: r.Text(by), Mark: r.Text(mark), Value: geometry.Angle(r.Number(value))}
		key := [2]string{v.By, v.Mark}
		trial[key]++
		v.Trial = trial[key]
		out = append(out, v)
	}
	if len(out) == 0 {
		t.Fatalf("%s: nothing to test", file)
	}
	return out
}

// estimated fails the test unless the estimate is known and near.
func estimated(t *testing.T, what string, got Estimate, want, tolerance float64) {
	t.Helper()
	if !got.Known {
		t.Errorf("%s: not known, want %g", what, want)
	}
	testkit.Near(t, what, got.Value, want, tolerance)
}

func source(t *testing.T, r Result, name string) Source {
	t.Helper()
	for _, s := range r.Anova {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no row %s", name)
	return Source{}
}

// Measurement systems analysis reference manual of the automotive industry, 4th
// edition, analysis of variance of the 10 x 3 x 3 study. Printed are 4 to 6
// digits; those beyond were recomputed apart from this program.
func TestTenByThreeByThree(t *testing.T) {
	d := Data{Values: values(t, "study-10x3x3.csv", "appraiser", "part", "value", nil), Tolerance: 1}
	for _, c := range []struct {
		name                                          string
		pooling                                       Pooling
		pooled                                        bool
		fPeople, fMarks                               float64
		repeatability, reproducibility, person, marks float64
		categories                                    float64
	}{
		{"pooled by the rule, as printed", PoolAuto, true, 0, 0, 0.199933, 0.302373, 0.226838, 1.042327, 4.861},
		{"pooled by order", PoolAlways, true, 0, 0, 0.199933, 0.302373, 0.226838, 1.042327, 4.861},
		{"kept", PoolNever, false, 79.406, 492.291, 0.214435, 0.313217, 0.228304, 1.043395, 4.697},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := Analyse(d, c.pooling)
			if r.Method != Anova || r.Pooled != c.pooled {
				t.Errorf("method %v, pooled %v", r.Method, r.Pooled)
			}
			for _, s := range []struct {
				name            string
				dof, squares, f float64
			}{
				{"people", 2, 3.167262, 34.4401},
				{"marks", 9, 88.361934, 213.5171},
				{"interaction", 18, 0.358982, 0.43372},
				{"repeatability", 60, 2.758933, 0},
				{"total", 89, 94.647112, 0},
			} {
				got := source(t, r, s.name)
				if got.DOF != s.dof || math.Abs(got.Squares-s.squares) > 0.6e-6 {
					t.Errorf("%s: %g, %.7g, want %g, %.7g", s.name, got.DOF, got.Squares, s.dof, s.squares)
				}
				if s.f > 0 {
					estimated(t, s.name+", F within", got.FWithin, s.f, 1e-4)
				}
			}
			estimated(t, "interaction, chance", source(t, r, "interaction").P, 0.97411, 1e-5)
			if !c.pooled { // the other convention
				estimated(t, "people, F", source(t, r, "people").F, c.fPeople, 1e-3)
				estimated(t, "marks, F", source(t, r, "marks").F, c.fMarks, 1e-3)
			}
			estimated(t, "repeatability", r.Components.Repeatability, c.repeatability, 2e-6)
			estimated(t, "reproducibility", r.Components.Reproducibility, c.reproducibility, 2e-6)
			estimated(t, "people", r.Components.Person, c.person, 2e-6)
			estimated(t, "marks", r.Components.Mark, c.marks, 2e-6)
			estimated(t, "interaction", r.Components.Interaction, 0, 0)
			estimated(t, "categories", r.Categories, c.categories, 1e-3)
			estimated(t, "share", r.ShareOfTolerance, 3*c.reproducibility, 6e-6)
			// Printed averages 0.1903, 0.0683, -0.2543; of all 0.0014.
			for i, mean := range []float64{0.1903, 0.0683, -0.2543} {
				p := r.People[i]
				if math.Abs(p.Mean.Degrees()-mean) > 0.6e-4 {
					t.Errorf("%s: mean %g, want %g", p.By, p.Mean.Degrees(), mean)
				}
				estimated(t, p.By+", deviation", p.Deviation, mean-0.0014, 1.2e-4)
			}
		})
	}
}

// lme4 1.1.31 on R 4.2.2, by testdata/reference/reml.R: eight unbalanced
// studies, two with a component at zero. lme4's own minimum is good to some 1e-6
// of a standard deviation.
func TestREMLAgreesWithLme4(t *testing.T) {
	seen := 0
	for _, want := range testkit.Reference(t, "reml.csv") {
		seen++
		t.Run(want.Text("set"), func(t *testing.T) {
			r := Analyse(Data{Values: values(t, "reml-data.csv", "by", "mark", "value", func(r testkit.Record) bool { return r.Text("set") == want.Text("set") })}, PoolAuto)
			if r.Method != REML {
				t.Fatalf("method %v", r.Method)
			}
			for _, c := range []struct {
				column string
				got    Estimate
			}{
				{"person", r.Components.Person},
				{"mark", r.Components.Mark},
				{"interaction", r.Components.Interaction},
				{"repeatability", r.Components.Repeatability},
			} {
				if want.Text(c.column) == "" {
					if c.got.Known {
						t.Errorf("%s: got %g, want none", c.column, c.got.Value)
					}
					continue
				}
				estimated(t, c.column, c.got, want.Number(c.column), 2e-6)
			}
		})
	}
	if seen < 3 {
		t.Errorf("only %d sets", seen)
	}
}

// The criterion itself, at the variances that lme4 found.
func TestREMLCriterion(t *testing.T) {
	for _, want := range testkit.Reference(t, "reml.csv") {
		if want.Text("set") == "onemark" || want.Text("set") == "oneperson" || want.Text("set") == "singles" {
			continue
		}
		tab := tabulate(values(t, "reml-data.csv", "by", "mark", "value", func(r testkit.Record) bool { return r.Text("set") == want.Text("set") }))
		m := newModel(tab, [3]bool{true, true, true}, false)
		var v [4]float64
		for i, c := range []string{"person", "mark", "interaction", "repeatability"} {
			v[i] = math.Pow(want.Number(c), 2)
		}
		if got := m.criterion(v); math.Abs(got-want.Number("criterion")) > 1e-6 { // the printed sd have 12 digits, the criterion is flat there
			t.Errorf("%s: got %.9f, want %s", want.Text("set"), got, want.Text("criterion"))
		}
	}
}

// On balanced data with no component at zero REML is the analysis of variance
// (Searle, Casella and McCulloch, 4.8).
func TestREMLIsAnovaWhereBalanced(t *testing.T) {
	g := testkit.Rand(t, 3)
	var vs []Value
	for p := range 4 {
		person := 0.3 * g.NormFloat64()
		for m := range 5 {
			both := 0.2*g.NormFloat64() + person
			for k := range 3 {
				vs = append(vs, Value{strconv.Itoa(p), strconv.Itoa(m), geometry.Angle(float64(m) + both + 0.1*g.NormFloat64()), k + 1})
			}
		}
	}
	a := Analyse(Data{Values: vs}, PoolNever)
	var r Result
	reml(&r.Components, tabulate(vs))
	estimated(t, "person", r.Components.Person, a.Components.Person.Value, 1e-6)
	estimated(t, "mark", r.Components.Mark, a.Components.Mark.Value, 1e-6)
	estimated(t, "interaction", r.Components.Interaction, a.Components.Interaction.Value, 1e-6)
	estimated(t, "repeatability", r.Components.Repeatability, a.Components.Repeatability.Value, 1e-6)
	estimated(t, "reproducibility", r.Components.Reproducibility, a.Components.Reproducibility.Value, 1e-6)
	if e, f := r.Components.Repeatability, a.Components.Repeatability; math.Abs(e.Low/f.Low-1) > 1e-3 || math.Abs(e.High/f.High-1) > 1e-3 { // chi-square both, curvature good to 3e-5
		t.Errorf("repeatability %v, want %v", e, f)
	}
}

// NIST StRD, one-way analysis of variance: people at one mark. An offset of 1e6
// leaves 10.4 digits of F in the rounded data, 1e12 leaves 4.4.
func TestStRDOneWay(t *testing.T) {
	smls := func(base string, pairs int) (vs []Value) {
		for i, c := range []int{4, 3, 5, 3, 5, 3, 5, 3, 5} {
			add := func(tenth int) {
				v, _ := strconv.ParseFloat(base+"."+strconv.Itoa(tenth), 64)
				vs = append(vs, Value{strconv.Itoa(i), "y", geometry.Angle(v), len(vs) + 1})
			}
			add(c)
			for range pairs {
				add(c - 1)
				add(c + 1)
			}
		}
		return vs
	}
	sirstv := values(t, "strd-anova.csv", "treatment", "dataset", "response", func(r testkit.Record) bool { return r.Text("dataset") == "SiRstv" })
	for _, c := range []struct {
		name                string
		values              []Value
		f, residual, digits float64
	}{
		{"SiRstv", sirstv, 1.18046237440255, 0.104076068334656, 12},
		{"SmLs01", smls("1", 10), 21, 0.1, 12},
		{"SmLs04", smls("1000000", 10), 21, 0.1, 8.7},
		{"SmLs07", smls("1000000000000", 10), 21, 0.1, 3},
		{"SmLs09", smls("1000000000000", 1000), 2001, 0.1, 3},
	} {
		r := Analyse(Data{Values: c.values}, PoolAuto)
		tol := math.Pow(10, -c.digits)
		estimated(t, c.name+", F", source(t, r, "people").F, c.f, tol*c.f)
		estimated(t, c.name+", residual", r.Components.Repeatability, c.residual, tol)
	}
}

// ASTM E691, serum glucose. Materials A, D and E are firm; B and C are not the
// same in two public copies. h and k of A were computed apart from this program.
func TestGlucose(t *testing.T) {
	r := Analyse(Data{Values: values(t, "study-glucose.csv", "lab", "material", "value", nil), AsRead: true}, PoolAuto) // one value is far out, and published with the rest
	for i, c := range []struct {
		material              string
		mean, spread, own, of float64
	}{
		{"1", 41.5183, 0.6061, 1.0632, 1.0632},
		{"4", 194.7171, 2.5950, 2.6251, 3.3657},
		{"5", 294.4921, 2.6931, 3.9350, 4.1923},
	} {
		for _, l := range r.Marks {
			if l.Mark != c.material {
				continue
			}
			if math.Abs(l.Mean.Degrees()-c.mean) > 0.6e-4 {
				t.Errorf("material %s: mean %g, want %g", c.material, l.Mean, c.mean)
			}
			estimated(t, c.material+" s of means", l.SpreadOfMeans, c.spread, 0.6e-4)
			estimated(t, c.material+" s_r", l.Repeatability, c.own, 0.6e-4)
			estimated(t, c.material+" s_R", l.Reproducibility, c.of, 0.6e-4)
		}
		if i > 0 {
			continue
		}
		h := []float64{-0.39, -0.13, -0.11, -0.10, -0.09, 0.83, -1.75, 1.75}
		k := []float64{0.21, 0.46, 1.00, 1.70, 0.34, 1.32, 1.17, 0.77}
		for p, person := range r.People {
			estimated(t, "h", person.ByMark[0].H, h[p], 0.006)
			estimated(t, "k", person.ByMark[0].K, k[p], 0.006)
		}
	}
	// The suspect of the example: laboratory 4 at material C, h 2.14, k 2.41.
	estimated(t, "h of 4 at C", r.People[3].ByMark[2].H, 2.14, 0.006)
	estimated(t, "k of 4 at C", r.People[3].ByMark[2].K, 2.41, 0.006)
	estimated(t, "h at 1 %", r.H1, 2.06, 0.01)
}

// ISO 5725-2:1994, annex B, data and figures from memory: they agree with each
// other to every digit.
func TestISO5725Examples(t *testing.T) {
	sulfur := Analyse(Data{Values: values(t, "study-sulfur.csv", "lab", "level", "value", nil)}, PoolAuto)
	for i, c := range []struct{ mean, own, of float64 }{{0.690, 0.015, 0.026}, {1.252, 0.029, 0.061}, {1.667, 0.017, 0.035}, {3.250, 0.026, 0.058}} {
		l := sulfur.Marks[i]
		if math.Abs(l.Mean.Degrees()-c.mean) > 0.6e-3 {
			t.Errorf("level %d: mean %g, want %g", i+1, l.Mean.Degrees(), c.mean)
		}
		estimated(t, "s_r", l.Repeatability, c.own, 0.6e-3)
		estimated(t, "s_R", l.Reproducibility, c.of, 0.6e-3)
	}
	pitch := Analyse(Data{Values: values(t, "study-pitch.csv", "lab", "level", "value", func(r testkit.Record) bool { return r.Text("lab") != "5" || r.Text("level") != "2" })}, PoolAuto)
	for i, c := range []struct {
		mean, own, of, cochran float64
		by                     string
	}{{88.40, 1.109, 1.670, 0.391, "16"}, {96.27, 0.925, 1.597, 0.424, "3"}} {
		l := pitch.Marks[i]
		if math.Abs(l.Mean.Degrees()-c.mean) > 0.6e-2 {
			t.Errorf("level %d: mean %g, want %g", i+1, l.Mean.Degrees(), c.mean)
		}
		estimated(t, "s_r", l.Repeatability, c.own, 0.6e-3)
		estimated(t, "s_R", l.Reproducibility, c.of, 0.6e-3)
		estimated(t, "C", l.Cochran, c.cochran, 0.6e-3)
		estimated(t, "C at 5 %", l.CochranCritical, 0.471, 0.6e-3)
		if l.CochranBy != c.by {
			t.Errorf("level %d: largest variance of %s, want %s", i+1, l.CochranBy, c.by)
		}
	}
}
