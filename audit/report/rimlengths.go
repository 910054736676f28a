package report

import (
	"fmt"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// RimLengths is the answer at the bench to an angle on a rim.
func RimLengths(m audit.RimMeasure, r audit.RimLengths) document.Doc {
	l := rounding.Lengths{Unit: m.Diameter.Unit}
	rows := [][]string{
		{"along the rim", l.Sized(r.Arc)},
		{"straight across, with dividers", l.Sized(r.Chord)},
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"on a tape " + l.Of(m.Tape) + " thick", l.Sized(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, words.OnRim(rounding.EnteredAngle(r.Angle), m), rows)
}

// RimAngles is the answer at the bench to a length on a rim.
func RimAngles(m audit.RimMeasure, r audit.RimAngles) document.Doc {
	l := rounding.Lengths{Unit: m.Diameter.Unit}
	rows := [][]string{{"measured along the rim", rounding.SizedAngle(r.Arc)}}
	if r.IsChord {
		rows = append(rows, []string{"measured straight across, with dividers", rounding.SizedAngle(r.Chord)})
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"measured on a tape " + l.Of(m.Tape) + " thick", rounding.SizedAngle(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, words.OnRim(l.Of(r.Length), m), rows)
}

// rimAnswer is a table of lengths or angles on a rim under its title.
func rimAnswer(m audit.RimMeasure, title string, rows [][]string) document.Doc {
	t := document.Table{Header: []string{"", ""}, Rows: rows}
	if limit := m.Diameter.Limit; limit.Half > 0 {
		t.Note = words.AboutRimLimit
	}
	return document.Doc{document.Sentence{Text: title + ":"}, t}
}

// teeth is a row of the table for a ring gear, where there is one.
func teeth(m audit.RimMeasure, n float64) [][]string {
	if m.Teeth == 0 {
		return nil
	}
	return [][]string{{fmt.Sprintf("teeth, of %d", m.Teeth), rounding.Fixed(n, 2)}}
}
