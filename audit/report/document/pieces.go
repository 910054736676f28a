package document

import (
	"slices"
	"strconv"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// Sizes of the type on sheets of paper, and the room that a line of it takes.
const (
	headingSize geometry.Length = 5
	leadSize    geometry.Length = 3.6
	textSize                    = drawing.LeastSize
	leading     geometry.Length = 4.2
	cellLeading geometry.Length = 3.8
	manyLines                   = 100000 // no text of a report is longer
)

// pieces are what a document is laid out from.
func (d Doc) pieces() (out []piece) {
	add := func(more ...piece) { out = append(out, more...) }
	turn := false
	for i, block := range d {
		at := len(out)
		switch x := block.(type) {
		case Heading:
			add(heading(x.Text)...)
		case Sentence:
			add(sentence(x)...)
			if tableFollows(d[i+1:]) && len(out)-at <= mostBeforeTable {
				for j := at; j < len(out); j++ { // what says of what a table is stays with it
					out[j].keep = true
				}
			}
		case Steps:
			add(steps(x.Items)...)
		case Table:
			add(x.pieces()...)
		case Facts:
			var all []string
			for _, pair := range x.Pairs {
				if pair[1] != "" {
					all = append(all, pair[0]+" "+pair[1])
				}
			}
			add(sentence(Sentence{Text: strings.Join(all, "  ·  ")})...)
		case Space:
			add(room(2.5))
		case NewSheet:
			turn = true
		case Figure:
			add(room(2), piece{height: x.Scene.Height + 2, items: x.Scene.Items})
		case Signature:
			add(signature())
		}
		if turn && len(out) > at {
			out[at].turn, turn = true, false
		}
	}
	return out
}

// mostBeforeTable are the pieces of a sentence that stay with the table below it.
const mostBeforeTable = 6

func tableFollows(rest Doc) bool {
	if len(rest) == 0 {
		return false
	}
	_, is := rest[0].(Table)
	return is
}

func room(height geometry.Length) piece { return piece{height: height, room: true} }

// line is a line of text, its baseline three quarters down.
func line(text string, size, height geometry.Length, bold bool) piece {
	return piece{height: height, items: []drawing.Item{drawing.Text{At: drawing.Point{Y: height * 0.75}, Size: size, Text: text, Bold: bold}}}
}

func heading(text string) (out []piece) {
	rule := piece{height: 2.2, keep: true, items: []drawing.Item{drawing.Line{To: drawing.Point{X: drawing.PageWidth}, Stroke: drawing.Thick}}}
	out = append(out, rule)
	for _, text := range drawing.Wrap(text, headingSize, drawing.PageWidth*0.94, manyLines) { // bold letters are a little wider
		x := line(text, headingSize, 6.4, true)
		x.keep = true
		out = append(out, x)
	}
	return append(out, piece{height: 2, keep: true})
}

// fewLines of a paragraph stay on one page.
const fewLines = 5

func sentence(s Sentence) (out []piece) {
	if s.Lead != "" {
		out = append(out, room(2))
		for _, text := range drawing.Wrap(s.Lead[:1]+strings.ToLower(s.Lead[1:]), leadSize, drawing.PageWidth*0.94, manyLines) {
			x := line(text, leadSize, 5.6, true)
			x.keep = true
			out = append(out, x)
		}
	}
	lines := drawing.Wrap(s.Text, textSize, drawing.PageWidth, manyLines)
	for i, text := range lines {
		x := line(text, textSize, leading, false)
		x.keep = i < len(lines)-1 && (len(lines) <= fewLines || i == 0 || i == len(lines)-2) // no line of a paragraph stands alone
		out = append(out, x)
	}
	if len(lines) > 0 {
		out = append(out, room(1.2))
	}
	return out
}

func steps(items []string) (out []piece) {
	const indent geometry.Length = 7
	for i, item := range items {
		lines := drawing.Wrap(item, textSize, drawing.PageWidth-indent, manyLines)
		for j, text := range lines {
			x := line(text, textSize, leading, false)
			x = piece{height: x.height, items: drawing.Scene{Items: x.items}.Placed(drawing.Point{X: indent}, 0, 0).Items}
			if j == 0 {
				x.items = append(x.items, drawing.Text{At: drawing.Point{Y: leading * 0.75}, Size: textSize, Bold: true, Text: strconv.Itoa(i + 1)})
			}
			x.keep = j < len(lines)-1
			out = append(out, x)
		}
		out = append(out, room(1))
	}
	return out
}

func signature() piece {
	p := piece{height: 24}
	for i, word := range []string{"name", "date", "signature"} {
		x := geometry.Length(i) * 62
		p.items = append(p.items,
			drawing.Line{From: drawing.Point{X: x, Y: 18}, To: drawing.Point{X: x + 54, Y: 18}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: x, Y: 21.4}, Size: textSize, Text: word},
		)
	}
	return p
}

// pieces are a table's header, its rows and its note.
func (t Table) pieces() (out []piece) {
	t = t.abreast()
	widths := t.widths()
	header := t.row(t.Header, widths, true)[0]
	header.keep = true
	out = append(out, header)
	for i, cells := range t.Rows {
		for _, row := range t.row(cells, widths, false) {
			row.header = &header
			row.keep = i == 0 && len(t.Rows) > 1 // a header has two rows below it
			out = append(out, row)
		}
	}
	for _, text := range drawing.Wrap(t.Note, textSize, drawing.PageWidth, manyLines) {
		x := line(text, textSize, cellLeading, false)
		out = append(out, x)
	}
	return append(out, room(1.5))
}

// abreast puts the rows of a long narrow table beside each other, so that it takes half
// the sheets: so many on the left, as many on the right, and again.
func (t Table) abreast() Table {
	const few, most = 14, 60 // rows that stay below each other; rows of one block
	wide := gap * geometry.Length(len(t.Header)-1)
	for _, w := range t.natural() {
		wide += w
	}
	if len(t.Rows) < few || 2*wide+between > drawing.PageWidth {
		return t
	}
	double := func(left, right []string) []string { return append(append(slices.Clone(left), ""), right...) }
	out := Table{Header: double(t.Header, t.Header), Note: t.Note, Right: make([]bool, 2*len(t.Header)+1)}
	copy(out.Right, t.Right)
	copy(out.Right[len(t.Header)+1:], t.Right)
	for rows := t.Rows; len(rows) > 0; rows = rows[min(most, len(rows)):] {
		block := rows[:min(most, len(rows))]
		half := (len(block) + 1) / 2
		for i := range half {
			right := make([]string, len(t.Header))
			if half+i < len(block) {
				right = block[half+i]
			}
			out.Rows = append(out.Rows, double(block[i], right))
		}
	}
	return out
}

const gap geometry.Length = 3

const between geometry.Length = 14 // two halves of a table

const mostCells = 55 // lines of a row that fit any sheet

// row is one row; several where it is higher than a sheet.
func (t Table) row(cells []string, widths []geometry.Length, head bool) (out []piece) {
	lines, deep := make([][]string, len(widths)), 1
	for i, text := range cells {
		if i < len(widths) {
			lines[i] = drawing.Wrap(text, textSize, widths[i], manyLines)
			deep = max(deep, len(lines[i]))
		}
	}
	for from := 0; from < deep; from += mostCells {
		n := min(mostCells, deep-from)
		p := piece{height: geometry.Length(n)*cellLeading + 1.5}
		x := geometry.Length(0)
		for i, width := range widths {
			for j := from; j < min(from+n, len(lines[i])); j++ {
				text := drawing.Text{At: drawing.Point{X: x, Y: geometry.Length(j-from)*cellLeading + 3.6}, Size: textSize, Text: lines[i][j]}
				if i < len(t.Right) && t.Right[i] {
					text.At.X, text.Anchor = x+width, drawing.End
				}
				p.items = append(p.items, text)
			}
			x += width + gap
		}
		rule := drawing.Stroke{Width: 0.1, Ink: drawing.Pale}
		if head {
			rule = drawing.Thin
		}
		p.items = append(p.items, drawing.Line{From: drawing.Point{Y: p.height}, To: drawing.Point{X: drawing.PageWidth, Y: p.height}, Stroke: rule})
		out = append(out, p)
	}
	return out
}

// widths are those of the columns: as wide as their widest cell where all of them
// fit; else the wide ones share what the narrow ones leave.
func (t Table) widths() []geometry.Length {
	natural := t.natural()
	left := drawing.PageWidth - gap*geometry.Length(len(natural)-1)
	order := make([]int, len(natural))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case natural[a] < natural[b]:
			return -1
		case natural[a] > natural[b]:
			return 1
		}
		return 0
	})
	out := slices.Clone(natural)
	for k, i := range order {
		out[i] = min(natural[i], left/geometry.Length(len(order)-k))
		left -= out[i]
	}
	return out
}

// natural are the widths of the widest cells; where a header is empty, room between two
// halves.
func (t Table) natural() []geometry.Length {
	natural := make([]geometry.Length, len(t.Header))
	for _, row := range append([][]string{t.Header}, t.Rows...) {
		for i, text := range row {
			if i < len(natural) {
				natural[i] = max(natural[i], drawing.Width(text, textSize)+0.2)
			}
		}
	}
	return natural
}
