package wheel

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"markaudit/audit/csvfile"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Row is one row of a table in which a readout is compared: with a
// reference, or with itself through a second pointer opposite the first.
type Row struct {
	Reference geometry.Angle // what the reference showed; without meaning where Opposite is used
	Reading   geometry.Angle
	Opposite  geometry.Angle // at the second pointer, in a table of opposite pointers
	Pointers  bool           // the row is of opposite pointers
	Approach  sheet.Approach // zero where the table does not say
	Mounting  string         // empty where the table does not say
}

// Table is what a table of rows holds beside its rows.
type Table struct {
	Opposite  bool // the columns are reading and opposite
	Approach  bool // there is a column approach
	Mounting  bool // there is a column mounting
	Rows      int
	Digest    string // SHA-256 of the file, hexadecimal
	Positions inputerror.Positions

	written []written // the rows as they stand in the file; none of a long log
}

// column is a place in tableColumns.
type column int

const (
	reference column = iota
	reading
	approach
	mounting
	opposite
	struck
)

var tableColumns = []string{"reference", "reading", "approach", "mounting", "opposite", "struck"}

const (
	tableColumnsText = "the columns are reference,reading and, where known, approach,mounting; or reading,opposite; struck besides, with the reason for a row that does not count"
	mostLineBytes    = 64 << 10
	mostMountings    = 1000
	mostNameLetters  = 100
)

// ReadTable reads a table as it comes, a row at a time and however long it is,
// and hands every row to take. name is how errors print the file. The error, if
// any, names every fault with line, column and key, up to a thousand of them;
// then what was taken is not to be used.
//
// The form is that of a readings file: a header, columns in any order, a comma
// or, in files with decimal commas, a semicolon between them. No field goes over
// more than one line. A row with a reason in the column struck is kept in the table,
// and not handed on.
func ReadTable(name string, from io.Reader, take func(Row)) (Table, error) {
	sum := sha256.New()
	t := &tableReader{
		in:    bufio.NewReaderSize(from, mostLineBytes),
		sum:   sum,
		table: Table{Positions: inputerror.NewPositions(name)},
		take:  take, separator: ',', names: map[string]string{},
	}
	if err := t.read(); err != nil {
		return t.table, err
	}
	if len(t.faults) > 0 {
		return t.table, t.table.Positions.Explain(t.faults)
	}
	t.table.Digest = hex.EncodeToString(sum.Sum(nil))
	return t.table, nil
}

type tableReader struct {
	in        *bufio.Reader
	sum       hash.Hash
	table     Table
	faults    inputerror.List
	take      func(Row)
	separator byte
	line      int
	text      []byte   // the line at hand, without its end; valid until the next one
	fields    [][]byte // of the line at hand
	quoted    bool     // the line at hand has quotation marks: fields are copies
	columns   []column // by field
	names     map[string]string
	last      string // the mounting of the row before
	reason    string // why the row at hand is struck; empty: it counts
}

func (t *tableReader) read() error {
	if ok, err := t.header(); !ok || err != nil {
		return err
	}
	any := false
	for {
		ok, err := t.next()
		if !ok || err != nil {
			if err == nil && !any && len(t.faults) == 0 {
				t.whole("the table ends after its header, expected rows", "")
			}
			return err
		}
		if len(t.faults) > csvfile.MostFaults {
			t.fault("row", 0, fmt.Sprintf("found more than %d faults; the rows from here on were not read", csvfile.MostFaults), "")
			return nil
		}
		if t.row() {
			any = true
		}
	}
}

// next takes the next line that holds something.
func (t *tableReader) next() (bool, error) {
	for {
		line, err := t.in.ReadSlice('\n')
		_, _ = t.sum.Write(line) // a hash never fails
		t.line++
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			t.text = nil
			t.fault("row", 0, fmt.Sprintf("found a line of more than %d kB, expected a row of a table", mostLineBytes>>10), "is this the right file?")
			return false, nil
		case err != nil && !errors.Is(err, io.EOF):
			return false, fmt.Errorf("cannot be read: %w", err)
		case err != nil && len(line) == 0:
			t.line--
			return false, nil
		}
		line = bytes.TrimSuffix(bytes.TrimSuffix(line, []byte("\n")), []byte("\r"))
		if t.line == 1 {
			if !t.start(&line) {
				return false, nil
			}
		}
		if len(line) == 0 {
			continue
		}
		t.text = line
		return true, nil
	}
}

// start looks at the first line for what makes the whole file no table.
func (t *tableReader) start(line *[]byte) bool {
	l := *line
	if inputerror.IsUTF16(l) {
		t.whole("the table is UTF-16 text, expected UTF-8", "save it again with the encoding UTF-8")
		return false
	}
	*line = bytes.TrimPrefix(l, []byte("\ufeff"))
	return true
}

// header reads the names of the columns.
func (t *tableReader) header() (bool, error) {
	ok, err := t.next()
	if err != nil {
		return false, err
	}
	if ok && bytes.HasPrefix(t.text, []byte("sep=")) {
		sep := string(t.text[4:])
		if sep != ";" && sep != "," {
			t.fault("header", 4, "found the separator "+inputerror.Shown(sep)+", expected ; or ,", "")
			return false, nil
		}
		t.separator = sep[0]
		if ok, err = t.next(); err != nil {
			return false, err
		}
	}
	if !ok {
		if len(t.faults) == 0 {
			t.whole("the table is empty, expected the header "+"reference,reading", tableColumnsText)
		}
		return false, nil
	}
	if bytes.IndexByte(t.text, ';') >= 0 {
		t.separator = ';'
	}
	if !t.legible() || !t.split() {
		return false, nil
	}
	if len(t.fields) > csvfile.MostColumns {
		t.fault("header", 0, fmt.Sprintf("found %d columns, expected a table of two to four", len(t.fields)), tableColumnsText)
		return false, nil
	}
	for i, field := range t.fields {
		name := strings.TrimSpace(string(field))
		known := column(slices.Index(tableColumns, name))
		switch {
		case strings.Contains(name, "\t"):
			t.fault("header", t.offset(i), "found tabs between the columns, expected , or ;", "")
			return false, nil
		case known < 0:
			hint := inputerror.DidYouMean(inputerror.Nearest(name, tableColumns))
			if hint == "" {
				hint = tableColumnsText
			}
			t.fault("header", t.offset(i), "found "+inputerror.Shown(name)+", an unknown column", hint)
		case slices.Contains(t.columns, known):
			t.fault("header", t.offset(i), "found the column "+name+" a second time", "")
		}
		t.columns = append(t.columns, known)
	}
	if len(t.faults) > 0 {
		return false, nil
	}
	has := func(c column) bool { return slices.Contains(t.columns, c) }
	t.table.Opposite, t.table.Approach, t.table.Mounting = has(opposite), has(approach), has(mounting)
	need := []column{reference, reading}
	if t.table.Opposite {
		need = []column{reading, opposite}
		for i, c := range t.columns {
			if c != struck && !slices.Contains(need, c) {
				t.fault("header", t.offset(i), "found "+tableColumns[c]+" beside opposite, expected reading and opposite alone", tableColumnsText)
			}
		}
	}
	for _, c := range need {
		if !has(c) {
			t.fault("header", 0, "found no column "+tableColumns[c]+", expected one", tableColumnsText)
		}
	}
	return len(t.faults) == 0, nil
}

// legible reports whether the line at hand is text, and says where it is not.
func (t *tableReader) legible() bool {
	for i, r := range string(t.text) {
		switch {
		case r == 0:
			t.fault("row", i, "found a zero byte: this is no text file", "is this the right file?")
		case r == utf8.RuneError && !bytes.HasPrefix(t.text[i:], []byte("\ufffd")):
			t.fault("row", i, fmt.Sprintf("found the byte 0x%X, which is not UTF-8", t.text[i]), "save the file again with the encoding UTF-8")
		case r < ' ' && r != '\t' || 0x7f <= r && r < 0xa0:
			t.fault("row", i, fmt.Sprintf("found the control character %U", r), "delete it; the file may be damaged")
		default:
			continue
		}
		return false
	}
	return true
}

// split cuts the line at hand into fields.
func (t *tableReader) split() bool {
	t.fields, t.quoted = t.fields[:0], false
	if bytes.IndexByte(t.text, '"') >= 0 {
		return t.splitQuoted()
	}
	for field := range bytes.SplitSeq(t.text, []byte{t.separator}) {
		t.fields = append(t.fields, field)
	}
	return true
}

func (t *tableReader) splitQuoted() bool {
	r := csv.NewReader(bytes.NewReader(t.text))
	r.Comma = rune(t.separator)
	record, err := r.Read()
	var bad *csv.ParseError
	switch {
	case err == nil:
	case errors.As(err, &bad) && errors.Is(bad.Err, csv.ErrBareQuote):
		t.fault("row", bad.Column-1, "found a quotation mark inside a field", "put quotes round the whole field and double the one inside it")
		return false
	default:
		t.fault("row", 0, "found a quoted field that is not closed on its line, or not followed by a separator", "a quotation mark inside quotes is doubled")
		return false
	}
	t.quoted = true
	for _, field := range record {
		t.fields = append(t.fields, []byte(field))
	}
	return true
}

// offset returns where a field begins in the line at hand, in bytes.
func (t *tableReader) offset(field int) int {
	if t.quoted {
		r := csv.NewReader(bytes.NewReader(t.text))
		r.Comma = rune(t.separator)
		_, _ = r.Read() // it was read before
		_, column := r.FieldPos(field)
		return column - 1
	}
	at := 0
	for _, f := range t.fields[:field] {
		at += len(f) + 1
	}
	return at
}

// fault says what is wrong with a field of the line at hand, or with the line as a
// whole (key "row").
func (t *tableReader) fault(key string, offset int, text, hint string) {
	t.put(inputerror.Place{Line: t.line, Column: utf8.RuneCount(t.text[:min(offset, len(t.text))]) + 1, Key: key}, text, hint)
}

// whole says what is wrong with the file as a whole.
func (t *tableReader) whole(text, hint string) { t.put(inputerror.Place{Key: "table"}, text, hint) }

func (t *tableReader) put(at inputerror.Place, text, hint string) {
	path := inputerror.Path("table." + strconv.Itoa(len(t.faults)))
	at.File = t.table.Positions.Name()
	t.table.Positions.Put(path, at)
	t.faults = append(t.faults, inputerror.Fault{Path: path, Text: text, Hint: hint})
}

// row hands on the row at hand; false for one that is blank, as spreadsheets
// leave them below the last.
func (t *tableReader) row() bool {
	row := Row{Pointers: t.table.Opposite}
	t.reason = ""
	if !t.plain(&row) {
		switch {
		case len(bytes.Trim(t.text, " \t,;")) == 0:
			return false
		case t.legible() && t.split():
			t.slowly(&row)
		}
	}
	if len(t.faults) > 0 {
		return true
	}
	t.table.Rows++
	t.keep(row)
	if t.reason == "" {
		t.take(row)
	}
	return true
}

// plain reads a row of plain numbers and known names, which nearly all are, and
// leaves every other to slowly. What it reads, slowly would read the same.
func (t *tableReader) plain(row *Row) bool {
	rest, comma := t.text, t.separator == ';'
	for i, column := range t.columns {
		field, after, more := bytes.Cut(rest, []byte{t.separator})
		if last := i == len(t.columns)-1; more == last {
			return false
		}
		rest = after
		ok := false
		switch column {
		case reference:
			row.Reference, ok = plainNumber(field, comma)
		case reading:
			row.Reading, ok = plainNumber(field, comma)
		case opposite:
			row.Opposite, ok = plainNumber(field, comma)
		case approach:
			switch ok = true; string(field) {
			case "forward":
				row.Approach = sheet.Forward
			case "backward":
				row.Approach = sheet.Backward
			default:
				ok = false
			}
		case mounting:
			row.Mounting, ok = t.last, t.last != "" && string(field) == t.last
			if !ok {
				row.Mounting, ok = t.names[string(field)]
				t.last = row.Mounting
			}
		case struck:
			ok = len(field) == 0
		}
		if !ok {
			return false
		}
	}
	return true
}

// slowly reads any row, and says what is wrong with it.
func (t *tableReader) slowly(row *Row) {
	if n, want := len(t.fields), len(t.columns); n != want {
		text, hint := csvfile.TornRow(n, want)
		t.fault("row", 0, text, hint)
		return
	}
	for i, field := range t.fields {
		text := strings.TrimSpace(string(field))
		switch t.columns[i] {
		case reference:
			row.Reference = t.angle(i, text)
		case reading:
			row.Reading = t.angle(i, text)
		case opposite:
			row.Opposite = t.angle(i, text)
		case approach:
			row.Approach = t.direction(i, text)
		case mounting:
			row.Mounting = t.mounting(i, text)
		case struck:
			t.reason = strings.Clone(text)
		}
	}
}

func (t *tableReader) angle(i int, text string) geometry.Angle {
	if t.separator == ';' && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	a, letters, err := geometry.ParseAngle(text)
	var refusal *geometry.Refusal
	switch {
	case errors.As(err, &refusal):
		t.fault(tableColumns[t.columns[i]], t.offset(i), refusal.Text, refusal.Hint)
	case err != nil:
		t.fault(tableColumns[t.columns[i]], t.offset(i), err.Error(), "")
	case letters != geometry.NoLetters:
		t.fault(tableColumns[t.columns[i]], t.offset(i), "found "+inputerror.Shown(text)+", expected degrees without letters", "write 347.5 for 12.5 BTDC")
	}
	return a
}

func (t *tableReader) direction(i int, word string) sheet.Approach {
	switch word {
	case "forward":
		return sheet.Forward
	case "backward":
		return sheet.Backward
	}
	t.fault("approach", t.offset(i), "found "+inputerror.Shown(word)+", expected forward or backward", inputerror.DidYouMean(inputerror.Nearest(word, []string{"forward", "backward"})))
	return 0
}

// mounting returns the name of the mounting, the same string for the same name.
func (t *tableReader) mounting(i int, text string) string {
	name, ok := t.names[text]
	switch {
	case ok:
	case text == "":
		t.fault("mounting", t.offset(i), "found nothing, expected the name of the mounting", "")
	case strings.IndexFunc(text, inputerror.Invisible) >= 0:
		t.fault("mounting", t.offset(i), "found "+inputerror.Shown(text)+", expected a name without invisible characters", "")
	case utf8.RuneCountInString(text) > mostNameLetters:
		t.fault("mounting", t.offset(i), fmt.Sprintf("found a name of more than %d letters", mostNameLetters), "")
	case len(t.names) == mostMountings:
		t.fault("mounting", t.offset(i), fmt.Sprintf("found more than %d mountings, expected one for each time that the wheel was mounted", mostMountings), "")
	default:
		name = strings.Clone(text)
		t.names[name] = name
	}
	return name
}
