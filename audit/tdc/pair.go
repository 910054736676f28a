package tdc

import (
	"math"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// nearest is the turn of an angle that comes nearest to another.
func nearest(angle, to geometry.Angle) geometry.Angle { return stats.Nearest(angle, to) }

// settle takes the means and scatters of a setup's trials.
func (in input) settle(found *reached) {
	found.Middle = stats.MeanAngle(found.Middles)
	if ss, d := stats.Spread(found.Middles); d > 0 {
		found.MiddleSD = geometry.Angle(math.Sqrt(ss / d))
		ss, d = stats.Spread(found.HalfArcs)
		found.HalfArcSD = geometry.Angle(math.Sqrt(ss / d))
	}
	found.Reading = in.topReading(found.Middle, found.Correction)
}

// topReading returns what the readout shows when the piston is highest.
func (in input) topReading(middle, correction geometry.Angle) geometry.Angle {
	return in.readout.Shown(middle - in.readout.Counts()*correction).Turn()
}

// correction returns what pin and bore offset do to the middle of a half arc; a
// geometry that cannot reach it is the sheet's fault.
func (in input) correction(at inputerror.Path, halfArc geometry.Angle) (geometry.Angle, inputerror.List) {
	if !in.hasCrank || in.crank.Offset == 0 {
		return 0, nil
	}
	beta, err := in.crank.MidCorrection(halfArc)
	if err != nil {
		return 0, inputerror.List{{Path: at, Text: err.Error(), Hint: "check engine.stroke, engine.rod and the offsets"}}
	}
	return beta, nil
}

// scattered is the fault of middles that no mean stands for.
func scattered(at inputerror.Path) inputerror.List {
	return inputerror.List{{
		Path: at, Text: "the middles of the pairs lie all round the circle, expected them within a few degrees of each other",
		Hint: "press no zero between pairs; begin a new setup after one",
	}}
}
