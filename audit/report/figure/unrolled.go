package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// draw draws a place from a height downwards: its name, scale and running
// direction, the rim with its ticks, and a row for each line.
func (u unrolling) draw(s *drawing.Scene, p place, top geometry.Length) {
	rimY := top + p.head() - 1.6
	u.placeHeading(s, p, top)
	s.Add(
		drawing.Line{From: drawing.Point{X: 0, Y: top}, To: drawing.Point{X: u.end(), Y: top}, Stroke: drawing.Hair},
		drawing.Line{From: drawing.Point{X: stripLeft, Y: rimY}, To: drawing.Point{X: u.right, Y: rimY}, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}},
		drawing.Text{At: drawing.Point{X: u.right + 2.5, Y: rimY + 1.4}, Size: textSize, Text: p.drawn.each},
	)
	if u.Result.Sheet.Part.Diameter > 0 && !u.brief {
		s.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: rimY + 1.4}, Size: textSize, Anchor: drawing.End, Text: "on the rim"})
	}
	u.arrowOver(s, top+3.2)
	u.tickMarks(s, p, rimY)
	y := rimY + 1.6
	if u.window() {
		above := geometry.Length(6.4)
		if len(p.others) > 0 { // their names stand in it
			above = 5
		}
		s.Add(drawing.Rectangle(drawing.Point{X: stripLeft - 1.2, Y: top + above}, u.right-stripLeft+2.4, u.height(p)-above-1.2, drawing.None, drawing.Stroke{Width: 0.5, Ink: drawing.Grey}))
	}
	u.stubs(s, p, rimY)
	if x, on := u.pointerOn(p); on {
		if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
			s.Add(turningLine(drawing.Point{X: x, Y: rimY})...)
		} else {
			s.Add(pointerTip(drawing.Point{X: x, Y: rimY})...)
		}
	}
	// Leaders first, so that what is measured stands on them.
	for mid, rows := y, p.rows; len(rows) > 0; rows = rows[1:] {
		mid += rows[0].height
		if r := rows[0]; r.mark.Offset != nil {
			s.Add(drawing.Line{From: drawing.Point{X: p.x(r.found), Y: rimY}, To: drawing.Point{X: p.x(r.found), Y: mid - r.height/2}, Stroke: drawing.Hair})
		}
	}
	for _, r := range p.rows {
		u.drawRow(s, p, r, y+r.height/2)
		y += r.height
	}
}

// placeHeading names a place, by the letter in a box that it has on the disc, and says at
// which scale it is drawn.
func (u unrolling) placeHeading(s *drawing.Scene, p place, top geometry.Length) {
	const in geometry.Length = 1.3
	bold := func(x, y geometry.Length, text string) {
		s.Add(drawing.Text{At: drawing.Point{X: x, Y: y}, Size: textSize, Bold: true, Text: text})
	}
	scale := drawing.Point{X: u.right + 2.5, Y: top + 4.8}
	if p.title != "" {
		bold(0, top+4.6, p.title)
		bold(0, top+8.6, p.second)
		bold(scale.X, scale.Y, p.drawn.text)
		return
	}
	name := drawing.Text{At: drawing.Point{X: in, Y: top + 4.9}, Size: placeName, Bold: true, Text: p.name()}
	if u.brief {
		name.Text = p.letter
	}
	end := name.At.X + name.Extent() + in
	s.Add(drawing.Rectangle(drawing.Point{Y: top + 0.9}, end, 5, drawing.White, drawing.Thin), name)
	if !u.brief {
		bold(end+1.5, top+4.8, p.drawn.text)
		return
	}
	bold(scale.X, scale.Y, p.drawn.text)
	text := "this piece"
	if p.parts > 1 {
		text = fmt.Sprintf("%d of %d", p.part, p.parts)
	}
	bold(end+1.5, top+4.6, text)
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		bold(0, top+9.4, "the scale")
	}
}

// pointerOn is where on a strip the pointer stands, or the line that turns, the crank at
// TDC; false where it lies beyond, or is what a row shows.
func (u unrolling) pointerOn(p place) (geometry.Length, bool) {
	x := p.x(360 * geometry.Angle(math.Round(float64(p.middle)/360)))
	return x, u.brief && !p.rows[0].moved && x > stripLeft && x < u.right
}

// pointerTip is the pointer, its tip at a point of the rim.
func pointerTip(tip drawing.Point) []drawing.Item {
	return []drawing.Item{drawing.Polygon{Points: []drawing.Point{tip, tip.Plus(0.9, -2.4), tip.Plus(-0.9, -2.4)}, Fill: drawing.Deep}}
}

// turningLine is the line that turns, below a fixed scale.
func turningLine(rim drawing.Point) []drawing.Item {
	return []drawing.Item{drawing.Line{From: rim, To: rim.Plus(0, 2.4), Stroke: drawing.Thick}}
}

// onStrip reports whether a line that has no row stands on the strip of the place.
func (u unrolling) onStrip(p place, r partRow) bool {
	x := p.x(r.found)
	return x > stripLeft && x < u.right && r.mark.Offset != nil
}

// stubs draws the lines of a place that have no row, short and thin below the rim, with
// their names over it as far as those leave each other room: first those towards which a
// new line goes, then what lies beyond either end, then the neighbours of what has a row.
func (u unrolling) stubs(s *drawing.Scene, p place, rimY geometry.Length) {
	var names []drawing.Text
	var here []partRow
	for _, r := range p.others {
		if u.onStrip(p, r) {
			x := p.x(r.found)
			s.Add(stub(drawing.Point{X: x, Y: rimY}, stubDown)...)
			here = append(here, r)
		}
	}
	name := func(wanted func(r partRow) bool) {
		for _, r := range here {
			x := p.x(r.found)
			text := drawing.Text{At: drawing.Point{X: x, Y: rimY - nameUp}, Size: textSize, Anchor: drawing.Middle, Text: r.name[0]}
			half := text.Extent() / 2
			if len(r.name) == 1 && x-half > 0 && x+half < u.right+1.5 && wanted(r) && !touch(names, []drawing.Text{text}) {
				names = append(names, text)
				s.Add(text)
			}
		}
	}
	name(func(r partRow) bool {
		return slices.ContainsFunc(p.rows, func(m partRow) bool { return m.mark.Scribe.Towards == r.mark.Name })
	})
	names = u.beyond(s, p, rimY, names)
	name(func(r partRow) bool {
		return slices.ContainsFunc(p.rows, func(m partRow) bool { return neighbours(m, r, here) })
	})
	name(func(partRow) bool { return true })
}

// neighbours reports whether no line without a row lies between two.
func neighbours(row, r partRow, others []partRow) bool {
	low, high := min(row.found, r.found), max(row.found, r.found)
	return !slices.ContainsFunc(others, func(o partRow) bool { return o.found > low && o.found < high })
}

// beyond names at either end of a strip the nearest line of the place that lies further
// on than the strip goes.
func (u unrolling) beyond(s *drawing.Scene, p place, rimY geometry.Length, names []drawing.Text) []drawing.Text {
	var left, right *partRow
	for i, r := range p.others {
		switch x := p.x(r.found); {
		case r.mark.Offset == nil || len(r.name) > 1 || u.onStrip(p, r):
		case x <= stripLeft && (left == nil || r.found > left.found):
			left = &p.others[i]
		case x >= u.right && (right == nil || r.found < right.found):
			right = &p.others[i]
		}
	}
	put := func(text string, middle func(wide geometry.Length) geometry.Length) {
		name := drawing.Text{At: drawing.Point{Y: rimY - nameUp}, Size: textSize, Anchor: drawing.Middle, Text: text}
		name.At.X = middle(name.Extent())
		if !touch(names, []drawing.Text{name}) {
			names = append(names, name)
			s.Add(name)
		}
	}
	if left != nil {
		put("◄ "+left.name[0], func(wide geometry.Length) geometry.Length { return stripLeft + wide/2 })
	}
	if right != nil {
		put(right.name[0]+" ►", func(wide geometry.Length) geometry.Length { return u.right - wide/2 })
	}
	return names
}

// How far down from the rim a stub goes, and how high over it, clear of ticks and
// pointer, its name stands.
const (
	stubDown geometry.Length = 2.2
	nameUp   geometry.Length = 2.9
)

// stub is a line that has no row, down from a point: it ends in a dot, as no tick does.
func stub(from drawing.Point, down geometry.Length) []drawing.Item {
	const dot geometry.Length = 0.5
	return []drawing.Item{
		drawing.Line{From: from, To: from.Plus(0, down), Stroke: stubStroke},
		drawing.Circle{Centre: from.Plus(0, down), Radius: dot, Fill: drawing.Black},
	}
}

var stubStroke = drawing.Stroke{Width: 0.35, Ink: drawing.Black}

// leastBar is how long a bar of doubt is for its ends to stand clear of the line.
const leastBar geometry.Length = 2

// arrowOver says at a height which way the rim runs.
func (u unrolling) arrowOver(s *drawing.Scene, y geometry.Length) {
	moves := u.Result.Sheet.Part.Moves
	text := strings.ToLower(u.runs()) + " this way"
	if moves != "" {
		text = strings.ToLower(u.runs()) + " " + strings.ToUpper(moves)
	}
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine { // or it reads as an order
		text = "running, " + text
	}
	right := moves == "right" || moves == "up" || moves == "" && u.Result.Sheet.Engine.Turns == geometry.Clockwise
	const long geometry.Length = 22
	from, to, anchor := u.right, u.right-long, drawing.End
	side, turn := geometry.Length(-1), geometry.Angle(-90)
	if right {
		from, to, anchor, side, turn = stripLeft, stripLeft+long, drawing.Start, 1, 90
	}
	s.Add(
		drawing.Line{From: drawing.Point{X: from, Y: y}, To: drawing.Point{X: to - side*2.6, Y: y}, Stroke: drawing.Thick},
		head(drawing.Point{X: to, Y: y}, turn, 3),
		drawing.Text{At: drawing.Point{X: to + side*2, Y: y + 0.9}, Size: textSize, Bold: true, Anchor: anchor, Text: text},
	)
}

// tickMarks draws the ticks of an unrolled rim, counted from the pointer.
func (u unrolling) tickMarks(s *drawing.Scene, p place, rimY geometry.Length) {
	half := geometry.Angle(float64((u.right-stripLeft)/2-stripFree) / float64(p.drawn.perDegree))
	for i := math.Ceil(float64((p.middle - half) / p.drawn.tick)); i <= math.Floor(float64((p.middle+half)/p.drawn.tick)); i++ {
		x, long := p.x(geometry.Angle(i)*p.drawn.tick), geometry.Length(0.9)
		if math.Mod(i, float64(p.drawn.long)) == 0 {
			long = 1.8
		}
		s.Add(drawing.Line{From: drawing.Point{X: x, Y: rimY - long}, To: drawing.Point{X: x, Y: rimY}, Stroke: drawing.Stroke{Width: 0.18, Ink: drawing.Black}})
	}
}

// end is how far a row goes.
func (u unrolling) end() geometry.Length {
	if u.brief {
		return u.right + 28
	}
	return drawing.PageWidth
}

const (
	saysIn    geometry.Length = 8  // from the end of a strip to what is said of a line
	besideOff geometry.Length = 14 // of that, the length on the rim
)

const placeName geometry.Length = 4.2 // size of a place's name

const numberRadius geometry.Length = 2.3

// numberSign is which line of the sheet it is, in a circle; in a box where three digits
// find no room in one.
func numberSign(at drawing.Point, number int) []drawing.Item {
	text := drawing.Text{At: at.Plus(0, 0.36*textSize), Size: textSize, Anchor: drawing.Middle, Text: fmt.Sprint(number)}
	if number > 99 {
		const r = numberRadius
		return []drawing.Item{drawing.Rectangle(at.Plus(-r-1, -r), 2*r+2, 2*r, drawing.White, drawing.Thin), text}
	}
	return []drawing.Item{drawing.Circle{Centre: at, Radius: numberRadius, Fill: drawing.White, Stroke: drawing.Thin}, text}
}

// drawRow draws one line around a height.
func (u unrolling) drawRow(s *drawing.Scene, p place, r partRow, mid geometry.Length) {
	half := min(u.row, u.high)/2 - 1.1
	at := func(a geometry.Angle) drawing.Point { return drawing.Point{X: p.x(a), Y: mid} }
	for i, line := range r.name {
		y := mid + 1 + (geometry.Length(i)-geometry.Length(len(r.name)-1)/2)*nameLeading
		s.Add(drawing.Text{At: drawing.Point{X: 0, Y: y}, Size: textSize, Text: line})
	}
	if !u.brief {
		s.Add(numberSign(drawing.Point{X: stripLeft - numberRadius - 1.6, Y: mid}, r.number)...)
	}
	if !r.moved {
		s.Add(drawing.Rectangle(drawing.Point{X: p.x(r.low), Y: mid - half}, p.x(r.high)-p.x(r.low), 2*half, drawing.Pale, drawing.Stroke{}))
	}
	s.Add(belongsSign(at(r.belongs), half)...)
	x := u.right + saysIn - 3
	if !r.moved {
		s.Add(sign(drawing.Point{X: x, Y: mid}, r.mark)...)
	}
	says := drawing.Text{At: drawing.Point{X: x + 3, Y: mid + 1}, Size: textSize}
	if r.mark.Offset == nil {
		if u.brief {
			says.Text = "not read"
			s.Add(says)
			return
		}
		says.Text = drawing.Wrap("not read, belongs at "+r.mark.AtText, textSize, u.end()-says.At.X, 1)[0]
		s.Add(says)
		return
	}
	if r.toDrawn > r.fromDrawn {
		low, high := at(r.fromDrawn), at(r.toDrawn)
		s.Add(bar(low, high))
		for _, end := range []struct {
			at   drawing.Point
			cut  bool
			turn geometry.Angle
		}{{low, r.from < r.fromDrawn, -90}, {high, r.to > r.toDrawn, 90}} {
			switch {
			case end.cut:
				s.Add(arrowhead(end.at, end.turn))
			case high.X-low.X > leastBar: // ends nearer than that would hide in the line
				s.Add(barEnd(end.at))
			}
		}
	}
	s.Add(drawing.Line{From: at(r.found).Plus(0, -half), To: at(r.found).Plus(0, half), Stroke: drawing.Thick})
	way, order := u.way(r), r.mark.Scribe.Worthwhile
	if order {
		up := at(r.found).Plus(0, 0.6-half)
		s.Add(wayArrow(up, drawing.Point{X: p.x(r.made), Y: up.Y})...)
	}
	if u.brief {
		if way == "" {
			way = rounding.OffBy(r.mark.Offset.Value, words.MarkPlaces(r.mark))
		}
		if side := u.InWindow(r.mark.Scribe.Along); r.moved && side != "" {
			s.Add(drawing.Text{At: says.At.Plus(0, drawing.Leading), Size: textSize, Bold: true, Text: strings.ToUpper(side)})
		}
		says.Text, says.Bold = drawing.Wrap(way, textSize, (u.end()-says.At.X)*0.93, 1)[0], order
		s.Add(says)
		return
	}
	texts := r.off
	if order && u.says() {
		texts = append(slices.Clone(texts), r.goes...)
	}
	says.At.Y -= geometry.Length(len(texts)-1) * drawing.Leading / 2
	for i, line := range texts {
		s.Add(drawing.Text{At: says.At.Plus(0, geometry.Length(i)*drawing.Leading), Size: textSize, Text: line})
	}
	if way != "" {
		s.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: says.At.Y}, Size: textSize, Anchor: drawing.End, Bold: order, Text: way})
	}
}

// way is how far it is from the old line to where it belongs, along the rim, or to
// the new line with the way it goes.
func (u unrolling) way(r partRow) string {
	if u.Result.Sheet.Part.Diameter == 0 {
		return ""
	}
	of := r.mark.OnRim.Arc
	if r.mark.Scribe.Worthwhile {
		of = r.mark.Scribe.Arc
	}
	text := rimLength(of, u.unit)
	switch {
	case !r.mark.Scribe.Worthwhile:
		return text
	case r.made < r.found:
		return "◄ " + text
	}
	return text + " ►"
}

// goes says which way the new line goes: first the way as one sees it, for a long name of
// the line towards which it goes may have to be cut.
func (u unrolling) goes(r partRow) string {
	return strings.ToUpper(r.mark.Scribe.Rotation.String()) + " " + u.Goes(r.mark.Scribe)
}

// told is a row in words.
func (u unrolling) told(r partRow) string {
	if r.moved {
		return r.mark.Name + ": off by " + words.Offset(r.mark.Offset) + ", goes " + strings.TrimSpace(strings.Trim(u.way(r), "◄►")+" "+u.goes(r))
	}
	if r.mark.Offset == nil {
		return words.Clean(r.mark.Name) + ": not read, belongs at " + r.mark.AtText
	}
	text := words.Clean(r.mark.Name) + ": " + words.OffBy(r.mark) + ", " + u.Judged(r.mark)
	if way := strings.Trim(u.way(r), "◄► "); way != "" {
		text += ", " + way + " on the rim"
	}
	if r.mark.Scribe.Worthwhile {
		text += ", new line: " + u.goes(r)
	}
	return text
}

// belongsSign is a thin line with a triangle at its foot, around a point.
func belongsSign(at drawing.Point, half geometry.Length) []drawing.Item {
	foot := at.Plus(0, half-0.4)
	return []drawing.Item{
		drawing.Line{From: at.Plus(0, -half), To: foot, Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.Deep}},
		drawing.Polygon{Points: []drawing.Point{foot, foot.Plus(0.9, 1.4), foot.Plus(-0.9, 1.4)}, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Deep}},
	}
}

// bar is how far the true place may lie to either side.
func bar(low, high drawing.Point) drawing.Item {
	return drawing.Line{From: low, To: high, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}}
}

func barEnd(at drawing.Point) drawing.Item {
	return drawing.Line{From: at.Plus(0, -0.8), To: at.Plus(0, 0.8), Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}}
}

// wayArrow goes from the old line to the new one; its head is no longer than the
// way.
func wayArrow(from, to drawing.Point) []drawing.Item {
	way, turn := geometry.Length(1), geometry.Angle(90)
	if to.X < from.X {
		way, turn = -1, -90
	}
	size := min(2.4, way*(to.X-from.X))
	return []drawing.Item{
		drawing.Line{From: from, To: to.Plus(-way*size*0.9, 0), Stroke: drawing.Stroke{Width: 0.5, Ink: drawing.Black}},
		head(to, turn, size),
	}
}
