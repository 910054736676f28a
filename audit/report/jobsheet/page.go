package jobsheet

import (
	"markaudit/audit/report/document"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// Sizes of the type, and the room that a line of it takes, in millimetres.
const (
	titleSize geometry.Length = 4.6
	leadSize  geometry.Length = 3.4
	textSize                  = drawing.LeastSize
	leading   geometry.Length = 4.1
	tick      geometry.Length = 5   // side of a box to tick
	leadRoom  geometry.Length = 6.7 // of the heading of a section
)

var (
	frame = drawing.Stroke{Width: 0.35, Ink: drawing.Black}
	rule  = drawing.Stroke{Width: 0.2, Ink: drawing.Black}
)

// page is a sheet that is filled from top to bottom. Its x counts from the left end of
// what is drawn, its y from the top of the sheet.
type page struct {
	scene drawing.Scene
	left  geometry.Length
	y     geometry.Length

	letter func(string) string // of names whose letters print lacks
}

func newPage(title, description string, width, height geometry.Length) *page {
	return &page{
		scene: drawing.Scene{Title: title, Description: description, Width: width, Height: height},
		left:  (width - drawing.PageWidth) / 2, y: document.Margin,
		letter: func(text string) string { return text },
	}
}

func (p *page) at(x, y geometry.Length) drawing.Point { return drawing.Point{X: p.left + x, Y: y} }

// put draws a text, and returns where it ends.
func (p *page) put(x, y geometry.Length, t drawing.Text) geometry.Length {
	t.At = p.at(x, y)
	p.scene.Add(t)
	return x + t.Extent()
}

func (p *page) line(x1, y1, x2, y2 geometry.Length, s drawing.Stroke) {
	p.scene.Add(drawing.Line{From: p.at(x1, y1), To: p.at(x2, y2), Stroke: s})
}

func (p *page) box(x, y, width, height geometry.Length, s drawing.Stroke) {
	p.scene.Add(drawing.Rectangle(p.at(x, y), width, height, drawing.White, s))
}

// begin draws the title, and on its right what the sheet is of.
func (p *page) begin(title, of string) {
	const most geometry.Length = 118
	p.line(0, p.y+0.4, drawing.PageWidth, p.y+0.4, drawing.Thick)
	p.put(0, p.y+6.6, drawing.Text{Size: titleSize, Bold: true, Text: title})
	lines := drawing.Wrap(of, textSize, most, 2)
	for i, line := range lines {
		p.put(drawing.PageWidth, p.y+6.6-geometry.Length(len(lines)-1-2*i)*1.9, drawing.Text{Size: textSize, Anchor: drawing.End, Text: line})
	}
	p.y += 10.5
}

// lead begins a section, with a text behind its name.
func (p *page) lead(name, text string) {
	p.y += leadRoom - 2
	end := p.put(0, p.y, drawing.Text{Size: leadSize, Bold: true, Text: name}) + 4
	lines := drawing.Wrap(text, textSize, drawing.PageWidth-end, 3)
	for i, line := range lines {
		p.put(end, p.y+geometry.Length(i)*leading, drawing.Text{Size: textSize, Text: line})
	}
	p.y += 2 + geometry.Length(max(0, len(lines)-1))*leading
}

// say writes lines that were broken already.
func (p *page) say(lines []string) {
	for _, line := range lines {
		p.y += leading
		p.put(0, p.y, drawing.Text{Size: textSize, Text: line})
	}
}

// fitted is a text in one or two lines of a width, and cut with "…" where that is not
// enough. No letter is smaller than the others: what does not fit is in the annex whole.
func fitted(text string, width geometry.Length) []string {
	return drawing.Wrap(text, textSize, width, 2)
}
