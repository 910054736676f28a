package sheet

import "strings"

// Fault is one thing wrong with a sheet, said to the person who wrote it.
type Fault struct {
	Path Path   // of the value at fault
	Text string // what was found and what was expected; lower case, no full stop
	Hint string // what to do, or empty
}

// Faults is every fault that was found. It is an error only when not empty.
type Faults []Fault

func (f Faults) Error() string {
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
