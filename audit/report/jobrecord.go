package report

import (
	"fmt"
	"strconv"
	"strings"

	"markaudit/audit/jobrecord"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
)

const (
	toFillIn   = "________________"
	shortDigit = 12 // of a digest, on a page; the annex has all
)

// Recorded adds the record to a study's document: what a tool room files with it.
// What is missing is a line to fill in by hand. With annex all readings and whole
// digests follow; else only readings that were struck, or that cannot belong.
func Recorded(d document.Doc, r jobrecord.Record, annex bool) document.Doc {
	line := func(text string) string {
		if text == "" {
			return toFillIn
		}
		return words.Clean(text)
	}
	t := document.Table{Header: []string{"what", ""}}
	add := func(what, text string) { t.Rows = append(t.Rows, []string{what, text}) }
	for _, f := range r.Files {
		digest := f.Digest
		if len(digest) > shortDigit && !annex {
			digest = digest[:shortDigit]
		}
		text := words.Clean(f.Name)
		if f.Rows > 0 {
			text += fmt.Sprintf(", %d rows", f.Rows)
		}
		add("file", text+", SHA-256 "+digest)
	}
	add("program", words.Clean(r.Software))
	for _, i := range r.Instruments {
		text := line(i.Name) + ", number " + line(i.Number) + ", certificate " + line(i.Certificate) + ", due " + line(i.Due)
		if i.Used != "" {
			text += ", used " + i.Used
		}
		role := i.Role
		if role == "" {
			role = "instrument"
		}
		add(words.Clean(role), text)
	}
	add("conditions", line(r.Conditions))
	add("by, date", line(r.By)+", "+line(r.Date))
	add("rule", line(r.Rule))
	add("revision", line(r.Revision))
	add("signed", toFillIn+", "+toFillIn)
	d = append(d, document.Space{}, document.Sentence{Lead: "RECORD"}, t)
	if ended := words.Ended(r); len(ended) > 0 {
		d = append(d, document.Space{}, document.Sentence{Lead: "OVERDUE", Text: strings.Join(ended, " ")})
	}
	if text := words.NotJudged(r); text != "" {
		d = append(d, document.Space{}, document.Sentence{Text: text})
	}
	if len(r.Files) > 0 {
		f := r.Files[0]
		head := []string{words.Clean(f.Name), f.Digest[:min(shortDigit, len(f.Digest))]}
		if more := len(r.Files) - 1; more > 0 {
			head = append(head, fmt.Sprintf("and %d more", more))
		}
		d = append(d, document.Head{Parts: head})
	}
	var rows [][]string
	for _, x := range r.Readings {
		note := ""
		switch {
		case x.Struck != "":
			note = "struck: " + words.Clean(x.Struck)
		case x.AsRead:
			note = "stands out; looked up, and counts as read"
		case x.Slip:
			note = "cannot belong"
		}
		if note == "" && !annex {
			continue
		}
		row := ""
		if x.Row > 0 {
			row = strconv.Itoa(x.Row)
		}
		rows = append(rows, []string{row, words.Clean(x.Where), words.Clean(x.Text), note})
	}
	if len(rows) > 0 {
		d = append(d, document.Space{}, document.Table{Header: []string{"row", "where", "as written", ""}, Rows: rows, Right: []bool{true, false, true, false}})
	}
	return d
}
