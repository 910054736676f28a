package sheet

import (
	"bytes"
	"encoding/csv"
	"strings"
)

// Row is one line of a readings file, its fields as they are written there, the
// number with a point.
type Row struct{ Setup, By, Trial, Item, Approach, Reading, Time, Note, Struck string }

// RowsHeader is the first line of a readings file that has all readingsTable.columns.
func RowsHeader() string { return strings.Join(readingsTable.columns, ",") + "\n" }

// Line returns the row as a line under [RowsHeader], with its end. No field may
// hold a line break: half of a row must never look like a row.
func (r Row) Line() string {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	// Writing into memory cannot go wrong.
	_ = w.Write([]string{r.Setup, r.By, r.Trial, r.Item, r.Approach, r.Reading, r.Time, r.Note, r.Struck})
	w.Flush()
	return b.String()
}

// Rows returns a readings file.
func Rows(rows []Row) []byte {
	var b bytes.Buffer
	b.WriteString(RowsHeader())
	for _, r := range rows {
		b.WriteString(r.Line())
	}
	return b.Bytes()
}
