package paper

import (
	"math"
	"slices"

	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

// scale is the graduation of a strip: crank degrees, or degrees from a new place.
type scale struct {
	zero, per   geometry.Length // the place of 0 degrees, and from there to the next, with its sign
	count       counting
	turn        geometry.Angle  // of the part, in degrees of the crank
	first, last geometry.Length // no graduation lies outside
}

// counting is how the graduations of a scale are numbered.
type counting uint8

// lettered: before and after TDC, with BTDC and ATDC where there is room. onward: on
// from 0 to a whole turn, for a line that belongs beyond 180. both: from 0 both ways.
const (
	lettered counting = iota
	onward
	both
)

// steps are the graduations and numbers to choose from, the finest first.
var steps = [][2]float64{{.1, 1}, {.2, 1}, {.5, 1}, {.5, 5}, {1, 5}, {1, 10}, {2, 10}, {5, 15}, {5, 30}, {10, 30}, {10, 90}, {30, 90}}

// step chooses graduations at least 0.8 mm apart with numbers at least 6 mm apart.
func (s scale) step() (tooth, number float64) {
	per := math.Abs(s.per.Millimetres())
	for _, c := range steps {
		if c[0]*per >= 0.8 && c[1]*per >= 6 {
			return c[0], c[1]
		}
	}
	last := steps[len(steps)-1]
	return last[0], last[1]
}

// graduation is one of a scale: its place, its angle, and whether a number belongs to
// it.
type graduation struct {
	x        geometry.Length
	angle    geometry.Angle
	numbered bool
	middle   bool // half way between two numbers
}

// between returns the graduations between two places, from left to right.
func (s scale) between(from, to geometry.Length) []graduation {
	from, to = max(from, s.first), min(to, s.last)
	tooth, number := s.step()
	every := int(math.Round(number / tooth))
	ends := []float64{float64((from - s.zero) / s.per), float64((to - s.zero) / s.per)}
	slices.Sort(ends)
	var all []graduation
	for i := int(math.Ceil(ends[0]/tooth - 1e-9)); float64(i) <= ends[1]/tooth+1e-9; i++ {
		a := geometry.Angle(float64(i) * tooth)
		all = append(all, graduation{s.zero + s.per*geometry.Length(a), a, i%every == 0, every%2 == 0 && i%(every/2) == 0})
	}
	if s.per < 0 {
		slices.Reverse(all)
	}
	return all
}

// number is what stands at a graduation, and the letters that may follow it.
func (s scale) number(a geometry.Angle) (number, letters string) {
	switch s.count {
	case both:
		return rounding.Plain(rounding.Trimmed(a.Abs().Degrees())), "°"
	case onward:
		return rounding.Plain(rounding.Trimmed(wrapInto(a, s.turn).Degrees())), ""
	}
	a = wrapInto(a+s.turn/2, s.turn) - s.turn/2
	switch {
	case a.Abs() < geometry.Tie:
		return "TDC", ""
	case a < 0:
		return rounding.Plain(rounding.Trimmed(-a.Degrees())), " BTDC"
	}
	return rounding.Plain(rounding.Trimmed(a.Degrees())), " ATDC"
}

// wrapInto brings an angle into [0, turn).
func wrapInto(a, turn geometry.Angle) geometry.Angle {
	if turn == 720 {
		return (a / 2).Turn() * 2
	}
	return a.Turn()
}

// teeth draws the graduations of a piece. They run on into the waste, so that a cut
// beside the edge loses none.
func (p *piece) teeth() {
	for _, g := range p.r.scale.between(p.from+0.3, p.to-0.3) {
		beside := func(x geometry.Length) bool { return math.Abs(float64(g.x-x)) < 0.5 }
		if slices.ContainsFunc(p.r.flags, func(f flag) bool {
			return beside(f.x) || len(f.words) > 0 && !f.fresh && math.Abs(float64(g.x-f.x)) < float64(ringRadius)+0.3
		}) ||
			slices.ContainsFunc(p.r.proofs, func(f proof) bool { return math.Abs(float64(g.x-f.x)) < float64(f.half+postWide+postClear) }) ||
			slices.ContainsFunc(p.r.discs, func(d disc) bool { return beside(d.x) && !g.numbered }) {
			continue
		}
		up := geometry.Length(1.7)
		switch {
		case g.numbered:
			up = 3
		case g.middle:
			up = 2.4
		}
		p.line(g.x, up, g.x, -1.2, 0.12)
	}
}

// numbers writes the numbers of a piece where nothing else stands: the outermost on
// either side with their letters, if there is room.
func (p *piece) numbers() {
	var all []graduation
	for _, g := range p.r.scale.between(p.from, p.to) {
		if g.numbered {
			all = append(all, g)
		}
	}
	const apart geometry.Length = 0.6 // of each number, so that two are 1.2 apart
	done := make([]bool, len(all))
	put := func(i int, text string) bool {
		w := drawing.Width(text, numberSize)
		b := box{all[i].x - w/2 - apart, all[i].x + w/2 + apart, numberLine - 0.5, numberLine + 1.75}
		if done[i] || !p.free(b) {
			return false
		}
		done[i] = true
		p.busy = append(p.busy, b)
		p.texts = append(p.texts, drawing.Rectangle(at(b.left+apart-0.2, numberLine+1.8), w+0.4, 2.1, drawing.White, drawing.Stroke{}))
		p.text(all[i].x, numberLine, numberSize, false, drawing.Middle, drawing.Black, text)
		return true
	}
	lettered := func(i int) bool {
		number, letters := p.r.scale.number(all[i].angle)
		return letters != "" && put(i, number+letters)
	}
	for i := range all {
		if lettered(i) {
			break
		}
	}
	for i := len(all) - 1; i >= 0; i-- {
		if done[i] || lettered(i) {
			break
		}
	}
	for i, g := range all {
		if number, _ := p.r.scale.number(g.angle); p.r.scale.count != both || g.angle != 0 {
			put(i, number)
		}
	}
}
