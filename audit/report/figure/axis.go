package figure

import (
	"math"
	"slices"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

const mostLines = 4 // of a name; the tables have it whole

const textSize = drawing.LeastSize // of everything that is no title

// sign is the shape of a line's verdict, or a dash where it was not read.
func sign(at drawing.Point, m audit.LineResult) []drawing.Item {
	if m.Offset == nil {
		return []drawing.Item{drawing.Line{From: at.Plus(-signSize, 0), To: at.Plus(signSize, 0), Stroke: drawing.Thin}}
	}
	return verdictSign(at, m.Verdict)
}

const signSize geometry.Length = 1.1

// verdictSign is the shape of a verdict, so that it needs no colour: a filled disc
// is within, a filled square with a cross outside, an open diamond undecided.
func verdictSign(at drawing.Point, of diagnosis.Verdict) []drawing.Item {
	const r = signSize
	switch of {
	case diagnosis.Within:
		return []drawing.Item{drawing.Circle{Centre: at, Radius: r, Fill: drawing.Deep}}
	case diagnosis.Outside:
		cross := drawing.Stroke{Width: 0.35, Ink: drawing.White}
		return []drawing.Item{
			drawing.Rectangle(at.Plus(-1.2*r, -1.2*r), 2.4*r, 2.4*r, drawing.Black, drawing.Stroke{}),
			drawing.Line{From: at.Plus(-0.7*r, -0.7*r), To: at.Plus(0.7*r, 0.7*r), Stroke: cross},
			drawing.Line{From: at.Plus(-0.7*r, 0.7*r), To: at.Plus(0.7*r, -0.7*r), Stroke: cross},
		}
	}
	const d = 1.35 * r
	return []drawing.Item{drawing.Polygon{
		Points: []drawing.Point{at.Plus(0, -d), at.Plus(d, 0), at.Plus(0, d), at.Plus(-d, 0)},
		Fill:   drawing.White, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black},
	}}
}

// head is a filled triangle of a length with its tip at a point, the angle
// clockwise from straight up.
func head(tip drawing.Point, towards geometry.Angle, length geometry.Length) drawing.Polygon {
	return drawing.Polygon{
		Points: []drawing.Point{tip, drawing.Polar(tip, length, towards+162), drawing.Polar(tip, length, towards+198)},
		Fill:   drawing.Black,
	}
}

// titled begins a figure whose title is bold, for it is looked for first.
func titled(title, note string) drawing.Scene {
	const bolder = 1.09 // how much wider bold type runs, at most
	s := drawing.Titled(drawing.Wrap(title, drawing.TitleSize*bolder, drawing.PageWidth, 1)[0], note)
	for i, item := range s.Items {
		if t, ok := item.(drawing.Text); ok {
			t.Bold = true
			s.Items[i] = t
			break
		}
	}
	return s
}

// arrowhead is the head that small arrows have.
func arrowhead(tip drawing.Point, towards geometry.Angle) drawing.Polygon {
	return head(tip, towards, 2.4)
}

// scale is an axis from low to high on paper from one place to another.
type scale struct {
	low, high float64
	from, to  geometry.Length
}

// at is the place on paper of a value.
func (s scale) at(x float64) geometry.Length {
	return s.from + (s.to-s.from)*geometry.Length((x-s.low)/(s.high-s.low))
}

// ticks are round numbers on the axis, at most most of them, and their decimals.
func (s scale) ticks(most int) ([]float64, int) {
	step, decimals := rounding.Step((s.high-s.low)/float64(most)), 0
	if d := -int(math.Floor(math.Log10(step) + 1e-9)); d > 0 {
		decimals = d
	}
	var all []float64
	for i := math.Ceil(s.low/step - 1e-9); i <= math.Floor(s.high/step+1e-9); i++ {
		all = append(all, i*step)
	}
	return all, decimals
}

// parted splits things so that no part is higher than a page may hold.
func parted[T any](all []T, height func(T) geometry.Length, most geometry.Length) [][]T {
	var parts [][]T
	var used geometry.Length
	for i, x := range all {
		h := height(x)
		if i == 0 || used+h > most {
			parts, used = append(parts, nil), 0
		}
		parts[len(parts)-1] = append(parts[len(parts)-1], x)
		used += h
	}
	return parts
}

// chart is a rectangle on paper with an axis either way, y growing upwards.
type chart struct{ x, y scale }

// point is the place on paper of a pair of values.
func (c chart) point(x, y float64) drawing.Point { return drawing.Point{X: c.x.at(x), Y: c.y.at(y)} }

// frame draws the axes, with round numbers along y and its unit above them.
func (c chart) frame(s *drawing.Scene, unit string) {
	bottom, top := c.y.from, c.y.to
	print := rounding.Signed
	if c.y.low >= 0 { // what has no sides needs no signs
		print = rounding.Fixed
	}
	values, n := c.y.ticks(6)
	for _, v := range values {
		at := c.y.at(v)
		stroke := drawing.Stroke{Width: 0.1, Ink: drawing.Pale}
		if math.Abs(v) < 1e-12 {
			stroke = drawing.Hair
		}
		s.Add(
			drawing.Line{From: drawing.Point{X: c.x.from, Y: at}, To: drawing.Point{X: c.x.to, Y: at}, Stroke: stroke},
			drawing.Text{At: drawing.Point{X: c.x.from - 1.5, Y: at + 0.9}, Size: textSize, Anchor: drawing.End, Text: print(v, n)},
		)
	}
	s.Add(
		drawing.Line{From: drawing.Point{X: c.x.from, Y: top}, To: drawing.Point{X: c.x.from, Y: bottom}, Stroke: drawing.Thin},
		drawing.Line{From: drawing.Point{X: c.x.from, Y: bottom}, To: drawing.Point{X: c.x.to, Y: bottom}, Stroke: drawing.Thin},
		drawing.Text{At: drawing.Point{X: c.x.from, Y: top - 2}, Size: textSize, Text: unit},
	)
}

// ticksOf draws a tick for each place on the paper between two heights; ticks of one
// place share its height, so that each of them is seen.
func ticksOf(s *drawing.Scene, at []geometry.Length, top, foot geometry.Length, stroke drawing.Stroke) {
	const same geometry.Length = 0.02 // nearer than that they would hide each other
	order := slices.Clone(at)
	slices.Sort(order)
	for i := 0; i < len(order); {
		n := 1
		for i+n < len(order) && order[i+n]-order[i] < same {
			n++
		}
		gap := min(0.45, (foot-top)/geometry.Length(2*n))
		long := (foot - top - gap*geometry.Length(n-1)) / geometry.Length(n)
		for k := range n {
			y := top + geometry.Length(k)*(long+gap)
			s.Add(drawing.Line{From: drawing.Point{X: order[i+k], Y: y}, To: drawing.Point{X: order[i+k], Y: y + long}, Stroke: stroke})
		}
		i += n
	}
}
