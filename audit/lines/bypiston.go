package lines

import (
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// nominal are the doubts of where a line belongs that is given as a drop of the piston
// and read on a readout that shows degrees: half of what its angle changes by between
// the ends of each limit of the engine's sizes. The offset is what the line shows less
// where it belongs, so that it goes the other way.
func (in input) nominal(l *Line) (out []uncertainty.Contribution) {
	crank, stated := in.sheet.Engine.Crank()
	if l.Drop == 0 || !stated {
		return nil
	}
	side := geometry.ATDC
	if in.fromPistonTop(l.At) < 0 {
		side = geometry.BTDC
	}
	for _, x := range engineSizes(in.sheet.Engine) {
		half := x.limit.Half
		if half == 0 {
			continue
		}
		belongs := func(by geometry.Length) (geometry.Angle, bool) {
			c := crank
			x.change(&c, by)
			at, err := c.AngleOfDrop(l.Drop, side)
			if in.sheet.Engine.RefersToThrow {
				at += c.ThrowToTDC()
			}
			return at, err == nil && c.Check() == nil
		}
		low, one := belongs(-half)
		high, other := belongs(half)
		if !one || !other { // a limit so wide that the drop cannot be had
			continue
		}
		of := "engine"
		if x.inTDC { // the same doubt is in TDC already, and the two meet
			of = in.sheet.Engine.Cylinder(l.Cylinder)
		}
		out = append(out, uncertainty.By(uncertainty.LimitedLength(x.source, of, x.limit), -(high-low).Degrees()/(2*half.Millimetres())))
	}
	return out
}
