package audit

import (
	"markaudit/audit/advise"
	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

type Along = advise.Along

const (
	Against  = advise.Against
	Running  = advise.Running
	tie      = stats.Tie
	dwellArc = geometry.Angle(8)
)

func pair(counts geometry.Sense, forward, backward geometry.Angle) (middle, halfArc geometry.Angle) {
	halfArc = counts.Arc(forward, backward) / 2
	return forward + geometry.Angle(counts)*halfArc, halfArc
}
