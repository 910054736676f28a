package report

import (
	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
)

// PistonDrop is the answer at the bench to a drop of the piston.
func PistonDrop(m audit.PistonMeasure, r audit.PistonDrop) document.Doc {
	return paragraphs(words.PistonDrop(m, r))
}

// PistonAngle is the answer at the bench to a crank angle.
func PistonAngle(m audit.PistonMeasure, r audit.PistonAngle) document.Doc {
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
