package audit

import (
	"slices"

	"markaudit/geometry"
)

// Slip is what groups of lines on different parts say of each other.
type Slip uint8

// NoGroups: the sheet names none. Untold: no telling, for only one group was
// read, or its scatter is not known. Together: the groups do not differ.
// Apart: they differ, so that one part has moved against another. RingSlipped:
// it is the outer ring of a bonded pulley that has.
const (
	NoGroups Slip = iota
	Untold
	Together
	Apart
	RingSlipped
)

func (s Slip) String() string {
	return [...]string{"no groups", "unknown", "together", "apart", "ring slipped"}[s]
}

// Group is what the lines on one part say together.
type Group struct {
	Name string
	Shift
}

// Between is how far the lines of one group come later than those of another.
type Between struct {
	From, To   string
	Difference Estimate
	Differ     bool // the interval at 1 - a leaves out zero
}

// The groups with a meaning of their own; all others are only names.
const (
	onRing = "ring"
	onHub  = "hub"
)

// findGroups tells a part that has slipped from a bent pointer: a pointer shifts
// all lines alike, a slipped ring those on the ring.
func (a *analysis) findGroups() {
	r := &a.result
	var names []string
	members := map[string][]int{} // only looked up
	for _, i := range a.groupable() {
		on := a.lines[i].mark.On
		if on == "" {
			continue
		}
		if members[on] == nil {
			names = append(names, on)
		}
		members[on] = append(members[on], i)
	}
	if len(names) == 0 && !a.sheet.Part.BondedRing {
		return
	}
	r.Slip = Untold
	if r.Moved || r.Differ {
		return
	}
	for _, name := range names {
		r.Groups = append(r.Groups, Group{Name: name, Shift: a.find(members[name])})
	}
	base := a.base(names)
	if base == "" || len(names) < 2 {
		return
	}
	r.Slip = Together
	for _, name := range names {
		if name == base {
			continue
		}
		b, ok := a.difference(base, name, members)
		if !ok {
			r.Slip = Untold
			return
		}
		r.Between = append(r.Between, b)
		if b.Differ {
			r.Slip = Apart
		}
	}
	for _, b := range r.Between {
		if b.Differ && b.To == onRing && a.sheet.Part.BondedRing {
			r.Slip = RingSlipped
		}
	}
}

// groupable are the lines that can be compared: those read in the same setups.
func (a *analysis) groupable() []int {
	lines, _ := a.largestGroup()
	return lines
}

// base is the group that the others are held against: the hub, which is keyed to
// the crank; without one the first that is not the ring.
func (a *analysis) base(names []string) string {
	if slices.Contains(names, onHub) {
		return onHub
	}
	for _, n := range names {
		if n != onRing {
			return n
		}
	}
	return ""
}

// difference is how far the lines of one group come later than those of another,
// each group by its own best mean.
func (a *analysis) difference(from, to string, members map[string][]int) (Between, bool) {
	b := Between{From: from, To: to}
	var lines []int
	var weights []float64
	var value float64
	for _, side := range []struct {
		name string
		sign float64
	}{{from, -1}, {to, 1}} {
		g, ok := a.newGroup(members[side.name])
		if !ok {
			return b, false
		}
		f, ok := g.fit()
		if !ok {
			return b, false
		}
		for i, l := range members[side.name] {
			lines, weights = append(lines, l), append(weights, side.sign*f.weights[i])
		}
		value += side.sign * f.c
	}
	rows, known := a.contrastRows(lines, weights)
	if !known {
		return b, false
	}
	e, sum := a.estimate(geometry.Angle(value).Wrap(), rows, true)
	b.Difference, b.Differ = e, e.Value.Abs().Degrees() > sum.HalfWidth(1-claimLevel)
	return b, true
}

// group returns what the sheet says a line belongs to, nil where nothing.
func (r *Result) group(on string) *Group {
	for i := range r.Groups {
		if on != "" && r.Groups[i].Name == on {
			return &r.Groups[i]
		}
	}
	return nil
}
