package repeatability

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
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
	Columns:  []string{"by", "mark", "value", "trial", "known", "known_u"},
	Required: []string{"by", "mark", "value"},
}

// valuesReader is a file of values while it is read.
type valuesReader struct {
	*csvfile.File // its row at hand
	study         Data
	by, marks     *names
	absent        []string
	people, line  map[string]bool
	last          map[[2]string]int // trial of a person and mark, in a file without trials
	trials        map[trialKey]int  // line on which it was found
}

type trialKey struct {
	by, mark string
	trial    int
}

// ReadStudy reads a CSV of values, with the columns by, mark, value and, if the
// order is to be looked at, trial: a whole number from 1. A row with a name and
// nothing else is somebody who is absent. Names that differ by blanks, capitals or
// accents stored otherwise are one. Separators, decimal commas, quotes and the byte
// order mark are those of a readings file. name is how errors print the file. The
// error, if any, names every fault with line and column; then the study is not to
// be used.
func ReadStudy(name string, data []byte) (Data, error) {
	v := &valuesReader{
		people: map[string]bool{}, line: map[string]bool{},
		last: map[[2]string]int{}, trials: map[trialKey]int{}, by: newNames(), marks: newNames(),
	}
	if _, err := csvfile.Read(valuesFile, name, data, v.take); err != nil {
		return Data{}, err
	}
	if len(v.study.Values) == 0 {
		return Data{}, inputerror.List{{Text: inputerror.Shown(name) + ": found people and no value, expected at least one"}}
	}
	sum := sha256.Sum256(data)
	v.study.Digest = hex.EncodeToString(sum[:])
	v.study.People, v.study.Marks = v.by.Aliases, v.marks.Aliases
	v.study.absent(v.absent)
	return v.study, nil
}

// ReadValues reads the values of such a file alone.
func ReadValues(name string, data []byte) ([]Value, error) {
	d, err := ReadStudy(name, data)
	return d.Values, err
}

// absent keeps those of some names who have no value.
func (d *Data) absent(expected []string) {
	there := map[string]bool{}
	for _, v := range d.Values {
		there[v.By] = true
	}
	for _, by := range expected {
		if !there[by] {
			there[by] = true
			d.Absent = append(d.Absent, by)
		}
	}
}

// Expect says who belongs to the class: those who measured nothing are absent.
func (d *Data) Expect(class []string) {
	known := newNames()
	for _, v := range d.Values {
		known.of(v.By)
	}
	var expected []string
	for _, by := range slices.Concat(d.Absent, class) { // either may write a name another way
		expected = append(expected, known.of(by))
	}
	d.Absent = nil
	d.absent(expected)
}

// take adds the row at hand.
func (v *valuesReader) take(f *csvfile.File) {
	v.File = f
	row := Value{By: v.by.of(v.Field("by")), Mark: v.marks.of(v.Field("mark"))}
	if row.By != "" && row.Mark == "" && v.Field("value") == "" {
		v.absent = append(v.absent, row.By)
		return
	}
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
	v.known(row.Mark)
	v.study.Values = append(v.study.Values, row)
	v.study.Lines, v.study.Texts = append(v.study.Lines, v.Line()), append(v.study.Texts, v.Field("value"))
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

// known reads what is known of a mark from elsewhere, with its uncertainty at 95 %:
// the same in every row of the mark that says it.
func (v *valuesReader) known(mark string) {
	value, u := v.Number("known"), v.Number("known_u")
	if value == "" && u == "" {
		return
	}
	x := Known{Mark: mark}
	var err error
	if x.Value, err = geometry.ParseOffBy(value); err != nil {
		v.Refusal(v.At("known"), err)
		return
	}
	expanded, letters, err := geometry.ParseAngle(u)
	if err != nil || letters != geometry.NoLetters || expanded < 0 {
		v.Fault(v.At("known_u"), "found "+inputerror.Shown(u)+", expected the uncertainty of known at 95 %, in degrees", "such as 0.05; without it the value says nothing")
		return
	}
	x.Expanded = expanded
	for _, k := range v.study.Known {
		if k.Mark == mark {
			if k != x {
				v.Fault(v.At("known"), "found another known value of "+inputerror.Shown(mark)+" than in an earlier row, expected the same", "")
			}
			return
		}
	}
	v.study.Known = append(v.study.Known, x)
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
