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
	stop     geometry.Angle // standard deviation of one middle
	stopDOF  float64
	trials   int
	perStop  float64        // variance of the mean middle over that of one middle
	line     geometry.Angle // standard deviation of one reading of the mark
	lineDOF  float64
	readings int
	perLine  float64 // variance of the mark's mean over that of one reading
	pooled   bool

	// Three or more setups: scatter between them.
	between geometry.Angle // standard deviation of the mark's offsets
	alike   bool           // zeroed alike: all setups round in the same place
}

// enough is the number of setups from which the scatter between them is used.
const enough = 3

// known reports whether the readings hold the scatter that an interval needs.
func (r repeats) known() bool {
	return r.setups >= enough || r.stopDOF > 0 && r.lineDOF > 0
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

func (r repeats) stopRows() uncertainty.Budget {
	step := r.stepAt(stepAtTDC, uncertainty.Triangular, r.step/2, true)
	if r.stopDOF == 0 {
		return uncertainty.Budget{step}
	}
	scatter := uncertainty.Row{
		Source: "stop contacts", Evaluation: uncertainty.TypeA, Shape: uncertainty.StudentT,
		Scale: r.stop * geometry.Angle(math.Sqrt(r.perStop)), N: r.trials, DOF: r.stopDOF, Sensitivity: 1, Shared: true,
	}
	return larger(scatter, step)
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
	return larger(scatter, step)
}

// larger keeps both rows in sight and idles the smaller; equal ones keep the
// scatter, to 1e-9, so that the last digit of a sum does not choose.
func larger(scatter, step uncertainty.Row) uncertainty.Budget {
	a, b := float64(scatter.Standard()), float64(step.Standard())
	if a >= b*(1-1e-9) {
		step.Idle = true
	} else {
		scatter.Idle = true
	}
	return uncertainty.Budget{scatter, step}
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
		rows = append(rows, r.stepAt(stepAtTDC, uncertainty.Triangular, half, true))
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
	if trials > 0 {
		r.trials += trials
		r.stopDOF += float64(trials)
		r.perStop = 1 / (1/r.perStop + float64(trials))
	}
	if readings > 0 {
		r.readings += readings
		r.lineDOF += float64(readings)
		r.perLine = 1 / (1/r.perLine + float64(readings))
	}
	return r
}
