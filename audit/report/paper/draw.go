package paper

import (
	"slices"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// strip is a strip of paper to be laid round a rim, drawn flat: x along it, to
// the right being clockwise as one looks at the marks, with the lower edge
// towards the person who looks. All lengths are those on the paper.
type strip struct {
	title  string   // for the alternative text
	head   []string // sentences above it
	runs   string   // which way it runs, with an arrow
	length geometry.Length
	lanes  int // of labels
	lines  []stripLine
	labels []stripLabel
	ticks  []stripTick

	together [][2]geometry.Length // not to be cut apart
}

// stripLine crosses the whole strip.
type stripLine struct {
	x      geometry.Length
	stroke drawing.Stroke
	tip    bool // a triangle at the lower edge: scribe here
}

// stripLabel stands beside an x, in a lane.
type stripLabel struct {
	x      geometry.Length
	anchor drawing.Anchor
	lane   int
	text   string
}

// stripTick is a graduation at the upper edge, numbered or not.
type stripTick struct {
	x    geometry.Length
	deep geometry.Length
	text string
}

// Heights within a strip, in millimetres from its upper edge.
const (
	tickLabels geometry.Length = 7.4
	firstLane  geometry.Length = 11.4
	laneHeight geometry.Length = 3.2
	edgeNote   geometry.Length = 6 // below the last lane
)

func (r strip) height() geometry.Length {
	return firstLane + laneHeight*geometry.Length(r.lanes) + edgeNote
}

// label puts a text into the first lane from the given one on where it overlaps
// no other.
func (r *strip) label(x geometry.Length, anchor drawing.Anchor, lane int, text string) {
	const gap geometry.Length = 1
	from, to := extent(x, anchor, text)
	if shift := max(gap-from, 0) - max(to-r.length+gap, 0); shift != 0 { // not over an end
		x, from, to = x+shift, from+shift, to+shift
	}
	for ; ; lane++ {
		free := !slices.ContainsFunc(r.labels, func(l stripLabel) bool {
			a, b := extent(l.x, l.anchor, l.text)
			return l.lane == lane && from < b+gap && a < to+gap
		})
		if free {
			break
		}
	}
	r.labels = append(r.labels, stripLabel{x, anchor, lane, text})
	r.lanes = max(r.lanes, lane+1)
	r.keep(from, to)
}

// keep keeps what lies between two places, and a little more, on one piece.
func (r *strip) keep(a, b geometry.Length) {
	const more geometry.Length = 3
	r.together = append(r.together, [2]geometry.Length{min(a, b) - more, max(a, b) + more})
}

func extent(x geometry.Length, anchor drawing.Anchor, text string) (from, to geometry.Length) {
	w := drawing.Width(text, drawing.NoteSize)
	from = x - w*geometry.Length(anchor)/2
	return from, from + w
}

// overlap is how much of a strip two of its pieces share.
const overlap geometry.Length = 10

// pieces returns where the pieces of a strip begin and end when none may be
// longer than most. A piece ends early rather than through what belongs together:
// a line with its label, an old line with the new one.
func (r strip) pieces(most geometry.Length) [][2]geometry.Length {
	var all [][2]geometry.Length
	from := geometry.Length(0)
	for r.length-from > most+1e-9 {
		to := from + most
		for again := true; again; {
			again = false
			for _, k := range r.together {
				if k[0] < to && to < k[1] && k[0] > from+most/2 {
					to, again = k[0], true
				}
			}
		}
		all = append(all, [2]geometry.Length{from, to})
		from = to - overlap
	}
	return append(all, [2]geometry.Length{from, r.length})
}

// draw draws the piece of a strip between two places. At is the upper left
// corner, stretch what the printer's error asks for.
func (r strip) draw(at drawing.Point, from, to geometry.Length, stretch float64) []drawing.Item {
	x := func(l geometry.Length) geometry.Length { return at.X + (l-from)*geometry.Length(stretch) }
	in := func(l geometry.Length) bool { return l >= from-1e-9 && l <= to+1e-9 }
	height := r.height()
	bottom := at.Y + height
	cut := drawing.Stroke{Width: 0.2, Ink: drawing.Black}
	items := []drawing.Item{
		drawing.Line{From: drawing.Point{X: x(from), Y: at.Y}, To: drawing.Point{X: x(to), Y: at.Y}, Stroke: cut},
		drawing.Line{From: drawing.Point{X: x(from), Y: bottom}, To: drawing.Point{X: x(to), Y: bottom}, Stroke: cut},
		drawing.Line{From: drawing.Point{X: x(from), Y: at.Y}, To: drawing.Point{X: x(from), Y: bottom}, Stroke: cut},
		drawing.Line{From: drawing.Point{X: x(to), Y: at.Y}, To: drawing.Point{X: x(to), Y: bottom}, Stroke: cut},
	}
	text := func(l geometry.Length, y geometry.Length, anchor drawing.Anchor, words string, size geometry.Length) {
		w := drawing.Width(words, size)
		start := x(l) - w*geometry.Length(anchor)/2
		start = max(min(start, x(to)-w-0.6), x(from)+0.6) // not over a cut
		items = append(items, drawing.Text{At: drawing.Point{X: start, Y: y}, Size: size, Text: words})
	}
	for _, t := range r.ticks {
		if !in(t.x) {
			continue
		}
		items = append(items, drawing.Line{From: drawing.Point{X: x(t.x), Y: at.Y}, To: drawing.Point{X: x(t.x), Y: at.Y + t.deep}, Stroke: drawing.Stroke{Width: 0.12, Ink: drawing.Black}})
		if t.text != "" {
			if w := drawing.Width(t.text, drawing.NoteSize)/2 + 0.6; t.x-w > from && t.x+w < to && r.clear(t.x-w, t.x+w) {
				text(t.x, at.Y+tickLabels, drawing.Middle, t.text, drawing.NoteSize)
			}
		}
	}
	for _, l := range r.lines {
		if !in(l.x) {
			continue
		}
		items = append(items, drawing.Line{From: drawing.Point{X: x(l.x), Y: at.Y}, To: drawing.Point{X: x(l.x), Y: bottom}, Stroke: l.stroke})
		if l.tip {
			tip := drawing.Point{X: x(l.x), Y: bottom}
			items = append(items, drawing.Polygon{Points: []drawing.Point{tip, tip.Plus(1.1, 2.6), tip.Plus(-1.1, 2.6)}, Fill: drawing.Black})
		}
	}
	for _, l := range r.labels {
		a, b := extent(l.x, l.anchor, l.text)
		if in(l.x) && (from == 0 && to == r.length || in(a) && in(b)) {
			y := at.Y + firstLane + laneHeight*geometry.Length(l.lane)
			items = append(items, drawing.Rectangle(drawing.Point{X: x(a) - 0.3, Y: y - 2.1}, b-a+0.6, 2.8, drawing.White, drawing.Stroke{}))
			text(l.x, at.Y+firstLane+laneHeight*geometry.Length(l.lane), l.anchor, l.text, drawing.NoteSize)
		}
	}
	notes := r.notes(from, to)
	if len(notes) < 2 { // no room among the lines: below the strip
		notes = nil
		items = append(items, drawing.Text{At: drawing.Point{X: x(from), Y: bottom + 5.4}, Size: drawing.NoteSize, Text: "lower edge towards you; " + r.runs})
	}
	for _, n := range notes {
		text(n.x, bottom-1.4, drawing.Start, n.text, drawing.NoteSize)
	}
	if from > 0 {
		glue := from + overlap
		items = append(items, drawing.Line{From: drawing.Point{X: x(glue), Y: at.Y - 3}, To: drawing.Point{X: x(glue), Y: bottom + 3}, Stroke: drawing.Stroke{Width: 0.2, Ink: drawing.Deep, Dashed: true}})
	}
	return items
}

// clear reports whether no line of the strip crosses what lies between two
// places.
func (r strip) clear(from, to geometry.Length) bool {
	return !slices.ContainsFunc(r.lines, func(l stripLine) bool { return from < l.x && l.x < to })
}

// notes are what is said along the lower edge of a piece, where no line crosses
// it: which edge this is and which way it runs, again and again along a long one.
func (r strip) notes(from, to geometry.Length) []stripLabel {
	const step, apart geometry.Length = 1, 90
	var all []stripLabel
	at := from + 1.5
	for i := 0; ; i++ {
		words := []string{"this edge towards you", r.runs}[i%2]
		w := drawing.Width(words, drawing.NoteSize)
		for at+w < to-1.5 && !r.clear(at-0.8, at+w+0.8) {
			at += step
		}
		if at+w >= to-1.5 {
			return all
		}
		all = append(all, stripLabel{x: at, text: words})
		if at += w + 3; i%2 == 1 {
			at += apart
		}
	}
}
