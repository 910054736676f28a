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
	fitting := s.ReferenceCreep.over(s.mostTrials(ReferenceTool))
	s.CreepFitting = s.Creep.over(s.mostTrials(NewTool))
	if s.ReferenceCreep.Significant() && fitting.mayMove(s.AllowedBias) {
		s.warn(Warning{Code: ReferenceCreeps, Values: []float64{s.ReferenceCreep.Slope.Degrees()}})
	}
	s.drift()
}

// mostTrials is the most trials that a tool has in one fitting, those that are
// struck with them, for the stop was met then too.
func (s *comparison) mostTrials(which Tool) (n int) {
	for key, trials := range s.own {
		if key.tool == which {
			n = max(n, trials)
		}
	}
	return n
}

// over is what a trend comes to from the first to the last of n trials.
func (t Trend) over(n int) Fitting {
	times := geometry.Angle(max(0, n-1))
	return Fitting{Change: t.Slope * times, Half: t.Half * times, Trials: n, Known: n > 1 && t.Known()}
}

// mayMove reports whether the change is not shown to be harmless: a pair of
// contacts that catches all of it between the two puts TDC off by half of it.
func (f Fitting) mayMove(allowed geometry.Angle) bool {
	if !f.Known {
		return f.Trials > 1
	}
	return (f.Change.Abs()+f.Half)/2 > allowed+tie
}

// moves reports whether the change is beyond what is allowed for certain.
func (f Fitting) moves(allowed geometry.Angle) bool {
	return f.Known && f.Change.Abs()-f.Half > allowed+tie
}

// creep is the slope of a tool's half arc over its own trials within a setup. A
// stop fitted anew starts from another depth, so every setup has its level.
func (s *comparison) creep(which Tool) Trend {
	var x, y [][]float64
	for i := range s.Setups {
		c := s.Setups[i].cell(which)
		x, y = append(x, c.own), append(y, degrees(c.HalfArcs))
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
