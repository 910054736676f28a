package figure

import (
	"cmp"
	"slices"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// whereMoved shows what one order for all lines moves, the pointer or the line that
// turns, and which way: nothing else has a row, for where lines belong lies the other way.
func whereMoved(u unrolling, most geometry.Length) []drawing.Scene {
	u.row = min(max(u.row, most-whereLegend-placeHead-1.4-placeFoot-1.2-0.01), mostRow)
	u.high, u.ticked = u.row, 4
	p := movedPlace(u)
	var onDisc [][]place
	for i, rows := range u.groups() {
		onDisc = append(onDisc, []place{{letter: letterOf(i), rows: rows}})
	}
	here, height := []place{p}, u.height(p)
	if height > most-whereLegend {
		if most-whereLegend < overDisc+0.5+2*leastDisc {
			return nil
		}
		here, height = nil, 0
	}
	return beside(u, here, onDisc, height, most, whereTitle(u, false))
}

// movedPlace is the rim around the pointer, or around the line that turns, with the
// lines that were read against it.
func movedPlace(u unrolling) place {
	row := movedRow(u)
	p := place{title: "the part,", second: "crank at TDC", rows: []partRow{row}}
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		p.title, p.second = "THE SCALE,", "it stands still"
	}
	for i, m := range u.Result.ByLine() {
		r := u.newRow(m, i+1)
		if r.move(r.found.Wrap() - r.found); r.found.Abs() < apart {
			p.others = append(p.others, r)
		}
	}
	slices.SortStableFunc(p.others, func(a, b partRow) int { return cmp.Compare(a.found.Abs(), b.found.Abs()) })
	u.fit(&p)
	for n := 1; n <= len(p.others); n++ { // with so many lines, where that is not too small
		wide := p
		with := []partRow{row}
		for _, r := range p.others[:n] {
			with = append(with, partRow{found: r.found, belongs: r.found, made: r.found, low: r.found, high: r.found, fromDrawn: r.found, toDrawn: r.found})
		}
		u.fitOver(&wide, with)
		if wide.shortest() < leastMoved {
			break
		}
		p = wide
	}
	return p
}

// leastMoved is how long on the paper the way is that something moves, where more lines
// are not worth less.
const leastMoved geometry.Length = 14

// movedRow is what is moved: it stands at TDC where it is now, and goes to where it
// belongs.
func movedRow(u unrolling) partRow {
	s := u.Result.Advice.Together
	m := audit.LineResult{}
	m.Name, m.Offset, m.Scribe = "turning line", u.Result.Advice.Shared, s
	if s.Move == advise.MovePointer {
		m.Name = "pointer"
	}
	r := partRow{mark: m, moved: true, height: u.row}
	way := u.seen(u.Result.Sheet.Part.Turned(s.Angle))
	if s.Rotation == geometry.Anticlockwise {
		way = -way
	}
	r.made = way
	r.belongs, r.low, r.high = way, way, way
	if e := m.Offset; e != nil && e.Known {
		half := u.Result.Sheet.Part.Turned(e.Expanded)
		r.from, r.to = -half, half
		r.fromDrawn, r.toDrawn = -half, half
	}
	r.name = drawing.Wrap(words.Clean(m.Name), textSize, stripLeft-2.5, 1)
	return r
}
