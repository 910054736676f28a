package plan

import (
	"cmp"
	"slices"

	"markaudit/audit/advise"
	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

func (p planner) scheme(s amount) Scheme {
	out := Scheme{Setups: s.setups, Trials: s.trials, Readings: s.readings, Effort: p.effort(s)}
	out.U, _ = p.worst(s)
	if s.setups >= uncertainty.EnoughSetups || p.sheet.Limits.Remount.Half > 0 {
		out.Covers = lines.Remounting
	}
	return out
}

// effort is the work in minutes, at the bench's usual costs.
func (p planner) effort(s amount) float64 {
	return float64(s.setups) * (advise.RefitMinutes + advise.PairMinutes*float64(s.trials) + advise.ReadingMinutes*float64(s.readings*len(p.sheet.Marks)))
}

// least looks for the least effort that reaches a U with remounting covered, of at
// least three pairs and two readings a line in every setup. Two pairs show no creep, and
// the bench asks for three; one reading shows neither its scatter nor a slip.
func (p planner) least(wanted geometry.Angle) *Scheme {
	var best *Scheme
	for k := 1; k <= advise.MostSetups; k++ {
		if k < uncertainty.EnoughSetups && p.sheet.Limits.Remount.Half == 0 {
			continue
		}
		for n := leastTrials; n <= plannedTrials; n++ {
			for m := 2; m <= plannedReadings; m++ {
				s := amount{k, n, m}
				if best != nil && p.effort(s) >= best.Effort {
					continue
				}
				if u, _ := p.worst(s); u <= wanted {
					found := p.scheme(s)
					best = &found
				}
			}
		}
	}
	return best
}

// outside is the offset that is found outside four times in five: the tolerance,
// the half width that the decision asks for, and what the estimate moves by.
func (p planner) outside(m sheet.Mark, rows uncertainty.Budget) geometry.Angle {
	half := uncertainty.NewSum(rows.Terms()).HalfWidth(2*p.sheet.Limits.Threshold() - 1)
	moves, dof := rows.Scatter().Combined()
	return m.Tolerance + geometry.Angle(half+moves.Degrees()*stats.TQuantile(0.8, float64(dof)))
}

// gains says what better means would bring.
func (p planner) gains(scheme amount) []Gain {
	now, _ := p.worst(scheme)
	var out []Gain
	for _, means := range []Means{FinerStep, CentredWheel, BothSides, FinerSighting, LessRock} {
		s := p.sheet
		switch means {
		case FinerStep:
			s.Readout.Step /= 5
		case CentredWheel:
			s.Readout.OffCentre /= 4
		case BothSides:
			s.Readout.HasLostMotion = false
		case FinerSighting:
			s.Part.Sighting.Half /= 2
		case LessRock:
			s.Limits.Contact.Half /= 2
		}
		better := planner{sheet: s, guess: p.guess, halfArc: p.halfArc}
		if u, _ := better.worst(scheme); u < 0.95*now {
			out = append(out, Gain{means, u})
		}
	}
	slices.SortStableFunc(out, func(a, b Gain) int {
		if (a.U - b.U).Abs() < geometry.Tie {
			return 0
		}
		return cmp.Compare(a.U, b.U)
	})
	return out
}
