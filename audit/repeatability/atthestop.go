package repeatability

import (
	"math"
	"slices"

	"markaudit/audit/internal/stats"
	"markaudit/geometry"
)

// hand is what a person's setups show beside the values.
type hand struct {
	stop   StopHand
	sides  Estimate
	sideN  int
	digits Digits

	arcs, middles within // of pairs of contacts, setup by setup
	later         []float64
}

// hands looks at the contacts, the approaches and the digits of everybody, in the
// order of the table.
func (r *Result) hands(t *table) []hand {
	out := make([]hand, len(t.people))
	who := map[string]int{}
	for i, by := range t.people {
		who[by] = i
	}
	setups := make([][]Setup, len(t.people))
	for _, s := range r.Data.Setups {
		i, ok := who[s.By]
		if !ok { // no value of any mark
			continue
		}
		setups[i] = append(setups[i], s)
		h := &out[i]
		if s.Stop {
			order := make([]float64, len(s.HalfArcs))
			for j := range order {
				order[j] = float64(j)
			}
			h.arcs.add(order, numbers(s.HalfArcs))
			h.middles.add(order, numbers(s.Middles))
		}
		h.later = append(h.later, numbers(s.Sides)...)
	}
	r.stops(t, out)
	r.sides(t, out)
	if allWhole(r.Data.Step, setups) {
		r.Gaps = append(r.Gaps, StepTooFine)
		return out
	}
	for i, by := range t.people {
		out[i].digits = whole(r, by, setups[i], setups)
	}
	return out
}

func numbers(angles []geometry.Angle) []float64 {
	out := make([]float64, len(angles))
	for i, a := range angles {
		out[i] = a.Degrees()
	}
	return out
}

// stops compares how steadily people met the stop, by F as the values are, and
// looks for half arcs that creep.
func (r *Result) stops(t *table, hands []hand) {
	var squares, dof float64
	for _, h := range hands {
		squares, dof = squares+h.arcs.yy, dof+h.arcs.dof
	}
	people := float64(len(hands))
	for i := range hands {
		h := &hands[i]
		if h.arcs.dof == 0 {
			continue
		}
		h.stop.DOF = h.arcs.dof
		h.stop.HalfArcSD = deviation(h.arcs.yy/h.arcs.dof, h.arcs.dof)
		h.stop.MiddleSD = deviation(h.middles.yy/h.middles.dof, h.middles.dof)
		h.stop.Creep = h.arcs.trend()
		if c := h.stop.Creep; r.climbs(c, people) {
			r.Flags = append(r.Flags, Flag{Code: StopCreeps, By: t.people[i], Statistic: c.Chance, Critical: know(significant / people), Values: []float64{c.Over()}})
			continue
		}
		others := dof - h.arcs.dof
		if others == 0 || h.arcs.yy == squares || square(h.stop.HalfArcSD.Value) <= square(r.Data.Step.Degrees())/3 {
			continue
		}
		// Half arcs of the others that are all equal scatter by the step's rounding.
		rest := math.Max((squares-h.arcs.yy)/others, square(r.Data.Step.Degrees())/24)
		h.stop.Ratio = know(square(h.stop.HalfArcSD.Value) / rest)
		h.stop.Critical = know(stats.FQuantile(significant/people, h.arcs.dof, others))
		if h.stop.Ratio.Value > h.stop.Critical.Value {
			r.Flags = append(r.Flags, Flag{Code: StopWanders, By: t.people[i], Statistic: h.stop.Ratio, Critical: h.stop.Critical, Values: []float64{h.stop.HalfArcSD.Value, math.Sqrt(rest)}})
		}
	}
}

// sides compares by how much people find a mark later when they come to it
// forward than backward. What the readout loses is the same for all of them; the
// rest is habit. Student's t against the middle one of the others, with the scatter pooled over people, at 5 % for all
// of them together.
func (r *Result) sides(t *table, hands []hand) {
	var squares, dof, people float64
	var means, inverse []float64
	for _, h := range hands {
		if len(h.later) == 0 {
			continue
		}
		m, s := stats.MeanStdDev(h.later)
		k := float64(len(h.later))
		squares, dof, people = squares+s*s*(k-1), dof+k-1, people+1
		means, inverse = append(means, m), append(inverse, 1/k)
	}
	variance := squares / dof
	if variance < nothing { // the step alone makes the difference of two readings scatter (JCGM 100, F.2.2.1)
		variance = square(r.Data.Step.Degrees()) / 6
	}
	found := 0
	for i := range hands {
		h := &hands[i]
		k := float64(len(h.later))
		if k == 0 {
			continue
		}
		m, _ := stats.MeanStdDev(h.later)
		h.sides, h.sideN = know(m), len(h.later)
		if dof < 1 {
			continue // of everybody
		}
		half := -stats.TQuantile((1-Confidence)/2, dof) * math.Sqrt(variance/k)
		h.sides = bounded(m, m-half, m+half)
		at := found
		found++
		if len(means) == 1 {
			continue
		}
		rest := slices.Delete(slices.Clone(means), at, at+1)
		others := middle(rest)
		differ := m - others
		spread := 1/k + middle(slices.Delete(slices.Clone(inverse), at, at+1))
		statistic := math.Abs(differ) / math.Sqrt(variance*spread)
		critical := -stats.TQuantile(significant/people/2, dof)
		if variance > 0 && statistic > critical && math.Abs(differ) > r.Data.Step.Degrees()/2+1e-9 {
			r.Flags = append(r.Flags, Flag{Code: SidesDiffer, By: t.people[i], Statistic: know(statistic), Critical: know(critical), Values: []float64{m, others}})
		}
	}
}
