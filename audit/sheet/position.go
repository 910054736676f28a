package sheet

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

// Positions knows where each value of a sheet was written, so that a fault can
// be pointed at. The zero value knows nothing, as for a sheet that a program
// built.
type Positions struct {
	name string // of the sheet, as errors print it
	at   map[Path]place
}

// place is where a value stands. Lines and columns count from 1, columns in
// characters; line 0 is the file as a whole.
type place struct {
	file         string
	line, column int
	key          string // printed instead of the path, for a column of a CSV file
}

// find returns the place of a path, or that of the nearest value around it.
func (p Positions) find(path Path) (at place, exact bool) {
	for rest, exact := path, true; ; exact = false {
		if at, ok := p.at[rest]; ok {
			return at, exact
		}
		if rest == "" {
			return place{file: p.name}, false
		}
		rest = rest.outer()
	}
}

// outer returns the path of what a value is part of; "" is the whole sheet. A
// name with a dot in it takes more than one step.
func (p Path) outer() Path { return p[:max(strings.LastIndexAny(string(p), ".["), 0)] }

// Explain returns an error that says every fault in the order of the file, one
// line a fault and a line more for its hint, as
//
//	mill.yaml:9:13: part.sighting: found 0.3, expected a length with a unit
//
// It returns nil when there is no fault. The faults can be had back from the
// error by errors.As.
func (p Positions) Explain(faults Faults) error {
	if len(faults) == 0 {
		return nil
	}
	type located struct {
		Fault
		place
	}
	all := make([]located, len(faults))
	for i, f := range faults {
		at, exact := p.find(f.Path)
		if !exact || at.key == "" {
			at.key = string(f.Path)
		}
		all[i] = located{f, at}
	}
	sort.SliceStable(all, func(i, j int) bool {
		a, b := all[i], all[j]
		if a.file != b.file {
			return a.file == p.name
		}
		if a.line != b.line {
			return a.line < b.line
		}
		return a.column < b.column
	})
	var text strings.Builder
	e := &explained{faults: make(Faults, len(all))}
	for i, f := range all {
		e.faults[i] = f.Fault
		if i > 0 {
			text.WriteByte('\n')
		}
		text.WriteString(Visible(f.file))
		if f.line > 0 {
			fmt.Fprintf(&text, ":%d:%d", f.line, f.column)
		}
		if f.file != "" {
			text.WriteString(": ")
		}
		if f.key != "" {
			text.WriteString(Visible(f.key) + ": ")
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
	faults Faults
	text   string
}

func (e *explained) Error() string { return e.text }
func (e *explained) Unwrap() error { return e.faults }

// Visible returns a text in which control characters and other invisible ones
// are escaped: a sheet may carry anything into a terminal.
func Visible(text string) string {
	if strings.IndexFunc(text, invisible) < 0 {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if invisible(r) {
			b.WriteString(strings.Trim(strconv.QuoteRune(r), "'"))
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func invisible(r rune) bool { return !strconv.IsPrint(r) }

// shown renders what was found, for a fault: short and visible.
func shown(text string) string {
	const most = 40
	n := 0
	for i := range text {
		if n == most {
			text = text[:i] + "…"
			break
		}
		n++
	}
	if text == "" {
		return "nothing"
	}
	return Visible(text)
}
