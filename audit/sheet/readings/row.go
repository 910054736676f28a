package readings

import (
	"bytes"
	"encoding/csv"
	"strings"

	"markaudit/audit/csvfile"
)

// Kind is what a readings file is. With mayBeEmpty it may hold its header alone.
func Kind(mayBeEmpty bool) csvfile.Kind {
	return csvfile.Kind{
		Name: "readings", Most: csvfile.MostBytes,
		Columns:    []string{"setup", "by", "trial", "item", "approach", "reading", "time", "note", "struck"},
		Required:   []string{"setup", "item", "approach", "reading"},
		MayBeEmpty: mayBeEmpty,
	}
}

// Row is one line of a readings file, its fields as they are written there, the
// number with a point.
type Row struct{ Setup, By, Trial, Item, Approach, Reading, Time, Note, Struck string }

// At returns the row at hand of a readings file.
func At(f *csvfile.File) Row {
	return Row{
		Setup: f.Field("setup"), By: f.Field("by"), Trial: f.Field("trial"), Item: f.Field("item"), Approach: f.Field("approach"),
		Reading: f.Number("reading"), Time: f.Field("time"), Note: f.Field("note"), Struck: f.Field("struck"),
	}
}

// Header is the first line of a readings file that has all columns, with its
// end.
func Header() string { return strings.Join(Kind(false).Columns, ",") + "\n" }

// Line returns the row as a line under [Header], with its end. No field may
// hold a line break: half of a row must never look like a row.
func (r Row) Line() string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	// Writing into memory cannot go wrong.
	_ = w.Write([]string{r.Setup, r.By, r.Trial, r.Item, r.Approach, r.Reading, r.Time, r.Note, r.Struck})
	w.Flush()
	return b.String()
}

// Write returns a readings file of these rows.
func Write(rows []Row) []byte {
	var b bytes.Buffer
	b.WriteString(Header())
	for _, r := range rows {
		b.WriteString(r.Line())
	}
	return b.Bytes()
}
