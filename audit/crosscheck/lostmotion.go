package crosscheck

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// lostMotion reports what lines read from both sides say of the lost motion. It
// corrects nothing: the person decides, with a line for the sheet.
func lostMotion(in input, c *Checks) {
	var weight, sum float64
	dof := math.Inf(1)
	for _, l := range in.lines {
		for _, s := range l.Seen {
			if len(s.Forward) == 0 || len(s.Backward) == 0 || l.Scatter.DOF == 0 {
				continue
			}
			per := 4 * s.PerLine // of the difference of the side means
			v := math.Max(stats.Square(l.Scatter.SD.Degrees())*per, stats.Square(in.readout.Step().Degrees())/6)
			b := in.readout.Counts() * (stats.MeanAngle(s.Backward) - stats.MeanAngle(s.Forward))
			weight += 1 / v
			sum += b.Degrees() / v
			dof = math.Min(dof, l.Scatter.DOF) // errs to the wider side
		}
	}
	if weight == 0 {
		return
	}
	seen, u := sum/weight, stats.TQuantile(0.975, dof)/math.Sqrt(weight)
	stated := in.sheet.Readout
	switch {
	case !stated.HasLostMotion && math.Abs(seen) > u:
		c.LostMotion = geometry.Angle(seen)
		c.warn(warning.Warning{Code: warning.LostMotionSeen, Values: []float64{seen, u}})
	case stated.HasLostMotion && math.Abs(seen-stated.LostMotion.Degrees()) > u+stated.LostLimit.Half.Degrees():
		c.LostMotion = geometry.Angle(seen) - stated.LostMotion
		c.warn(warning.Warning{Code: warning.LostMotionDiffers, Values: []float64{seen, stated.LostMotion.Degrees()}})
	}
}
