package diagnosis

import (
	"slices"

	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
	"markaudit/audit/uncertainty"
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

// Group is what the lines on one part say together.
type Group struct {
	Name string
	lines.Shift
}

// Between is how far the lines of one group come later than those of another.
type Between struct {
	From, To   string
	Difference uncertainty.Estimate
	Differ     bool
}

// The groups with a meaning of their own; all others are only names.
const (
	onRing = "ring"
	onHub  = "hub"
)

// groups tells a part that has slipped from a bent pointer: a pointer shifts all
// lines alike, a slipped ring those on the ring.
func (e evidence) groups(d *Diagnosis) {
	var names []string
	members := map[string][]int{} // only looked up
	groupable, _ := lines.LargestGroup(e.lines)
	for _, i := range groupable {
		on := e.lines[i].On
		if on == "" {
			continue
		}
		if members[on] == nil {
			names = append(names, on)
		}
		members[on] = append(members[on], i)
	}
	if len(names) == 0 && !e.sheet.Part.BondedRing {
		return
	}
	d.Slip = Untold
	if e.checks.Moved || e.checks.SetupsDiffer {
		return
	}
	for _, name := range names {
		d.Groups = append(d.Groups, Group{Name: name, Shift: lines.Together(e.sheet, e.top, e.lines, members[name])})
	}
	base := base(names)
	if base == "" || len(names) < 2 {
		return
	}
	d.Slip = Together
	for _, name := range names {
		if name == base {
			continue
		}
		difference, differ, known := lines.Difference(e.sheet, e.top, e.lines, members[base], members[name])
		if !known {
			d.Slip = Untold
			return
		}
		d.Between = append(d.Between, Between{base, name, difference, differ})
		if differ {
			d.Slip = Apart
		}
	}
	for _, b := range d.Between {
		if b.Differ && b.To == onRing && e.sheet.Part.BondedRing {
			d.Slip = RingSlipped
		}
	}
}

// base is the group that the others are held against: the hub, which is keyed to
// the crank; without one the first that is not the ring.
func base(names []string) string {
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

// group returns what the lines on one part say, nil where nothing.
func (d Diagnosis) group(on string) *Group {
	for i := range d.Groups {
		if on != "" && d.Groups[i].Name == on {
			return &d.Groups[i]
		}
	}
	return nil
}

var slipWords = []string{"no groups", "unknown", "together", "apart", "ring slipped"}

func (s Slip) String() string { return enum.Word(slipWords, s) }

// MarshalText writes the word.
func (s Slip) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Slip) UnmarshalText(text []byte) error { return enum.From(s, slipWords, text) }
