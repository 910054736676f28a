package diagnosis

import (
	"math"
	"slices"

	"markaudit/geometry"
)

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

// refuted reports whether the lines are not as measured: something that would
// matter explains the evidence far better, or one piece of evidence alone speaks
// against them.
func refuted(w *weigher, all []weighed) bool {
	least := w.measured.Surprise
	for _, x := range all {
		if !idle(w, x) {
			least = math.Min(least, x.Surprise)
		}
	}
	return w.measured.Surprise > least+stands+tiny || w.measured.loudest > contradicts
}

// mild reports whether a piece of evidence speaks of so little that every line
// stays where it is, whatever the cause: two banks are seldom machined to the angle
// of the sheet, a stop that is seated anew sits a little differently, and many
// pairs show a creep that is too small to matter.
func mild(w *weigher, item Item) bool {
	switch item.Kind {
	case ItemPair:
		return w.evidence.Pairs[item.Index].Kind != Closing && idleShift(w, w.shown[item.Index])
	case ItemCreep:
		return idleCreep(w, w.evidence.Creep[item.Index].Drift.Degrees())
	}
	return false
}

// idle reports whether an explanation is a move, or a bank's angle, so small that
// every line stays where it is. Of many setups and lines some always look as if
// such a move had been there. It stands as all others do, but refutes nothing.
func idle(w *weigher, x weighed) bool {
	switch x.Code {
	case ReadoutMovedAfter:
		for i, p := range w.evidence.Pairs {
			if p.Kind == Closing && slices.Contains(x.Mountings, p.Mounting) && math.Abs(w.shown[i]) >= leastMove {
				return false // it is what closing pairs are taken for
			}
		}
	case ReadoutCreeps:
		return idleCreep(w, x.claim.shift)
	case ReadoutMoved, MovedBetween, BankAngleDiffers:
	default:
		return false
	}
	return idleShift(w, x.claim.shift)
}

// idleCreep reports whether a creep of the middles is too small to matter to any
// line, as that of a hand which gets warm may be, however clearly it is seen.
func idleCreep(w *weigher, drift float64) bool {
	return !slices.ContainsFunc(linesRead(w), func(j int) bool { return mattersTo(w, geometry.Angle(drift), j) })
}

// idleShift reports whether a shift leaves every line where it was measured.
func idleShift(w *weigher, x float64) bool {
	for _, j := range linesRead(w) {
		if math.Abs(x) > w.slack(j).Degrees()+tiny {
			return false
		}
	}
	return true
}
