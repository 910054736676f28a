package sheet

import (
	"strconv"

	"markaudit/geometry"
)

// Value is one value of a study of people: how far one person, at one trial,
// found one mark from where it belongs. Positive is late.
type Value struct {
	By, Mark string
	Value    geometry.Angle
	Trial    int // from 1; its number among those of this person and mark where the file has no trials
}

// MostValuesBytes bounds a file of values: 32 MB, over a million rows.
const MostValuesBytes = 32 << 20

// Beyond these a file is of another kind, and comparing all with all would take
// long.
const (
	mostPeople = 500
	mostLines  = 1000
	mostTrial  = 1_000_000
)

var valuesTable = columnar{
	"values", MostValuesBytes,
	[]string{"by", "mark", "value", "trial"},
	[]string{"by", "mark", "value"},
}

// valuesBook is a file of values while it is read.
type valuesBook struct {
	*book
	values       []Value
	people, line map[string]bool
	last         map[[2]string]int // trial of a person and mark, in a file without trials
	trials       map[trialKey]int  // line on which it was found
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
	r := &reader{Positions: Positions{name: name, at: map[Path]place{"": {file: name}}}, faulted: map[Path]bool{}}
	v := &valuesBook{
		book:   &book{reader: r, columnar: valuesTable, name: name},
		people: map[string]bool{}, line: map[string]bool{},
		last: map[[2]string]int{}, trials: map[trialKey]int{},
	}
	v.read(data, v.take)
	if len(r.faults) > 0 {
		return nil, r.Explain(r.faults)
	}
	return v.values, nil
}

// take adds the row at hand.
func (v *valuesBook) take() {
	row := Value{By: v.field("by"), Mark: v.field("mark")}
	if row.By == "" {
		v.fault(v.mark("by"), "found nothing, expected the name of the person", "")
	}
	if row.Mark == "" {
		v.fault(v.mark("mark"), "found nothing, expected the name of the line", "")
	}
	v.few("by", row.By, v.people, mostPeople, "people")
	v.few("mark", row.Mark, v.line, mostLines, "lines")
	text := v.number("value")
	a, letters, err := geometry.ParseAngle(text)
	switch {
	case err != nil:
		v.refusal(v.mark("value"), err)
	case letters != geometry.NoLetters:
		v.fault(v.mark("value"), "found "+shown(text)+", expected how far the line is off, in degrees without letters", "late is positive, early negative")
	}
	row.Value = a
	v.trial(&row)
	v.values = append(v.values, row)
}

// few refuses a file with more names in a column than any class has.
func (v *valuesBook) few(column, name string, seen map[string]bool, most int, what string) {
	if name == "" || seen[name] || len(seen) > most {
		return
	}
	seen[name] = true
	if len(seen) > most {
		v.fault(v.mark(column), "found more than "+strconv.Itoa(most)+" "+what+" in one study", "is this the right file?")
	}
}

// trial reads the number of the trial, or counts.
func (v *valuesBook) trial(row *Value) {
	if _, ok := v.column["trial"]; !ok {
		key := [2]string{row.By, row.Mark}
		v.last[key]++
		row.Trial = v.last[key]
		return
	}
	text := v.field("trial")
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > mostTrial {
		v.fault(v.mark("trial"), "found "+shown(text)+", expected the number of the trial, counted from 1", "")
		return
	}
	row.Trial = n
	key := trialKey{row.By, row.Mark, n}
	if line, twice := v.trials[key]; twice {
		v.fault(v.mark("trial"), "found a second value of trial "+text+" by "+shown(row.By)+" of "+shown(row.Mark)+", the first in line "+strconv.Itoa(line),
			"give a value that was taken again a trial of its own")
		return
	}
	v.trials[key] = v.spot(0).line
}
