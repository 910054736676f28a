package paper

import (
	"fmt"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// checkLine is what every sheet carries to see whether the printer keeps to
// scale.
const checkLine geometry.Length = 100

const (
	paperMargin geometry.Length = 14 // no printer needs more
	headLine    geometry.Length = 3.5
	checkRoom   geometry.Length = 14 // at the foot of a sheet
)

// landscape is the size of a sheet lying on its side (ISO 216; 11 in by 8.5 in).
func (p Size) landscape() (width, height geometry.Length) {
	if p == Letter {
		return 279.4, 215.9
	}
	return 297, 210
}

// stretch is by how much to draw longer what the printer makes too short.
func (s stripper) stretch() float64 {
	if s.o.Measured == 0 {
		return 1
	}
	return float64(checkLine / s.o.Measured)
}

// lay puts strips on sheets, and all of them unbroken on one.
func (s stripper) lay(all []strip) Drawn {
	d := Drawn{Title: "Strips for " + s.Title(s.o.Path)}
	width, height := s.o.Paper.landscape()
	usable := width - 2*paperMargin
	longest := usable
	for _, r := range all {
		longest = max(longest, r.length*geometry.Length(s.stretch()))
	}
	whole := sheetOfPaper{s: s, title: d.Title, width: longest + 2*paperMargin}
	paged := sheetOfPaper{s: s, title: d.Title, width: width, height: height}
	whole.begin()
	paged.begin()
	for _, r := range all {
		whole.put(r, r.length+1)
		paged.put(r, usable/geometry.Length(s.stretch()))
	}
	whole.end()
	paged.end()
	d.Whole, d.Pages = whole.done[0], paged.done
	for i := range d.Pages {
		page := &d.Pages[i]
		page.Title += rounding.PartOf(i, len(d.Pages))
		page.Add(drawing.Text{At: drawing.Point{X: width - paperMargin, Y: height - 6}, Size: drawing.NoteSize, Anchor: drawing.End, Text: fmt.Sprintf("sheet %d of %d", i+1, len(d.Pages))})
	}
	return d
}

// sheetOfPaper is filled from top to bottom; without a height it grows.
type sheetOfPaper struct {
	s             stripper
	title         string
	width, height geometry.Length
	scene         drawing.Scene
	y, fresh      geometry.Length // where it is filled to, and where it began
	done          []drawing.Scene
}

func (p *sheetOfPaper) begin() {
	p.scene = drawing.Scene{Title: p.title, Width: p.width, Height: p.height, Description: "Strips of paper at 1:1 to lay round the rim, with a check line of 100 mm."}
	p.y = paperMargin
	text := p.title + "; " + p.s.o.Software + "; digest " + fmt.Sprintf("%.12s", p.s.Result.Sheet.Digest)
	p.text(strings.Join(drawing.Wrap(text, drawing.NoteSize, p.width-2*paperMargin, 1), ""), drawing.Grey)
	for _, line := range drawing.Wrap("Print at 100 %, nothing fitted to the page. Before anything is scribed, check by eye: "+words.Dot(p.s.Check()), drawing.NoteSize, p.width-2*paperMargin, 8) {
		p.text(line, drawing.Black)
	}
	p.y += 2
	p.fresh = p.y
}

func (p *sheetOfPaper) text(line string, ink drawing.Ink) {
	p.scene.Add(drawing.Text{At: drawing.Point{X: paperMargin, Y: p.y}, Size: drawing.NoteSize, Ink: ink, Text: line})
	p.y += headLine
}

// end puts the check line at the foot and turns over.
func (p *sheetOfPaper) end() {
	foot := p.height - checkRoom
	if p.height == 0 {
		foot = p.y + 6
		p.scene.Height = foot + checkRoom
	}
	from := drawing.Point{X: paperMargin, Y: foot + 3}
	length := checkLine * geometry.Length(p.s.stretch())
	stroke := drawing.Stroke{Width: 0.18, Ink: drawing.Black}
	p.scene.Add(drawing.Line{From: from, To: from.Plus(length, 0), Stroke: stroke})
	for i := range 11 {
		x, deep := length*geometry.Length(i)/10, geometry.Length(1.2)
		if i%5 == 0 {
			deep = 2.4
		}
		p.scene.Add(drawing.Line{From: from.Plus(x, -deep), To: from.Plus(x, 0), Stroke: stroke})
	}
	note := "Must measure 100.0 mm. If not, draw again with --measured and what it measures."
	if p.s.o.Measured != 0 {
		note = "Must measure 100.0 mm; drawn for a printer that makes " + rounding.Plain(p.s.o.Measured.Millimetres()) + " mm of 100."
	}
	p.scene.Add(drawing.Text{At: from.Plus(length+4, 0.4), Size: drawing.NoteSize, Text: note})
	p.done = append(p.done, p.scene)
}

// put adds a strip, in pieces none longer than most.
func (p *sheetOfPaper) put(r strip, most geometry.Length) {
	var head []string
	for _, text := range r.head {
		head = append(head, drawing.Wrap(text, drawing.NoteSize, p.width-2*paperMargin, 200)...)
	}
	pieces := r.pieces(most)
	room := func(n int) geometry.Length { return headLine*geometry.Length(n) + r.height() + 11 }
	p.turnFor(room(len(head)))
	for _, line := range head {
		p.turnFor(headLine)
		p.text(line, drawing.Black)
	}
	for i, piece := range pieces {
		p.turnFor(room(1))
		if len(pieces) > 1 {
			p.text(fmt.Sprintf("Piece %d of %d.%s", i+1, len(pieces), glueWords(i)), drawing.Black)
		}
		p.y += 1.5
		p.scene.Add(r.draw(drawing.Point{X: paperMargin, Y: p.y}, piece[0], piece[1], p.s.stretch())...)
		p.y += r.height() + 9
	}
	p.scene.Description += " " + strings.Join(r.head, " ")
}

func glueWords(i int) string {
	if i == 0 {
		return ""
	}
	return fmt.Sprintf(" Glue the right end of piece %d on top of this one, its edge along the dashed line that stands out: the graduations must fall on each other.", i)
}

// turnFor takes a new sheet where this one has no room left.
func (p *sheetOfPaper) turnFor(need geometry.Length) {
	if p.height == 0 || p.y+need <= p.height-checkRoom || p.y <= p.fresh {
		return
	}
	p.end()
	p.begin()
}
