package qualify

import (
	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// weighCapability weighs scatter and bias against the tolerance.
func weighCapability(s *comparison) {
	sd := s.Scatter[NewTool]
	if sd.DOF == 0 || sd.SD < tie || s.Tolerance == 0 {
		return
	}
	var bias geometry.Angle
	if s.Bias != nil {
		bias = s.Bias.Value
	}
	cg, cgk := stats.Capability(sd.SD.Degrees(), bias.Degrees(), 2*s.Tolerance.Degrees())
	s.Cg = &cg
	if s.Bias != nil {
		s.Cgk = &cgk
	}
}

// compareDepths compares how deep the two stops reach.
func compareDepths(s *comparison) {
	for t := range s.HalfArcs {
		var arcs []geometry.Angle
		for i := range s.Setups {
			if c := s.Setups[i].cell(Tool(t)); c.Used() {
				arcs = append(arcs, c.HalfArc)
			}
		}
		if len(arcs) > 0 {
			s.HalfArcs[t] = mean(arcs)
		}
	}
	ref, other := s.HalfArcs[ReferenceTool], s.HalfArcs[NewTool]
	if s.Crank != nil {
		if other > 0 {
			fall := s.Crank.DropPerDegree(other)
			s.PerDegree = &fall
		}
	} else if ref > 0 && other > 0 && (ref-other).Abs() > alikeHalfArcs+tie {
		s.warn(Warning{Code: HalfArcsDiffer, Values: []float64{ref.Degrees(), other.Degrees()}})
	}
}
