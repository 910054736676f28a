package audit

import (
	"math"

	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// repeats is what stands behind the rows that further readings can reduce. The
// rows now and the rows after further readings come from the same formulas.
type repeats struct {
	setups int
	step   geometry.Angle

	// One or two setups: scatter within them.
	stops    parts          // of the mean middle, a part for each method
	rounded  float64        // share of the mean TDC that rounds as the middle of two readings
	swept    float64        // share that rounds as the readings of a sweep
	line     geometry.Angle // standard deviation of one reading of the mark
	lineDOF  float64
	readings int
	perLine  float64 // variance of the mark's mean over that of one reading
	pooled   bool

	// Three or more setups: scatter between them.
	between geometry.Angle // standard deviation of the mark's offsets
	alike   bool           // zeroed alike: all setups round in the same place
}

// repeated is the scatter of one kind of middle and its weight in the mean.
type repeated struct {
	source string
	sd     geometry.Angle // standard deviation of one middle
	dof    float64        // of sd; zero: not known
	n      int            // middles
	per    float64        // variance of its part of the mean middle over sd²
	more   bool           // further pairs can be taken
}

type parts []repeated

// merge adds a part; middles with one pooled scatter make one part of it.
func (p parts) merge(r repeated) parts {
	for i := range p {
		if p[i].more && r.more && p[i].source == r.source {
			p[i].n, p[i].per = p[i].n+r.n, p[i].per+r.per
			return p
		}
	}
	return append(p, r)
}

// variance is that of the mean middle, from scatter.
func (p parts) variance() float64 {
	var v float64
	for _, r := range p {
		v += square(r.sd.Degrees()) * r.per
	}
	return v
}

// dof combines the degrees of freedom (Welch-Satterthwaite, JCGM 100, G.4.1);
// those of the part with the fewest where none scatters.
func (p parts) dof() float64 {
	fewest, over := p[0].dof, 0.0
	for _, r := range p {
		fewest = math.Min(fewest, r.dof)
		over += square(square(r.sd.Degrees())*r.per) / r.dof
	}
	if len(p) == 1 || over == 0 {
		return fewest
	}
	return square(p.variance()) / over
}

// enough is the number of setups from which the scatter between them is used.
const enough = 3

// known reports whether the readings hold the scatter that an interval needs.
func (r repeats) known() bool {
	return r.setups >= enough || r.stopKnown() && r.lineDOF > 0
}

// stopKnown reports whether every part of the mean middle has a scatter.
func (r repeats) stopKnown() bool {
	for _, p := range r.stops {
		if p.dof == 0 {
			return false
		}
	}
	return len(r.stops) > 0
}

// rows are the rows that more readings can change.
func (r repeats) rows() uncertainty.Budget {
	if r.setups >= enough {
		return r.setupRows()
	}
	return append(r.stopRows(), r.lineRows()...)
}

// stepAt is the rounding of one averaged quantity: rectangular for readings of
// one line, triangular for a middle, which halves the sum of two roundings.
func (r repeats) stepAt(source string, shape uncertainty.Shape, half geometry.Angle, shared bool) uncertainty.Row {
	return uncertainty.Row{
		Source: source, Evaluation: uncertainty.TypeB, Shape: shape,
		Scale: half, DOF: math.Inf(1), Sensitivity: 1, Shared: shared,
	}
}

const (
	stepAtTDC  = "step, at TDC"
	stepAtLine = "step, at the line"
)

// topSteps is the rounding of the mean TDC. Readings of a sweep that are evenly
// spaced by whole steps all round alike, which no residual shows, so that a sweep
// rounds as the readings of one line do.
func (r repeats) topSteps(half geometry.Angle) uncertainty.Budget {
	var rows uncertainty.Budget
	if r.rounded > 0 {
		rows = append(rows, r.stepAt(stepAtTDC, uncertainty.Triangular, half*geometry.Angle(r.rounded), true))
	}
	if r.swept > 0 {
		rows = append(rows, r.stepAt(stepAtTDC, uncertainty.Rectangular, half*geometry.Angle(r.swept), true))
	}
	return rows
}

func (r repeats) stopRows() uncertainty.Budget {
	steps := r.topSteps(r.step / 2)
	if !r.stopKnown() {
		return steps
	}
	var scatter uncertainty.Budget
	for _, p := range r.stops {
		scatter = append(scatter, uncertainty.Row{
			Source: p.source, Evaluation: uncertainty.TypeA, Shape: uncertainty.StudentT,
			Scale: p.sd * geometry.Angle(math.Sqrt(p.per)), N: p.n, DOF: p.dof, Sensitivity: 1, Shared: true,
		})
	}
	return larger(scatter, steps)
}

func (r repeats) lineRows() uncertainty.Budget {
	step := r.stepAt(stepAtLine, uncertainty.Rectangular, r.step/2, false)
	if r.lineDOF == 0 {
		return uncertainty.Budget{step}
	}
	source := "line readings"
	if r.pooled {
		source = "line readings, pooled"
	}
	scatter := uncertainty.Row{
		Source: source, Evaluation: uncertainty.TypeA, Shape: uncertainty.StudentT,
		Scale: r.line * geometry.Angle(math.Sqrt(r.perLine)), N: r.readings, DOF: r.lineDOF, Sensitivity: 1,
	}
	if r.lineDOF == 1 { // two readings that agree by luck must not choose
		step.Scale = r.step
		return uncertainty.Budget{scatter, step}
	}
	return larger(uncertainty.Budget{scatter}, uncertainty.Budget{step})
}

// larger keeps all rows in sight and idles the smaller kind; equal ones keep the
// scatter, to 1e-9, so that the last digit of a sum does not choose.
func larger(scatter, steps uncertainty.Budget) uncertainty.Budget {
	u, _ := scatter.Combined()
	step, _ := steps.Combined()
	idle := scatter
	if float64(u) >= float64(step)*(1-1e-9) {
		idle = steps
	}
	for i := range idle {
		idle[i].Idle = true
	}
	return append(scatter, steps...)
}

// setupRows treats the setups' offsets as the readings (JCGM 100, H.5). The
// step comes beside it: setups zeroed alike round alike.
func (r repeats) setupRows() uncertainty.Budget {
	k := r.setups
	rows := uncertainty.Budget{{
		Source: "setups against each other", Evaluation: uncertainty.TypeA, Shape: uncertainty.StudentT,
		Scale: r.between / geometry.Angle(math.Sqrt(float64(k))), N: k, DOF: float64(k - 1), Sensitivity: 1,
	}}
	half, times := r.step/(2*geometry.Angle(k)), k
	if r.alike {
		half, times = r.step/2, 1
	}
	for range times {
		rows = append(rows, r.stepAt(stepAtLine, uncertainty.Rectangular, half, false))
	}
	for range times {
		rows = append(rows, r.topSteps(half)...)
	}
	return rows
}

// further returns the repeats as they would be after more trials and readings
// in the setups at hand, or after more setups, the scatter staying as it is.
func (r repeats) further(trials, readings, setups int) repeats {
	if r.setups >= enough {
		r.setups += setups
		return r
	}
	if trials > 0 && r.stops[0].more {
		p := r.stops[0]
		p.n += trials
		p.dof += float64(trials)
		p.per = 1 / (1/p.per + float64(trials))
		r.stops = append(parts{p}, r.stops[1:]...)
	}
	if readings > 0 {
		r.readings += readings
		r.lineDOF += float64(readings)
		r.perLine = 1 / (1/r.perLine + float64(readings))
	}
	return r
}
