package diagnosis

import "slices"

// Best is the explanation that surprises least; that the lines are as measured
// where nothing was weighed.
func (d Diagnosis) Best() Explanation {
	if len(d.Standing) == 0 {
		return d.Measured
	}
	return d.Standing[0]
}

// ReadoutMoved reports whether the evidence shows that the readout moved, or that
// TDC is not where the contacts had it: the lines as measured are refuted, and by
// that.
func (d Diagnosis) ReadoutMoved() bool {
	if !d.Refuted {
		return false
	}
	switch d.Best().Code {
	case ReadoutMoved, ReadoutMovedAfter, MovedBetween, ReadoutCreeps:
		return true
	case AsMeasured:
		return d.Measured.Worst.Kind == ItemPair || d.Measured.Worst.Kind == ItemCreep
	}
	return false
}

// SetupsDiffer reports whether the lines as measured are refuted, and most of all
// by setups that contradict each other. A readout that moved in one of them is
// among what may explain it.
func (d Diagnosis) SetupsDiffer() bool {
	worst := d.Measured.Worst.Kind
	return d.Refuted && (worst == ItemSetup || worst == ItemLine)
}

// Stands reports whether an explanation of one of these codes stands.
func (d Diagnosis) Stands(codes ...Code) bool {
	return slices.ContainsFunc(d.Standing, func(e Explanation) bool { return slices.Contains(codes, e.Code) })
}
