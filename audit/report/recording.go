package report

import (
	"fmt"
	"strings"

	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet/readings"
)

// Readings lists rows with the numbers by which they are struck, from the given
// one on, counted from 1. Setups and lines keep their names.
func Readings(rows []readings.Row, from int) document.Table {
	t := document.Table{
		Header: []string{"no", "setup", "what", "approach", "reading", "by", "remarks"},
		Right:  []bool{true, false, false, false, true},
	}
	for i, row := range rows {
		if i+1 < from {
			continue
		}
		what := words.Clean(row.Item)
		if row.Item == "stop" {
			what = "pair " + words.Clean(row.Trial)
		}
		remarks := words.Clean(row.Note)
		if row.Struck != "" {
			remarks = strings.TrimPrefix(remarks+"; struck: "+words.Clean(row.Struck), "; ")
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), words.Clean(row.Setup), what, words.Clean(row.Approach), words.Clean(row.Reading), words.Clean(row.By), remarks})
	}
	return t
}

// LineTable shows the lines read so far.
func LineTable(r words.Recording) document.Table {
	t := document.Table{Header: []string{"line", "belongs at", "comes up at", "off by", "within?"}}
	for _, l := range r.Lines() {
		verdict := l.Verdict
		if verdict == "outside" {
			verdict = "OUTSIDE"
		}
		if l.Fitted != "" {
			verdict += ", " + l.Fitted
		}
		t.Rows = append(t.Rows, []string{l.Name, l.BelongsAt, orDash(l.ComesUpAt), orDash(l.OffBy), verdict + " " + l.Allowed})
	}
	return t
}

// orDash is a dash for nothing.
func orDash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}
