package paper

import (
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/lines"
	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// laying is what a strip adds to the doubt about a line that shows beside it: how well
// it is laid, and the width of the line. Common practice, no source.
const laying geometry.Length = 0.3

// proofLine is a proof with the line that it is: how far it lies from the new line,
// straight across the part, and how sure that is.
type proofLine struct {
	proof
	toNew, u geometry.Length
}

// proofLines are the lines that prove that a strip lies right: at most two others of the
// same part, as they were found, with a known ± to the old line. They stand at least 6
// mm from the old line and the new one, the nearest first, leave the strip on on.
// sheet, and are told from every other line by their width. Way is how far to the right
// of the old line the new one lies.
func proofLines(s stripper, m audit.LineResult, way geometry.Length) []proofLine {
	const most = 2
	const apart, beside geometry.Length = 6, 32 // beside: what a strip needs at either end
	in, on := s.Result.Sheet, s.surface()
	room := min(s.usable(), on.turn()-1) - 2*beside
	type candidate struct {
		line lines.Line
		x    geometry.Length
	}
	var all []candidate
	for _, l := range s.Result.Lines {
		if l.Name != m.Name && l.Read() && l.On == m.On {
			gap := in.Part.Round(lines.Gap(in, s.Result.TDC, m.Line, l))
			x := s.later(on.along(gap))
			if gap < 0 {
				x = -x
			}
			all = append(all, candidate{l, x})
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		switch x, y := math.Abs(float64(a.x)), math.Abs(float64(b.x)); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	var out []proofLine
	low, high := min(0, way), max(0, way)
	for _, c := range all {
		near := func(a geometry.Length) bool { return max(c.x-a, a-c.x) < apart }
		if len(out) == most || near(0) || near(way) || max(high, c.x)-min(low, c.x) > room {
			continue
		}
		u := wayDoubt(s, m.Line, c.line) * (on.metal().Diameter / in.Part.Diameter)
		p := proofLine{proof: proof{x: c.x, half: u + laying, name: s.shortName(c.line.Name)}, u: u}
		a, b := min(low, p.x-p.half), max(high, p.x+p.half)
		overlaps := slices.ContainsFunc(out, func(q proofLine) bool { return math.Abs(float64(p.x-q.x)) < float64(p.half+q.half)+1 })
		if u == 0 || overlaps || b-a > room || !tellsApart(s, p, c.line) {
			continue
		}
		p.toNew = on.metal().Chord(geometry.Angle(math.Abs(float64(p.x-way)/float64(on.along(1))) * in.Part.Turned(1).Degrees()))
		out, low, high = append(out, p), a, b
	}
	return out
}

// wayDoubt is the ± of the way along the rim from one line to another; zero where it is
// not known.
func wayDoubt(s stripper, a, b lines.Line) geometry.Length {
	pair := [2]string{a.Name, b.Name}
	u, done := s.known[pair]
	if !done {
		_, u = advise.AlongRim(s.Result.Sheet, s.Result.TDC, a, b)
		s.known[pair] = u
	}
	return u
}

// tellsApart reports whether a proof's field is narrower than a third of the way from its
// line to any other of the part: a wider one would prove nothing.
func tellsApart(s stripper, p proofLine, line lines.Line) bool {
	in, on := s.Result.Sheet, s.surface()
	return !slices.ContainsFunc(s.Result.Lines, func(l lines.Line) bool {
		if l.Name == line.Name || !l.Read() || l.On != line.On {
			return false
		}
		gap := in.Part.Round(lines.Gap(in, s.Result.TDC, line, l))
		return p.half > on.along(gap)/3
	})
}

// proofSign says on the strip what its fields are for, with the signs for good and for
// bad. Brief lets it be said in fewer words where room is short.
func proofSign(all []proof, brief bool) sign {
	var names []string
	near := geometry.Length(0)
	for _, p := range all {
		names = append(names, p.name)
		near += p.x / geometry.Length(len(all))
	}
	what := names[0] + " must show BETWEEN its two posts"
	if len(names) > 1 {
		what = strings.Join(names, " and ") + " must each show BETWEEN two posts"
	}
	const wrong = "outside them: STOP, scribe nothing"
	const mark, size geometry.Length = 4, 2.5
	wide := mark + max(drawing.BoldWidth(what, size), drawing.BoldWidth(wrong, size))
	two := shape{wide: wide, bands: 2, draw: func(p *piece, left, low, high geometry.Length) {
		each := (high - low) / 2
		tick(p, left, high-each/2)
		cross(p, left, low+each/2)
		p.text(left+mark, high-each/2-0.3*size, size, true, drawing.Start, drawing.Black, what)
		p.text(left+mark, low+each/2-0.3*size, size, true, drawing.Start, drawing.Black, wrong)
	}}
	inOneRow := func(short string) shape {
		const orElse = "else STOP"
		first := mark + drawing.BoldWidth(short, size) + 2
		return shape{wide: first + mark + drawing.BoldWidth(orElse, size), bands: 1, words: true, draw: func(p *piece, left, low, high geometry.Length) {
			middle := (low + high) / 2
			tick(p, left, middle)
			p.text(left+mark, middle-0.3*size, size, true, drawing.Start, drawing.Black, short)
			cross(p, left+first, middle)
			p.text(left+first+mark, middle-0.3*size, size, true, drawing.Start, drawing.Black, orElse)
		}}
	}
	if !brief {
		return sign{near: near, forms: []shape{two}}
	}
	return sign{near: near, forms: []shape{two, inOneRow(strings.Join(names, ", ") + " BETWEEN posts"), inOneRow("BETWEEN posts")}}
}

func tick(p *piece, left, middle geometry.Length) {
	p.items = append(p.items, drawing.Polygon{Points: []drawing.Point{at(left, middle), at(left+0.9, middle-0.9), at(left+2.6, middle+1)}, Open: true, Stroke: drawing.Stroke{Width: 0.5, Ink: drawing.Black}})
}

func cross(p *piece, left, middle geometry.Length) {
	p.line(left+0.3, middle+0.9, left+2.1, middle-0.9, 0.5)
	p.line(left+0.3, middle-0.9, left+2.1, middle+0.9, 0.5)
}
