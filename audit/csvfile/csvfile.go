package csvfile

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"markaudit/audit/inputerror"
)

// Kind is a kind of CSV file.
type Kind struct {
	Name              string   // what its rows are: "readings"
	Most              int      // bytes
	Columns, Required []string // the columns it may have, and those it cannot do without
	MayBeEmpty        bool     // a header without rows is no fault
}

func (k Kind) file() string { return k.Name + " file" }

// MostBytes bounds a file of readings: 4 MB, some 80,000 rows.
const MostBytes = 4 << 20

// Beyond these a file is of another kind, and listing all would take long.
const (
	MostColumns = 50
	MostFaults  = 1000
)

// File is a CSV file while it is read. Its methods speak of the row at hand.
type File struct {
	*inputerror.Collector
	kind   Kind
	name   string // of the file, as errors print it
	lines  []string
	csv    *csv.Reader
	first  int  // lines before those of csv
	row    int  // number of the row at hand, from 0
	any    bool // a row that is not blank was found
	record []string
	column map[string]int
}

// New returns a file that is about to be read. Name is how errors print it; its
// faults go to the collector, which may be that of the sheet that names the file.
func New(kind Kind, name string, faults *inputerror.Collector) *File {
	return &File{Collector: faults, kind: kind, name: name}
}

// Read reads a file that stands alone and hands row after row to take. The
// error names every fault with line, column and key; then what was taken is not
// to be used.
func Read(kind Kind, name string, data []byte, take func(*File)) (inputerror.Positions, error) {
	f := New(kind, name, inputerror.NewCollector(name))
	f.Read(data, func() { take(f) })
	return f.Positions, f.Err()
}

// Read hands row after row to take. Rows that are blank or torn are not handed
// on.
func (f *File) Read(data []byte, take func()) {
	text, bad := inputerror.PlainText(data, f.kind.file(), f.kind.Most)
	if bad != nil {
		f.refuse(f.part(".file"), f.kind.Name, bad.Spot, bad.Text, bad.Hint)
		return
	}
	f.lines = strings.Split(text, "\n")
	comma := ','
	if sep, ok := strings.CutPrefix(f.lines[0], "sep="); ok {
		if sep != ";" && sep != "," {
			f.refuse(f.part(".file"), f.kind.Name, inputerror.Spot{Line: 1, Column: 5}, "found the separator "+inputerror.Shown(sep)+", expected ; or ,", "")
			return
		}
		f.first, comma = 1, rune(sep[0])
		text = text[min(len(f.lines[0])+1, len(text)):]
	}
	header := strings.TrimLeft(text, "\n")
	if header, _, _ = strings.Cut(header, "\n"); strings.Contains(header, ";") {
		comma = ';'
	}
	f.csv = csv.NewReader(strings.NewReader(text))
	f.csv.Comma, f.csv.FieldsPerRecord, f.csv.ReuseRecord = comma, -1, true
	if !f.header() {
		return
	}
	for ; ; f.row++ {
		if len(f.Faults) > MostFaults {
			f.refuse(f.part(".file"), f.kind.Name, f.spot(0), fmt.Sprintf("found more than %d faults; the rows from here on were not read", MostFaults), "")
			return
		}
		var err error
		var bad *csv.ParseError
		switch f.record, err = f.csv.Read(); {
		case errors.As(err, &bad):
			f.any = true
			f.quotes(bad)
		case errors.Is(err, io.EOF):
			if !f.any && !f.kind.MayBeEmpty {
				f.refuse(f.part(".file"), f.kind.Name, inputerror.Spot{Line: len(f.lines), Column: 1}, "the "+f.kind.file()+" ends after its header, expected "+f.kind.Name, "")
			}
			return
		case err != nil: // a string is read to its end
			f.refuse(f.part(".file"), f.kind.Name, inputerror.Spot{}, err.Error(), "")
			return
		default:
			if f.whole() {
				take()
			}
		}
	}
}

func (f *File) refuse(path inputerror.Path, key string, at inputerror.Spot, text, hint string) {
	f.FaultAt(path, f.place(at, key), text, hint)
}

func (f *File) place(at inputerror.Spot, key string) inputerror.Place {
	return inputerror.Place{File: f.name, Line: at.Line, Column: at.Column, Key: key}
}

// spot returns where a field of the record at hand begins.
func (f *File) spot(field int) inputerror.Spot {
	line, column := f.csv.FieldPos(field)
	line += f.first
	return inputerror.SpotIn(f.lines[line-1], min(column-1, len(f.lines[line-1])), line)
}

func (f *File) header() bool {
	record, err := f.csv.Read()
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		f.quotes(bad)
		return false
	case err != nil:
		f.refuse(f.part(".file"), f.kind.Name, inputerror.Spot{}, "the "+f.kind.file()+" is empty, expected the header "+strings.Join(f.kind.Columns, ","), "")
		return false
	}
	if len(record) > MostColumns {
		f.refuse(f.part(".header"), "header", f.spot(0), fmt.Sprintf("found %d columns, expected at most the %d of a %s", len(record), len(f.kind.Columns), f.kind.file()), "")
		return false
	}
	f.column = make(map[string]int, len(f.kind.Columns))
	good := true
	for i, name := range record {
		name = strings.TrimSpace(name)
		path := f.part(fmt.Sprintf(".header[%d]", i))
		_, twice := f.column[name]
		switch {
		case strings.Contains(name, "\t"):
			f.refuse(path, "header", f.spot(i), "found tabs between the columns, expected , or ;", "")
			return false
		case !slices.Contains(f.kind.Columns, name):
			hint := inputerror.DidYouMean(f.Near(name, f.kind.Columns))
			if hint == "" {
				hint = "the columns are " + strings.Join(f.kind.Columns, ",")
			}
			f.refuse(path, "header", f.spot(i), "found "+inputerror.Shown(name)+", an unknown column", hint)
			good = false
		case twice:
			f.refuse(path, "header", f.spot(i), "found the column "+name+" a second time", "")
			good = false
		}
		f.column[name] = i
	}
	for _, name := range f.kind.Required {
		if _, ok := f.column[name]; !ok && good {
			f.refuse(f.part(".header."+name), "header", f.spot(0), "found no column "+name+", expected one", "the columns are "+strings.Join(f.kind.Columns, ","))
		}
	}
	for _, name := range f.kind.Required {
		_, ok := f.column[name]
		good = good && ok
	}
	return good
}

func (f *File) quotes(bad *csv.ParseError) {
	text, hint := "found a quotation mark inside a field", "put quotes round the whole field and double the one inside it"
	at := inputerror.Spot{Line: bad.Line + f.first, Column: bad.Column}
	if errors.Is(bad.Err, csv.ErrQuote) {
		text, hint = "found a quoted field that is not closed, or not followed by a separator", "a quotation mark inside quotes is doubled"
		at = inputerror.Spot{Line: bad.StartLine + f.first, Column: 1}
	}
	if line := f.lines[at.Line-1]; at.Column > 1 {
		at.Column = utf8.RuneCountInString(line[:min(at.Column-1, len(line))]) + 1
	}
	f.refuse(f.Row(), "row", at, text, hint)
}

// Row names the row at hand.
func (f *File) Row() inputerror.Path { return f.part("[" + strconv.Itoa(f.row) + "]") }

// part is a path within the file.
func (f *File) part(rest string) inputerror.Path { return inputerror.Path(f.kind.Name + rest) }

// Field returns a field of the row at hand, or "" when there is no such column.
func (f *File) Field(name string) string {
	if i, ok := f.column[name]; ok {
		text := strings.TrimSpace(f.record[i])
		if rest, ok := strings.CutPrefix(text, "'"); ok && Harmless(rest) != rest {
			return rest
		}
		return text
	}
	return ""
}

// Harmless puts an apostrophe before a text that a spreadsheet would carry out as a
// formula; [File.Field] takes it off again. A sign alone is none. Numbers are written without it, and keep
// their sign.
func Harmless(text string) string {
	if len(text) > 1 && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}

// At gives a field of the row at hand a path that can be pointed at. A column
// that is not there is the beginning of the row.
func (f *File) At(name string) inputerror.Path {
	path := f.Row() + "." + inputerror.Path(name)
	i, ok := f.column[name]
	if !ok {
		i = 0
	}
	f.Put(path, f.place(f.spot(i), name))
	return path
}

// PutRow lets a path be pointed at that begins with the row at hand. Key is what
// errors call it.
func (f *File) PutRow(path inputerror.Path, key string) { f.Put(path, f.place(f.spot(0), key)) }

// Line is the line on which the row at hand begins, from 1.
func (f *File) Line() int { return f.spot(0).Line }

// Has reports whether the file has a column.
func (f *File) Has(column string) bool {
	_, ok := f.column[column]
	return ok
}

// whole reports whether the row at hand has a field for every column.
func (f *File) whole() bool {
	if !slices.ContainsFunc(f.record, func(field string) bool { return strings.TrimSpace(field) != "" }) {
		return false // what a spreadsheet leaves below the last row
	}
	f.any = true
	if n, want := len(f.record), len(f.column); n != want {
		text, hint := TornRow(n, want)
		f.refuse(f.Row(), "row", f.spot(0), text, hint)
		return false
	}
	return true
}

// Number returns a field with a point for its decimal comma, which it may have
// in a file with semicolons.
func (f *File) Number(name string) string {
	text := f.Field(name)
	if f.csv.Comma == ';' && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	return text
}

// TornRow says what is wrong with a row of n fields where the header has another
// number of them.
func TornRow(n, want int) (text, hint string) {
	fields := inputerror.Count(n, "field")
	if n > want {
		return fmt.Sprintf("found %s, expected %d as in the header", fields, want), "put quotes round a field with the separator in it, and write numbers with a point"
	}
	return fmt.Sprintf("found %s, expected %d as in the header: the row is torn", fields, want), "complete the row, or delete it if the reading was taken again"
}
