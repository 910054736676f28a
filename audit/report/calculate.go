package report

import (
	"fmt"

	"markaudit/audit/calculate"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// PairTop is the answer at the bench to one pair of stop contacts.
func PairTop(t calculate.PairTop) document.Doc {
	onRim := t.Forward.Measured
	d := document.Doc{
		document.Sentence{Lead: "TAKE THE STOP OUT FIRST", Text: "then turn by hand, never with the starter."},
		document.Sentence{Text: words.WhereTDC(t)},
		document.Space{},
		document.Steps{Items: words.PairMoves(t)},
		document.Space{},
	}
	if t.Rim.Diameter.HasValue {
		d = append(d, halfOnRim(t)...)
		if !onRim {
			d = append(d, document.Space{})
		}
	}
	d = append(d, document.Sentence{Text: words.PairBlocks(t)})
	for _, doubt := range words.PairDoubts(t) {
		d = append(d, document.Sentence{Lead: "DOUBT", Text: doubt})
	}
	return append(d, document.Sentence{Text: words.PairNotTold(t)})
}

// Pairs is the answer at the bench to several pairs of stop contacts.
func Pairs(p calculate.Pairs) document.Doc {
	t := p.Mean
	d := document.Doc{
		document.Sentence{Lead: "TAKE THE STOP OUT FIRST", Text: "then turn by hand, never with the starter."},
		document.Sentence{Text: words.WherePairsPutTDC(p)},
		document.Space{},
	}
	table := document.Table{
		Header: []string{"pair", "forward", "backward", "middle", "half arc"}, Right: []bool{false, true, true, true, true},
		Note: words.PairsRepeat(p),
	}
	for i := range p.Tops {
		table.Rows = append(table.Rows, words.PairRow(p, i))
	}
	d = append(d, table, document.Space{}, document.Steps{Items: words.PairMoves(t)}, document.Space{})
	for _, doubt := range words.PairDoubts(t) {
		d = append(d, document.Sentence{Lead: "DOUBT", Text: doubt})
	}
	return append(d, document.Sentence{Text: words.PairsNotTold(t)})
}

// halfOnRim says how far to step off from either contact.
func halfOnRim(t calculate.PairTop) document.Doc {
	l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
	rows := [][]string{
		{"along the rim", l.Sized(t.Half.Arc)},
		{"straight across, with dividers", l.Sized(t.Half.Chord)},
	}
	if !t.Forward.Measured {
		return rimAnswer(t.Rim, words.FromContact(t), rows)
	}
	rows = append(rows, []string{"in degrees", rounding.SizedAngle(t.Half.Angle)})
	d := rimAnswer(t.Rim, words.FromContact(t), rows)
	return append(d, document.Space{}, document.Sentence{Text: words.StepOff(t)})
}

// PistonDrop is the answer at the bench to a drop of the piston.
func PistonDrop(m calculate.PistonMeasure, r calculate.PistonDrop) document.Doc {
	return paragraphs(words.PistonDrop(m, r))
}

// PistonAngle is the answer at the bench to a crank angle.
func PistonAngle(m calculate.PistonMeasure, r calculate.PistonAngle) document.Doc {
	return paragraphs(words.PistonAngle(m, r))
}

// paragraphs is one paragraph a text.
func paragraphs(texts []string) document.Doc {
	var d document.Doc
	for _, text := range texts {
		d = append(d, document.Sentence{Text: text})
	}
	return d
}

// RimLengths is the answer at the bench to an angle on a rim.
func RimLengths(m calculate.RimMeasure, r calculate.RimLengths) document.Doc {
	l := rounding.Lengths{Unit: m.Diameter.Unit}
	rows := [][]string{
		{"along the rim", l.Sized(r.Arc)},
		{"straight across, with dividers", l.Sized(r.Chord)},
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"on a tape " + l.Of(m.Tape) + " thick", l.Sized(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, words.RimTitle(rounding.EnteredAngle(r.Angle), m), rows)
}

// RimAngles is the answer at the bench to a length on a rim.
func RimAngles(m calculate.RimMeasure, r calculate.RimAngles) document.Doc {
	l := rounding.Lengths{Unit: m.Diameter.Unit}
	rows := [][]string{{"measured along the rim", rounding.SizedAngle(r.Arc)}}
	if r.IsChord {
		rows = append(rows, []string{"measured straight across, with dividers", rounding.SizedAngle(r.Chord)})
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"measured on a tape " + l.Of(m.Tape) + " thick", rounding.SizedAngle(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, words.RimTitle(l.Of(r.Length), m), rows)
}

// rimAnswer is a table of lengths or angles on a rim under its title.
func rimAnswer(m calculate.RimMeasure, title string, rows [][]string) document.Doc {
	t := document.Table{Header: []string{"", ""}, Rows: rows}
	if limit := m.Diameter.Limit; limit.Half > 0 {
		t.Note = words.AboutRimLimit
	}
	return document.Doc{document.Sentence{Text: title + ":"}, t}
}

// teeth is a row of the table for a ring gear, where there is one.
func teeth(m calculate.RimMeasure, n float64) [][]string {
	if m.Teeth == 0 {
		return nil
	}
	return [][]string{{fmt.Sprintf("teeth, of %d", m.Teeth), rounding.Fixed(n, 2)}}
}
