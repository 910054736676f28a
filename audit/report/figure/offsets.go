package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Offsets shows how far each line is off with its interval against its
// tolerance, some lines a figure. The verdict is a shape and a word.
func Offsets(r audit.Result) []drawing.Scene {
	v := words.NewAudit(r, nil)
	rows := make([]offsetRow, len(r.ByLine()))
	for i, m := range r.ByLine() {
		rows[i] = newOffsetRow(v, m)
	}
	parts := parted(rows, func(o offsetRow) geometry.Length { return o.height }, drawing.Tallest-drawing.Top-20)
	axis := offsetScale(r.ByLine())
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, offsetFigure(v, part, axis, rounding.PartOf(i, len(parts))))
	}
	return all
}

// onRim is an offset as a way along the rim, where that is known.
func onRim(v words.Audit, m audit.LineResult) string {
	if m.Offset == nil || v.Result.Sheet.Part.Diameter == 0 {
		return ""
	}
	return rimLength(m.OnRim.Arc, v.Result.Sheet.Part.Unit)
}

// rimLength is the size of a way along the rim, no finer than dividers are set, in
// inches where the diameter was written in them. There is room for one unit only.
func rimLength(l geometry.Length, unit geometry.Unit) string {
	l = max(l, -l)
	by := rounding.Lengths{ByDividers: true}
	if unit.Imperial() {
		return rounding.Fixed(l.In(geometry.Inch), by.InchPlaces()) + " in"
	}
	return by.Of(l)
}

type offsetRow struct {
	mark   audit.LineResult
	name   []string
	off    []string // how far off it is
	judged []string
	height geometry.Length
}

const saysX geometry.Length = 131 // where a row says what the verdict is

func newOffsetRow(v words.Audit, m audit.LineResult) offsetRow {
	o := offsetRow{
		mark: m, name: drawing.Wrap(words.Clean(m.Name), textSize, 44, mostLines),
		judged: drawing.Wrap(v.Judged(m), textSize, drawing.PageWidth-saysX, 3),
	}
	o.off = drawing.Wrap(words.OffBy(m), textSize, drawing.PageWidth-saysX-besideOff, 2)
	o.height = geometry.Length(max(len(o.off)+len(o.judged), len(o.name)))*drawing.Leading + 2.4
	return o
}

// offsetScale holds every interval, unless some lie so far out that the others
// would shrink to nothing: then it ends a few tolerances out, and arrows point on.
func offsetScale(marks []audit.LineResult) scale {
	var reach, tolerance float64
	for _, m := range marks {
		early, late := m.Allowed()
		tolerance = max(tolerance, early.Degrees(), late.Degrees())
		if m.Offset != nil {
			low, high := m.Ends()
			reach = max(reach, -low.Degrees(), high.Degrees())
		}
	}
	reach = max(min(reach, 5*tolerance), tolerance) * 1.08
	return scale{low: -reach, high: reach, from: 48, to: 122}
}

func offsetFigure(v words.Audit, rows []offsetRow, axis scale, of string) drawing.Scene {
	s := titled("How far off each line is, and how sure"+of,
		fmt.Sprintf("Shaded: the tolerance. Bar: where the true offset lies in %s of cases. Disc: within; square with a cross: OUTSIDE; diamond: undecided.", v.Confidence()))
	var told []string
	top, y := drawing.Top+6, drawing.Top+6
	for _, o := range rows {
		s.Add(o.draw(v, axis, y)...)
		if rim := onRim(v, o.mark); rim != "" {
			s.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: o.says(y + o.height/2)}, Size: textSize, Anchor: drawing.End, Text: rim})
		}
		y += o.height
		told = append(told, strings.TrimSuffix(words.Clean(o.mark.Name)+": "+words.OffBy(o.mark)+", "+v.Judged(o.mark)+", "+onRim(v, o.mark), ", "))
		s.Add(drawing.Line{From: drawing.Point{X: 0, Y: y}, To: drawing.Point{X: drawing.PageWidth, Y: y}, Stroke: drawing.Stroke{Width: 0.1, Ink: drawing.Pale}})
	}
	if slices.ContainsFunc(rows, func(o offsetRow) bool { return onRim(v, o.mark) != "" }) {
		s.Add(drawing.Text{At: drawing.Point{X: drawing.PageWidth, Y: top - 2.6}, Size: textSize, Anchor: drawing.End, Text: "on the rim"})
	}
	zero := axis.at(0)
	s.Add(
		drawing.Line{From: drawing.Point{X: zero, Y: top - 1}, To: drawing.Point{X: zero, Y: y}, Stroke: drawing.Hair},
		drawing.Text{At: drawing.Point{X: zero - 5, Y: top - 2.6}, Size: textSize, Anchor: drawing.End, Text: "early"},
		arrowhead(drawing.Point{X: axis.from, Y: top - 3.4}, -90),
		drawing.Line{From: drawing.Point{X: axis.from + 2, Y: top - 3.4}, To: drawing.Point{X: zero - 13, Y: top - 3.4}, Stroke: drawing.Hair},
		drawing.Text{At: drawing.Point{X: zero + 5, Y: top - 2.6}, Size: textSize, Text: "late"},
		arrowhead(drawing.Point{X: axis.to, Y: top - 3.4}, 90),
		drawing.Line{From: drawing.Point{X: zero + 12, Y: top - 3.4}, To: drawing.Point{X: axis.to - 2, Y: top - 3.4}, Stroke: drawing.Hair},
		drawing.Line{From: drawing.Point{X: axis.from, Y: y}, To: drawing.Point{X: axis.to, Y: y}, Stroke: drawing.Thin},
	)
	ticks, decimals := axis.ticks(8)
	for _, t := range ticks {
		x := axis.at(t)
		s.Add(
			drawing.Line{From: drawing.Point{X: x, Y: y}, To: drawing.Point{X: x, Y: y + 1.2}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: x, Y: y + 4.2}, Size: textSize, Anchor: drawing.Middle, Text: rounding.Fixed(math.Abs(t), decimals)},
		)
	}
	s.Add(drawing.Text{At: drawing.Point{X: axis.to + 3, Y: y + 4.2}, Size: textSize, Text: "degrees of crank"})
	s.Height = y + 6
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

// says is where the first text beside the bar stands, in a row with that middle.
func (o offsetRow) says(mid geometry.Length) geometry.Length {
	return mid + 1.1 - geometry.Length(len(o.off)+len(o.judged)-1)*drawing.Leading/2
}

func (o offsetRow) draw(v words.Audit, axis scale, y geometry.Length) []drawing.Item {
	m := o.mark
	mid := y + o.height/2
	var items []drawing.Item
	first := mid - geometry.Length(len(o.name)-1)*drawing.Leading/2 + 1
	for i, line := range o.name {
		items = append(items, drawing.Text{At: drawing.Point{X: 0, Y: first + geometry.Length(i)*drawing.Leading}, Size: textSize, Text: line})
	}
	early, late := m.Allowed()
	left, right := axis.at(-early.Degrees()), axis.at(late.Degrees())
	items = append(items, drawing.Rectangle(drawing.Point{X: left, Y: mid - 3}, right-left, 6, drawing.Pale, drawing.Stroke{}))
	for _, x := range []geometry.Length{left, right} {
		items = append(items, drawing.Line{From: drawing.Point{X: x, Y: mid - 3}, To: drawing.Point{X: x, Y: mid + 3}, Stroke: drawing.Hair})
	}
	says := o.says(mid)
	texts := o.off
	if m.Offset != nil {
		texts = append(slices.Clone(texts), o.judged...)
	}
	for i, line := range texts {
		items = append(items, drawing.Text{At: drawing.Point{X: saysX, Y: says + geometry.Length(i)*drawing.Leading}, Size: textSize, Text: line})
	}
	if m.Offset == nil {
		return items
	}
	items = append(items, sign(drawing.Point{X: saysX - 3.5, Y: says + geometry.Length(len(o.off))*drawing.Leading - 1}, m)...)
	return append(items, o.interval(axis, mid)...)
}

// interval is the bar with the sign on it, or an arrow where it lies beyond the
// scale.
func (o offsetRow) interval(axis scale, mid geometry.Length) []drawing.Item {
	m := o.mark
	first, last := m.Ends()
	value, from, to := m.Offset.Value.Degrees(), first.Degrees(), last.Degrees()
	bar := drawing.Stroke{Width: 0.5, Ink: drawing.Black}
	low, high := max(from, axis.low), min(to, axis.high)
	var items []drawing.Item
	if low < high {
		items = append(items, drawing.Line{From: drawing.Point{X: axis.at(low), Y: mid}, To: drawing.Point{X: axis.at(high), Y: mid}, Stroke: bar})
	}
	for _, end := range []struct{ x, edge, turn float64 }{{from, axis.low, -90}, {to, axis.high, 90}} {
		x := axis.at(end.x)
		switch {
		case math.Abs(end.x) > axis.high && (end.x > 0) == (end.turn > 0):
			items = append(items, arrowhead(drawing.Point{X: axis.at(end.edge), Y: mid}, geometry.Angle(end.turn)))
		case math.Abs(end.x) <= axis.high && from < to:
			items = append(items, drawing.Line{From: drawing.Point{X: x, Y: mid - 1.2}, To: drawing.Point{X: x, Y: mid + 1.2}, Stroke: bar})
		}
	}
	if math.Abs(value) <= axis.high {
		return append(items, sign(drawing.Point{X: axis.at(value), Y: mid}, m)...)
	}
	note := drawing.Text{At: drawing.Point{X: axis.to - 3.5, Y: mid + 0.9}, Size: textSize, Anchor: drawing.End, Text: "beyond the scale"}
	if value < 0 {
		note.At.X, note.Anchor = axis.from+3.5, drawing.Start
	}
	return append(items, note)
}
