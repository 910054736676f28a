package figure

import (
	"cmp"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// mostWhere is how many places go on the sheet to sign.
const mostWhere = 2

// What the picture on the sheet to sign takes, in millimetres.
const (
	whereRight  geometry.Length = 96  // end of its strips; behind them the way, then the disc
	whereLegend geometry.Length = 4.6 // a line that says what is what
	leastWay    geometry.Length = 8   // of a new line on the paper, where no neighbour is worth less
	fewRows                     = 3   // share what height there is
	mostRow     geometry.Length = 12
	manyLines                   = 8 // beside which ticks are few, or nobody tells them apart
	leastDisc   geometry.Length = 8 // radius
	mostDisc    geometry.Length = 15
)

// Where shows on the sheet to sign where to look: beside a disc those lines that are
// outside or undecided, place by place, and of the others of a place no more than a
// stub at the rim. Where every line is within, all are shown. It is none higher than
// most, and nil where not even the disc fits.
func Where(r audit.Result, most geometry.Length) []drawing.Scene {
	if len(r.Lines) == 0 {
		return nil
	}
	u := newUnrolling(words.NewAudit(r, nil))
	u.brief, u.right, u.least = true, whereRight, 4
	scenes, left := unrolled(u, most)
	if left > 0 { // smaller, and with lower rows, where that shows more
		small := u
		small.least, small.row = 2.5, 4.8
		if s, l := unrolled(small, most); len(s) > 0 && l < left {
			return s
		}
	}
	return scenes
}

// unrolled is [Where] for lines so prepared, and how many places it leaves out.
func unrolled(u unrolling, most geometry.Length) (scenes []drawing.Scene, left int) {
	r := u.Result
	if len(r.Lines) > manyLines {
		u.ticked = 4
	}
	if r.Advice.Together.Worthwhile { // nothing but what is moved
		return whereMoved(u, most), 0
	}
	asked := func(r partRow) bool { return r.mark.Verdict != diagnosis.Within || r.mark.Offset == nil }
	whole := !slices.ContainsFunc(r.ByLine(), func(m audit.LineResult) bool { return asked(partRow{mark: m}) })
	u.spread(asked, whole, most-whereLegend)
	var onDisc [][]place // undivided
	var here []place
	height := geometry.Length(0)
	for i, rows := range u.groups() {
		p := place{letter: letterOf(i), rows: rows}
		var shown, others []partRow
		for _, r := range rows {
			if whole || asked(r) {
				shown = append(shown, r)
			} else {
				others = append(others, r)
			}
		}
		if len(shown) > 0 {
			parts := u.divide(p.letter, shown)
			if wide := parts[0]; len(parts) == 1 { // with the neighbours, where that is not too small
				u.fitOver(&wide, rows)
				if wide.narrowest() >= u.least && (wide.shortest() >= leastWay || parts[0].shortest() < leastWay) {
					parts[0] = wide
				}
			}
			for _, part := range parts {
				part.others = others
				if h := u.height(part); len(here) < mostWhere && height+h <= most-whereLegend {
					here, height = append(here, part), height+h
					p.drawn = part.drawn
				} else {
					left++
				}
			}
		}
		onDisc = append(onDisc, []place{p})
	}
	return beside(u, here, onDisc, height, most, whereTitle(u, left > 0)), left
}

// beside draws places, and the disc on their right.
func beside(u unrolling, here []place, onDisc [][]place, height, most geometry.Length, title string) []drawing.Scene {
	d := disc{radius: min((max(height, most-whereLegend)-overDisc-0.5)/2, mostDisc)}
	if d.radius < leastDisc && len(here) == 0 {
		return nil
	}
	s := drawing.Scene{Title: title, Width: drawing.PageWidth}
	if d.radius >= leastDisc {
		d.centre = drawing.Point{X: drawing.PageWidth - d.radius - 0.5, Y: overDisc + d.radius}
		if u.Result.Sheet.Engine.Turns == geometry.Clockwise { // its right side is where that is written
			var wide geometry.Length
			for _, text := range u.runsHow() {
				wide = max(wide, drawing.Text{Size: textSize, Bold: true, Text: text}.Extent())
			}
			d.centre.X -= wide + 2.5
		}
		if u.Result.Sheet.Part.MarksOn == sheet.OnEngine { // what is written over a small disc is wider
			d.centre.X = min(d.centre.X, drawing.PageWidth-drawing.Text{Size: textSize, Text: turnsInside}.Extent()/2-0.3)
		}
	}
	y := geometry.Length(0)
	var told []string
	for _, p := range here {
		u.draw(&s, p, y)
		y += u.height(p)
		for _, r := range p.rows {
			told = append(told, p.name()+", "+u.told(r))
		}
	}
	if d.radius >= leastDisc {
		foot := d.centre.Y + d.radius + 0.5
		var without drawing.Scene
		named, _ := u.disc(&without, d, onDisc, true)
		lists := thatFit(lineLists(u, onDisc, here, named), foot-y)
		var letters []string
		for _, l := range lists {
			letters = append(letters, l.letter)
		}
		_, lettered := u.disc(&s, d, onDisc, true, letters...)
		for _, l := range lists {
			if !l.unrolled && !slices.Contains(lettered, l.letter) {
				continue
			}
			for _, line := range l.lines {
				s.Add(drawing.Text{At: drawing.Point{Y: y + 3}, Size: textSize, Text: line})
				y += drawing.Leading
			}
		}
		y = max(y, foot)
	}
	if len(here) > 0 {
		y += whereLegend
		whereKey(&s, u, here, y-2.25)
	}
	s.Height, s.Description = y, strings.Join(append(told, u.runs()+" "+u.Result.Sheet.Engine.Turns.String()), "; ")+"."
	return []drawing.Scene{s}
}

// lineList says which lines a place has on the disc, where their names find no room there.
type lineList struct {
	letter   string
	unrolled bool // the place has its letter in any case
	lines    []string
}

// lineLists are those of all places, as one finds the lines on the disc.
func lineLists(u unrolling, onDisc [][]place, here []place, named []string) (out []lineList) {
	const most = 6 // nobody counts more on so small a disc
	for _, parts := range onDisc {
		p := parts[0]
		i := slices.IndexFunc(here, func(h place) bool { return h.title == "" && h.letter == p.letter })
		if len(p.rows) < 2 || len(p.rows) > most || slices.Contains(named, p.letter) || i >= 0 && (here[i].parts > 1 || len(here[i].others) == 0) {
			continue // a strip that has them all has their names
		}
		all, way := slices.Clone(p.rows), "clockwise"
		if i >= 0 {
			way = "from the left"
		}
		slices.SortStableFunc(all, func(a, b partRow) int {
			if i >= 0 {
				return cmp.Compare(a.found, b.found)
			}
			return cmp.Compare(u.seen(a.found), u.seen(b.found))
		})
		var names []string
		for _, r := range all {
			names = append(names, words.Quoted(r.mark.Name))
		}
		out = append(out, lineList{p.letter, i >= 0, drawing.Wrap("In "+p.letter+", "+way+": "+strings.Join(names, ", "), textSize, u.end(), 2)})
	}
	return out
}

// thatFit are as many lists as there is room for.
func thatFit(lists []lineList, room geometry.Length) (some []lineList) {
	for _, l := range lists {
		if room -= geometry.Length(len(l.lines)) * drawing.Leading; room < 0 {
			return some
		}
		some = append(some, l)
	}
	return some
}

// whereTitle says from where one looks.
func whereTitle(u unrolling, more bool) string {
	title := "As you look at the marks"
	if from := u.Result.Sheet.Part.SeenFrom; from != "" {
		title += " (" + words.Clean(from) + ")"
	}
	title += ", the crank at TDC"
	if e := u.Result.Sheet.Engine; len(e.Cylinders) > 1 {
		title += " of cylinder " + words.Clean(e.Cylinder(""))
	}
	title += ". " + u.toTheRight()
	switch together := u.Result.Advice.Together; {
	case !together.Worthwhile:
	case together.Move == advise.MovePointer:
		title += " No line is scribed. The arrow is case a), the pointer."
	default:
		title += " This is the scale: scribe no line on it. The arrow is case b), the turning line."
	}
	if more {
		title += " More lines: annex."
	}
	return title
}

// whereKey draws beside each other what the signs of a strip are, those that are there,
// around a height.
func whereKey(s *drawing.Scene, u unrolling, here []place, mid geometry.Length) {
	var order, others, bars, tight, found, moved, pointer bool
	for _, p := range here {
		others = others || slices.ContainsFunc(p.others, func(r partRow) bool { return u.onStrip(p, r) })
		_, on := u.pointerOn(p)
		pointer = pointer || on
		for _, r := range p.rows {
			order = order || r.mark.Scribe.Worthwhile
			moved, found = moved || r.moved, found || !r.moved
			if r.toDrawn > r.fromDrawn {
				seen := p.x(r.toDrawn)-p.x(r.fromDrawn) > leastBar
				bars, tight = bars || seen, tight || !seen
			}
		}
	}
	scale := u.Result.Sheet.Part.MarksOn == sheet.OnEngine
	x := geometry.Length(0)
	at := func(dx, dy geometry.Length) drawing.Point { return drawing.Point{X: x + dx, Y: mid + dy} }
	for _, e := range []struct {
		text  string
		there bool
		wide  geometry.Length
		items func() []drawing.Item
	}{
		{map[bool]string{true: "where it is now", false: "as found"}[moved], true, 1.5, func() []drawing.Item {
			return []drawing.Item{drawing.Line{From: at(0.7, -1.7), To: at(0.7, 1.7), Stroke: drawing.Thick}}
		}},
		{"where it belongs", true, 2, func() []drawing.Item { return belongsSign(at(1, -0.3), 1.5) }},
		{"its tolerance", found, 6, func() []drawing.Item {
			return []drawing.Item{drawing.Rectangle(at(0, -1.3), 6, 2.6, drawing.Pale, drawing.Stroke{})}
		}},
		{"its ±", bars, 6, func() []drawing.Item {
			return []drawing.Item{bar(at(0, 0), at(6, 0)), barEnd(at(0, 0)), barEnd(at(6, 0))}
		}},
		{map[bool]string{true: "the way it goes", false: "to the new line"}[moved], order, 6, func() []drawing.Item { return wayArrow(at(0, 0), at(6, 0)) }},
		{map[bool]string{true: "a line of the scale", false: "another line"}[moved && scale], others, 1, func() []drawing.Item {
			return stub(at(0.5, -stubDown/2), stubDown)
		}},
		{"pointer", pointer && !scale, 2, func() []drawing.Item { return pointerTip(at(1, 1.2)) }},
		{"turning line", pointer && scale, 1.5, func() []drawing.Item { return turningLine(at(0.7, -1.2)) }},
		{"its ±: too small to see here", tight && !bars, 0, func() []drawing.Item { return nil }},
	} {
		if !e.there {
			continue
		}
		s.Add(e.items()...)
		text := drawing.Text{At: at(e.wide+1.5, 1), Size: textSize, Text: e.text}
		s.Add(text)
		x = text.At.X + text.Extent() + 4
	}
}
