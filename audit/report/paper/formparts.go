package paper

import (
	"strconv"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// form is a page of a form while it is filled, from top to bottom.
type form struct {
	scene drawing.Scene
	y     geometry.Length
	lead  geometry.Length // from one row to the next
	air   geometry.Length // more, before every row
	gaps  int             // places that took it
	tied  bool            // what comes next belongs to a title
	high  geometry.Length // of the cells of tables
	rows  int             // of tables
	keys  []string        // asked for so far, for the test of their order
	drawn []room          // of its pictures, for the test that nothing else stands there
}

// newForm begins a page. Beside its title a note says when to take it.
func newForm(title, note string) *form {
	f := &form{scene: drawing.Scene{
		Title: FormTitle + ": " + title, Description: "A page of boxes and cells to write in: " + title + ".",
		Width: drawing.PageWidth, Height: formHeight,
	}}
	f.line(0.4, 0, drawing.PageWidth, drawing.Thick)
	x := f.text(0, titleAt, drawing.Text{Size: 5, Bold: true, Text: title})
	f.text(x+3, titleAt, drawing.Text{Size: wordSize, Bold: true, Text: note})
	f.y = 8
	f.lead = rowHeight
	f.high = boxSide
	return f
}

// text draws a text and returns where it ends.
func (f *form) text(x, y geometry.Length, t drawing.Text) geometry.Length {
	t.At = drawing.Point{X: x, Y: y}
	f.scene.Add(t)
	return x + t.Extent()
}

// grey writes keys of the sheet, and returns where they end.
func (f *form) grey(x, y geometry.Length, keys string) geometry.Length {
	return f.text(x, y, drawing.Text{Size: keySize, Ink: drawing.Grey, Text: keys})
}

// gap is where a page with room to spare has some more.
func (f *form) gap() {
	if f.tied {
		f.tied = false
		return
	}
	f.gaps++
	f.y += f.air
}

func (f *form) line(y, from, to geometry.Length, s drawing.Stroke) {
	f.scene.Add(drawing.Line{From: drawing.Point{X: from, Y: y}, To: drawing.Point{X: to, Y: y}, Stroke: s})
}

func (f *form) box(x, y, width, height geometry.Length, s drawing.Stroke) {
	f.scene.Add(drawing.Rectangle(drawing.Point{X: x, Y: y}, width, height, drawing.White, s))
}

// key notes what is asked for: names of keys between commas, and behind a colon the
// answers.
func (f *form) key(keys string) {
	names, _, _ := strings.Cut(keys, ":")
	f.keys = append(f.keys, strings.Split(names, ", ")...)
}

// rules says what the boxes above or below it want.
func (f *form) rules(text string) { f.says(text, ruleSize, ruleLead, false) }

// bold is a rule that must not be missed.
func (f *form) bold(text string) { f.says(text, ruleSize, ruleLead, true) }

func (f *form) says(text string, size, lead geometry.Length, bold bool) {
	f.tied = false
	wrap := drawing.Wrap
	if bold {
		wrap = drawing.WrapBold
	}
	for _, line := range wrap(text, size, drawing.PageWidth, 6) {
		f.y += lead
		f.text(0, f.y, drawing.Text{Size: size, Bold: bold, Text: line})
	}
	f.y += 1
}

// title begins a block of the page.
func (f *form) title(name string) {
	f.tied = false
	f.gap()
	f.y += 5.6
	f.text(0, f.y, drawing.Text{Size: 4, Bold: true, Text: name})
	f.y += 1
	f.tied = true
}

// rule ends a block of the page.
func (f *form) rule() {
	f.y += 1
	f.line(f.y, 0, drawing.PageWidth, drawing.Thin)
	f.y += 0.6
}

// row is a line of the form while it is filled, from left to right.
type row struct {
	f      *form
	x      geometry.Length
	y      geometry.Length // of the tops of its boxes
	stroke drawing.Stroke  // of the boxes of the question that stands
}

func (f *form) row() *row {
	f.gap()
	r := &row{f: f, y: f.y + (f.lead-boxSide)*0.8, stroke: cellStroke}
	f.y += f.lead
	return r
}

// lines writes one to three lines beside a box, in its middle, with keys below them, and
// goes on behind the longest. Those before bold are in bold.
func (r *row) lines(bold int, keys string, lines ...string) {
	end, y := r.x, r.y+6.2-geometry.Length(len(lines)-1)*1.8
	if keys != "" {
		y -= keyLead / 2
	}
	for i, line := range lines {
		size := askSize
		if len(lines) > 1 && i >= bold {
			size = wordSize
		}
		end = max(end, r.f.text(r.x, y, drawing.Text{Size: size, Bold: i < bold, Text: line}))
		y += 3.6
	}
	if keys != "" {
		end = max(end, r.f.grey(r.x, y-3.6+keyLead+0.3, keys))
	}
	r.x = end
}

// ask writes a question, and below it the sheet's keys of its answer.
func (r *row) ask(words, keys string) *row { return r.askWithin(drawing.PageWidth, words, keys) }

// askWithin breaks the question where it is longer than the room that it has.
func (r *row) askWithin(width geometry.Length, words, keys string) *row {
	r.stroke = cellStroke
	lines := drawing.WrapBold(words, askSize, width, 2)
	if keys != "" {
		r.f.key(keys)
	}
	r.lines(len(lines), keys, lines...)
	r.x += 2.2
	return r
}

// must lets the boxes of the question that stands have the frame of those that have to
// be answered.
func (r *row) must() *row {
	r.stroke = mustStroke
	return r
}

// tick is a box with its word behind it, in one line or two.
func (r *row) tick(words ...string) *row { return r.tickBold(0, words...) }

// tickBold is a box with its words behind it, of which so many lines are bold.
func (r *row) tickBold(bold int, words ...string) *row {
	r.f.box(r.x, r.y, boxSide, boxSide, r.stroke)
	r.x += boxSide + 1.6
	r.lines(bold, "", words...)
	r.x += 3
	return r
}

// step is a box to tick before anybody goes on, once something is done: what it is, and
// a note in one to three lines.
func (r *row) step(words string, notes ...string) *row { return r.done(mustStroke, words, notes) }

// check is a step that not every engine needs.
func (r *row) check(words string, notes ...string) *row { return r.done(cellStroke, words, notes) }

func (r *row) done(frame drawing.Stroke, words string, notes []string) *row {
	r.stroke = frame
	r.f.box(r.x, r.y, boxSide, boxSide, r.stroke)
	r.x += boxSide + 1.6
	r.x = r.f.text(r.x, r.y+6.2, drawing.Text{Size: 3.8, Bold: true, Text: words}) + 2.2
	r.lines(0, "", notes...)
	r.x += 3
	return r
}

// cell is room for words.
func (r *row) cell(width geometry.Length) *row { return r.number(width, "", "") }

// number is room for a number, with a sign before it and its unit behind it, both in the
// cell.
func (r *row) number(width geometry.Length, sign, unit string) *row {
	r.f.box(r.x, r.y, width, boxSide, r.stroke)
	r.f.marked(r.x, r.y, width, sign, unit)
	r.x += width + 3
	return r
}

// marked writes sign and unit into a cell.
func (f *form) marked(x, y, width geometry.Length, sign, unit string) {
	if sign != "" {
		f.text(x+1.2, y+6.2, drawing.Text{Size: askSize, Text: sign})
	}
	switch {
	case unit == "":
	case unit == "°":
		f.scene.Add(drawing.Text{At: drawing.Point{X: x + width - 1, Y: y + 7}, Size: 5.4, Anchor: drawing.End, Text: unit})
	case width <= boxSide+2:
		f.scene.Add(drawing.Text{At: drawing.Point{X: x + width/2, Y: y + 6.2}, Size: askSize, Anchor: drawing.Middle, Text: unit})
	default:
		f.scene.Add(drawing.Text{At: drawing.Point{X: x + width - 1.2, Y: y + 6.2}, Size: askSize, Anchor: drawing.End, Text: unit})
	}
}

// length is room for a length, with a sign before it, and its two units, of which one is
// ringed.
func (r *row) length(width geometry.Length, sign string) *row {
	r.number(width, sign, "")
	r.x -= 3
	return r.units()
}

// limited is room for a length and its limit, and the unit of both.
func (r *row) limited(width, limit geometry.Length) *row {
	r.number(width, "", "")
	r.x -= 3
	return r.length(limit, "±")
}

// units are boxes of which one is ringed: the unit of what stands before them.
func (r *row) units() *row {
	for _, unit := range []string{"mm", "in"} {
		r.f.box(r.x, r.y, boxSide, boxSide, r.stroke)
		r.f.text(r.x+boxSide/2, r.y+6.2, drawing.Text{Size: askSize, Anchor: drawing.Middle, Text: unit})
		r.x += boxSide
	}
	r.x += 3
	return r
}

// word names the box that comes behind it, in one line or two.
func (r *row) word(words ...string) *row {
	r.lines(0, "", words...)
	r.x += 1.6
	return r
}

// to goes on at a place of the row, or where it is if that is further.
func (r *row) to(x geometry.Length) *row {
	r.x = max(r.x, x)
	return r
}

// column is one of a table to write in.
type column struct {
	names      []string // lines above it
	key        string   // of the sheet, below them
	width      geometry.Length
	sign, unit string // printed in each of its cells
	must       int    // so many of its cells, from the first, have to be filled
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
	keyed, deep := false, 0
	f.tied = false
	for _, c := range columns {
		if c.key != "" {
			f.key(c.key)
		}
		keyed = keyed || c.key != ""
		deep = max(deep, len(c.names))
	}
	f.y += geometry.Length(deep) * wordLead
	x := geometry.Length(0)
	for _, c := range columns {
		for i, name := range c.names {
			f.text(x+1, f.y-geometry.Length(len(c.names)-1-i)*wordLead, drawing.Text{Size: wordSize, Bold: true, Text: name})
		}
		if c.key != "" {
			f.grey(x+1, f.y+keyLead, c.key)
		}
		x += c.width
	}
	if keyed {
		f.y += keyLead
	}
	f.y += 1.2
	for _, thick := range []bool{false, true} { // over the thin frames
		for row := range rows {
			x = 0
			for _, c := range columns {
				if must := row < c.must; must == thick {
					f.box(x, f.y+f.high*geometry.Length(row), c.width, f.high, map[bool]drawing.Stroke{false: cellStroke, true: mustStroke}[must])
				}
				x += c.width
			}
		}
	}
	for _, texts := range rows {
		f.rows++
		x = 0
		for i, c := range columns {
			f.marked(x, f.y+(f.high-boxSide)/2, c.width, c.sign, c.unit)
			if i < len(texts) && texts[i] != "" {
				lines := drawing.Wrap(texts[i], askSize, c.width-2.5, 2)
				for j, line := range lines {
					f.text(x+1.5, f.y+f.high/2+1.2+(geometry.Length(j)-geometry.Length(len(lines)-1)/2)*3.6, drawing.Text{Size: askSize, Text: line})
				}
			}
			x += c.width
		}
		f.y += f.high
	}
	f.y += 0.6
}
