package crosscheck

import (
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Bank is how far one cylinder's TDC comes after another's, both found in the
// same mountings of the readout.
type Bank struct {
	From, To  string         // cylinders
	Declared  geometry.Angle // by the sheet, in the running direction
	Angle     uncertainty.Estimate
	Mountings int
	Differs   bool // the interval of Angle leaves out Declared
}

// cylinders compares the cylinders whose TDC was found in one mounting, and warns
// of lines that count from one that was not found.
func cylinders(in input, c *Checks) {
	compareCylinders(in, c)
	for _, l := range in.lines {
		for _, s := range l.Seen {
			if s.Later != 0 {
				c.warn(warning.Warning{
					Code: warning.BankNotFound, Mark: l.Name,
					Names: []string{in.sheet.Engine.Cylinder(l.Cylinder), s.At.Cylinder}, Values: []float64{s.Later.Degrees()},
				})
				break
			}
		}
	}
}

// compareCylinders holds every cylinder against the reference one. What remounting
// does is the same for both, and drops out.
func compareCylinders(in input, c *Checks) {
	var found []string
	for _, m := range in.top.Mountings {
		for _, t := range m.Tops {
			if !slices.Contains(found, t.Cylinder) {
				found = append(found, t.Cylinder)
			}
		}
	}
	if len(found) < 2 {
		return
	}
	rank := in.sheet.Engine.Rank
	slices.SortFunc(found, func(x, y string) int { return rank(x) - rank(y) })
	from := found[0] // the reference one, if it was tried
	for _, to := range found[1:] {
		if b, ok := bank(in, from, to); ok {
			c.Cylinders = append(c.Cylinders, b)
			if b.Differs {
				c.warn(warning.Warning{Code: warning.BankDiffers, Names: []string{from, to}, Values: []float64{b.Angle.Value.Degrees(), b.Declared.Degrees()}})
			}
		}
	}
}

func bank(in input, from, to string) (Bank, bool) {
	b := Bank{From: from, To: to, Declared: in.sheet.Engine.Declared(to) - in.sheet.Engine.Declared(from)}
	var angles []geometry.Angle
	var parts []uncertainty.Combination
	for _, m := range in.top.Mountings {
		first, one := m.Top(from)
		second, two := m.Top(to)
		if !one || !two {
			continue
		}
		angles = append(angles, tdc.Apart(*in.sheet, first, second))
		parts = append(parts, uncertainty.Add(second.At, first.At.Times(-1)))
	}
	b.Mountings = len(angles)
	if b.Mountings == 0 {
		return b, false
	}
	between := uncertainty.Mean(parts, false)
	between.Groups[0].Values = angles
	b.Angle, _ = between.Evaluate(in.sheet.Limits.Confidence)
	b.Angle.Value = stats.MeanAngle(angles)
	b.Differs = b.Angle.Known && (b.Angle.Value-b.Declared).Wrap().Abs() > b.Angle.Expanded
	return b, true
}
