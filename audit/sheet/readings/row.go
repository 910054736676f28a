package readings

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"

	"markaudit/audit/csvfile"
)

// The columns of a readings file. Files begun before the later ones came have
// the first alone, and keep them as long as their rows need no other.
var (
	firstColumns = []string{"setup", "by", "trial", "item", "approach", "reading", "time", "note", "struck"}
	laterColumns = []string{"mounting", "fitting", "cylinder", "side", "height", "id"}
)

// Kind is what a readings file is. With mayBeEmpty it may hold its header alone.
func Kind(mayBeEmpty bool) csvfile.Kind {
	return csvfile.Kind{
		Name: "readings", Most: csvfile.MostBytes,
		Columns:    slices.Concat(firstColumns, laterColumns),
		Required:   []string{"setup", "item", "approach", "reading"},
		MayBeEmpty: mayBeEmpty,
	}
}

// Row is one line of a readings file, its fields as they are written there, the
// number with a point. Side and Height belong to drops and sweeps. ID names the
// step that was answered, so that the same answer sent twice is one row; it is
// no part of the audit.
type Row struct {
	Setup, By, Trial, Item, Approach, Reading, Time, Note, Struck string
	Mounting, Fitting, Cylinder, Side, Height, ID                 string
}

// At returns the row at hand of a readings file.
func At(f *csvfile.File) Row {
	return Row{
		Setup: f.Field("setup"), By: f.Field("by"), Trial: f.Field("trial"), Item: f.Field("item"), Approach: f.Field("approach"),
		Reading: f.Number("reading"), Time: f.Field("time"), Note: f.Field("note"), Struck: f.Field("struck"),
		Mounting: f.Field("mounting"), Fitting: f.Field("fitting"), Cylinder: f.Field("cylinder"),
		Side: f.Field("side"), Height: f.Number("height"), ID: f.Field("id"),
	}
}

// Layout is which columns a file has.
type Layout uint8

// Full: all columns. Short: the first nine, as older files have them.
const (
	Full Layout = iota
	Short
)

func (l Layout) columns() []string {
	if l == Short {
		return firstColumns
	}
	return slices.Concat(firstColumns, laterColumns)
}

// Header is the first line of a readings file of this layout, with its end.
func (l Layout) Header() string { return strings.Join(l.columns(), ",") + "\n" }

// Line returns a row as a line under the header, with its end. No field may hold
// a line break: half of a row must never look like a row.
func (l Layout) Line(r Row) string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	// Writing into memory cannot go wrong.
	_ = w.Write(l.fields(r))
	w.Flush()
	return b.String()
}

// fields are the cells of a row. No text in them is carried out by a spreadsheet;
// numbers keep their sign.
func (l Layout) fields(r Row) []string {
	safe := csvfile.Harmless
	fields := []string{safe(r.Setup), safe(r.By), r.Trial, safe(r.Item), r.Approach, r.Reading, r.Time, safe(r.Note), safe(r.Struck)}
	if l == Full {
		fields = append(fields, safe(r.Mounting), safe(r.Fitting), safe(r.Cylinder), r.Side, r.Height, safe(r.ID))
	}
	return fields
}

// WriteComma returns a readings file of these rows with all columns, semicolons
// between them and a comma in numbers, as some spreadsheets want it.
func WriteComma(rows []Row) []byte {
	var b bytes.Buffer
	b.WriteString("sep=;\n")
	w := csv.NewWriter(&b)
	w.Comma = ';'
	comma := func(text string) string {
		if strings.Contains(text, ",") {
			return text
		}
		return strings.Replace(text, ".", ",", 1)
	}
	// Writing into memory cannot go wrong.
	_ = w.Write(Full.columns())
	for _, r := range rows {
		r.Reading, r.Height = comma(r.Reading), comma(r.Height)
		_ = w.Write(Full.fields(r))
	}
	w.Flush()
	return b.Bytes()
}

// Write returns a readings file of these rows.
func (l Layout) Write(rows []Row) []byte {
	var b bytes.Buffer
	b.WriteString(l.Header())
	for _, r := range rows {
		b.WriteString(l.Line(r))
	}
	return b.Bytes()
}

// Holds reports whether the layout has a place for all that a row says. An
// identity alone needs none: without it the journal still knows it.
func (l Layout) Holds(r Row) bool {
	return l == Full || r.Mounting+r.Fitting+r.Cylinder+r.Side+r.Height == ""
}

// Header is the first line of a readings file that has all columns, with its
// end.
func Header() string { return Full.Header() }

// Line returns the row as a line under [Header], with its end.
func (r Row) Line() string { return Full.Line(r) }

// Write returns a readings file of these rows, with all columns.
func Write(rows []Row) []byte { return Full.Write(rows) }
