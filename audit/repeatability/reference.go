package repeatability

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/uncertainty"
)

// reference holds everybody against what is known of the marks. A person's bias is
// the mean, over the marks that are known and were measured, of the own mean less
// the known value; that of the class the mean of its people, with a t row of their
// scatter. What is known has a normal row of its own, U/2 in the root mean square
// over the marks: one reference for all of them, as one bench gives.
func reference(r Result, t *table) *Reference {
	known := map[string]Known{} // only looked up
	squares := 0.0
	for _, k := range r.Data.Known {
		known[k.Mark] = k
		squares += square(k.Expanded.Degrees() / 2)
	}
	if len(known) == 0 {
		return nil
	}
	normal := uncertainty.Term{Shape: uncertainty.Normal, Scale: math.Sqrt(squares / float64(len(known)))}
	base := r.Data.Values[0].Value
	out := &Reference{People: make([]Estimate, len(t.people))}
	var biases []float64
	for p := range t.people {
		var off, variance, marks float64
		for m, name := range t.marks {
			k, ok := known[name]
			c := t.cell(p, m)
			if !ok || c == nil {
				continue
			}
			off += base.Degrees() + c.mean - k.Value.Degrees()
			marks++
			if sd := r.People[p].SD; sd.Known {
				variance += sd.Value * sd.Value / c.n()
			}
		}
		if marks == 0 {
			continue
		}
		off /= marks
		biases = append(biases, off)
		out.People[p] = know(off)
		if dof := r.People[p].DOF; dof > 0 {
			half := uncertainty.NewSum([]uncertainty.Term{{Shape: uncertainty.StudentT, Scale: math.Sqrt(variance) / marks, DOF: dof}, normal}).HalfWidth(Confidence)
			out.People[p] = bounded(off, off-half, off+half)
		}
	}
	if len(biases) == 0 {
		return nil
	}
	mean, sd := stats.MeanStdDev(biases)
	out.Bias = know(mean)
	if n := float64(len(biases)); n > 1 {
		half := uncertainty.NewSum([]uncertainty.Term{{Shape: uncertainty.StudentT, Scale: sd / math.Sqrt(n), DOF: n - 1}, normal}).HalfWidth(Confidence)
		out.Bias = bounded(mean, mean-half, mean+half)
	}
	out.OfMark = biasOfMark(r.Components, t)
	return out
}

// biasOfMark is A·s_R with A = 1.96 √((n(γ² - 1) + 1)/(γ² p n)), γ = s_R/s_r, of p people
// with n values each (ISO 5725-4:2020, 5.7; from memory). Where numbers of values
// differ, n is their mean.
func biasOfMark(c Components, t *table) Estimate {
	within, all := c.Repeatability, c.Reproducibility
	if !within.Known || !all.Known || within.Value <= 0 || len(t.people) < 2 {
		return Estimate{}
	}
	p, n := float64(len(t.people)), float64(t.values)/float64(len(t.cells))
	gamma2 := max(1, square(all.Value/within.Value))
	return know(1.96 * math.Sqrt((n*(gamma2-1)+1)/(gamma2*p*n)) * max(all.Value, within.Value))
}
