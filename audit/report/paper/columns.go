package paper

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// What is to be done stands in columns below the piece, in type that is read at arm's
// length, each picture under the step that it belongs to.

// step is one thing to do.
type step struct {
	word, text string
	picture    picture
	aside      bool   // has no number: a black bar stands beside it
	note       string // in smaller type below it
}

const (
	columnGap  geometry.Length = 6
	columns                    = 3
	blockGap   geometry.Length = 2
	leastStep  geometry.Length = 3.55 // 10 points of 25.4/72 mm
	noteSize   geometry.Length = 3.1
	pieceClear geometry.Length = 4 // between a piece and what stands below it
)

// stepSizes are those of the steps: the largest with which all stands beside its piece.
var stepSizes = []geometry.Length{4.4, 3.9, leastStep}

func leading(size geometry.Length) geometry.Length { return 1.24 * size }

// block is what is not parted: a step with its picture, or a note.
type block struct {
	number  int // zero of a note, and of what a black bar stands beside
	word    string
	lines   []string // the first stands after the word
	size    geometry.Length
	picture picture
	deep    geometry.Length // of the picture
	goesOn  bool            // what comes next belongs to it
	loose   bool            // may stand below any column that has room
}

func (b block) height() geometry.Length {
	return b.without() + b.gap()
}

func (b block) without() geometry.Length {
	return leading(b.size)*geometry.Length(len(b.lines)) + b.deep
}

func (b block) gap() geometry.Length {
	if b.goesOn {
		return 0
	}
	return blockGap
}

// lead is what stands before a step's first words: its number and its word.
func (b block) lead() geometry.Length {
	if b.head() == "" {
		return 0
	}
	return drawing.BoldWidth(b.head()+"  ", b.size)
}

func (b block) head() string {
	if b.number == 0 {
		return b.word
	}
	return fmt.Sprint(b.number) + "  " + b.word
}

// pictured is how the pictures stand with the steps.
type pictured uint8

const (
	picturesWithSteps pictured = iota
	picturesApart              // each comes after its step, but may come in the next column
	noDots                     // as the first, without that of the dots
	noDotsApart                // as the second, without it
	onePicture                 // foot and proof share one, without it
	oneApart                   // the same apart
)

// setting is a size of the steps' type, with how the pictures stand.
type setting struct {
	size   geometry.Length
	how    pictured
	doubts bool // are said in full
	terse  bool // without what stands in small type below a step
}

// settings are those that a strip may take, the best first. Type as large as can be comes
// before pictures beside their steps. Under the arch of a template room is short: there
// what is bad is shown too, in smaller type, before two pictures share one.
func (f fitted) settings() []setting {
	var all []setting
	add := func(size geometry.Length, how pictured) {
		all = append(all, setting{size: size, how: how, doubts: true}, setting{size: size, how: how})
	}
	hows := []pictured{picturesWithSteps, picturesApart, onePicture, oneApart}
	if f.ribbon.on.flat() {
		for _, size := range stepSizes {
			for _, how := range hows {
				add(size, how)
			}
		}
	} else {
		hows = []pictured{picturesWithSteps, picturesApart, noDots, noDotsApart, onePicture, oneApart}
		for _, how := range hows {
			for _, size := range stepSizes {
				add(size, how)
			}
		}
	}
	for _, how := range hows { // rather than the piece on another sheet than its steps
		all = append(all, setting{size: leastStep, how: how, terse: true})
	}
	return all
}

// blocks are the steps and notes of a strip, in type of a size, for a column so wide.
func (f fitted) blocks(set setting, wide geometry.Length) []block {
	size, how := set.size, set.how
	var all []block
	number := 0
	for _, s := range f.steps {
		b := block{word: s.word, size: size, picture: s.picture, deep: s.picture.high(f.ribbon.on)}
		if !s.aside {
			number++
			b.number = number
		}
		b.lines = wrapAfter(s.text, size, b.lead(), wide)
		one, apart := how == onePicture || how == oneApart, how == picturesApart || how == noDotsApart || how == oneApart
		if one && s.picture == footOfFlag && f.tells {
			b.picture = footAndProof
		}
		if one && s.picture == proofShows || how >= noDots && s.picture == dotsMarked {
			b.picture, b.deep = noPicture, 0
		}
		if apart && b.picture != noPicture {
			alone := block{size: size, picture: b.picture, deep: b.deep}
			b.picture, b.deep = noPicture, 0
			all = append(all, b, alone)
		} else {
			all = append(all, b)
		}
		if s.note != "" && !set.terse {
			all = append(all, block{lines: drawing.Wrap(s.note, noteSize, wide, 200), size: noteSize})
		}
	}
	notes := slices.Concat(f.notes, f.s.key)
	switch {
	case set.doubts:
		notes = append(notes, f.doubts...)
	case f.named != "":
		notes = append(notes, f.named)
	}
	if f.last != "" && !set.terse {
		notes = append(notes, f.last)
	}
	for _, note := range notes {
		lines := drawing.Wrap(note, noteSize, wide, 200)
		whole := true
		for most := 6; len(lines) > most; lines = lines[most:] { // a long note may go on in the next column
			all = append(all, block{lines: lines[:most], size: noteSize, goesOn: true})
			whole = false
		}
		all = append(all, block{lines: lines, size: noteSize, loose: whole})
	}
	return all
}

// wrapAfter breaks a text into lines of which the first has less room.
func wrapAfter(text string, size, less, wide geometry.Length) []string {
	words := strings.Fields(text)
	n := 0
	for n < len(words) && drawing.Width(strings.Join(words[:n+1], " "), size) <= wide-less {
		n++
	}
	if n == len(words) {
		return []string{text}
	}
	return append([]string{strings.Join(words[:n], " ")}, drawing.Wrap(strings.Join(words[n:], " "), size, wide, 200)...)
}

// textColumn is a place for blocks: its left side, and where it begins.
type textColumn struct{ left, top geometry.Length }

// filled puts blocks into columns down to a bottom, and returns in which each comes and
// how far down; fewer where not all find room. A loose one takes what room an earlier
// column has left.
func filled(blocks []block, all []textColumn, bottom geometry.Length) (places []drawing.Point) {
	if len(all) == 0 {
		return nil
	}
	i := 0
	down := make([]geometry.Length, len(all))
	for c := range all {
		down[c] = all[c].top
	}
	room := func(c int, b block) bool { return down[c]+b.without() <= bottom }
	for _, b := range blocks {
		c := i
		if earlier := slices.IndexFunc(down[:i], func(y geometry.Length) bool { return y+b.without() <= bottom }); b.loose && earlier >= 0 {
			c = earlier
		}
		for !room(c, b) {
			if c++; c == len(all) {
				return places
			}
			i = c
		}
		places = append(places, drawing.Point{X: all[c].left, Y: down[c]})
		down[c] += b.height()
	}
	return places
}

// level returns the highest bottom with which all blocks find room, so that the columns
// end at about the same height; false where they find none above most.
func level(blocks []block, all []textColumn, most geometry.Length) (bottom geometry.Length, fits bool) {
	if len(filled(blocks, all, most)) < len(blocks) {
		return most, false
	}
	low, high := geometry.Length(0), most
	for range 30 {
		if middle := (low + high) / 2; len(filled(blocks, all, middle)) == len(blocks) {
			high = middle
		} else {
			low = middle
		}
	}
	return high, true
}

// columnWidth is that of each column of a sheet; however long a strip is, lines stay as
// short as on a sheet of A4.
func (p *sheetOfPaper) columnWidth() geometry.Length {
	return (min(p.width, 297) - 2*paperMargin - p.s.beside() - (columns-1)*columnGap) / columns
}

// columnsFrom are the columns of a sheet below what already stands on it from a height
// on: a column within the arch of a template begins under the arch.
func (p *sheetOfPaper) columnsFrom(items []drawing.Item, top geometry.Length) []textColumn {
	wide := p.columnWidth()
	var all []textColumn
	for i := range columns {
		c := textColumn{left: paperMargin + geometry.Length(i)*(wide+columnGap), top: top}
		for _, at := range corners(items) {
			if at.X > c.left-columnGap/2 && at.X < c.left+wide+columnGap/2 {
				c.top = max(c.top, at.Y+pieceClear)
			}
		}
		all = append(all, c)
	}
	return all
}

// corners are the points that what is drawn goes through.
func corners(items []drawing.Item) []drawing.Point {
	var all []drawing.Point
	for _, item := range items {
		switch x := item.(type) {
		case drawing.Line:
			for i := range 21 { // one that crosses a column reaches into it
				k := geometry.Length(i) / 20
				all = append(all, drawing.Point{X: x.From.X + (x.To.X-x.From.X)*k, Y: x.From.Y + (x.To.Y-x.From.Y)*k})
			}
		case drawing.Polygon:
			all = append(all, x.Points...)
		case drawing.Circle:
			all = append(all, x.Centre.Plus(0, x.Radius), x.Centre.Plus(-x.Radius, 0), x.Centre.Plus(x.Radius, 0))
		case drawing.Text:
			left := x.At.Plus(-x.Extent()*geometry.Length(x.Anchor)/2, 0)
			all = append(all, left, left.Plus(x.Extent(), 0))
		}
	}
	return all
}

// say puts blocks where they belong.
func (p *sheetOfPaper) say(f fitted, blocks []block, places []drawing.Point) {
	for i, at := range places {
		b := blocks[i]
		y := at.Y + 0.76*b.size // the first baseline
		if head := b.head(); head != "" {
			p.scene.Add(drawing.Text{At: drawing.Point{X: at.X, Y: y}, Size: b.size, Bold: true, Text: head})
			if b.number == 0 {
				const bar geometry.Length = 1 // beside it, over its whole height
				p.scene.Add(drawing.Rectangle(at.Plus(-2*bar, 0), bar, b.without()-1, drawing.Black, drawing.Stroke{}))
			}
		}
		for j, line := range b.lines {
			x := at.X
			if j == 0 {
				x += b.lead()
			}
			if line != "" {
				p.scene.Add(drawing.Text{At: drawing.Point{X: x, Y: y}, Size: b.size, Text: line})
			}
			y += leading(b.size)
		}
		if b.picture != noPicture {
			f.draws(&p.scene, b.picture, drawing.Point{X: at.X, Y: y - 0.76*b.size})
		}
	}
}
