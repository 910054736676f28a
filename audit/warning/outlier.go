package warning

import (
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// OfOutlier is the warning of one reading that stands out from its group: Grubbs
// at 5 % (ISO 5725-2, 7.3.4), and by more than two steps, for readings that round
// alike have no scatter to judge by. It drops nothing.
func OfOutlier(readings []geometry.Angle, step geometry.Angle) (Warning, bool) {
	i, g, critical := stats.Grubbs(stats.Degrees(readings), 0.05)
	if i < 0 || g <= critical {
		return Warning{}, false
	}
	others := stats.MeanAngle(slices.Concat(readings[:i], readings[i+1:]))
	if (readings[i] - others).Abs() <= 2*step+geometry.Tie {
		return Warning{}, false
	}
	return Warning{Code: StandsOut, Values: []float64{readings[i].Degrees(), others.Degrees()}}, true
}
