package inputerror

import "strings"

// Path names one value of what was read, as "setups[0].stop.forward[2]". The
// empty path is the whole.
type Path string

// Outer returns the path of what a value is part of; "" is the whole. A name
// with a dot in it takes more than one step.
func (p Path) Outer() Path { return p[:max(strings.LastIndexAny(string(p), ".["), 0)] }

// Within reports whether a path or anything that it is part of is in a set. The
// whole itself does not count.
func (p Path) Within(set map[Path]bool) bool {
	for len(set) > 0 && p != "" {
		if set[p] {
			return true
		}
		p = p.Outer()
	}
	return false
}

// Fault is one thing wrong with a file, said to the person who wrote it.
type Fault struct {
	Path Path   // of the value at fault
	Text string // what was found and what was expected; lower case, no full stop
	Hint string // what to do, or empty
}

// List is every fault that was found. It is an error only when not empty.
type List []Fault

func (f List) Error() string {
	var b strings.Builder
	for i, x := range f {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(string(x.Path) + ": " + x.Text)
		if x.Hint != "" {
			b.WriteString("\n  hint: " + x.Hint)
		}
	}
	return b.String()
}
