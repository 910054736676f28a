package report

import (
	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
)

// PairTop is the answer at the bench to one pair of stop contacts.
func PairTop(t audit.PairTop) document.Doc {
	onRim := t.Forward.Measured
	d := document.Doc{
		document.Sentence{Lead: "TAKE THE STOP OUT FIRST", Text: "then turn by hand, never with the starter."},
		document.Sentence{Text: words.WhereTDC(t)},
		document.Space{},
		document.Steps{Items: words.Moves(t)},
		document.Space{},
	}
	if t.Rim.Diameter.HasValue {
		d = append(d, halfOnRim(t)...)
		if !onRim {
			d = append(d, document.Space{})
		}
	}
	d = append(d, document.Sentence{Text: words.Blocked(t)})
	for _, doubt := range words.PairDoubts(t) {
		d = append(d, document.Sentence{Lead: "DOUBT", Text: doubt})
	}
	return append(d, document.Sentence{Text: words.NotTold(t)})
}

// halfOnRim says how far to step off from either contact.
func halfOnRim(t audit.PairTop) document.Doc {
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
