package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// readings reads the file that stands in for the setups of a sheet.
func (r *reader) readings(n *node, marks []Mark) []Setup {
	path, data, ok := r.attached(n, "the name of a CSV file", "such as readings.csv")
	if !ok {
		return nil
	}
	b := &book{reader: r, columnar: readingsTable, name: r.beside(path), marks: make(map[string]bool, len(marks)), setups: map[string]*bookSetup{}}
	for _, m := range marks {
		b.marks[m.Name] = true
		b.names = append(b.names, m.Name)
	}
	b.names = append(b.names, "stop", "closing")
	b.read(data, b.take)
	return b.finished()
}

// attached reads a file that the sheet names. Its bytes count in the digest.
func (r *reader) attached(n *node, expected, example string) (path string, data []byte, ok bool) {
	path, ok = r.scalar(n, expected)
	if !ok {
		return "", nil, false
	}
	drive := len(path) > 1 && path[1] == ':'
	switch {
	case strings.HasPrefix(path, "/") || drive:
		r.fault(n.path, "found "+shown(path)+", expected a path relative to the folder of the sheet", example)
		return "", nil, false
	case strings.Contains(path, `\`):
		r.fault(n.path, "found "+shown(path)+", expected / between folders", "write "+shown(strings.ReplaceAll(path, `\`, "/")))
		return "", nil, false
	case strings.IndexFunc(path, invisible) >= 0:
		r.fault(n.path, "found "+shown(path)+", expected the name of a file", "")
		return "", nil, false
	}
	if r.unfinished != nil && n.path == "readings" {
		r.unfinished.Readings = path
	}
	data, err := r.file(path)
	if r.unfinished != nil && r.unfinished.Readings == path && errors.Is(err, fs.ErrNotExist) {
		return path, nil, false // it begins with the first reading
	}
	if err != nil {
		var about *fs.PathError
		reason := err.Error()
		switch {
		case errors.Is(err, fs.ErrNotExist):
			reason = "there is no such file"
		case errors.As(err, &about):
			reason = about.Err.Error()
		}
		r.fault(n.path, "cannot read "+shown(path)+": "+reason, "its place counts from the folder of the sheet")
		return "", nil, false
	}
	_, _ = r.digest.Write(data)
	return path, data, true
}

// beside is the place of a file that the sheet names, as errors print it.
func (r *reader) beside(path string) string {
	return r.name[:strings.LastIndexAny(r.name, `/\`)+1] + path
}

func (r *reader) file(path string) ([]byte, error) {
	if r.open == nil {
		return nil, errors.New("no file can be read here")
	}
	return r.open(path)
}

// columnar is a kind of CSV file: what it is called, how large it may be, the
// columns it may have and those it cannot do without.
type columnar struct {
	name              string // "readings"
	most              int    // bytes
	columns, required []string
}

var readingsTable = columnar{
	"readings", MostReadingsBytes,
	[]string{"setup", "by", "trial", "item", "approach", "reading", "time", "note", "struck"},
	[]string{"setup", "item", "approach", "reading"},
}

func (c columnar) file() string { return c.name + " file" }

// Beyond these a file is of another kind, and listing all would take long.
const (
	mostColumns = 50
	mostFaults  = 1000
)

// book is a readings file while it is read.
type book struct {
	*reader
	columnar
	name   string // of the file, as errors print it
	lines  []string
	csv    *csv.Reader
	first  int  // lines before those of csv
	row    int  // number of the row at hand, from 0
	any    bool // a row that is not blank was found
	record []string
	column map[string]int

	marks  map[string]bool
	names  []string // that an item may have
	setups map[string]*bookSetup
	order  []*bookSetup
}

// bookSetup is a setup with what finds its trials again.
type bookSetup struct {
	Setup
	trials       map[string]int // by name, into Setup.Trials
	closing      string         // name of the trial
	closingTaken bool
}

// read hands row after row to take, with the fields in b.record. Rows that are
// blank or torn are not handed on.
func (b *book) read(data []byte, take func()) {
	text, bad := plainText(data, b.columnar.file(), b.most)
	if bad != nil {
		b.refuse(b.part(".file"), b.columnar.name, bad.spot, bad.text, bad.hint)
		return
	}
	b.lines = strings.Split(text, "\n")
	comma := ','
	if sep, ok := strings.CutPrefix(b.lines[0], "sep="); ok {
		if sep != ";" && sep != "," {
			b.refuse(b.part(".file"), b.columnar.name, spot{1, 5}, "found the separator "+shown(sep)+", expected ; or ,", "")
			return
		}
		b.first, comma = 1, rune(sep[0])
		text = text[min(len(b.lines[0])+1, len(text)):]
	}
	header := strings.TrimLeft(text, "\n")
	if header, _, _ = strings.Cut(header, "\n"); strings.Contains(header, ";") {
		comma = ';'
	}
	b.csv = csv.NewReader(strings.NewReader(text))
	b.csv.Comma, b.csv.FieldsPerRecord, b.csv.ReuseRecord = comma, -1, true
	if !b.header() {
		return
	}
	for ; ; b.row++ {
		if len(b.faults) > mostFaults {
			b.refuse(b.part(".file"), b.columnar.name, b.spot(0), fmt.Sprintf("found more than %d faults; the rows from here on were not read", mostFaults), "")
			return
		}
		var err error
		var bad *csv.ParseError
		switch b.record, err = b.csv.Read(); {
		case errors.As(err, &bad):
			b.any = true
			b.quotes(bad)
		case errors.Is(err, io.EOF):
			if !b.any && b.unfinished == nil {
				b.refuse(b.part(".file"), b.columnar.name, spot{len(b.lines), 1}, "the "+b.columnar.file()+" ends after its header, expected "+b.columnar.name, "")
			}
			return
		case err != nil: // a string is read to its end
			b.refuse(b.part(".file"), b.columnar.name, spot{}, err.Error(), "")
			return
		default:
			if b.whole() {
				take()
			}
		}
	}
}

func (b *book) refuse(path Path, key string, at spot, text, hint string) {
	b.at[path] = place{file: b.name, line: at.line, column: at.column, key: key}
	b.fault(path, text, hint)
}

// spot returns where a field of the record at hand begins.
func (b *book) spot(field int) spot {
	line, column := b.csv.FieldPos(field)
	line += b.first
	return spotIn(b.lines[line-1], min(column-1, len(b.lines[line-1])), line)
}

func (b *book) header() bool {
	record, err := b.csv.Read()
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		b.quotes(bad)
		return false
	case err != nil:
		b.refuse(b.part(".file"), b.columnar.name, spot{}, "the "+b.columnar.file()+" is empty, expected the header "+strings.Join(b.columns, ","), "")
		return false
	}
	if len(record) > mostColumns {
		b.refuse(b.part(".header"), "header", b.spot(0), fmt.Sprintf("found %d columns, expected at most the %d of a %s", len(record), len(b.columns), b.columnar.file()), "")
		return false
	}
	b.column = make(map[string]int, len(b.columns))
	good := true
	for i, name := range record {
		name = strings.TrimSpace(name)
		path := b.part(fmt.Sprintf(".header[%d]", i))
		_, twice := b.column[name]
		switch {
		case strings.Contains(name, "\t"):
			b.refuse(path, "header", b.spot(i), "found tabs between the columns, expected , or ;", "")
			return false
		case !slices.Contains(b.columns, name):
			hint := didYouMean(b.near(name, b.columns))
			if hint == "" {
				hint = "the columns are " + strings.Join(b.columns, ",")
			}
			b.refuse(path, "header", b.spot(i), "found "+shown(name)+", an unknown column", hint)
			good = false
		case twice:
			b.refuse(path, "header", b.spot(i), "found the column "+name+" a second time", "")
			good = false
		}
		b.column[name] = i
	}
	for _, name := range b.required {
		if _, ok := b.column[name]; !ok && good {
			b.refuse(b.part(".header."+name), "header", b.spot(0), "found no column "+name+", expected one", "the columns are "+strings.Join(b.columns, ","))
		}
	}
	for _, name := range b.required {
		_, ok := b.column[name]
		good = good && ok
	}
	return good
}

func (b *book) quotes(bad *csv.ParseError) {
	text, hint := "found a quotation mark inside a field", "put quotes round the whole field and double the one inside it"
	at := spot{bad.Line + b.first, bad.Column}
	if errors.Is(bad.Err, csv.ErrQuote) {
		text, hint = "found a quoted field that is not closed, or not followed by a separator", "a quotation mark inside quotes is doubled"
		at = spot{bad.StartLine + b.first, 1}
	}
	if line := b.lines[at.line-1]; at.column > 1 {
		at.column = utf8.RuneCountInString(line[:min(at.column-1, len(line))]) + 1
	}
	b.refuse(b.path(), "row", at, text, hint)
}

// path names the row at hand.
func (b *book) path() Path { return b.part("[" + strconv.Itoa(b.row) + "]") }

// part is a path within the file.
func (b *book) part(rest string) Path { return Path(b.columnar.name + rest) }

// field returns a field of the row at hand, or "" when there is no such column.
func (b *book) field(name string) string {
	if i, ok := b.column[name]; ok {
		return strings.TrimSpace(b.record[i])
	}
	return ""
}

// mark gives a field of the row at hand a path that can be pointed at.
func (b *book) mark(name string) Path {
	path := b.path() + "." + Path(name)
	i, ok := b.column[name]
	if !ok {
		i = 0
	}
	at := b.spot(i)
	b.at[path] = place{file: b.name, line: at.line, column: at.column, key: name}
	return path
}

// whole reports whether the row at hand has a field for every column.
func (b *book) whole() bool {
	if !slices.ContainsFunc(b.record, func(f string) bool { return strings.TrimSpace(f) != "" }) {
		return false // what a spreadsheet leaves below the last row
	}
	b.any = true
	if n, want := len(b.record), len(b.column); n != want {
		text, hint := fmt.Sprintf("found %s, expected %d as in the header: the row is torn", count(n, "field"), want), "complete the row, or delete it if the reading was taken again"
		if n > want {
			text, hint = fmt.Sprintf("found %s, expected %d as in the header", count(n, "field"), want), "put quotes round a field with the separator in it, and write numbers with a point"
		}
		b.refuse(b.path(), "row", b.spot(0), text, hint)
		return false
	}
	return true
}

// take adds the row at hand to its setup.
func (b *book) take() {
	f := &Reading{Note: b.field("note"), Time: b.field("time"), Reason: b.field("struck"), Path: b.mark("reading")}
	f.Struck = f.Reason != ""
	f.Approach = b.approach()
	written := b.reading(f)
	if u := b.unfinished; u != nil {
		u.Rows = append(u.Rows, Row{
			Setup: b.field("setup"), By: b.field("by"), Trial: b.field("trial"), Item: b.field("item"), Approach: b.field("approach"),
			Reading: written, Time: f.Time, Note: f.Note, Struck: f.Reason,
		})
	}
	if f.Time != "" {
		if _, err := time.Parse(time.RFC3339, f.Time); err != nil {
			b.fault(b.mark("time"), "found "+shown(f.Time)+", expected a time such as 2026-03-14T09:30:00+01:00", "")
		}
	}
	name, item := b.field("setup"), b.field("item")
	if name == "" {
		b.fault(b.mark("setup"), "found nothing, expected the name or number of the setup", "")
		return
	}
	s := b.setups[name]
	if s == nil {
		s = &bookSetup{Setup: Setup{Name: name, Path: b.path(), Marks: map[string][]Reading{}}, trials: map[string]int{}}
		at := b.spot(0)
		b.at[s.Path] = place{file: b.name, line: at.line, column: at.column, key: "setup " + name}
		b.setups[name] = s
		b.order = append(b.order, s)
	}
	if s.By == "" {
		s.By = b.field("by")
	}
	switch {
	case item == "stop" || item == "closing":
		b.contact(s, item, f)
	case b.marks[item]:
		s.Marks[item] = append(s.Marks[item], *f)
	case item == "":
		b.fault(b.mark("item"), "found nothing, expected stop, closing or the name of a line", "")
	case !b.unnamed:
		b.fault(b.mark("item"), "found "+shown(item)+", no line of this name under marks", didYouMean(b.near(item, b.names)))
	}
}

func (b *book) approach() Approach {
	switch word := b.field("approach"); word {
	case "forward":
		return Forward
	case "backward":
		return Backward
	default:
		b.fault(b.mark("approach"), "found "+shown(word)+", expected forward or backward", didYouMean(b.near(word, []string{"forward", "backward"})))
		return 0
	}
}

// reading reads the number and returns it as it is written with a point.
func (b *book) reading(f *Reading) string {
	text := b.number("reading")
	b.value(f, text)
	return text
}

// number returns a field with a point for its decimal comma, which it may have
// in a file with semicolons.
func (b *book) number(name string) string {
	text := b.field(name)
	if b.csv.Comma == ';' && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	return text
}

// contact adds a contact to its trial.
func (b *book) contact(s *bookSetup, item string, f *Reading) {
	name := b.field("trial")
	if name == "" {
		b.fault(b.mark("trial"), "found nothing, expected the number of the pair that the contact belongs to", "")
		return
	}
	var t *Trial
	if item == "closing" {
		if s.closingTaken && s.closing != name {
			b.fault(b.mark("trial"), "found a second closing pair, "+shown(name)+" after "+shown(s.closing)+", expected one a setup", "")
			return
		}
		if !s.closingTaken {
			s.Closing, s.closing, s.closingTaken = &Trial{}, name, true
		}
		t = s.Closing
	} else {
		i, ok := s.trials[name]
		if !ok {
			i = len(s.Trials)
			s.trials[name], s.Trials = i, append(s.Trials, Trial{})
		}
		t = &s.Trials[i]
	}
	contact := &t.Forward
	switch f.Approach {
	case Forward:
	case Backward:
		contact = &t.Backward
	default:
		return // already a fault
	}
	if *contact != nil {
		b.fault(f.Path, fmt.Sprintf("found a second %v contact of %s %s in setup %s, expected one", f.Approach, pairWord(item), shown(name), shown(s.Name)),
			"give a pair that was taken again a number of its own")
		return
	}
	*contact = f
}

func pairWord(item string) string {
	if item == "closing" {
		return "closing pair"
	}
	return "trial"
}

func (b *book) finished() []Setup {
	var all []Setup
	for _, s := range b.order {
		all = append(all, s.Setup)
	}
	return all
}
