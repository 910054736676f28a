package paper

import (
	"strconv"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// form is a page of a form while it is filled, from top to bottom.
type form struct {
	scene   drawing.Scene
	y       geometry.Length
	keys    []string // asked for so far, for the test of their order
	instead bool     // this page is taken in place of the one before
}

func newForm(title string) *form {
	f := &form{scene: drawing.Scene{
		Title: FormTitle + ": " + title, Description: "A page of boxes and cells to write in, in the order of the sheet.",
		Width: drawing.PageWidth, Height: formHeight,
	}}
	f.line(0.4, 0, drawing.PageWidth, drawing.Thick)
	f.text(0, 8.2, drawing.Text{Size: 4.6, Bold: true, Text: title})
	x := geometry.Length(88)
	for _, word := range []string{"job", "engine"} {
		x = f.text(x, 8.2, drawing.Text{Size: askSize, Text: word}) + 1.5
		f.line(9, x, x+25, drawing.Hair)
		x += 27
	}
	f.y = 11
	return f
}

// text draws a text and returns where it ends.
func (f *form) text(x, y geometry.Length, t drawing.Text) geometry.Length {
	t.At = drawing.Point{X: x, Y: y}
	f.scene.Add(t)
	return x + t.Extent()
}

func (f *form) line(y, from, to geometry.Length, s drawing.Stroke) {
	f.scene.Add(drawing.Line{From: drawing.Point{X: from, Y: y}, To: drawing.Point{X: to, Y: y}, Stroke: s})
}

func (f *form) box(x, y, width, height geometry.Length) {
	f.scene.Add(drawing.Rectangle(drawing.Point{X: x, Y: y}, width, height, drawing.White, cellStroke))
}

// section notes which part of the sheet is asked for; on paper the questions say so.
func (f *form) section(key string) { f.keys = append(f.keys, key) }

// small writes a note.
func (f *form) small(text string) {
	for _, line := range drawing.Wrap(text, drawing.NoteSize, drawing.PageWidth, 3) {
		f.y += 3.4
		f.text(0, f.y, drawing.Text{Size: drawing.NoteSize, Ink: drawing.Grey, Text: line})
	}
	f.y += 1.6
}

// note writes what must be read before the boxes below it are filled in.
func (f *form) note(text string) {
	for _, line := range drawing.WrapBold(text, drawing.TextSize, drawing.PageWidth, 3) {
		f.y += 3.8
		f.text(0, f.y, drawing.Text{Size: drawing.TextSize, Bold: true, Text: line})
	}
	f.y += 1.6
}

// title names a table, with a note behind it.
func (f *form) title(name, note string) {
	f.y += 6
	x := f.text(0, f.y, drawing.Text{Size: drawing.TitleSize, Bold: true, Text: name})
	f.text(x+4, f.y, drawing.Text{Size: drawing.NoteSize, Text: note})
	f.y += 1
}

// label is a question in a line of its own, above its boxes.
func (f *form) label(words, key string, must bool) {
	f.y += 4.6
	r := &row{f: f, y: f.y - 6.2}
	r.ask(words, key, must)
	f.y += 1
}

// cautions are boxes to tick before the stop goes in; forbidden says what to do where
// the maker forbids turning back.
func (f *form) cautions(forbidden string) {
	f.y += 5
	f.text(0, f.y, drawing.Text{Size: drawing.TitleSize, Bold: true, Text: "Cautions: tick each before the stop goes in, the last two afterwards"})
	f.y += 1.8
	both := [][2]string{
		{"All plugs or injectors out", "Battery off, magneto earthed"},
		{"Fuel, gas, air start shut; out of gear", "Turned by hand only, never the starter"},
		{"Stop and piston clear both valves at overlap", "Heavy flywheel: barred over, not felt"},
		{"The maker allows turning backward", "Piston well down before the stop goes in"},
		{"Turning back: belts, chains, tensioners stay", "Head off: liner held, hands off the deck"},
		{"Afterwards: crank bolt checked if turned back", "Afterwards: stop or dial out, hole empty"},
	}
	for _, pair := range both {
		r := &row{f: f, y: f.y}
		r.caution(pair[0]).to(93).caution(pair[1])
		f.y += boxSide
	}
	f.y += 1.2
	f.text(0, f.y+2.6, drawing.Text{Size: drawing.TextSize, Bold: true, Text: "The stop comes OUT before TDC is passed. The maker's data, local rules and licensed practice come first."})
	f.text(0, f.y+6.4, drawing.Text{Size: drawing.TextSize, Text: forbidden})
	f.y += 8
	f.line(f.y, 0, drawing.PageWidth, drawing.Thin)
	f.y += 1
}

// sketch is the part as one looks at it, for an arrow and lines to be drawn in.
func (f *form) sketch() {
	const radius geometry.Length = 17
	centre := drawing.Point{X: radius + 4, Y: f.y + radius + 4}
	f.scene.Add(
		drawing.Circle{Centre: centre, Radius: radius, Fill: drawing.White, Stroke: cellStroke},
		drawing.Circle{Centre: centre, Radius: 4, Fill: drawing.White, Stroke: drawing.Hair},
		drawing.Circle{Centre: centre, Radius: radius - 4, Stroke: drawing.Stroke{Width: 0.2, Ink: drawing.Grey, Dashed: true}},
		drawing.Text{At: centre.Plus(0, -radius-1), Size: drawing.NoteSize, Anchor: drawing.Middle, Ink: drawing.Grey, Text: "top"},
	)
	y := f.y + 5
	f.text(2*radius+12, y, drawing.Text{Size: askSize, Bold: true, Text: "Draw, as you look at the marks:"})
	for i, line := range []string{
		"an arrow on the dashed circle: the way it runs", "the pointer, or where the fixed scale sits",
		"every line where you see it, with its name", "which lines you can read, and which not",
		"only if there is a window: an arrow in it, the way the line moves",
	} {
		y += 5.6
		f.text(2*radius+12, y, drawing.Text{Size: askSize, Text: strconv.Itoa(i+1) + "  " + line})
	}
	f.y = max(centre.Y+radius+2, y+1)
}

// row is a line of the form while it is filled, from left to right.
type row struct {
	f *form
	x geometry.Length
	y geometry.Length // of the tops of its boxes
}

func (f *form) row() *row {
	r := &row{f: f, y: f.y + 1.2}
	f.y += rowHeight
	return r
}

// ask writes a question, and the sheet's name of its answer behind it. An empty name
// is asked a second time, or is no part of the sheet.
func (r *row) ask(words, key string, must bool) *row {
	r.x = r.f.text(r.x, r.y+6.2, drawing.Text{Size: askSize, Bold: true, Text: words}) + 1.2
	if must {
		r.x = r.f.text(r.x, r.y+6.2, drawing.Text{Size: askSize, Bold: true, Text: "MUST"}) + 1.2
	}
	if key != "" {
		r.x = r.f.text(r.x, r.y+6.2, drawing.Text{Size: hintSize, Ink: drawing.Grey, Text: key}) + 1.2
		r.f.keys = append(r.f.keys, key)
	}
	r.x += 1.5
	return r
}

// titled writes what is to be done now.
func (r *row) titled(words string) *row {
	r.x = r.f.text(r.x, r.y+6.4, drawing.Text{Size: drawing.TitleSize, Bold: true, Text: words}) + 3
	return r
}

// tick is a box with its word.
func (r *row) tick(word string) *row {
	r.f.box(r.x, r.y, boxSide, boxSide)
	r.x += boxSide + 2
	if word != "" {
		r.x = r.f.text(r.x, r.y+6.2, drawing.Text{Size: askSize, Text: word})
	}
	r.x += 4
	return r
}

// cell is room for a number or a name.
func (r *row) cell(width geometry.Length) *row {
	r.f.box(r.x, r.y, width, boxSide)
	r.x += width + 3
	return r
}

// length is room for a length, and its unit beside it.
func (r *row) length(width geometry.Length) *row { return r.cell(width).units() }

// units are boxes of which one is crossed: the unit of what stands before them.
func (r *row) units() *row {
	r.x -= 1.5
	for _, unit := range []string{"mm", "in"} {
		r.f.box(r.x, r.y, boxSide, boxSide)
		r.f.text(r.x+boxSide/2, r.y+6.2, drawing.Text{Size: askSize, Anchor: drawing.Middle, Text: unit})
		r.x += boxSide
	}
	r.x += 3
	return r
}

// caution is a box to tick, one to say that it does not apply, and the words.
func (r *row) caution(words string) *row {
	r.f.box(r.x, r.y, boxSide, boxSide)
	r.x += boxSide
	r.f.box(r.x, r.y, boxSide, boxSide)
	for i, text := range []string{"does not", "apply"} {
		r.f.text(r.x+boxSide/2, r.y+4.4+3*geometry.Length(i), drawing.Text{Size: hintSize, Anchor: drawing.Middle, Ink: drawing.Grey, Text: text})
	}
	r.x = r.f.text(r.x+boxSide+1.6, r.y+6.2, drawing.Text{Size: askSize, Text: words}) + 2
	return r
}

func (r *row) word(text string) *row {
	size := askSize
	if r.x+drawing.Width(text, size) > drawing.PageWidth {
		size = drawing.NoteSize
	}
	r.x = r.f.text(r.x, r.y+6.2, drawing.Text{Size: size, Text: text}) + 3
	return r
}

// to goes on at a place of the row, or where it is if that is further.
func (r *row) to(x geometry.Length) *row {
	r.x = max(r.x, x)
	return r
}

// column is one of a table to write in.
type column struct {
	name  string
	width geometry.Length
}

func blankRows(n int) [][]string { return make([][]string, n) }

// numbered are rows that begin with their number.
func numbered(n int) (rows [][]string) {
	for i := range n {
		rows = append(rows, []string{strconv.Itoa(i + 1)})
	}
	return rows
}

// table draws cells to write in; texts stand in them already where there are any.
func (f *form) table(columns []column, rows [][]string) {
	f.y += 3.6
	x := geometry.Length(0)
	for _, c := range columns {
		f.text(x+1, f.y, drawing.Text{Size: drawing.NoteSize, Ink: drawing.Grey, Text: c.name})
		x += c.width
	}
	f.y += 1
	for _, texts := range rows {
		x = 0
		for i, c := range columns {
			f.box(x, f.y, c.width, boxSide)
			if i < len(texts) && texts[i] != "" {
				size := askSize
				if drawing.Width(texts[i], size) > c.width-2.5 {
					size = drawing.NoteSize
				}
				lines := drawing.Wrap(texts[i], size, c.width-2.5, 2)
				for j, line := range lines {
					f.text(x+1.5, f.y+6.2+(geometry.Length(j)-geometry.Length(len(lines)-1)/2)*3.2, drawing.Text{Size: size, Text: line})
				}
			}
			x += c.width
		}
		f.y += boxSide
	}
	f.y += 0.8
}
