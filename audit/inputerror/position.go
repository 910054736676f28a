package inputerror

import (
	"fmt"
	"sort"
	"strings"
)

// Positions knows where each value of a file was written, so that a fault can
// be pointed at. The zero value knows nothing, as for a sheet that a program
// built.
type Positions struct {
	name string // of the file, as errors print it
	at   map[Path]Place
}

// Place is where a value stands. Lines and columns count from 1, columns in
// characters; line 0 is the file as a whole.
type Place struct {
	File         string // as errors print it
	Line, Column int
	Key          string // printed instead of the path, for a column of a CSV file
}

// NewPositions returns what is known of a file before it is read: its name, as
// errors print it.
func NewPositions(name string) Positions {
	return Positions{name: name, at: map[Path]Place{"": {File: name}}}
}

// Name returns the name of the file, as errors print it.
func (p Positions) Name() string { return p.name }

// Put says where a value stands. The positions must come from [NewPositions].
func (p Positions) Put(path Path, at Place) { p.at[path] = at }

// Find returns the place of a path, or that of the nearest value around it.
// Exact says which.
func (p Positions) Find(path Path) (at Place, exact bool) {
	for rest, exact := path, true; ; exact = false {
		if at, ok := p.at[rest]; ok {
			return at, exact
		}
		if rest == "" {
			return Place{File: p.name}, false
		}
		rest = rest.Outer()
	}
}

// Explain returns an error that says every fault in the order of the file, one
// line a fault and a line more for its hint, as
//
//	mill.yaml:9:13: part.sighting: found 0.3, expected a length with a unit
//
// It returns nil when there is no fault. The faults can be had back from the
// error by errors.As.
func (p Positions) Explain(faults List) error {
	if len(faults) == 0 {
		return nil
	}
	type located struct {
		Fault
		Place
	}
	all := make([]located, len(faults))
	for i, f := range faults {
		at, exact := p.Find(f.Path)
		if !exact || at.Key == "" {
			at.Key = f.Path.Said()
		}
		all[i] = located{f, at}
	}
	sort.SliceStable(all, func(i, j int) bool {
		a, b := all[i], all[j]
		if a.File != b.File {
			return a.File == p.name
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
	var text strings.Builder
	e := &explained{faults: make(List, len(all))}
	for i, f := range all {
		e.faults[i] = f.Fault
		if i > 0 {
			text.WriteByte('\n')
		}
		text.WriteString(Visible(f.File))
		if f.Line > 0 {
			fmt.Fprintf(&text, ":%d:%d", f.Line, f.Column)
		}
		if f.File != "" {
			text.WriteString(": ")
		}
		if f.Key != "" {
			text.WriteString(Visible(f.Key) + ": ")
		}
		text.WriteString(Visible(f.Text))
		if f.Hint != "" {
			text.WriteString("\n  hint: " + Visible(f.Hint))
		}
	}
	e.text = text.String()
	return e
}

// explained is faults with their places.
type explained struct {
	faults List
	text   string
}

func (e *explained) Error() string { return e.text }
func (e *explained) Unwrap() error { return e.faults }
