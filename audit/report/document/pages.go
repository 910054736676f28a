package document

import (
	"fmt"
	"io"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// Paper is a size of sheet, standing upright.
type Paper struct{ Width, Height geometry.Length }

// The sheets that offices have: ISO 216, and 8.5 in by 11 in.
var (
	A4     = Paper{210, 297}
	Letter = Paper{215.9, 279.4}
)

// Margin is kept free on every side of a sheet: no printer needs more. Common
// practice, no source.
const Margin geometry.Length = 14

// Left is where what is drawn [drawing.PageWidth] wide begins.
func (p Paper) Left() geometry.Length { return (p.Width - drawing.PageWidth) / 2 }

// Print says how a document is laid out on sheets.
type Print struct {
	Paper Paper
	// Front draws a first sheet of its own, once it is known how many there are; nil:
	// the document begins on the first.
	Front func(sheets int) drawing.Scene
}

// Pages lays a document out on sheets of paper, each with its head and its number. A
// row of a table is never split, unless it is higher than a sheet; a header is
// repeated on every sheet; a heading is not left alone at the foot.
func Pages(d Doc, p Print) []drawing.Scene {
	l := layout{p: p, title: d.title(), parts: d.head()}
	if p.Front != nil {
		l.front = 1
	}
	for _, group := range grouped(d.pieces()) {
		l.put(group)
	}
	l.end()
	all := l.done
	total := len(all) + l.front
	for i := range all {
		l.head(&all[i], i+1+l.front, total)
	}
	if p.Front != nil {
		all = append([]drawing.Scene{p.Front(total)}, all...)
	}
	return all
}

// PDF writes a document on sheets of A4.
func PDF(w io.Writer, d Doc) error {
	d = d.inPrint()
	return drawing.PDF(w, d.title(), Pages(d, Print{Paper: A4}))
}

// head is what stands on every sheet.
func (d Doc) head() []string {
	for _, block := range d {
		if h, ok := block.(Head); ok {
			return h.Parts
		}
	}
	return []string{d.title()}
}

// title is that of the document.
func (d Doc) title() string {
	for _, block := range d {
		if h, ok := block.(Heading); ok {
			return h.Text
		}
	}
	return "markaudit"
}

// piece is a part of a document that stays in one: a line, a row, a figure. Its items
// are drawn with its top at nought.
type piece struct {
	height geometry.Length
	items  []drawing.Item
	keep   bool   // on the sheet of the piece that follows
	header *piece // that of its table, to be repeated where a sheet begins with it
	room   bool   // nothing but room, which a sheet does not begin with
	turn   bool   // a new sheet begins here
}

// grouped joins pieces that have to stay together.
func grouped(all []piece) (out [][]piece) {
	var group []piece
	for _, x := range all {
		group = append(group, x)
		if !x.keep && !(x.room && len(group) > 1) { // a heading keeps beyond the room below it
			out = append(out, group)
			group = nil
		}
	}
	if group != nil {
		out = append(out, group)
	}
	return out
}

// Where the head of a sheet stands, and where what is below it begins.
const (
	headAt geometry.Length = Margin + 2.5
	below  geometry.Length = Margin + 8
)

// layout fills sheets from top to bottom.
type layout struct {
	p     Print
	title string
	parts []string
	front int
	sheet *drawing.Scene
	y     geometry.Length
	done  []drawing.Scene
}

func (l *layout) begin() {
	l.sheet = &drawing.Scene{Title: l.title, Width: l.p.Paper.Width, Height: l.p.Paper.Height}
	l.y = below
}

func (l *layout) end() {
	if l.sheet != nil {
		l.done = append(l.done, *l.sheet)
	}
	l.sheet = nil
}

func (l *layout) put(group []piece) {
	var height geometry.Length
	for _, x := range group {
		height += x.height
	}
	fresh := l.sheet == nil
	if !fresh && (group[0].turn || l.y+height > l.p.Paper.Height-Margin) {
		l.end()
		fresh = true
	}
	if fresh {
		for len(group) > 0 && group[0].room {
			group = group[1:]
		}
		if len(group) == 0 {
			return
		}
		l.begin()
		if h := group[0].header; h != nil {
			l.draw(*h)
		}
	}
	for i, x := range group {
		if i > 0 && l.y+x.height > l.p.Paper.Height-Margin && l.y > below { // a group that is higher than a sheet
			l.end()
			l.begin()
		}
		l.draw(x)
	}
}

func (l *layout) draw(x piece) {
	at := drawing.Point{X: l.p.Paper.Left(), Y: l.y}
	l.sheet.Add(drawing.Scene{Items: x.items}.Placed(at, 0, 0).Items...)
	l.y += x.height
}

// head says on a sheet what it belongs to.
func (l *layout) head(s *drawing.Scene, n, total int) {
	number := fmt.Sprintf("page %d of %d", n, total)
	s.Title += ", " + number
	s.Description = number + " of a document laid out for paper."
	s.Add(headLine(l.p.Paper, l.parts, number)...)
}

// headLine is the line on top of a sheet.
func headLine(p Paper, parts []string, number string) []drawing.Item {
	left, right := p.Left(), p.Left()+drawing.PageWidth
	end := drawing.Text{At: drawing.Point{X: right, Y: headAt}, Size: textSize, Anchor: drawing.End, Bold: true, Text: number}
	items := []drawing.Item{
		drawing.Line{From: drawing.Point{X: left, Y: headAt + 1.7}, To: drawing.Point{X: right, Y: headAt + 1.7}, Stroke: drawing.Thin},
		end,
	}
	text := ""
	for i := len(parts) - 1; i >= 0; i-- {
		part := parts[i]
		if i == 0 {
			room := drawing.PageWidth - end.Extent() - 6 - drawing.Width(text, textSize)
			if lines := drawing.Wrap(part, textSize, room, 1); len(lines) > 0 {
				part = lines[0]
			}
		}
		text = part + text
		if i > 0 {
			text = "  ·  " + text
		}
	}
	return append(items, drawing.Text{At: drawing.Point{X: left, Y: headAt}, Size: textSize, Text: text})
}
