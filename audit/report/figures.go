package report

import (
	"math"
	"strconv"

	"markaudit/audit"
	"markaudit/audit/figure"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// What all figures share, in millimetres. A figure 180 mm wide prints on A4 and
// Letter with margins, and one no higher than tallest is not cut by a page.
const (
	figureWidth geometry.Length = 180
	tallest     geometry.Length = 225

	titleSize geometry.Length = 3.6
	textSize  geometry.Length = 2.9
	noteSize  geometry.Length = 2.5
	leading   geometry.Length = 3.8 // from baseline to baseline of texts

	figureTop geometry.Length = 13 // below title and note
)

const mostLines = 4 // of a name; the tables have it whole

var (
	hair  = figure.Stroke{Width: 0.12, Ink: figure.Grey}
	thin  = figure.Stroke{Width: 0.25, Ink: figure.Black}
	thick = figure.Stroke{Width: 0.7, Ink: figure.Black}
)

// newFigure begins a figure with its title and a note below it.
func newFigure(title, note string) figure.Scene {
	s := figure.Scene{Title: title, Description: note, Width: figureWidth}
	s.Add(
		figure.Line{From: figure.Point{X: 0, Y: 0.35}, To: figure.Point{X: 14, Y: 0.35}, Stroke: thick},
		figure.Line{From: figure.Point{X: 0, Y: 0.35}, To: figure.Point{X: figureWidth, Y: 0.35}, Stroke: hair},
		figure.Text{At: figure.Point{X: 0, Y: 5.2}, Size: titleSize, Text: title},
	)
	for i, line := range figure.Wrap(note, noteSize, figureWidth, 2) {
		s.Add(figure.Text{At: figure.Point{X: 0, Y: 9 + geometry.Length(i)*3.1}, Size: noteSize, Ink: figure.Grey, Text: line})
	}
	return s
}

// sign is the shape of a verdict, so that it needs no colour: a filled disc is
// within, a filled square with a cross outside, an open diamond undecided.
func sign(at figure.Point, m audit.Mark) []figure.Item {
	const r geometry.Length = 1.1
	switch {
	case m.Offset == nil:
		return []figure.Item{figure.Line{From: at.Plus(-r, 0), To: at.Plus(r, 0), Stroke: thin}}
	case m.Verdict == uncertainty.Within:
		return []figure.Item{figure.Circle{Centre: at, Radius: r, Fill: figure.Deep}}
	case m.Verdict == uncertainty.Outside:
		cross := figure.Stroke{Width: 0.35, Ink: figure.White}
		return []figure.Item{
			figure.Rectangle(at.Plus(-1.2*r, -1.2*r), 2.4*r, 2.4*r, figure.Black, figure.Stroke{}),
			figure.Line{From: at.Plus(-0.7*r, -0.7*r), To: at.Plus(0.7*r, 0.7*r), Stroke: cross},
			figure.Line{From: at.Plus(-0.7*r, 0.7*r), To: at.Plus(0.7*r, -0.7*r), Stroke: cross},
		}
	}
	const d = 1.35 * r
	return []figure.Item{figure.Polygon{
		Points: []figure.Point{at.Plus(0, -d), at.Plus(d, 0), at.Plus(0, d), at.Plus(-d, 0)},
		Fill:   figure.White, Stroke: figure.Stroke{Width: 0.35, Ink: figure.Black},
	}}
}

// judged is the verdict on a line in words, with what it was held against.
func judged(m audit.Mark) string {
	if m.Offset == nil {
		return "not read"
	}
	return verdict(m) + " " + allowed(m.Mark) + fitted(m)
}

// arrowhead is a filled triangle with its tip at a point, the angle clockwise
// from straight up.
func arrowhead(tip figure.Point, towards geometry.Angle) figure.Polygon {
	return figure.Polygon{
		Points: []figure.Point{tip, figure.Polar(tip, 2.4, towards+162), figure.Polar(tip, 2.4, towards+198)},
		Fill:   figure.Black,
	}
}

// scale is an axis from low to high on paper from one place to another.
type scale struct {
	low, high float64
	from, to  geometry.Length
}

func (s scale) at(x float64) geometry.Length {
	return s.from + (s.to-s.from)*geometry.Length((x-s.low)/(s.high-s.low))
}

// ticks are round numbers on the axis, at most most of them, and their decimals.
func (s scale) ticks(most int) ([]float64, int) {
	step, decimals := roundStep((s.high-s.low)/float64(most)), 0
	if d := -int(math.Floor(math.Log10(step) + 1e-9)); d > 0 {
		decimals = d
	}
	var all []float64
	for i := math.Ceil(s.low/step - 1e-9); i <= math.Floor(s.high/step+1e-9); i++ {
		all = append(all, i*step)
	}
	return all, decimals
}

// roundStep is the least of 1, 2, 5 times a power of ten that is not below x.
func roundStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)+1e-9))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= x*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// signed prints an offset from a middle with its sign.
func signed(x float64, n int) string {
	s := fixed(x, n)
	if x > 0 && s != fixed(0, n) {
		return "+" + s
	}
	return s
}

// of is "2 of 3" where there is more than one, to follow a title.
func ofAll(i, n int) string {
	if n == 1 {
		return ""
	}
	return ", " + strconv.Itoa(i+1) + " of " + strconv.Itoa(n)
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
