package paper

import (
	"fmt"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// checkLine is what every sheet carries to see whether the printer keeps to scale; a
// second one is in inches.
const (
	checkLine   geometry.Length = 100
	checkInches geometry.Length = 4 * 25.4
)

const (
	paperMargin geometry.Length = 14 // no printer needs more
	footRoom    geometry.Length = 36 // from where the check lines begin to the edge of the paper
	guideRoom   geometry.Length = 4  // beside a strip, for the marks where it is cut
	stepSize    geometry.Length = 3.1
	stepLead    geometry.Length = 4.1
	noteLead    geometry.Length = 3.7
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
	return 18
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
	const margin, step geometry.Length = 12, 8
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
						f.notes = append(f.notes, s.wider())
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
	return fitted{}, fmt.Errorf("a strip for a part of %s across has no room for all that must stand on it, expected a larger part\n  hint: work with dividers, by the lengths of the report", s.ByTape(s.Result.Sheet.Part.Diameter, 0))
}

// wider says why a strip is wider than it was to be.
func (s stripper) wider() string {
	than := "more than --width asked for, " + s.ByTape(s.asked, 0)
	if s.asked == usualWidth {
		than = "a strip is mostly " + s.ByTape(usualWidth, 0)
	}
	return fmt.Sprintf("Drawn %s wide, %s: all that must stand on the piece needs the room.", s.ByTape(s.o.Width, 0), than)
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
		id := fmt.Sprintf("strip %d of %d", i+1, len(all))
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
	d := Drawn{Title: "Strips for " + s.letters(s.Title(s.o.Path))}
	width, height := s.o.Paper.landscape()
	paged := sheetOfPaper{s: s, title: d.Title, width: width, height: height}
	whole := sheetOfPaper{s: s, title: d.Title, width: width}
	for _, f := range all {
		w, _, _ := f.whole.ribbon.on.size(f.whole.ribbon.length)
		whole.width = max(whole.width, w*geometry.Length(s.stretch())+2*paperMargin+2*guideRoom+s.beside())
	}
	for i, f := range all {
		id := fmt.Sprintf("strip %d of %d", i+1, len(all))
		paged.put(f.paged, id)
		whole.put(f.whole, id)
	}
	whole.end()
	paged.end()
	d.Whole, d.Pages = whole.done[0], paged.done
	for i := range d.Pages {
		page := &d.Pages[i]
		page.Title += rounding.PartOf(i, len(d.Pages))
		page.Add(drawing.Text{At: drawing.Point{X: width - paperMargin, Y: height - 7}, Size: drawing.NoteSize, Anchor: drawing.End, Text: fmt.Sprintf("sheet of paper %d of %d", i+1, len(d.Pages))})
	}
	return d
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
	p.text(paperMargin, 4, true, drawing.WrapBold(p.s.engine(), 4, p.width-2*paperMargin-115, 1)[0])
	p.y += 1.6
	p.scene.Add(drawing.Line{From: drawing.Point{X: paperMargin, Y: p.y}, To: drawing.Point{X: p.width - paperMargin, Y: p.y}, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}})
	p.y += 7
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

// end puts the check lines at the foot and turns over.
func (p *sheetOfPaper) end() {
	foot := p.height - footRoom
	if p.height == 0 {
		foot = p.y + 6
		p.scene.Height = foot + footRoom
	}
	k := geometry.Length(p.s.stretch())
	p.check(drawing.Point{X: paperMargin, Y: foot + 10}, checkLine*k, 10, "100.0 mm")
	p.check(drawing.Point{X: paperMargin, Y: foot + 22}, checkInches*k, 8, "4.000 in")
	if p.s.beside() > 0 {
		p.uprightCheck(drawing.Point{X: p.width - paperMargin - 4, Y: foot - 4}, checkLine*k)
	}
	x := paperMargin + 118
	y := foot + 8
	say := func(size geometry.Length, bold bool, text string) {
		lines := drawing.Wrap(text, size, p.width-paperMargin-x, 4)
		if bold {
			lines = drawing.WrapBold(text, size, p.width-paperMargin-x, 4)
		}
		for _, line := range lines {
			p.scene.Add(drawing.Text{At: drawing.Point{X: x, Y: y}, Size: size, Bold: bold, Text: line})
			y += size * 1.3
		}
		y += 0.8
	}
	if p.s.o.Measured != 0 {
		say(stepSize, true, "Drawn for a printer that makes "+rounding.Plain(rounding.Trimmed(p.s.o.Measured.Millimetres()))+" mm of 100. If the first line now measures 99.8 to 100.2 mm, use this sheet and throw the first print away.")
		say(drawing.NoteSize, false, "If not: draw it WITHOUT --measured, print, measure, and begin again.")
	} else {
		say(stepSize, true, "Hold a steel rule to both check lines. GOOD is 99.8 to 100.2 mm, or 3.992 to 4.008 in. Else throw this sheet away.")
		say(drawing.NoteSize, false, "For whoever prints: choose 100 %, nothing fitted to the page. If it still is BAD, draw again with --measured and what the line measures.")
	}
	p.scene.Add(drawing.Text{At: drawing.Point{X: paperMargin, Y: foot + footRoom - 7}, Size: drawing.NoteSize, Ink: drawing.Grey, Text: p.s.o.Software})
	p.done = append(p.done, p.scene)
	p.begun = false
}

// check draws a check line from left to right, both ends named.
func (p *sheetOfPaper) check(from drawing.Point, length geometry.Length, parts int, name string) {
	stroke := drawing.Stroke{Width: 0.18, Ink: drawing.Black}
	p.scene.Add(drawing.Line{From: from, To: from.Plus(length, 0), Stroke: stroke})
	for i := range parts + 1 {
		deep := geometry.Length(1.2)
		if i%(parts/2) == 0 {
			deep = 3
		}
		x := length * geometry.Length(i) / geometry.Length(parts)
		p.scene.Add(drawing.Line{From: from.Plus(x, -deep), To: from.Plus(x, 0), Stroke: stroke})
	}
	p.scene.Add(
		drawing.Text{At: from.Plus(0, -4), Size: 2.6, Bold: true, Text: "0"},
		drawing.Text{At: from.Plus(length, -4), Size: 2.6, Bold: true, Anchor: drawing.End, Text: name},
		drawing.Text{At: from.Plus(length/2, -4), Size: 2.6, Anchor: drawing.Middle, Text: "check line"})
}

// uprightCheck draws the check line across the sheet, from its lower end.
func (p *sheetOfPaper) uprightCheck(from drawing.Point, length geometry.Length) {
	stroke := drawing.Stroke{Width: 0.18, Ink: drawing.Black}
	p.scene.Add(drawing.Line{From: from, To: from.Plus(0, -length), Stroke: stroke})
	for i := range 11 {
		deep := geometry.Length(1.2)
		if i%5 == 0 {
			deep = 3
		}
		y := -length * geometry.Length(i) / 10
		p.scene.Add(drawing.Line{From: from.Plus(-deep, y), To: from.Plus(0, y), Stroke: stroke})
	}
	text := func(y geometry.Length, anchor drawing.Anchor, bold bool, words string) {
		p.scene.Add(drawing.Text{At: from.Plus(-4, y), Size: 2.6, Bold: bold, Anchor: anchor, Turn: -90, Text: words})
	}
	text(0, drawing.Start, true, "0")
	text(-length/2, drawing.Middle, false, "check line")
	text(-length, drawing.End, true, "100.0 mm")
}

// put adds a strip with all that is said about it.
func (p *sheetOfPaper) put(f fitted, id string) {
	if p.begun && p.height > 0 {
		p.end() // each strip has its own sheets: none is cut apart from what is said of it
	}
	p.begin(id)
	wide := p.width - 2*paperMargin - p.s.beside()
	for _, line := range drawing.WrapBold(f.s.only()+": "+f.heading, 4.2, wide, 3) {
		p.text(paperMargin, 4.2, true, line)
		p.y += 5.6
	}
	say := func(x, size, lead geometry.Length, text string) {
		for _, line := range drawing.Wrap(text, size, p.width-paperMargin-p.s.beside()-x, 200) {
			p.turnFor(lead, id)
			p.text(x, size, false, line)
			p.y += lead
		}
	}
	say(paperMargin, stepSize, stepLead, f.before)
	p.y += 1
	const column geometry.Length = 25
	for i, step := range f.steps {
		p.turnFor(2*stepLead, id)
		p.text(paperMargin, stepSize, true, fmt.Sprint(i+1))
		p.text(paperMargin+4.5, stepSize, true, step[0])
		say(paperMargin+column, stepSize, stepLead, step[1])
	}
	p.y += 0.6
	for _, note := range append(f.notes, f.s.key...) {
		say(paperMargin+column, 2.8, noteLead, note)
	}
	p.y += 2.5
	sketched := p.height > 0 && p.y+f.room(0)+sketchHigh > p.height-footRoom && p.y+sketchHigh <= p.height-footRoom
	if sketched { // there is no room for both here: the sketches stay with the steps
		p.sketches(f, id)
	}
	for i, piece := range f.pieces {
		p.piece(f, i, piece, id)
	}
	if !sketched {
		p.sketches(f, id)
	}
	p.scene.Description += " " + f.s.only() + ": " + f.heading + "."
	for _, step := range f.steps {
		p.scene.Description += " " + step[0] + ": " + step[1]
	}
}

// piece puts one piece of a strip onto the sheet.
func (p *sheetOfPaper) piece(f fitted, i int, piece [2]geometry.Length, id string) {
	k := f.s.stretch()
	on := f.ribbon.on
	_, _, above := on.size(piece[1] - piece[0])
	p.turnFor(f.room(i), id)
	caption := "1:1, print side up; cut along the outline; to the right is clockwise, as you look at the marks"
	if i > 0 {
		caption = fmt.Sprintf("Piece %d: glue the right end of piece %d onto the hatching, its edge along the line that stands out; graduations on graduations", i+1, i)
	}
	p.text(paperMargin, drawing.NoteSize, false, caption)
	p.y += 4
	middle := (piece[0] + piece[1]) / 2
	to := laid{on: on, middle: middle, at: drawing.Point{X: (p.width - p.s.beside()) / 2, Y: p.y + above*geometry.Length(k)}, scale: k}
	items, _, _ := f.ribbon.draw(piece[0], piece[1], i, len(f.pieces))
	if len(f.ribbon.discs) == 0 {
		items = append(items, f.dimension(piece)...)
	}
	p.scene.Add(to.put(items)...)
	top := p.y
	p.y += f.room(i) - 4
	p.shaft(on, piece[1]-piece[0], top, k)
}

// room is what a piece takes of the height of a sheet: with its caption, its waste and
// the dimension below it.
func (f fitted) room(i int) geometry.Length {
	_, height, _ := f.ribbon.on.size(f.pieces[i][1] - f.pieces[i][0])
	if f.ribbon.on.flat() {
		height += 6
	}
	return height*geometry.Length(f.s.stretch()) + 5
}

// shaft draws the shaft's centre of a face where it falls on the sheet, with circles to
// lay the template by where the corner is round or broken.
func (p *sheetOfPaper) shaft(on surface, length, top geometry.Length, k float64) {
	if on.slope != 90 || length > 2.8*on.radius() { // further round it would lie below the centre
		return
	}
	stroke := drawing.Stroke{Width: 0.15, Ink: drawing.Black}
	centre := drawing.Point{X: (p.width - p.s.beside()) / 2, Y: top + (on.radius()+on.width)*geometry.Length(k)}
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
		drawing.Text{At: centre.Plus(0, most+6.8), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "for where the corner is round or broken"})
	p.y = max(p.y, centre.Y+most+11)
}

// dimension says below a strip how far the new line lies from the old one. On a slope
// it is left to the steps, for dividers go straight across.
func (f fitted) dimension(piece [2]geometry.Length) []drawing.Item {
	r := f.ribbon
	if len(r.flags) != 2 || !r.on.flat() {
		return nil
	}
	a, b := min(r.flags[0].x, r.flags[1].x), max(r.flags[0].x, r.flags[1].x)
	if a < piece[0] || b > piece[1] {
		return nil
	}
	const down, out, head geometry.Length = -7, 5, 1.6
	stroke := drawing.Stroke{Width: 0.15, Ink: drawing.Black}
	line := func(x1, up1, x2, up2 geometry.Length) drawing.Item {
		return drawing.Line{From: at(x1, up1), To: at(x2, up2), Stroke: stroke}
	}
	tip := func(x, way geometry.Length) drawing.Item {
		return drawing.Polygon{Points: []drawing.Point{at(x, down), at(x+way, down+0.5), at(x+way, down-0.5)}, Fill: drawing.Black}
	}
	text := f.s.ByTape(b-a, 0) + " on this paper, " + f.s.paperWords() + " thick; what lies below the edge is waste"
	width := drawing.Width(text, drawing.TextSize)
	said := drawing.Text{At: at(b+out+0.8, down-1), Size: drawing.TextSize, Text: text}
	switch {
	case b+out+0.8+width <= piece[1]:
	case a-out-0.8-width >= piece[0]:
		said.At, said.Anchor = at(a-out-0.8, down-1), drawing.End
	default: // between the two lines, or from the left end below a short strip
		said.At, said.Anchor = at((a+b)/2, down-1), drawing.Middle
		if width > b-a {
			said.At.Y, said.At.X = 4-down, max((piece[0]+piece[1])/2, a)
		}
	}
	return []drawing.Item{
		line(a, -wasteDeep-0.8, a, down-1), line(b, -wasteDeep-0.8, b, down-1),
		line(a-out, down, a-head, down), tip(a, -head), line(b+head, down, b+out, down), tip(b, head), said,
	}
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
