package audit

import (
	"math"
	"slices"

	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Bank is how far one cylinder's TDC comes after another's, both found in the
// same mountings of the readout.
type Bank struct {
	From, To  string         // cylinders
	Declared  geometry.Angle // by the sheet, in the running direction
	Angle     Estimate
	Mountings int
	Differs   bool // the interval of Angle leaves out Declared
}

// findBanks compares the cylinders whose TDC was found in one mounting, and warns
// of lines that count from one that was not found.
func (a *analysis) findBanks() {
	a.compareBanks()
	for i := range a.lines {
		l := &a.lines[i]
		for _, s := range l.seen {
			if s.later != 0 {
				a.warn(Warning{Code: BankNotFound, Mark: l.mark.Name, Names: []string{a.cylinder(l.mark.Cylinder), s.top.cylinder}, Values: []float64{s.later.Degrees()}})
				break
			}
		}
	}
}

// compareBanks holds every cylinder against the reference one. What remounting
// does is the same for both, and drops out.
func (a *analysis) compareBanks() {
	var cylinders []string
	seen := map[string]bool{} // only looked up
	for _, s := range a.stations {
		for _, t := range s.tops {
			if !seen[t.cylinder] {
				seen[t.cylinder] = true
				cylinders = append(cylinders, t.cylinder)
			}
		}
	}
	if len(cylinders) < 2 {
		return
	}
	slices.SortFunc(cylinders, func(x, y string) int { return a.rank(x) - a.rank(y) })
	from := cylinders[0] // the reference one, if it was tried
	for _, to := range cylinders[1:] {
		if b, ok := a.bank(from, to); ok {
			a.result.Banks = append(a.result.Banks, b)
			if b.Differs {
				a.warn(Warning{Code: BankDiffers, Names: []string{from, to}, Values: []float64{b.Angle.Value.Degrees(), b.Declared.Degrees()}})
			}
		}
	}
}

func (a *analysis) bank(from, to string) (Bank, bool) {
	b := Bank{From: from, To: to, Declared: a.declared(to) - a.declared(from)}
	var angles []geometry.Angle
	var r reach
	m := mix{}
	for _, s := range a.stations {
		first, second := s.top(from), s.top(to)
		if first == nil || second == nil {
			continue
		}
		angles = append(angles, a.apart(first, second))
		m.tops = append(m.tops, weighed{second, 1}, weighed{first, -1})
		// The wheel reads both where it stands; the later one further round.
		later, sooner := second.reach, first.reach
		later.wheel *= phase(second.middle - first.middle)
		r = r.plus(later, 1).plus(sooner, -1)
	}
	b.Mountings = len(angles)
	if b.Mountings == 0 {
		return b, false
	}
	n := float64(b.Mountings)
	m.over = n
	rows, known := a.topRows(m, b.Mountings)
	if b.Mountings >= enough {
		ss, dof := spread(angles)
		own := repeats{setups: b.Mountings, between: geometry.Angle(math.Sqrt(ss / dof))}
		rows = append(uncertainty.Budget{own.setupRows()[0]}, rows...)
		known = true
	}
	rows = append(rows, a.readoutRows(r.over(n))...)
	b.Angle, _ = a.estimate(mean(angles), rows, known)
	b.Differs = known && (b.Angle.Value-b.Declared).Wrap().Abs() > b.Angle.Expanded
	return b, true
}
