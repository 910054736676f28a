package wheel

import (
	"strings"

	"markaudit/audit/jobrecord"
)

// mostWritten rows are kept as they were written. A longer table is a log: its
// digest stands for it.
const mostWritten = 2000

// written is a row as it stands in the file.
type written struct {
	row    Row
	line   int
	texts  [2]string // of the values: reference and reading, or reading and opposite
	reason string    // why it is struck; empty: it counts
}

// keep remembers the row at hand as it was written.
func (t *tableReader) keep(row Row) {
	if t.table.Rows > mostWritten {
		t.table.written = nil
		return
	}
	t.split() // a plain row was read without
	w := written{row: row, line: t.line, reason: t.reason}
	for i, c := range t.columns {
		text := strings.TrimSpace(string(t.fields[i]))
		switch {
		case c == reference, c == reading && t.table.Opposite:
			w.texts[0] = text
		case c == reading, c == opposite:
			w.texts[1] = text
		}
	}
	t.table.written = append(t.table.written, w)
}

// RowsOf are the rows of the file that make up a station that stands out, counted
// as an editor counts lines. None of a table too long to be kept.
func (t Table) RowsOf(s *Station) (rows []int) {
	for _, w := range t.written {
		if w.of(s, t.Opposite) {
			rows = append(rows, w.line)
		}
	}
	return rows
}

// of reports whether a row that counts was read at a station; of none it was not.
func (w written) of(s *Station, pointers bool) bool {
	if s == nil || w.reason != "" {
		return false
	}
	at, station := w.row.Reference, s.Reference
	if pointers {
		at, station = w.row.Reading, s.Reading
	}
	return stationOf(turn(at.Degrees())) == stationOf(turn(station.Degrees())) && (s.Mounting == "" || s.Mounting == w.row.Mounting)
}

// Readings are the rows of a table for its record, in the order of the file.
func (t Table) Readings(r Result) (out []jobrecord.Reading) {
	set, read := tableColumns[reference], tableColumns[reading]
	if t.Opposite {
		set, read = tableColumns[reading], tableColumns[opposite]
	}
	for _, w := range t.written {
		where := set + " " + w.texts[0]
		if w.row.Approach != 0 {
			where += ", " + w.row.Approach.String()
		}
		if w.row.Mounting != "" {
			where += ", mounting " + w.row.Mounting
		}
		slip := w.of(r.StandsOut, t.Opposite)
		out = append(out, jobrecord.Reading{Row: w.line, Where: where + ", " + read, Text: w.texts[1], Struck: w.reason, Slip: slip, AsRead: slip && r.AsRead})
	}
	return out
}
