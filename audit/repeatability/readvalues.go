package repeatability

import (
	"strconv"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// MostBytes bounds a file of values: 32 MB, over a million rows.
const MostBytes = 32 << 20

// Beyond these a file is of another kind, and comparing all with all would take
// long.
const (
	mostPeople = 500
	mostLines  = 1000
	mostTrial  = 1_000_000
)

var valuesFile = csvfile.Kind{
	Name: "values", Most: MostBytes,
	Columns:  []string{"by", "mark", "value", "trial"},
	Required: []string{"by", "mark", "value"},
}

// valuesReader is a file of values while it is read.
type valuesReader struct {
	*csvfile.File // its row at hand
	values        []Value
	people, line  map[string]bool
	last          map[[2]string]int // trial of a person and mark, in a file without trials
	trials        map[trialKey]int  // line on which it was found
}

type trialKey struct {
	by, mark string
	trial    int
}

// ReadValues reads a CSV of values, with the columns by, mark, value and, if the
// order is to be looked at, trial: a whole number from 1. Separators, decimal
// commas, quotes and the byte order mark are those of a readings file. name is
// how errors print the file. The error, if any, names every fault with line and
// column; then there are no values.
func ReadValues(name string, data []byte) ([]Value, error) {
	v := &valuesReader{
		people: map[string]bool{}, line: map[string]bool{},
		last: map[[2]string]int{}, trials: map[trialKey]int{},
	}
	if _, err := csvfile.Read(valuesFile, name, data, v.take); err != nil {
		return nil, err
	}
	return v.values, nil
}

// take adds the row at hand.
func (v *valuesReader) take(f *csvfile.File) {
	v.File = f
	row := Value{By: v.Field("by"), Mark: v.Field("mark")}
	if row.By == "" {
		v.Fault(v.At("by"), "found nothing, expected the name of the person", "")
	}
	if row.Mark == "" {
		v.Fault(v.At("mark"), "found nothing, expected the name of the line", "")
	}
	v.few("by", row.By, v.people, mostPeople, "people")
	v.few("mark", row.Mark, v.line, mostLines, "lines")
	text := v.Number("value")
	a, letters, err := geometry.ParseAngle(text)
	switch {
	case err != nil:
		v.Refusal(v.At("value"), err)
	case letters != geometry.NoLetters:
		v.Fault(v.At("value"), "found "+inputerror.Shown(text)+", expected how far the line is off, in degrees without letters", "late is positive, early negative")
	}
	row.Value = a
	v.trial(&row)
	v.values = append(v.values, row)
}

// few refuses a file with more names in a column than any class has.
func (v *valuesReader) few(column, name string, seen map[string]bool, most int, what string) {
	if name == "" || seen[name] || len(seen) > most {
		return
	}
	seen[name] = true
	if len(seen) > most {
		v.Fault(v.At(column), "found more than "+strconv.Itoa(most)+" "+what+" in one study", "is this the right file?")
	}
}

// trial reads the number of the trial, or counts.
func (v *valuesReader) trial(row *Value) {
	if !v.Has("trial") {
		key := [2]string{row.By, row.Mark}
		v.last[key]++
		row.Trial = v.last[key]
		return
	}
	text := v.Field("trial")
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > mostTrial {
		v.Fault(v.At("trial"), "found "+inputerror.Shown(text)+", expected the number of the trial, counted from 1", "")
		return
	}
	row.Trial = n
	key := trialKey{row.By, row.Mark, n}
	if line, twice := v.trials[key]; twice {
		v.Fault(v.At("trial"), "found a second value of trial "+text+" by "+inputerror.Shown(row.By)+" of "+inputerror.Shown(row.Mark)+", the first in line "+strconv.Itoa(line),
			"give a value that was taken again a trial of its own")
		return
	}
	v.trials[key] = v.Line()
}
