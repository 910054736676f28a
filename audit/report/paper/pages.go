package paper

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

const (
	paperMargin geometry.Length = 14 // no printer needs more
	guideRoom   geometry.Length = 4  // beside a strip, for the marks where it is cut
	captionHigh geometry.Length = 4  // beside the arch of a template it takes none
	headSize    geometry.Length = 5
	headLead    geometry.Length = 6.2
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

// usable is the longest that a piece of a strip may be on one sheet.
func (s stripper) usable() geometry.Length {
	width, height := s.o.Paper.landscape()
	k := geometry.Length(s.stretch())
	return s.surface().longest((width-2*paperMargin-2*guideRoom-s.beside())/k, (height-paperMargin-footRoom-24)/k)
}

// beside is the room that the upright check line takes at the right of a sheet: on a
// slope both ways of the printer count.
func (s stripper) beside() geometry.Length {
	if s.o.Slope == 0 {
		return 0
	}
	return 8
}

// fitted is a strip with its pieces, as it is drawn.
type fitted struct {
	job
	s      stripper // at the width that it needs
	ribbon ribbon
	pieces [][2]geometry.Length
}

// fit makes a strip as long as its signs need, then wider, until all has room. Id says
// which strip of how many it is. Whole keeps it in one piece.
func (s stripper) fit(make func(stripper) job, id string, whole bool) (fitted, error) {
	const margin geometry.Length = 12
	begun := s.o.Width
	step := geometry.Length(8)
	if s.o.Slope != 0 { // a shorter arch leaves more of the sheet to the steps
		step = 4
	}
	for ; s.o.Width <= mostWidth+1e-9; s.o.Width += leastBand {
		on := s.surface()
		if !on.flat() && on.radius() < on.width {
			break
		}
		j := make(s)
		most := s.usable()
		limit := min(on.turn()-1, most)
		if short := j.build(margin, 0, id); !j.fixed && short.length > limit {
			limit = min(on.turn()-1, short.length+120) // the way alone is longer than a sheet
		}
		if whole {
			most = on.turn() + 1e6
		}
		for level := range 4 {
			roomForWords := false
			least := margin
			for _, f := range j.build(margin, level, id).flags {
				if len(f.words) > 0 {
					least = max(least, drawing.BoldWidth(f.words[level], 3.3)+5)
				}
			}
			for m := least; ; m += step {
				r := j.build(m, level, id)
				if r.length > limit && !j.fixed && m > margin {
					break
				}
				f := fitted{job: j, s: s, ribbon: r, pieces: r.pieces(most)}
				words, signs := f.drawable()
				roomForWords = roomForWords || words
				if words && signs {
					if s.o.Width > s.asked {
						f.last = s.wider()
					}
					return f, nil
				}
				if j.fixed {
					break
				}
			}
			if roomForWords {
				break
			}
		}
	}
	if !s.brief { // the sheet of paper and the report have all words
		s.brief, s.o.Width = true, begun
		return s.fit(make, id, whole)
	}
	return fitted{}, fmt.Errorf("a strip for a part of %s across has no room for all that must stand on it, expected a larger part\n  hint: work with dividers, by the lengths of the report", s.ByTape(s.Result.Sheet.Part.Diameter, 0))
}

// wider says why a strip is wider than it was to be.
func (s stripper) wider() string {
	than := "more than the " + s.ByTape(s.asked, 0) + " asked for"
	if usual := usualOn(s.o.Slope); s.asked == usual {
		than = "a " + s.surface().noun() + " is mostly " + s.ByTape(usual, 0)
	}
	return fmt.Sprintf("Drawn %s wide, %s: all that must stand on the piece needs the room. Less room there: STOP.", s.ByTape(s.o.Width, 0), than)
}

// drawable reports whether every piece has room for its words and its signs.
func (f fitted) drawable() (words, signs bool) {
	words, signs = true, true
	for i, p := range f.pieces {
		_, w, s := f.ribbon.draw(p[0], p[1], i, len(f.pieces))
		words, signs = words && w, signs && s
		if !words || !signs {
			break
		}
	}
	return words, signs
}

// fits is a strip in pieces no larger than a sheet, and in one.
type fits struct{ paged, whole fitted }

// fitAll makes all strips as long and as wide as they need.
func (s stripper) fitAll(all []func(stripper) job) ([]fits, error) {
	var out []fits
	for i, make := range all {
		id := s.id(i, len(all))
		f, err := s.fit(make, id, false)
		if err != nil {
			return nil, err
		}
		one := f
		if len(f.pieces) > 1 {
			if one, err = s.fit(make, id, true); err != nil {
				return nil, err
			}
		}
		out = append(out, fits{f, one})
	}
	return out, nil
}

// lay puts strips on sheets, and all of them unbroken on one.
func (s stripper) lay(all []fits) Drawn {
	d := Drawn{Title: s.title()}
	width, height := s.o.Paper.landscape()
	paged := sheetOfPaper{s: s, title: d.Title, width: width, height: height}
	whole := sheetOfPaper{s: s, title: d.Title, width: width}
	for _, f := range all {
		w, _, _ := f.whole.ribbon.on.size(f.whole.ribbon.length)
		whole.width = max(whole.width, w*geometry.Length(s.stretch())+2*paperMargin+2*guideRoom+s.beside())
	}
	for i, f := range all {
		id := s.id(i, len(all))
		paged.put(f.paged, id)
		whole.put(f.whole, id)
	}
	whole.end()
	paged.end()
	d.Whole, d.Pages = whole.done[0], paged.done
	countSheets(d.Pages)
	return d
}

// title names the strips, or the templates, and what they are for.
func (s stripper) title() string {
	what := "Strips"
	if s.o.Slope != 0 {
		what = "Templates"
	}
	return what + " for " + s.letters(s.Title(s.o.Path))
}

// sheetOfPaper is filled from top to bottom; without a height it grows.
type sheetOfPaper struct {
	s             stripper
	title         string
	width, height geometry.Length
	scene         drawing.Scene
	begun         bool
	y, fresh      geometry.Length // where it is filled to, and where it began
	done          []drawing.Scene
}

// begin begins a sheet with what says whose it is.
func (p *sheetOfPaper) begin(id string) {
	if !p.begun {
		p.scene = drawing.Scene{Title: p.title, Width: p.width, Height: p.height, Description: "Strips of paper at 1:1, with check lines of 100 mm and of 4 inches."}
		p.y, p.begun = 0, true
	}
	in := p.s.Result.Sheet
	right := fmt.Sprintf("sheet %.12s, %s", in.Digest, id)
	if in.Job != "" {
		right = "job " + p.s.letters(words.Clean(in.Job)) + ", " + right
	}
	p.y += paperMargin
	p.scene.Add(drawing.Text{At: drawing.Point{X: p.width - paperMargin, Y: p.y}, Size: drawing.TextSize, Anchor: drawing.End, Text: drawing.Wrap(right, drawing.TextSize, 110, 1)[0]})
	p.text(paperMargin, 3.6, true, drawing.WrapBold(p.s.engine(), 3.6, p.width-2*paperMargin-115, 1)[0])
	p.y += 1.4
	p.scene.Add(drawing.Line{From: drawing.Point{X: paperMargin, Y: p.y}, To: drawing.Point{X: p.width - paperMargin, Y: p.y}, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}})
	p.y += 6.4
	p.fresh = p.y
}

// engine names the engine and the part; else the sheet.
func (s stripper) engine() string {
	in := s.Result.Sheet
	var parts []string
	for _, text := range []string{in.Title, in.Part.Name} {
		if text != "" && !strings.Contains(strings.Join(parts, " "), text) {
			parts = append(parts, words.Clean(text))
		}
	}
	if len(parts) == 0 {
		return s.letters(s.Title(s.o.Path))
	}
	return s.letters(strings.Join(parts, ", "))
}

func (p *sheetOfPaper) text(x, size geometry.Length, bold bool, line string) {
	p.scene.Add(drawing.Text{At: drawing.Point{X: x, Y: p.y}, Size: size, Bold: bold, Text: line})
}

// put adds a strip with all that is said about it: the piece first, and below it the
// steps with their pictures. Where that is too much for one sheet the steps come first,
// on one of their own.
func (p *sheetOfPaper) put(f fitted, id string) {
	if p.begun && p.height > 0 {
		p.end() // each strip has its own sheets: none is cut apart from what is said of it
	}
	p.begin(id)
	wide := p.width - 2*paperMargin - p.s.beside()
	heading, size := f.s.only()+": "+f.heading, headSize
	if w := drawing.BoldWidth(heading, size); w > wide && w < 1.36*wide { // in one line, rather than with two words below it
		size *= 0.999 * wide / w
	}
	for _, line := range drawing.WrapBold(heading, size, wide, 3) {
		p.text(paperMargin, size, true, line)
		p.y += headLead
	}
	p.y -= 0.6
	for _, line := range drawing.Wrap(f.before, noteSize, wide, 3) {
		p.text(paperMargin, noteSize, false, line)
		p.y += leading(noteSize)
	}
	p.y += 1.5
	if !p.together(f, id) {
		p.apart(f, id)
	}
	p.scene.Description += " " + f.s.only() + ": " + f.heading + "."
	for _, step := range f.steps {
		p.scene.Description += " " + step.word + ": " + step.text
	}
}

// together puts the pieces of a strip and its steps on the sheet that is begun, in the
// largest type with which they all find room there. A template may make way for them to
// the left, and goes without the shaft's centre rather than without its steps.
func (p *sheetOfPaper) together(f fitted, id string) bool {
	begun := len(p.scene.Items)
	type laidOut struct {
		with sheetOfPaper // the pieces
		all  []textColumn
	}
	var ways []laidOut
	for _, centre := range p.centres(f) {
		for _, shaft := range []bool{true, false} {
			if !shaft && f.ribbon.on.slope != 90 {
				continue
			}
			with := *p
			with.scene.Items = slices.Clone(p.scene.Items)
			if !with.pieces(f, centre, shaft) {
				continue
			}
			top := with.y
			if len(f.pieces) == 1 && (!f.ribbon.on.flat() || p.small(f)) { // each column begins below what stands above it
				top = p.y
			}
			ways = append(ways, laidOut{with, with.columnsFrom(with.scene.Items[begun:], top)})
		}
	}
	for _, set := range f.settings() {
		if p.height == 0 && set.size > stepSizes[1] { // what is seen on a screen needs no larger type
			continue
		}
		blocks := f.blocks(set, p.columnWidth())
		for _, w := range ways {
			most := p.height - footRoom - 1
			if p.height == 0 {
				most = w.with.y + blockGap
				for _, b := range blocks {
					most += b.height()
				}
			}
			bottom, fits := level(blocks, w.all, most)
			if !fits {
				continue
			}
			*p = w.with
			p.say(f, blocks, filled(blocks, w.all, bottom))
			p.y = max(p.y, bottom)
			return true
		}
	}
	return false
}

// centres are where the middle of a piece may come: in the middle of the sheet, or as
// far to the left as it can. A strip that is no longer than a column stands above the
// first.
func (p *sheetOfPaper) centres(f fitted) []geometry.Length {
	middle := (p.width - p.s.beside()) / 2
	wide, _, _ := f.ribbon.on.size(f.ribbon.length)
	switch {
	case p.small(f):
		return []geometry.Length{paperMargin + p.columnWidth()/2}
	case f.ribbon.on.flat() || len(f.pieces) > 1:
		return []geometry.Length{middle}
	}
	return []geometry.Length{middle, paperMargin + wide*geometry.Length(f.s.stretch())/2}
}

// small reports whether a strip has room above one column, with what stands out at its
// ends.
func (p *sheetOfPaper) small(f fitted) bool {
	return f.ribbon.on.flat() && len(f.pieces) == 1 && f.ribbon.length*geometry.Length(f.s.stretch())+2*guideRoom <= p.columnWidth()
}

// pieces puts all pieces of a strip onto the sheet that is begun, if they have room.
func (p *sheetOfPaper) pieces(f fitted, centre geometry.Length, shaft bool) bool {
	for i := range f.pieces {
		if p.height > 0 && p.y+f.room(i) > p.height-footRoom {
			return false
		}
		p.piece(f, i, centre, shaft)
	}
	return true
}

// apart puts the steps on the sheet that is begun, with as many further ones as they
// take, and then the pieces.
func (p *sheetOfPaper) apart(f fitted, id string) {
	p.text(paperMargin, noteSize, true, "The piece to cut out comes after the steps, here or on the next sheet.")
	p.y += leading(noteSize)
	blocks := f.blocks(setting{size: stepSizes[1], how: picturesWithSteps, doubts: true}, p.columnWidth())
	for len(blocks) > 0 {
		all := p.columnsFrom(nil, p.y)
		most := p.height - footRoom - 1
		bottom, _ := level(blocks, all, most)
		places := filled(blocks, all, bottom)
		if len(places) == 0 && p.y <= p.fresh { // on no sheet would it find more room
			places = []drawing.Point{{X: all[0].left, Y: p.y}}
		}
		p.say(f, blocks, places)
		p.y = bottom + 5
		if blocks = blocks[len(places):]; len(blocks) > 0 {
			p.end()
			p.begin(id)
		}
	}
	for i := range f.pieces {
		p.turnFor(f.room(i), id)
		p.piece(f, i, (p.width-p.s.beside())/2, true)
	}
}

// piece puts one piece of a strip onto the sheet, its middle at a place across it.
func (p *sheetOfPaper) piece(f fitted, i int, centre geometry.Length, shaft bool) {
	piece := f.pieces[i]
	k := f.s.stretch()
	on := f.ribbon.on
	_, _, above := on.size(piece[1] - piece[0])
	caption := "Cut along the outline. Right is clockwise, as you look at the marks. 1:1"
	if i > 0 {
		caption = fmt.Sprintf("Piece %d: glue the right end of piece %d onto the hatching, its edge along the line that stands out; graduations on graduations", i+1, i)
	}
	if on.flat() || len(f.pieces) > 1 {
		p.text(paperMargin, drawing.TextSize, false, caption)
		p.y += captionHigh
	}
	middle := (piece[0] + piece[1]) / 2
	to := laid{on: on, middle: middle, at: drawing.Point{X: centre, Y: p.y + above*geometry.Length(k)}, scale: k}
	items, _, _ := f.ribbon.draw(piece[0], piece[1], i, len(f.pieces))
	if len(f.ribbon.discs) == 0 {
		items = append(items, f.dimension(piece)...)
	}
	items = append(items, f.cutHere(piece, i)...)
	p.scene.Add(to.put(items)...)
	top := p.y
	p.y = top + f.room(i) - captionHigh
	if shaft {
		p.shaft(on, piece[1]-piece[0], drawing.Point{X: centre, Y: top}, k)
	}
}

// room is what a piece takes of the height of a sheet: with its caption, its waste and
// the dimension below it.
func (f fitted) room(i int) geometry.Length {
	_, height, _ := f.ribbon.on.size(f.pieces[i][1] - f.pieces[i][0])
	if f.ribbon.on.flat() {
		height += 6
	}
	return height*geometry.Length(f.s.stretch()) + captionHigh + 1
}

// shaft draws the shaft's centre of a face where it falls on the sheet, with circles to
// lay the template by where the outer edge is round or broken.
func (p *sheetOfPaper) shaft(on surface, length geometry.Length, top drawing.Point, k float64) {
	if on.slope != 90 || length > 2.8*on.radius() { // further round it would lie below the centre
		return
	}
	stroke := drawing.Stroke{Width: 0.15, Ink: drawing.Black}
	centre := top.Plus(0, (on.radius()+on.width)*geometry.Length(k))
	const most geometry.Length = 15
	if p.height > 0 && centre.Y+most+8 > p.height-footRoom {
		return
	}
	for _, r := range []geometry.Length{5, 10, most} {
		p.scene.Add(drawing.Circle{Centre: centre, Radius: r * geometry.Length(k), Stroke: stroke})
	}
	p.scene.Add(
		drawing.Line{From: centre.Plus(-7, 0), To: centre.Plus(7, 0), Stroke: stroke}, drawing.Line{From: centre.Plus(0, -7), To: centre.Plus(0, 7), Stroke: stroke},
		drawing.Text{At: centre.Plus(0, most+3.5), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "shaft centre, circles of 10, 20 and 30 mm,"},
		drawing.Text{At: centre.Plus(0, most+6.8), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "for where the outer edge is round or broken"})
	p.y = max(p.y, centre.Y+most+11)
}

func (s stripper) paperWords() string { return s.Of(s.o.Thickness) }

// turnFor takes a new sheet where this one has no room left.
func (p *sheetOfPaper) turnFor(need geometry.Length, id string) {
	if p.height == 0 || p.y+need <= p.height-footRoom || p.y <= p.fresh {
		return
	}
	p.end()
	p.begin(id)
}
