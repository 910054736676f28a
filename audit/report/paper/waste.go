package paper

import (
	"slices"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// What stands in the waste below a piece.

// dimension says below a piece how far the new line lies from the old one.
func (f fitted) dimension(piece [2]geometry.Length) []drawing.Item {
	r := f.ribbon
	if len(r.flags) != 2 {
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
	text := f.s.ByTape(b-a, 0) + " on this paper"
	if r.on.slope != 90 { // flat paper keeps its length
		text += ", " + f.s.paperWords() + " thick"
	}
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
		line(a, -footDeep-0.8, a, down-1), line(b, -footDeep-0.8, b, down-1),
		line(a-out, down, a-head, down), tip(a, -head), line(b+head, down, b+out, down), tip(b, head), said,
	}
}

// cutHere says in the waste of a piece where it is cut, clear of all that runs on there.
func (f fitted) cutHere(piece [2]geometry.Length, i int) []drawing.Item {
	const size, clear, base, low geometry.Length = 2.4, 2, -6.4, -7
	const short = "▲ CUT HERE ▲"
	forms := []string{"▲ CUT HERE, along the long line ▲  below it is waste", short}
	if !f.ribbon.on.flat() { // its curve has less room
		forms = []string{short}
	}
	var taken []box
	keep := func(x, half geometry.Length) {
		taken = append(taken, box{x - half - clear, x + half + clear, low, 0})
	}
	for _, x := range f.ribbon.flags {
		keep(x.x, ringRadius)
	}
	for _, x := range f.ribbon.proofs {
		keep(x.x, x.half+postWide)
	}
	for _, x := range f.ribbon.discs {
		keep(x.x, lineWidth)
	}
	for _, item := range f.dimension(piece) {
		for _, at := range corners([]drawing.Item{item}) {
			keep(at.X, 0)
		}
		if x, ok := item.(drawing.Text); ok {
			middle := x.At.X + x.Extent()*(1-geometry.Length(x.Anchor))/2
			keep(middle, x.Extent()/2)
		}
	}
	left := piece[0] + clear
	if i > 0 {
		left += overlap
	}
	if !f.ribbon.on.flat() { // away from the ends of the arch, below which the steps begin
		left += (piece[1] - piece[0]) / 6
	}
	for _, said := range forms {
		wide := drawing.BoldWidth(said, size)
		if on := f.ribbon.on; !on.flat() {
			wide *= on.radius() / (on.radius() + low)
		}
		for x := left; x+wide+clear < piece[1]; x++ {
			if !slices.ContainsFunc(taken, box{x, x + wide, low, 0}.hits) {
				return []drawing.Item{drawing.Text{At: at(x, base), Size: size, Bold: true, Text: said}}
			}
		}
	}
	return nil
}
