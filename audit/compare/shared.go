package compare

import (
	"fmt"
	"slices"

	"markaudit/audit"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
)

// weighted is a weighted sum of lines of one audit, all its lines with the scatter
// that is to count, its inputs named by whom they are shared with. One correction, one lost motion of one readout, one crank are
// the same in all audits. Remounting is stated for all by one figure, which may be
// too small in all of them, so it adds up end to end. All else is the audit's own.
func (c *Comparison) weighted(at int, all []lines.Line, some []int, weights []float64) uncertainty.Combination {
	r := c.Audits[at]
	sum := lines.Weighted(all, some, weights)
	for i := range sum.Groups {
		names := slices.Clone(sum.Groups[i].Mountings) // the audit keeps its own
		for j, name := range names {
			names[j] = own(name, at)
		}
		sum.Groups[i].Mountings = names
	}
	sum = sum.Renamed(func(id uncertainty.ID) uncertainty.ID {
		id.Of = own(id.Of, at)
		return id
	})
	remounts := 0
	for i := range sum.Inputs {
		in := &sum.Inputs[i]
		switch in.Source {
		case uncertainty.Remounting:
			in.Of, in.Unsigned = fmt.Sprint(in.Scale, remounts), true
			remounts++
		case uncertainty.LostMotion:
			if name := r.Sheet.Readout.Name; name != "" { // else perhaps another one
				in.Of = fmt.Sprint(name, in.Scale)
			}
		case uncertainty.PinOffset, uncertainty.BoreOffset: // by how much depends on the half arc
			in.Of = "engine"
			in.Sensitivity = []float64{in.Sensitivity[0] * in.Scale}
			in.Scale = 1
		case uncertainty.RimDiameter:
			in.Of = fmt.Sprint(in.Scale)
		case uncertainty.Correction:
			t := r.Sheet.Readout.Correction
			in.Of = fmt.Sprint(t.Name, t.Date, r.Sheet.Readout.OffCentre > 0, t.Sine, t.Cosine)
		}
	}
	return sum
}

func own(name string, at int) string { return fmt.Sprintf("%s of audit %d", name, at) }

// of is one line of an audit.
func (c *Comparison) of(at int, name string) uncertainty.Combination {
	return c.weighted(at, c.Audits[at].Lines, []int{c.line(at, name)}, []float64{1})
}

// moved reports whether the readout moved in an audit.
func moved(r audit.Result) bool { return r.Diagnosis.ReadoutMoved() }
