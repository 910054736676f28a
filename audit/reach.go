package audit

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/floats"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// reach is how what the readout does to its readings reaches a result: each part
// multiplies a limit of its own.
type reach struct {
	lost   float64    // share of the lost motion: 1/2, -1/2, or 0 read from both sides
	unsaid float64    // share of the lost motion that may be in it, the approach not being stated
	rim    float64    // degrees for a relative error of the rim's diameter
	wheel  complex128 // of an off-centre wheel
	table  []float64  // by the coefficients of the readout's correction; nil without one
}

func (r reach) plus(o reach, weight float64) reach {
	return reach{
		lost:   r.lost + weight*o.lost,
		unsaid: r.unsaid + math.Abs(weight)*o.unsaid,
		rim:    r.rim + weight*o.rim,
		wheel:  r.wheel + complex(weight, 0)*o.wheel,
		table:  sum(r.table, o.table, weight),
	}
}

// phase is how far round the wheel an angle is.
func phase(a geometry.Angle) complex128 { return cmplx.Rect(1, a.Radians()) }

func (r reach) over(n float64) reach {
	return reach{
		lost: r.lost / n, unsaid: r.unsaid / n, rim: r.rim / n, wheel: r.wheel / complex(n, 0),
		table: sum(nil, r.table, 1/n),
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

// product is aᵀCb.
func product(c [][]float64, a, b []float64) float64 {
	var v float64
	for i := range a {
		v += a[i] * floats.Dot(c[i], b)
	}
	return v
}

// Sources that audits of one part may share.
const (
	rowLost       = "lost motion"
	rowRim        = "rim diameter"
	rowCorrection = "readout's correction"
	rowRemount    = "remounting"
	rowPin        = "pin offset"
	rowBore       = "bore offset"
)

// readoutRows are what the readout does to an offset, or to the difference of
// two: the reach is then a difference too.
func (a *analysis) readoutRows(r reach) uncertainty.Budget {
	var rows uncertainty.Budget
	readout := a.sheet.Readout
	if e := readout.OffCentreLimit(); e > 0 {
		rows = append(rows, uncertainty.Row{
			Source: "wheel off centre", Evaluation: uncertainty.TypeB, Shape: uncertainty.Arcsine,
			Scale: e, DOF: math.Inf(1), Sensitivity: cmplx.Abs(r.wheel), Shared: true,
		})
	}
	if readout.HasLostMotion {
		rows = append(rows, limitRow(rowLost, readout.LostLimit, r.lost))
		if r.unsaid != 0 {
			most := geometry.Limit[geometry.Angle]{Half: readout.LostMotion.Abs() + readout.LostLimit.Half}
			rows = append(rows, limitRow("lost motion, approach not stated", most, r.unsaid))
		}
	}
	if a.table != nil && r.table != nil {
		rows = append(rows, a.tableRow(r.table))
	}
	if l := a.rimLimit(); l.Half > 0 {
		rows = append(rows, limitRow(rowRim, l, math.Abs(r.rim)))
	}
	return rows
}

// tableRow is what the covariance of the readout's correction does to a result
// that depends on its coefficients so.
func (a *analysis) tableRow(reach []float64) uncertainty.Row {
	c := a.table
	row := uncertainty.Row{
		Source: rowCorrection, Evaluation: uncertainty.TypeB, Shape: uncertainty.StudentT,
		Scale: geometry.Angle(math.Sqrt(math.Max(0, product(c.Covariance, reach, reach)))), DOF: math.Floor(c.DOF), Sensitivity: 1, Shared: true,
	}
	if math.IsInf(c.DOF, 1) {
		row.Shape = uncertainty.Normal
	}
	return row
}

// value is a reading as a true readout would have shown it.
func (a *analysis) value(r *sheet.Reading) geometry.Angle { return r.Value - a.table.Error(r.Value) }

// shown is what the readout shows where a true one shows an angle.
func (a *analysis) shown(at geometry.Angle) geometry.Angle {
	if a.table == nil {
		return at
	}
	r := at
	for range 4 { // each step leaves a hundredth of the last, the error's slope
		r = at + a.table.Error(r)
	}
	return r
}

// tableReach is how the correction of one reading reaches its crank angle.
func (a *analysis) tableReach(r *sheet.Reading) []float64 {
	if a.table == nil {
		return nil
	}
	return sum(nil, a.table.Terms(r.Value), -float64(a.sheet.Readout.Counts))
}

// pairReach is how the readout reaches the middle of a pair, the wheel left out.
func (a *analysis) pairReach(t sheet.Trial) reach {
	r := reach{rim: (a.stretch(t.Forward.Value) + a.stretch(t.Backward.Value)) / 2}
	if a.table != nil {
		r.table = sum(sum(nil, a.tableReach(t.Forward), 0.5), a.tableReach(t.Backward), 0.5)
	}
	return r
}

// rimLimit is the relative limit of the diameter where the rim is the readout.
func (a *analysis) rimLimit() geometry.Limit[geometry.Angle] {
	part := a.sheet.Part
	if a.sheet.Readout.Kind != sheet.Rim || part.Diameter == 0 {
		return geometry.Limit[geometry.Angle]{}
	}
	return geometry.Limit[geometry.Angle]{Half: geometry.Angle(part.DiameterLimit.Half / part.Diameter), K: part.DiameterLimit.K}
}

// stretch is how many degrees a reading of the rim shrinks by where the diameter
// is larger by its whole self, to first order: all of it along a tape, more of
// it across a chord. The reading counts from the chalk line, whole turns
// included.
func (a *analysis) stretch(reading geometry.Angle) float64 {
	if a.sheet.Readout.Kind != sheet.Rim || !a.sheet.Readout.Chord {
		return reading.Degrees()
	}
	turned := geometry.AngleFromRadians(2 * math.Tan(a.onPart(reading).Radians()/2))
	return a.ofCrank(turned).Degrees()
}

// onPart is the angle by which the part turns with the crank: half of it on a
// part that turns at half speed.
func (a *analysis) onPart(crank geometry.Angle) geometry.Angle {
	if a.sheet.Part.HalfSpeed {
		return crank / 2
	}
	return crank
}

// ofCrank is the angle by which the crank turns while the part turns.
func (a *analysis) ofCrank(part geometry.Angle) geometry.Angle {
	if a.sheet.Part.HalfSpeed {
		return 2 * part
	}
	return part
}

// round brings the crank angle between two places on the part to the nearer way
// round: within half a turn of the part.
func (a *analysis) round(crank geometry.Angle) geometry.Angle {
	return a.ofCrank(a.onPart(crank).Wrap())
}

// onwards brings the crank angle between two places on the part to the way round
// in the running direction: from zero to a turn of the part.
func (a *analysis) onwards(crank geometry.Angle) geometry.Angle {
	return a.ofCrank(a.onPart(crank).Turn())
}
