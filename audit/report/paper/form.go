package paper

import (
	"fmt"
	"io"

	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The form to fill in by hand at the engine. It asks in words; the key of the sheet
// stands below each question, small and grey, for whoever types it in. What is asked
// before the engine is turned comes in the order of the sheet, then the pages of a setup
// of each kind, in the order of the work, and at the end what few engines have.

// FormTitle is the form's name.
const FormTitle = "markaudit: a form to fill in at the engine"

// Form returns the blank form, a scene a page, without margins. It fits A4 and Letter.
func Form() []drawing.Scene { return scenes(forms(formHeight)) }

// FormPages returns the form on sheets of paper, for a PDF. It fills them.
func FormPages(on document.Paper) []drawing.Scene {
	return onPaper(scenes(forms(on.Height-2*document.Margin)), on)
}

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

// pageOf is a page of the form before it is drawn.
type pageOf struct {
	title, note string // the note says when to take it
	fill        func(f *form)
}

// forms are the pages, so high. What room a page has left is shared out between its rows.
func forms(height geometry.Length) (out []*form) {
	for i, p := range []pageOf{
		{"Before you start", "once; a new one when a day or a shift lies between", (*form).start},
		{"Engine and part", fmt.Sprintf("once, after page %d. TURN BY HAND ONLY.", startPage), (*form).engine},
		{"Readout and lines", "once, readout fitted. TURN BY HAND ONLY.", (*form).readout},
		{"A setup with a stop", eachSetup, (*form).stop},
		{"A setup with equal drops", eachSetup, (*form).drops},
		{"A setup with a sweep", eachSetup, (*form).sweep},
		{"A setup with a sweep, second page", "TURN BY HAND ONLY.", (*form).sweepEnd},
		{"Only if it applies: engine and part", "not your case: leave it empty", rareOfPart},
		{"What readings do not show", "once, any engine", limits},
	} {
		p.title = fmt.Sprintf("%d  %s", i+1, p.title)
		out = append(out, p.drawn(height))
	}
	return out
}

const eachSetup = "TURN BY HAND ONLY. One copy for each setup."

// drawn draws the page as tight as it may be, and then with the room that is left.
func (p pageOf) drawn(height geometry.Length) *form {
	tight := p.filled(height, 0, boxSide)
	rows, gaps := geometry.Length(tight.rows), geometry.Length(tight.gaps)
	spare := max(0, height-tight.y)
	cell := min(spare/(rows+gaps), mostCell-boxSide)
	return p.filled(height, min((spare-cell*rows)/gaps, mostAir), boxSide+cell)
}

func (p pageOf) filled(height, air, cell geometry.Length) *form {
	f := newForm(p.title, p.note)
	f.scene.Height, f.air, f.high = height, air, cell
	p.fill(f)
	return f
}

// The pages to which others point.
const (
	startPage    = 1
	enginePage   = 2
	readoutPage  = 3
	stopPage     = 4
	dropsPage    = 5
	sweepPage    = 6
	sweepEndPage = 7
	rarePartPage = 8
	limitsPage   = 9
)

// formLines is how many lines have a row. They are the same rows, with the same
// numbers, on every page.
const formLines = 6

const numberWide geometry.Length = 10 // of a line

// Sizes on the form. A box holds a cross from a greasy hand, a cell a number.
const (
	formHeight geometry.Length = 251 // at least; fits A4 and Letter within 14 mm
	boxSide    geometry.Length = 10
	rowHeight  geometry.Length = 10.9 // at least
	titleAt    geometry.Length = 6.6
	askSize    geometry.Length = 3.4
	wordSize   geometry.Length = 3.2 // nothing is smaller but keys: 9 points are 3.175 mm
	wordLead   geometry.Length = 3.9
	ruleSize   geometry.Length = 3.9 // of what tells what to do: 11 points
	ruleLead   geometry.Length = 4.6
	shoutSize  geometry.Length = 4.4 // of what must not be missed
	shoutLead  geometry.Length = 5.2
	keySize    geometry.Length = 2 // of the sheet's keys, which the hand at the engine passes over
	keyLead    geometry.Length = 2.6
	mostAir    geometry.Length = 6    // between two rows, of the room that a page has left
	mostCell   geometry.Length = 12.5 // high
)

var (
	cellStroke = drawing.Stroke{Width: 0.3, Ink: drawing.Black}
	penStroke  = drawing.Stroke{Width: 0.5, Ink: drawing.Black} // of what stands for a hand's stroke, and of arrows
	mustStroke = drawing.Stroke{Width: 1.1, Ink: drawing.Black} // of what has to be answered
)
