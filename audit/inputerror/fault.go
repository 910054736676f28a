package inputerror

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Path names one value of what was read, as "setups[0].stop.forward[2]". The
// empty path is the whole.
type Path string

// Outer returns the path of what a value is part of; "" is the whole. A name
// with a dot in it takes more than one step.
func (p Path) Outer() Path { return p[:max(strings.LastIndexAny(string(p), ".["), 0)] }

var counted = regexp.MustCompile(`([a-z_]*)\[([0-9]+)\]`)

// one is what a person calls one of a list.
var one = map[string]string{ // only looked up
	"setups": "setup", "marks": "mark", "instruments": "instrument", "photos": "photo", "spacings": "spacing", "points": "point", "equal_drop": "drop", "dividers": "dividers", "readings": "reading",
}

// Said is the path as a person says it, who counts from one: setups[0].stop.forward[2]
// is setup 1, stop.forward, value 3.
func (p Path) Said() string {
	text := counted.ReplaceAllStringFunc(string(p), func(step string) string {
		of := counted.FindStringSubmatch(step)
		n, err := strconv.Atoi(of[2])
		if err != nil { // longer than any list
			return step
		}
		if word, named := one[of[1]]; named {
			return fmt.Sprintf("%s %d,", word, n+1)
		}
		return fmt.Sprintf("%s, value %d,", of[1], n+1)
	})
	return strings.TrimSuffix(strings.NewReplacer(",.", ", ", ",,", ",").Replace(text), ",")
}

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
