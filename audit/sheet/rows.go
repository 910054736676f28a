package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Beyond these a file is of another kind, and listing all would take long.
const (
	mostColumns = 50
	mostFaults  = 1000
)

// rows reads a CSV file with a header of known columns, a row at a time, and
// locates what is wrong with it.
type rows struct {
	*reader
	file              string
	columns, required []string // that the file may and must have
	lines             []string
	csv               *csv.Reader
	first             int  // lines before those of csv
	row               int  // number of the row at hand, from 0
	any               bool // a row that is not blank was found
	record            []string
	column            map[string]int
}

// read hands every whole row of the file to take.
func (r *rows) read(data []byte, take func()) {
	text, bad := plainText(data, "readings file", MostReadingsBytes)
	if bad != nil {
		r.refuse("readings.file", "readings", bad.spot, bad.text, bad.hint)
		return
	}
	r.lines = strings.Split(text, "\n")
	comma := ','
	if sep, ok := strings.CutPrefix(r.lines[0], "sep="); ok {
		if sep != ";" && sep != "," {
			r.refuse("readings.file", "readings", spot{1, 5}, "found the separator "+shown(sep)+", expected ; or ,", "")
			return
		}
		r.first, comma = 1, rune(sep[0])
		text = text[min(len(r.lines[0])+1, len(text)):]
	}
	header := strings.TrimLeft(text, "\n")
	if header, _, _ = strings.Cut(header, "\n"); strings.Contains(header, ";") {
		comma = ';'
	}
	r.csv = csv.NewReader(strings.NewReader(text))
	r.csv.Comma, r.csv.FieldsPerRecord, r.csv.ReuseRecord = comma, -1, true
	if !r.header() {
		return
	}
	for ; ; r.row++ {
		if len(r.faults) > mostFaults {
			r.refuse("readings.file", "readings", r.spot(0), fmt.Sprintf("found more than %d faults; the rows from here on were not read", mostFaults), "")
			return
		}
		var err error
		var bad *csv.ParseError
		switch r.record, err = r.csv.Read(); {
		case errors.As(err, &bad):
			r.any = true
			r.quotes(bad)
		case errors.Is(err, io.EOF):
			if !r.any {
				r.refuse("readings.file", "readings", spot{len(r.lines), 1}, "the readings file ends after its header, expected readings", "")
			}
			return
		case err != nil: // a string is read to its end
			r.refuse("readings.file", "readings", spot{}, err.Error(), "")
			return
		case r.whole():
			take()
		}
	}
}

func (r *rows) refuse(path Path, key string, at spot, text, hint string) {
	r.at[path] = place{file: r.file, line: at.line, column: at.column, key: key}
	r.fault(path, text, hint)
}

// spot returns where a field of the record at hand begins.
func (r *rows) spot(field int) spot {
	line, column := r.csv.FieldPos(field)
	line += r.first
	return spotIn(r.lines[line-1], min(column-1, len(r.lines[line-1])), line)
}

func (r *rows) header() bool {
	record, err := r.csv.Read()
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		r.quotes(bad)
		return false
	case err != nil:
		r.refuse("readings.file", "readings", spot{}, "the readings file is empty, expected the header "+strings.Join(r.columns, ","), "")
		return false
	}
	if len(record) > mostColumns {
		r.refuse("readings.header", "header", r.spot(0), fmt.Sprintf("found %d columns, expected at most the %d of a readings file", len(record), len(r.columns)), "")
		return false
	}
	r.column = make(map[string]int, len(r.columns))
	good := true
	for i, name := range record {
		name = strings.TrimSpace(name)
		path := Path(fmt.Sprintf("readings.header[%d]", i))
		_, twice := r.column[name]
		switch {
		case strings.Contains(name, "\t"):
			r.refuse(path, "header", r.spot(i), "found tabs between the columns, expected , or ;", "")
			return false
		case !slices.Contains(r.columns, name):
			hint := didYouMean(r.near(name, r.columns))
			if hint == "" {
				hint = "the columns are " + strings.Join(r.columns, ",")
			}
			r.refuse(path, "header", r.spot(i), "found "+shown(name)+", an unknown column", hint)
			good = false
		case twice:
			r.refuse(path, "header", r.spot(i), "found the column "+name+" a second time", "")
			good = false
		}
		r.column[name] = i
	}
	for _, name := range r.required {
		if _, ok := r.column[name]; !ok && good {
			r.refuse(Path("readings.header."+name), "header", r.spot(0), "found no column "+name+", expected one", "the columns are "+strings.Join(r.columns, ","))
		}
	}
	for _, name := range r.required {
		_, ok := r.column[name]
		good = good && ok
	}
	return good
}

func (r *rows) quotes(bad *csv.ParseError) {
	text, hint := "found a quotation mark inside a field", "put quotes round the whole field and double the one inside it"
	at := spot{bad.Line + r.first, bad.Column}
	if errors.Is(bad.Err, csv.ErrQuote) {
		text, hint = "found a quoted field that is not closed, or not followed by a separator", "a quotation mark inside quotes is doubled"
		at = spot{bad.StartLine + r.first, 1}
	}
	if line := r.lines[at.line-1]; at.column > 1 {
		at.column = utf8.RuneCountInString(line[:min(at.column-1, len(line))]) + 1
	}
	r.refuse(r.path(), "row", at, text, hint)
}

// path names the row at hand.
func (r *rows) path() Path { return "readings[" + Path(strconv.Itoa(r.row)) + "]" }

// field returns a field of the row at hand, or "" when there is no such column.
func (r *rows) field(name string) string {
	if i, ok := r.column[name]; ok {
		return strings.TrimSpace(r.record[i])
	}
	return ""
}

// mark gives a field of the row at hand a path that can be pointed at.
func (r *rows) mark(name string) Path {
	path := r.path() + "." + Path(name)
	i, ok := r.column[name]
	if !ok {
		i = 0
	}
	at := r.spot(i)
	r.at[path] = place{file: r.file, line: at.line, column: at.column, key: name}
	return path
}

// whole reports whether the row at hand has what the header promises; a blank
// one is nothing.
func (r *rows) whole() bool {
	if !slices.ContainsFunc(r.record, func(f string) bool { return strings.TrimSpace(f) != "" }) {
		return false // what a spreadsheet leaves below the last row
	}
	r.any = true
	if n, want := len(r.record), len(r.column); n != want {
		text, hint := fmt.Sprintf("found %s, expected %d as in the header: the row is torn", count(n, "field"), want), "complete the row, or delete it if the reading was taken again"
		if n > want {
			text, hint = fmt.Sprintf("found %s, expected %d as in the header", count(n, "field"), want), "put quotes round a field with the separator in it, and write numbers with a point"
		}
		r.refuse(r.path(), "row", r.spot(0), text, hint)
		return false
	}
	return true
}

func (r *rows) approach() Approach {
	switch word := r.field("approach"); word {
	case "forward":
		return Forward
	case "backward":
		return Backward
	default:
		r.fault(r.mark("approach"), "found "+shown(word)+", expected forward or backward", didYouMean(r.near(word, []string{"forward", "backward"})))
		return 0
	}
}

// reading reads the number. In a file with semicolons it may have a decimal
// comma.
func (r *rows) reading(f *Reading) {
	text := r.field("reading")
	if r.csv.Comma == ';' && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	r.value(f, text)
}
