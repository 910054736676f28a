package paper

import (
	"fmt"
	"io"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The form to fill in by hand at the engine. It asks in words; the key of the sheet
// stands below each question, for whoever types it in. What is asked before the engine
// is turned comes in the order of the sheet, then one page for a setup of each kind, in
// the order of the work, and at the end what few engines have.

// FormTitle is the form's name.
const FormTitle = "markaudit: a form to fill in at the engine"

// Form returns the blank form, a scene a page, without margins.
func Form() []drawing.Scene { return scenes(forms()) }

// FormPages returns the form on sheets of paper, for a PDF.
func FormPages(on document.Paper) []drawing.Scene { return onPaper(Form(), on) }

// FormHTML writes the form as a page, from which it prints.
func FormHTML(w io.Writer) error { return pagesHTML(w, FormTitle, Form()) }

func scenes(all []*form) (out []drawing.Scene) {
	for i, f := range all {
		f.scene.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: titleAt}, Size: askSize, Bold: true, Anchor: drawing.End, Text: fmt.Sprintf("page %d of %d", i+1, len(all))})
		out = append(out, f.scene)
	}
	return out
}

func onPaper(pages []drawing.Scene, on document.Paper) []drawing.Scene {
	for i, p := range pages {
		pages[i] = p.Placed(drawing.Point{X: on.Left(), Y: document.Margin}, on.Width, on.Height)
	}
	return pages
}

func pagesHTML(w io.Writer, title string, pages []drawing.Scene) error {
	if err := document.HTMLStart(w, title); err != nil {
		return err
	}
	for _, p := range pages {
		if err := document.HTMLPart(w, document.Doc{document.Figure{Scene: p}}); err != nil {
			return err
		}
	}
	_, err := io.WriteString(w, document.HTMLEnd)
	return err
}

func forms() []*form {
	return []*form{formEngine(), formReadout(), formStop(), formDrops(), formSweep(), formRare()}
}

// The pages to which others point.
const (
	stopPage  = 3
	dropsPage = 4
	sweepPage = 5
	rarePage  = 6
)

// formLines is how many lines have a row. They are the same rows, with the same
// numbers, on every page.
const formLines = 6

const numberWide geometry.Length = 10 // of a line

// Sizes on the form. A box holds a cross from a greasy hand, a cell a number.
const (
	formHeight geometry.Length = 251 // fits A4 and Letter within 14 mm
	boxSide    geometry.Length = 10
	rowHeight  geometry.Length = 10.9 // at least
	titleAt    geometry.Length = 6.6
	askSize    geometry.Length = 3.4
	wordSize   geometry.Length = 3.2 // nothing is smaller: 9 points are 3.175 mm
	wordLead   geometry.Length = 3.9
	ruleSize   geometry.Length = 3.9 // of what tells what to do: 11 points
	ruleLead   geometry.Length = 4.6
)

var (
	cellStroke = drawing.Stroke{Width: 0.3, Ink: drawing.Black}
	mustStroke = drawing.Stroke{Width: 1.1, Ink: drawing.Black} // of what has to be answered
)
