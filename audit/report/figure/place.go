package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// unrolling turns lines of a part into rows of straight rims.
type unrolling struct {
	words.Audit
	earlier  geometry.Rotation // from a line to those that come up before it
	right    geometry.Length   // end of the strips
	least    geometry.Length   // width of a tolerance on the paper, where a place is divided
	high     geometry.Length   // most of a row's height that its signs take
	brief    bool              // for the sheet to sign, on which the numbers stand in tables
	mirrored bool              // right on the paper is anticlockwise, for in the window it is
	ticked   geometry.Length   // between two ticks at least
	unit     geometry.Unit     // of lengths: of the diameter, thou as inches
	row      geometry.Length   // height of one row
}

func newUnrolling(v words.Audit) unrolling {
	s := v.Result.Sheet
	u := unrolling{Audit: v, earlier: advise.Earlier(s), unit: geometry.Millimetre, row: 6.4, high: 6.2, ticked: 1.4, right: stripRight, least: leastBand}
	if s.Part.Unit.Imperial() {
		u.unit = geometry.Inch
	}
	if len(v.Result.Lines) > 16 {
		u.row = 4.8
	}
	right := s.Part.Moves == "right" || s.Part.Moves == "up"
	u.mirrored = s.Part.Moves != "" && right != (s.Engine.Turns == geometry.Clockwise)
	return u
}

// seen turns an angle along an unrolled rim, which grows to the right, into one
// clockwise on the disc, and back.
func (u unrolling) seen(a geometry.Angle) geometry.Angle {
	if u.mirrored {
		return -a
	}
	return a
}

// partRow is one line. Its angles are of the part, growing to the right as one
// sees the marks.
type partRow struct {
	mark                 audit.LineResult
	number               int // on the sheet, from 1
	found, belongs, made geometry.Angle
	low, high            geometry.Angle // tolerance
	from, to             geometry.Angle // of the interval in which the line may stand
	fromDrawn, toDrawn   geometry.Angle // as much of it as is drawn
	name                 []string
	off                  []string // how far off it is
	goes                 []string // which way a new line goes
	moved                bool     // no line of the sheet, but what all of them are read against
	height               geometry.Length
}

// says reports whether a row has room to say in words where a new line goes.
func (u unrolling) says() bool { return u.row > 6 && !u.brief }

// cut reports whether the bar of doubt is longer than it is drawn.
func (r partRow) cut() bool { return r.from < r.fromDrawn || r.to > r.toDrawn }

// reach is what of the rim the row needs.
func (r partRow) reach() (low, high geometry.Angle) {
	return min(r.found, r.fromDrawn, r.belongs, r.made, r.low), max(r.found, r.toDrawn, r.belongs, r.made, r.high)
}

func (u unrolling) newRow(m audit.LineResult, number int) partRow {
	r := partRow{mark: m, number: number, belongs: u.seen(u.onPaper(m.Place))}
	early, late := m.Allowed()
	low, high := u.seen(u.onPaper(-early)), u.seen(u.onPaper(late))
	r.low, r.high = r.belongs+min(low, high), r.belongs+max(low, high)
	r.found = r.belongs
	if m.Offset != nil {
		r.found += u.seen(u.onPaper(m.Offset.Value))
	}
	r.from, r.to, r.fromDrawn, r.toDrawn = r.found, r.found, r.found, r.found
	if early, late, known := m.Interval(); known {
		a, b := r.belongs+u.seen(u.onPaper(early)), r.belongs+u.seen(u.onPaper(late))
		most := 3 * (r.high - r.low)
		r.from, r.to = min(a, b), max(a, b)
		r.fromDrawn, r.toDrawn = max(r.from, r.found-most), min(r.to, r.found+most)
	}
	r.made = r.found
	if m.Scribe.Worthwhile {
		way := u.seen(u.Result.Sheet.Part.Turned(m.Scribe.Angle))
		if m.Scribe.Rotation == geometry.Anticlockwise {
			way = -way
		}
		r.made += way
	}
	wide := nameWidth
	if u.brief {
		wide = stripLeft - 2.5
	}
	r.name = drawing.Wrap(words.Clean(m.Name), textSize, wide, mostLines)
	r.height = max(u.row, geometry.Length(len(r.name))*nameLeading+1.2)
	off := words.OffBy(m)
	if !u.brief {
		off += words.OnlyJust(m)
	}
	if r.off = drawing.Wrap(off, textSize, drawing.PageWidth-u.right-saysIn-besideOff, 2); len(r.off) > 1 && !u.brief {
		r.height = max(r.height, geometry.Length(len(r.off))*drawing.Leading+4) // as below
	}
	if m.Scribe.Worthwhile && u.says() {
		r.goes = drawing.Wrap(u.goes(r), textSize, drawing.PageWidth-u.right-saysIn, 2)
		r.height = max(r.height, geometry.Length(len(r.off)+len(r.goes))*drawing.Leading+6) // clear of what stands over it
	}
	return r
}

// move shifts a row along the rim, such as by a whole turn.
func (r *partRow) move(by geometry.Angle) {
	for _, a := range []*geometry.Angle{&r.found, &r.belongs, &r.made, &r.low, &r.high, &r.from, &r.to, &r.fromDrawn, &r.toDrawn} {
		*a += by
	}
}

// place is a stretch of the rim with its lines, from left to right, and how it is
// unrolled.
type place struct {
	letter string
	part   int    // of a place that is divided, from 1; 0 whole
	parts  int    // of how many
	title  string // of a place without a letter
	second string // and what stands below it
	rows   []partRow
	others []partRow // lines of the same stretch that have no row, only a stub at the rim
	drawn  rimScale
	middle geometry.Angle  // of the rim that is drawn
	centre geometry.Length // on the paper, where that middle is
}

func (p place) name() string {
	if p.part == 0 {
		return p.letter
	}
	return fmt.Sprint(p.letter, p.part)
}

// rimScale is how a rim is drawn.
type rimScale struct {
	text      string
	perDegree geometry.Length // of the part, on the paper
	tick      geometry.Angle  // from tick to tick, every fifth or tenth longer
	long      int
	each      string // what a tick is
}

// head is the room above the rows; names of lines without one stand over the rim.
func (p place) head() geometry.Length {
	if len(p.others) > 0 {
		return placeHead + 1.4
	}
	return placeHead
}

// x is the place on the paper of an angle of the part.
func (p place) x(a geometry.Angle) geometry.Length {
	return p.centre + p.drawn.perDegree*geometry.Length((a-p.middle).Degrees())
}

const (
	apart       geometry.Angle  = 30 // neighbours nearer than this share a place
	stripLeft   geometry.Length = 24
	stripRight  geometry.Length = 122
	stripFree   geometry.Length = 3  // at either end of a strip, for the ends of what stands on it
	leastBand   geometry.Length = 6  // width of a tolerance on the paper
	mostRows                    = 26 // of a figure
	nameWidth   geometry.Length = 15.8
	nameLeading geometry.Length = 3.5
	placeHead   geometry.Length = 11
	placeFoot   geometry.Length = 2.4
)

// places finds the places of the lines, that at the top first, then to the right.
func (u unrolling) places() (all []place) {
	for i, rows := range u.groups() {
		all = append(all, u.divide(letterOf(i), rows)...)
	}
	return all
}

// groups are the lines of each place, in that order.
func (u unrolling) groups() [][]partRow {
	var rows []partRow
	for i, m := range u.Result.ByLine() {
		r := u.newRow(m, i+1)
		r.move(r.found.Turn() - r.found)
		rows = append(rows, r)
	}
	slices.SortStableFunc(rows, func(a, b partRow) int { return cmp.Compare(a.found, b.found) })
	// Begin after the widest gap, so that no place is torn at the top.
	widest, start := geometry.Angle(-1), 0
	for i := range rows {
		before := rows[(i+len(rows)-1)%len(rows)].found
		gap := rows[i].found - before
		if i == 0 {
			gap += 360
		}
		if gap > widest {
			widest, start = gap, i
		}
	}
	for i := range start {
		rows[i].move(360)
	}
	rows = append(rows[start:], rows[:start]...)
	var groups [][]partRow
	for i, r := range rows {
		if i == 0 || r.found-rows[i-1].found >= apart {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], r)
	}
	first, nearest := 0, geometry.Angle(math.Inf(1))
	for i, g := range groups {
		for _, r := range g {
			if off := r.found.Wrap().Abs(); off < nearest {
				first, nearest = i, off
			}
		}
	}
	return append(groups[first:], groups[:first]...)
}

// letterOf is the name of a place; there are at most twelve, for they are 30 degrees
// apart.
func letterOf(i int) string { return string(rune('A' + i)) }

// divide parts a place evenly until its narrowest tolerance is wide enough to read
// and its rows fit a figure, or one line is left.
func (u unrolling) divide(letter string, rows []partRow) []place {
	for n := 1; ; n++ {
		var parts []place
		ok := true
		for i := range n {
			p := place{letter: letter, part: i + 1, parts: n, rows: rows[i*len(rows)/n : (i+1)*len(rows)/n]}
			if n == 1 {
				p.part, p.parts = 0, 0
			}
			u.fit(&p)
			fits := u.height(p) <= drawing.Tallest-discFoot && len(p.rows) <= mostRows
			ok = ok && (len(p.rows) == 1 || p.narrowest() >= u.least && fits)
			parts = append(parts, p)
		}
		if ok {
			return parts
		}
	}
}

// fit chooses the largest scale at which the place fits the paper.
func (u unrolling) fit(p *place) { u.fitOver(p, p.rows) }

// narrowest is the width on the paper of the narrowest tolerance.
func (p place) narrowest() geometry.Length {
	a := geometry.Angle(math.Inf(1))
	for _, r := range p.rows {
		a = min(a, r.high-r.low)
	}
	return geometry.Length(a.Degrees()) * p.drawn.perDegree
}

// shortest is how long on the paper the shortest way is that a new line goes; without
// an order it is long enough.
func (p place) shortest() geometry.Length {
	way := geometry.Angle(math.Inf(1))
	for _, r := range p.rows {
		if r.mark.Scribe.Worthwhile {
			way = min(way, (r.made - r.found).Abs())
		}
	}
	return geometry.Length(way.Degrees()) * p.drawn.perDegree
}

// fitOver is fit for a stretch of the rim that holds rows.
func (u unrolling) fitOver(p *place, rows []partRow) {
	low, high := geometry.Angle(math.Inf(1)), geometry.Angle(math.Inf(-1))
	for _, r := range rows {
		l, h := r.reach()
		low, high = min(low, l), max(high, h)
	}
	p.middle, p.centre = (low+high)/2, (stripLeft+u.right)/2
	wide := u.right - stripLeft - 2*stripFree
	part := u.Result.Sheet.Part
	rim := geometry.Rim{Diameter: part.Diameter}
	for _, of := range rimScales {
		up, down := of[0], of[1]
		if part.Diameter > 0 {
			p.drawn = rimScale{text: fmt.Sprintf("%d : %d", up, down), perDegree: rim.Arc(1) * geometry.Length(up) / geometry.Length(down)}
		} else { // degrees of the crank
			perCrank := 0.6 * geometry.Length(up) / geometry.Length(down)
			p.drawn = rimScale{text: "1° = " + rounding.Plain(perCrank.Millimetres()) + " mm", perDegree: perCrank / geometry.Length(part.Turned(1).Degrees())}
		}
		if geometry.Length((high-low).Degrees())*p.drawn.perDegree <= wide {
			break
		}
	}
	u.ticks(&p.drawn)
}

// rimScales are paper to rim, from the largest. The last holds the whole of the
// largest part that a sheet can state.
var rimScales = [...][2]int{
	{100, 1},
	{50, 1},
	{20, 1},
	{10, 1},
	{5, 1},
	{4, 1},
	{3, 1},
	{2, 1},
	{1, 1},
	{1, 2},
	{1, 5},
	{1, 10},
	{1, 20},
	{1, 50},
	{1, 100},
	{1, 200},
	{1, 500},
	{1, 1000},
	{1, 10000},
	{1, 100000},
}

// ticks chooses what a tick along the rim is, as fine as can be counted.
func (u unrolling) ticks(d *rimScale) {
	part := u.Result.Sheet.Part
	type step struct {
		of   float64
		long int
	}
	units, unit, toPart := []step{{0.1, 10}, {1, 5}, {5, 2}, {10, 5}, {50, 2}, {100, 5}, {1e3, 10}, {1e4, 10}, {1e5, 10}}, "mm", func(x float64) geometry.Angle {
		return geometry.Rim{Diameter: part.Diameter}.AngleFromArc(geometry.Length(x))
	}
	switch {
	case part.Diameter == 0:
		unit, toPart = "°", func(x float64) geometry.Angle { return part.Turned(geometry.Angle(x)) }
	case u.unit == geometry.Inch:
		units = []step{{0.01, 10}, {0.05, 2}, {0.1, 5}, {0.5, 2}, {1, 5}, {5, 2}, {10, 5}, {100, 10}, {1e3, 10}, {1e4, 10}}
		unit, toPart = "in", func(x float64) geometry.Angle {
			return geometry.Rim{Diameter: part.Diameter}.AngleFromArc(geometry.Length(x * 25.4))
		}
	}
	for _, s := range units {
		d.tick, d.long = toPart(s.of), s.long
		if geometry.Length(d.tick.Degrees())*d.perDegree < u.ticked {
			continue
		}
		d.each = "1 tick = " + rounding.Plain(s.of) + " " + unit
		if unit == "°" {
			d.each = "1 tick = " + rounding.Plain(s.of) + "°"
			if !u.brief {
				d.each += " of the crank"
			}
		}
		return
	}
}

// spread makes the rows of a few lines as high as the room beside the disc allows, so that
// what is drawn of a line does not stand on itself.
func (u *unrolling) spread(asked func(partRow) bool, whole bool, room geometry.Length) {
	n, places := 0, 0
	var heads geometry.Length
	for _, rows := range u.groups() {
		here, p := 0, place{}
		for _, r := range rows {
			if whole || asked(r) {
				here++
			}
		}
		if here < len(rows) {
			p.others = rows
		}
		switch h := heads + u.height(p); {
		case here == 0:
		case n > 0 && (places == mostWhere || h+geometry.Length(n+here)*u.row > room): // it is left out
		default:
			n, places, heads = n+here, places+1, h
		}
	}
	if n == 0 || n > fewRows {
		return
	}
	room = min(room, overDisc+2*mostDisc+0.5) - heads - 0.01 // or rounding may leave no room
	u.row = min(max(u.row, room/geometry.Length(n)), mostRow)
	u.high = u.row
}

// height is that of a place with its head.
func (u unrolling) height(p place) geometry.Length {
	h := p.head() + placeFoot
	for _, r := range p.rows {
		h += r.height
	}
	if u.window() {
		h += 1.2
	}
	return h
}

// window reports whether the marks are seen through one.
func (u unrolling) window() bool { return u.Result.Sheet.Part.Moves != "" }

// groupsOf puts the parts of each place together.
func groupsOf(all []place) [][]place {
	var out [][]place
	for i, p := range all {
		if i == 0 || all[i-1].letter != p.letter {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], p)
	}
	return out
}
