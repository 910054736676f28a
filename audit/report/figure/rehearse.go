package figure

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit/rehearse"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Rehearsal shows an opened rehearsal line by line: what the audit claims with its
// bar, the truth as a star, and the answer that was given as an open triangle, against
// the tolerance.
func Rehearsal(o rehearse.Opened) []drawing.Scene {
	if len(o.Lines) == 0 {
		return nil
	}
	axis := rehearsalScale(o.Lines)
	parts := parted(o.Lines, func(rehearse.Line) geometry.Length { return rehearsalRow }, drawing.Tallest-rehearsalTop-14)
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, rehearsalFigure(o, part, axis, rounding.PartOf(i, len(parts))))
	}
	return all
}

// Sizes of the figure, in millimetres.
const (
	rehearsalTop                   = drawing.Top + 5
	rehearsalRow   geometry.Length = 11
	rehearsalLeft  geometry.Length = 30
	rehearsalRight geometry.Length = 126
)

// rehearsalScale holds truths, claims and tolerances; bars and answers far out are
// cut.
func rehearsalScale(lines []rehearse.Line) scale {
	var reach, tolerance float64
	for _, l := range lines {
		tolerance = math.Max(tolerance, l.Tolerance.Degrees())
		reach = math.Max(reach, math.Abs(l.Offset.Degrees()))
		if e := l.Mark.Offset; e != nil {
			reach = math.Max(reach, math.Abs(e.Value.Degrees())+math.Min(e.Expanded.Degrees(), 2*l.Tolerance.Degrees()))
		}
	}
	for _, l := range lines {
		if a := l.Answer; a != nil && a.HasOff {
			reach = math.Max(reach, math.Min(math.Abs(a.Off.Degrees()), 2*math.Max(reach, tolerance)))
		}
	}
	reach = 1.08 * math.Max(reach, tolerance)
	return scale{-reach, reach, rehearsalLeft, rehearsalRight}
}

func rehearsalFigure(o rehearse.Opened, part []rehearse.Line, axis scale, of string) drawing.Scene {
	s := titled("Rehearsal "+words.Clean(o.Scenario)+": the seal is open"+of,
		"Grey: the tolerance. Thick line and bar: what the audit says, and where the truth lies by it. Star: the truth. Open triangle: the answer that was given; at the edge it lies beyond. Bold: the truth is not in the bar.")
	y := rehearsalTop
	held, known := 0, 0
	var told []string
	for _, l := range part {
		told = append(told, drawRehearsed(&s, l, axis, y+rehearsalRow/2))
		y += rehearsalRow
	}
	for _, l := range o.Lines {
		if e := l.Mark.Offset; e != nil && e.Known {
			known++
			if l.Held {
				held++
			}
		}
	}
	earlyLate(&s, axis, y)
	sum := fmt.Sprintf("truth in the bar: %d of %s", held, rounding.Count(known, "line", "lines"))
	s.Add(drawing.Text{At: drawing.Point{X: rehearsalRight + 6, Y: y + 4.2}, Size: textSize, Bold: true, Text: sum})
	s.Height = y + 10
	s.Description += " " + strings.Join(told, "; ") + "; " + sum + "."
	return s
}

// drawRehearsed draws one line around a height and says it.
func drawRehearsed(s *drawing.Scene, l rehearse.Line, axis scale, mid geometry.Length) string {
	at := func(a geometry.Angle) drawing.Point {
		return drawing.Point{X: axis.at(min(max(a.Degrees(), axis.low), axis.high)), Y: mid}
	}
	lines := drawing.Wrap(words.Clean(l.Name), textSize, rehearsalLeft-4, 2)
	for i, line := range lines {
		s.Add(drawing.Text{At: drawing.Point{X: 0, Y: mid + 1 + (geometry.Length(i)-geometry.Length(len(lines)-1)/2)*drawing.Leading}, Size: textSize, Text: line})
	}
	low, high := at(-l.Tolerance), at(l.Tolerance)
	s.Add(
		drawing.Rectangle(low.Plus(0, -2.6), high.X-low.X, 5.2, drawing.Pale, drawing.Stroke{}),
		drawing.Line{From: at(0).Plus(0, -2.6), To: at(0).Plus(0, 2.6), Stroke: drawing.Hair},
	)
	told := words.Clean(l.Name) + ": truly " + rounding.OffBy(l.Offset, 2) + ", the audit " + words.Offset(l.Mark.Offset)
	missed := false
	if e := l.Mark.Offset; e != nil {
		if e.Known {
			missed = !l.Held
			from, to := at(e.Value-e.Expanded), at(e.Value+e.Expanded)
			s.Add(bar(from, to))
			for i, end := range []geometry.Angle{e.Value - e.Expanded, e.Value + e.Expanded} {
				if end.Abs().Degrees() > axis.high {
					s.Add(arrowhead(at(end), geometry.Angle(180*i-90)))
				} else {
					s.Add(barEnd(at(end)))
				}
			}
		}
		s.Add(drawing.Line{From: at(e.Value).Plus(0, -1.8), To: at(e.Value).Plus(0, 1.8), Stroke: drawing.Thick})
	}
	s.Add(star(at(l.Offset).Plus(0, -3.6)))
	if a := l.Answer; a != nil && a.HasOff {
		tip := at(a.Off).Plus(0, 2.2)
		s.Add(drawing.Polygon{Points: []drawing.Point{tip, tip.Plus(1.1, 1.9), tip.Plus(-1.1, 1.9)}, Fill: drawing.White, Stroke: drawing.Thin})
		told += ", answered " + rounding.OffBy(a.Off, 2)
	}
	x := rehearsalRight + 6
	s.Add(sign(drawing.Point{X: x + 1.5, Y: mid}, l.Mark)...)
	s.Add(
		drawing.Text{At: drawing.Point{X: x + 4.5, Y: mid - 0.8}, Size: textSize, Bold: missed, Text: words.Offset(l.Mark.Offset)},
		drawing.Text{At: drawing.Point{X: x + 4.5, Y: mid + 2.8}, Size: textSize, Bold: missed, Text: "true: " + rounding.OffBy(l.Offset, 2)},
	)
	return told
}

// star is a filled star of five points around a middle.
func star(centre drawing.Point) drawing.Polygon {
	var points []drawing.Point
	for i := range 10 {
		radius := geometry.Length(1.5)
		if i%2 == 1 {
			radius = 0.62
		}
		points = append(points, drawing.Polar(centre, radius, geometry.Angle(36*i)))
	}
	return drawing.Polygon{Points: points, Fill: drawing.Deep}
}
