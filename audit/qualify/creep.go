package qualify

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// trends looks for a stop that works its way in or out, and for a readout that
// wanders while the tools take turns.
func (s *comparison) trends() {
	s.Creep = s.creep(NewTool)
	s.ReferenceCreep = s.creep(ReferenceTool)
	s.CreepOverStudy = s.Creep.Slope * geometry.Angle(max(0, s.Trials[NewTool]-1))
	if s.ReferenceCreep.Significant() && s.overStudy(s.ReferenceCreep, ReferenceTool) > s.Tolerance/4+tie {
		s.warn(Warning{Code: ReferenceCreeps, Values: []float64{s.ReferenceCreep.Slope.Degrees()}})
	}
	s.drift()
}

func (s *comparison) overStudy(t Trend, which Tool) geometry.Angle {
	return t.Slope.Abs() * geometry.Angle(max(0, s.Trials[which]-1))
}

// creep is the slope of a tool's half arc over its own trials within a setup. A
// stop fitted anew starts from another depth, so every setup has its level.
func (s *comparison) creep(which Tool) Trend {
	var x, y [][]float64
	for i := range s.Setups {
		c := s.Setups[i].cell(which)
		order := make([]float64, len(c.HalfArcs))
		for j := range order {
			order[j] = float64(j)
		}
		x, y = append(x, order), append(y, degrees(c.HalfArcs))
	}
	return trend(x, y)
}

// drift is the slope of the middles over the order in which the trials of a
// setup were taken, whichever tool they are of; each tool has its level.
func (s *comparison) drift() {
	var x, y [][]float64
	var after float64 // by which new trials came after reference ones
	var pairs int
	for i := range s.Setups {
		setup := &s.Setups[i]
		for _, c := range []*Cell{&setup.Reference, &setup.New} {
			turned := degrees(c.Middles)
			for j := range turned {
				turned[j] *= float64(s.Counts)
			}
			x, y = append(x, c.Order), append(y, turned)
		}
		if setup.Paired {
			ref, _ := stats.MeanStdDev(setup.Reference.Order)
			other, _ := stats.MeanStdDev(setup.New.Order)
			after += other - ref
			pairs++
		}
	}
	s.Drift = trend(x, y)
	if pairs == 0 {
		return
	}
	after /= float64(pairs)
	s.DriftInBias = s.Drift.Slope * geometry.Angle(after)
	if s.Drift.Significant() {
		s.warn(Warning{Code: Drift, Values: []float64{s.Drift.Slope.Degrees(), s.DriftInBias.Degrees()}})
	}
	// Half a trial is what reference-new and new-reference by turns leave.
	if math.Abs(after) > 0.5+tie {
		s.warn(Warning{Code: Unbalanced, Values: []float64{after}})
	}
}

func trend(x, y [][]float64) Trend {
	slope, se, dof := stats.CommonSlope(x, y)
	if dof == 0 {
		return Trend{}
	}
	if math.Abs(slope) < tie { // what is left of equal values after arithmetic
		slope = 0
	}
	if se < tie {
		se = 0
	}
	t := Trend{Slope: geometry.Angle(slope), DOF: dof, P: 1}
	switch {
	case se > 0:
		t.P = stats.FSurvival(slope*slope/(se*se), 1, dof)
		t.Half = geometry.Angle(-stats.TQuantile((1-confidence)/2, dof) * se)
	case slope != 0:
		t.P = 0
	}
	return t
}
