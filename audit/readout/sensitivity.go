package readout

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/floats"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Sensitivity has the sensitivity coefficients (JCGM 100, 5.1.3) of a result, in
// the running direction, to each error of the readout.
type Sensitivity struct {
	Lost   float64    // to the lost motion: 1/2, -1/2, or 0 read from both sides
	Unsaid float64    // to the lost motion where the approach is not stated
	Rim    float64    // degrees for a relative error of the rim's diameter
	Wheel  complex128 // to the two components of a wheel off centre
	Table  []float64  // to the coefficients of the correction; nil without one
}

// Plus adds another result's sensitivities by weight.
func (s Sensitivity) Plus(o Sensitivity, weight float64) Sensitivity {
	return Sensitivity{
		Lost:   s.Lost + weight*o.Lost,
		Unsaid: s.Unsaid + weight*o.Unsaid,
		Rim:    s.Rim + weight*o.Rim,
		Wheel:  s.Wheel + complex(weight, 0)*o.Wheel,
		Table:  sum(s.Table, o.Table, weight),
	}
}

// Over divides by n.
func (s Sensitivity) Over(n float64) Sensitivity {
	return Sensitivity{
		Lost: s.Lost / n, Unsaid: s.Unsaid / n, Rim: s.Rim / n, Wheel: s.Wheel / complex(n, 0),
		Table: sum(nil, s.Table, 1/n),
	}
}

// sum is a + weight·b, where nil stands for nothing.
func sum(a, b []float64, weight float64) []float64 {
	if b == nil {
		return a
	}
	out := make([]float64, len(b))
	copy(out, a)
	floats.AddScaled(out, weight, b)
	return out
}

// Phase is how far round the wheel an angle is.
func Phase(a geometry.Angle) complex128 { return cmplx.Rect(1, a.Radians()) }

// Inputs are the errors of the readout with their sensitivities. Results of one
// sheet share them.
func (r Readout) Inputs(s Sensitivity) []uncertainty.Contribution {
	out := make([]uncertainty.Contribution, 0, 4)
	of := r.of.Name
	if e := r.of.OffCentreLimit(); e > 0 {
		out = append(out, uncertainty.Contribution{
			Input:       uncertainty.Input{ID: uncertainty.ID{Source: uncertainty.OffCentre, Of: of}, Shape: uncertainty.Arcsine, Scale: e.Degrees()},
			Sensitivity: []float64{real(s.Wheel), imag(s.Wheel)},
		})
	}
	if r.of.HasLostMotion {
		out = append(out, uncertainty.By(r.LostMotionInput(), s.Lost))
		if s.Unsaid != 0 {
			most := geometry.Limit[geometry.Angle]{Half: r.of.LostMotion.Abs() + r.of.LostLimit.Half}
			out = append(out, uncertainty.By(uncertainty.Limited(uncertainty.LostMotionUnsaid, of, most), s.Unsaid))
		}
	}
	if r.table != nil && s.Table != nil {
		shape := uncertainty.StudentT
		if math.IsInf(r.table.DOF, 1) {
			shape = uncertainty.Normal
		}
		out = append(out, uncertainty.Contribution{
			Input: uncertainty.Input{
				ID: uncertainty.ID{Source: uncertainty.Correction, Of: r.table.Name}, Shape: shape, Scale: 1,
				Covariance: r.table.Covariance, DOF: uncertainty.DOF(r.table.DOF),
			},
			Sensitivity: s.Table,
		})
	}
	// What the correction was made against errs in harmonics too; the first is taken
	// for all, as for a wheel off centre.
	if e := r.of.Correction.ReferenceLimit(); e > 0 {
		out = append(out, uncertainty.Contribution{
			Input:       uncertainty.Input{ID: uncertainty.ID{Source: uncertainty.ReadoutReference, Of: r.of.Name}, Shape: uncertainty.Arcsine, Scale: e.Degrees()},
			Sensitivity: []float64{real(s.Wheel), imag(s.Wheel)},
		})
	}
	if l := r.RimLimit(); l.Half > 0 {
		out = append(out, uncertainty.By(uncertainty.Limited(uncertainty.RimDiameter, "part", l), s.Rim))
	}
	return out
}

// LostMotionInput is the doubt of the stated lost motion.
func (r Readout) LostMotionInput() uncertainty.Input {
	return uncertainty.Limited(uncertainty.LostMotion, r.of.Name, r.of.LostLimit)
}

// coefficients are the sensitivities of one reading, in the running direction, to
// the coefficients of the correction.
func (r Readout) coefficients(reading *sheet.Reading) []float64 {
	if r.table == nil {
		return nil
	}
	return sum(nil, r.table.Terms(reading.Value), -float64(r.of.Counts))
}
