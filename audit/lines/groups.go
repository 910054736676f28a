package lines

import (
	"slices"

	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
)

// Alike is what the lines say together: all of them, and those on each part.
type Alike struct {
	Shift
	Groups  []Group // of lines on different parts, in the order of the sheet
	Between []Between
}

// Group is what the lines on one part say together.
type Group struct {
	Name string
	Shift
}

// Between is how far the lines of one group come later than those of another.
type Between struct {
	From, To   string
	Difference uncertainty.Estimate
	Differ     bool // by more than a faultless part would show in one case of forty
}

// The groups with a meaning of their own; all others are only names.
const (
	OnRing = "ring"
	OnHub  = "hub"
)

// Alikes asks what the lines of a sheet say together, and part by part. Only lines
// read in the same setups can be compared.
func Alikes(s sheet.Sheet, top tdc.Found, all []Line) Alike {
	some, leftOut := LargestGroup(all)
	out := Alike{Shift: Together(s, top, all, some)}
	out.LeftOut = leftOut
	var names []string
	members := map[string][]int{} // only looked up
	for _, i := range some {
		on := all[i].On
		if on == "" {
			continue
		}
		if members[on] == nil {
			names = append(names, on)
		}
		members[on] = append(members[on], i)
	}
	for _, name := range names {
		out.Groups = append(out.Groups, Group{Name: name, Shift: Together(s, top, all, members[name])})
	}
	base := base(names)
	if base == "" {
		return out
	}
	for _, name := range names {
		if name == base {
			continue
		}
		difference, differ, known := Difference(s, top, all, members[base], members[name])
		if !known {
			out.Between = nil
			return out
		}
		out.Between = append(out.Between, Between{base, name, difference, differ})
	}
	return out
}

// base is the group that the others are held against: the hub, which is keyed to
// the crank; without one the first that is not the ring.
func base(names []string) string {
	if slices.Contains(names, OnHub) {
		return OnHub
	}
	for _, n := range names {
		if n != OnRing {
			return n
		}
	}
	return ""
}
