package paper

import (
	"fmt"
	"math"
	"slices"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// ribbon is a strip of paper with what stands on it. Its lower edge, the working edge,
// lies towards the person who looks at the marks, and to the right on it is clockwise.
// All that counts stands at that edge; places along it count from its left end.
type ribbon struct {
	on       surface
	length   geometry.Length
	scale    scale
	flags    []flag
	proofs   []proof
	discs    []disc
	signs    []sign               // on every piece, those that matter most first
	together [][2]geometry.Length // not to be cut apart
	level    int                  // how short the words at the flags have become
}

// flag marks a line at the working edge: a right-angled triangle whose upright side is
// the line and whose tip stands on the edge. It leans away from the other flag.
type flag struct {
	x     geometry.Length
	fresh bool     // black, the new line; open, where something is now
	left  bool     // leans to the left
	words []string // beside it, from the longest form to the shortest; none where a disc names it
}

// proof is another line that must show between two posts once the strip lies.
type proof struct {
	x, half geometry.Length
	name    string
}

// disc is a line as found, or a new one, with a number at the end of a leader.
type disc struct {
	x      geometry.Length
	number string
	fresh  bool
}

// Heights above the working edge. Where there is room flags and words are larger; on
// narrow strips and on slopes they are not.
const (
	barDeep     geometry.Length = 1.5 // the black bar along the back edge
	wasteDeep   geometry.Length = 4   // below the edge, kept clear of all but what runs on
	footDeep    geometry.Length = 3.2 // how far lines run on below the edge, so that a cut beside it loses none
	numberLine  geometry.Length = 3.6 // baseline of the numbers
	numberSize  geometry.Length = 2.3
	signSize    geometry.Length = 2.4
	leastWidth  geometry.Length = 11
	mostWidth   geometry.Length = 60
	usualWidth  geometry.Length = 18
	usualSlope  geometry.Length = 21 // of a template: a shorter arch leaves room for its steps
	overlap     geometry.Length = 10 // that two pieces share
	clearOfEdge geometry.Length = 0.5
)

// rows says where on a strip of its width things stand.
type rows struct {
	flagWide, flagHigh, upright geometry.Length
	words, wordSize             geometry.Length // baseline and size of the words at the flags
	low                         geometry.Length // above which signs have bands of their own
	bands                       []geometry.Length
	band                        geometry.Length // height of each
}

func (r ribbon) rows() rows {
	all := rows{flagWide: 3.6, flagHigh: 5.2, upright: 8.9, words: 6.9, wordSize: 2.6}
	if r.on.width >= 16 && r.on.flat() {
		all = rows{flagWide: 4.2, flagHigh: 6, upright: 9.9, words: 7.1, wordSize: 3.3}
	}
	low := all.upright + 0.2
	if len(r.discs) > 0 { // the flags stand among the lines below the discs
		all.flagWide, all.flagHigh, all.upright = 2, 3, fanKnee
		low = fanFoot + discPitch*geometry.Length(r.discRows()) + 0.1
	}
	all.low = low
	if room := r.on.width - barDeep - clearOfEdge - low; room >= leastBand {
		n := int(room/leastBand + 1e-9)
		all.band = room / geometry.Length(n)
		for i := range n {
			all.bands = append(all.bands, low+all.band*geometry.Length(n-1-i)) // from the bar down
		}
	}
	return all
}

const leastBand geometry.Length = 2.9

// box is a place that is taken, in places along the strip and heights above its edge.
type box struct{ left, right, low, high geometry.Length }

func (b box) hits(c box) bool {
	return b.left < c.right && c.left < b.right && b.low < c.high && c.low < b.high
}

// piece is the part of a strip that is drawn on one sheet.
type piece struct {
	r        ribbon
	rows     rows
	from, to geometry.Length
	i, of    int
	busy     []box
	items    []drawing.Item
	texts    []drawing.Item // drawn last
}

// draw draws a piece, and reports whether the words at its flags and all of its signs
// found room.
func (r ribbon) draw(from, to geometry.Length, i, of int) (items []drawing.Item, words, signs bool) {
	p := piece{r: r, rows: r.rows(), from: from, to: to, i: i, of: of}
	if i > 0 {
		p.busy = append(p.busy, box{from, from + overlap, 0, r.on.width})
	}
	p.outline()
	p.teeth()
	for _, x := range r.proofs {
		p.field(x)
	}
	for _, f := range r.flags {
		p.block(f)
	}
	words = true
	for _, f := range r.flags {
		words = p.flag(f) && words
	}
	for _, x := range r.proofs {
		words = p.named(x) && words
	}
	p.fan()
	signs = p.place(r.signs)
	p.numbers()
	return append(p.items, p.texts...), words, signs
}

func (p *piece) in(x geometry.Length) bool { return x >= p.from-1e-9 && x <= p.to+1e-9 }

// free reports whether a box lies within the piece's print and hits nothing.
func (p *piece) free(b box) bool {
	return b.left >= p.from+1 && b.right <= p.to-1 && !slices.ContainsFunc(p.busy, b.hits)
}

// at is a point of the strip at a height above its working edge.
func at(x, up geometry.Length) drawing.Point { return drawing.Point{X: x, Y: -up} }

func (p *piece) line(x1, up1, x2, up2, width geometry.Length) {
	p.items = append(p.items, drawing.Line{From: at(x1, up1), To: at(x2, up2), Stroke: drawing.Stroke{Width: width, Ink: drawing.Black}})
}

func (p *piece) shape(fill drawing.Ink, stroke geometry.Length, points ...drawing.Point) {
	s := drawing.Stroke{Width: stroke, Ink: drawing.Black}
	if stroke == 0 {
		s = drawing.Stroke{}
	}
	p.items = append(p.items, drawing.Polygon{Points: points, Fill: fill, Stroke: s})
}

func (p *piece) text(x, up, size geometry.Length, bold bool, anchor drawing.Anchor, ink drawing.Ink, words string) {
	p.texts = append(p.texts, drawing.Text{At: at(x, up), Size: size, Bold: bold, Anchor: anchor, Ink: ink, Text: words})
}

// outline is where the piece is cut, the bar along its back edge, and what is glued.
func (p *piece) outline() {
	const cut, guide geometry.Length = 0.2, 3
	w := p.r.on.width
	p.line(p.from-guide, 0, p.to+guide, 0, cut)
	p.line(p.from, w, p.from, -1, cut)
	p.line(p.to, w, p.to, -1, cut)
	p.shape(drawing.Black, 0, at(p.from, w), at(p.to, w), at(p.to, w-barDeep), at(p.from, w-barDeep))
	if p.i == 0 {
		return
	}
	glue := p.from + overlap
	for x := p.from + 1.5; x < glue-0.3; x += 1.8 {
		p.line(x, 9.4, min(x+1.2, glue), w-barDeep, 0.12)
	}
	p.items = append(p.items, drawing.Rectangle(at(p.from+0.8, 9.3), overlap-1.6, 3.4, drawing.White, drawing.Stroke{}))
	p.text(p.from+overlap/2, 6.8, 2.3, true, drawing.Middle, drawing.Black, "GLUE")
	p.line(glue, w+3, glue, -3, 0.3)
}

// Posts of a proof: wider than any graduation, and no graduation stands near them.
const (
	postWide  geometry.Length = 0.6
	postHigh  geometry.Length = 3.4
	postClear geometry.Length = 1.3 // from a post to the next graduation
)

// field is the grey field of a proof, between two posts. The posts' inner sides are its
// ends; nothing stands between them but the line of the part.
func (p *piece) field(f proof) {
	if !p.in(f.x) {
		return
	}
	p.shape(drawing.Pale, 0, at(f.x-f.half, postHigh), at(f.x+f.half, postHigh), at(f.x+f.half, 0), at(f.x-f.half, 0))
	for _, x := range []geometry.Length{f.x - f.half - postWide/2, f.x + f.half + postWide/2} {
		p.line(x, postHigh, x, -2.5, postWide)
	}
	out := f.half + postWide + 0.4
	p.busy = append(p.busy, box{f.x - out, f.x + out, -3, postHigh + 0.1})
}

// named puts a proof's name above it in a frame of its own, as near as there is room,
// and leads from the frame to the field: names side by side are not read as one.
func (p *piece) named(f proof) bool {
	if !p.in(f.x) {
		return true
	}
	const size, low, high, inset, apart geometry.Length = 2.4, 3.75, 6.1, 0.7, 0.8
	w := drawing.BoldWidth(f.name, size) + 2*inset
	for shift := geometry.Length(0); shift <= 12; shift += 0.25 {
		for _, x := range []geometry.Length{f.x + shift, f.x - shift} {
			b := box{x - w/2 - apart, x + w/2 + apart, postHigh + 0.1, high + 0.1}
			if !p.free(b) {
				continue
			}
			p.busy = append(p.busy, b)
			p.texts = append(p.texts, drawing.Polygon{
				Points: []drawing.Point{at(x-w/2, high), at(x+w/2, high), at(x+w/2, low), at(x-w/2, low)},
				Fill:   drawing.White, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Black},
			})
			p.line(max(x-w/2+0.4, min(f.x, x+w/2-0.4)), low, f.x, postHigh, 0.25)
			p.text(x, low+0.33, size, true, drawing.Middle, drawing.Black, f.name)
			return true
		}
	}
	return false
}

// block keeps the place of a flag free.
func (p *piece) block(f flag) {
	if !p.in(f.x) {
		return
	}
	left, right := f.x-0.4, f.x+p.rows.flagWide+0.4
	if f.left {
		left, right = f.x-p.rows.flagWide-0.4, f.x+0.4
	}
	p.busy = append(p.busy, box{left, right, -wasteDeep, p.rows.flagHigh + 0.2}, box{f.x - 0.4, f.x + 0.4, -wasteDeep, p.rows.upright})
}

// flag draws a flag, with the words that lead to it.
func (p *piece) flag(f flag) bool {
	if !p.in(f.x) {
		return true
	}
	side := geometry.Length(1)
	if f.left {
		side = -1
	}
	if f.fresh && !p.r.on.flat() {
		p.gap(f.x)
	}
	wide, high := side*p.rows.flagWide, p.rows.flagHigh
	p.line(f.x, p.rows.upright, f.x, -footDeep, lineWidth)
	// The stroke of an open flag lies within it, so that its upright side is the line.
	fill, stroke, inset := drawing.White, geometry.Length(0.3), geometry.Length(0.15)
	if f.fresh {
		fill, stroke, inset = drawing.Black, 0, 0
	}
	p.shape(fill, stroke, at(f.x+side*inset, inset), at(f.x+side*inset, high-inset), at(f.x+wide-side*inset, high-inset))
	if len(f.words) == 0 {
		return true
	}
	if !f.fresh {
		p.ring(f)
	}
	words := f.words[min(p.r.level, len(f.words)-1)]
	size := p.rows.wordSize
	w := drawing.BoldWidth(words, size)
	const head, gap geometry.Length = 2, 0.5
	left, right, anchor := f.x+head+gap, f.x+head+gap+w, drawing.Start
	start := left
	if f.left {
		left, right, anchor = f.x-head-gap-w, f.x-head-gap, drawing.End
		start = right
	}
	b := box{left - 0.6, right + 0.6, p.rows.words - 0.21*size - 0.1, p.rows.words + 0.75*size}
	if !p.free(b) {
		return false
	}
	middle := p.rows.words + 0.36*size
	p.busy = append(p.busy, b, box{min(f.x, f.x+side*head), max(f.x, f.x+side*head), middle - 1, middle + 1})
	p.shape(drawing.Black, 0, at(f.x+side*lineWidth/2, middle), at(f.x+side*head, middle+0.8), at(f.x+side*head, middle-0.8))
	p.text(start, p.rows.words, size, true, anchor, drawing.Black, words)
	return true
}

// gap is a white gap in the black bar of a template, above the foot of the black flag: two
// points give a line its direction, and need no aim at the shaft.
func (p *piece) gap(x geometry.Length) {
	const wide geometry.Length = 1
	p.items = append(p.items, drawing.Rectangle(at(x-wide/2, p.r.on.width+0.1), wide, barDeep+0.2, drawing.White, drawing.Stroke{}))
}

// ring draws the ring about the foot of the open flagstaff, where the line of the part
// is brought; the black one has none. It is smaller where the other line stands near;
// where that would hide the foot there is half of it, on the flag's own side.
func (p *piece) ring(f flag) {
	radius := ringRadius
	for _, g := range p.r.flags {
		if g.x != f.x {
			radius = min(radius, max(g.x-f.x, f.x-g.x)-0.3)
		}
	}
	from, to := 0.0, 2*math.Pi
	if radius < leastRing {
		radius = ringRadius
		if to = math.Pi; f.left {
			from, to = math.Pi, 2*math.Pi
		}
	}
	const steps = 24
	var points []drawing.Point
	for i := range steps + 1 { // clockwise from above the foot
		sin, cos := math.Sincos(from + (to-from)*float64(i)/steps)
		points = append(points, at(f.x+radius*geometry.Length(sin), radius*geometry.Length(cos)))
	}
	p.items = append(p.items, drawing.Polygon{Points: points, Open: true, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Black}})
}

// Radii of the ring, which leaves the foot in sight.
const (
	ringRadius geometry.Length = 1.7
	leastRing  geometry.Length = 0.9
)

// lineWidth is that of a flag's line.
const lineWidth geometry.Length = 0.22

// pieces returns where the pieces of a strip begin and end when none may be longer than
// most. All are about as long. A piece ends later, or earlier, rather than through what
// belongs together: a flag with its words, an old line with the new one.
func (r ribbon) pieces(most geometry.Length) [][2]geometry.Length {
	var all [][2]geometry.Length
	from := geometry.Length(0)
	for r.length-from > most+1e-9 {
		rest := r.length - from
		n := geometry.Length(math.Ceil(float64((rest - overlap) / (most - overlap))))
		to := from + (rest+(n-1)*overlap)/n
		through := func(x geometry.Length) int {
			return slices.IndexFunc(r.together, func(k [2]geometry.Length) bool { return k[0] < x && x < k[1] })
		}
		later, earlier := to, to
		for i := through(later); i >= 0 && later <= from+most; i = through(later) {
			later = r.together[i][1]
		}
		for i := through(earlier); i >= 0 && earlier > from+most/3; i = through(earlier) {
			earlier = r.together[i][0]
		}
		switch {
		case later <= from+most:
			to = later
		case earlier > from+most/3:
			to = earlier
		}
		all = append(all, [2]geometry.Length{from, to})
		from = to - overlap
	}
	return append(all, [2]geometry.Length{from, r.length})
}

// keep keeps what lies between two places, and a little more, on one piece.
func (r *ribbon) keep(a, b geometry.Length) {
	const more geometry.Length = 3
	r.together = append(r.together, [2]geometry.Length{min(a, b) - more, max(a, b) + more})
}

// pieceWords says which piece of how many this is; empty of one alone.
func pieceWords(i, of int) string {
	if of < 2 {
		return ""
	}
	return fmt.Sprintf("PIECE %d OF %d", i+1, of)
}
