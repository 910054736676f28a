package figure

import (
	"math"
	"strings"

	"markaudit/audit/repeatability"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Repeat shows every reading of every person, line by line, less the mean of all on
// that line; below them the person's mean with where it may lie, and behind all of
// them where the readings of one common hand fall.
func Repeat(r repeatability.Result) []drawing.Scene {
	c := newClassroom(r)
	if len(c.people) == 0 {
		return nil
	}
	parts := parted(c.people, c.height, drawing.Tallest-peopleTop-12)
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, c.figure(part, rounding.PartOf(i, len(parts))))
	}
	return all
}

// Sizes of the figure, in millimetres.
const (
	peopleTop                   = drawing.Top + 5
	peopleLeft  geometry.Length = 32
	peopleRight geometry.Length = 138
	peopleText  geometry.Length = 142
)

// classroom is a study laid out.
type classroom struct {
	marks  []string
	people []personRows
	common float64 // half of where 19 of 20 readings of one common hand fall; 0 not known
	axis   scale
	row    geometry.Length // height of a line's row
}

type personRows struct {
	repeatability.Person
	name  []string
	ticks [][]readingTick // a mark each, as classroom.marks
}

// readingTick is one reading, less the mean of all on its line.
type readingTick struct {
	off  float64
	slip bool // a slip of the pen explains it, and nothing else has it in
}

func newClassroom(r repeatability.Result) classroom {
	c := classroom{row: 3.4}
	index := map[string]int{} // only looked up
	for _, m := range r.Marks {
		index[m.Mark] = len(c.marks)
		c.marks = append(c.marks, m.Mark)
	}
	if n := len(c.marks); n > 40 { // of which one person would not fit a page
		c.row = 150 / geometry.Length(n)
	}
	slips := map[[3]any]bool{} // only looked up
	for _, s := range r.Slips {
		slips[[3]any{s.By, s.Mark, s.Trial}] = !r.Data.AsRead
	}
	if s := r.Components.Repeatability; s.Known {
		c.common = 1.96 * s.Value
	}
	reach := c.common
	for _, p := range r.People {
		rows := personRows{Person: p, name: drawing.Wrap(words.Clean(p.By), textSize, peopleLeft-4, 2), ticks: make([][]readingTick, len(c.marks))}
		for _, m := range p.ByMark {
			i, known := index[m.Mark]
			if !known {
				continue
			}
			for _, v := range r.Data.Values {
				if v.By != p.By || v.Mark != m.Mark {
					continue
				}
				t := readingTick{off: (v.Value - m.Mean + m.Deviation).Wrap().Degrees(), slip: slips[[3]any{v.By, v.Mark, v.Trial}]}
				rows.ticks[i] = append(rows.ticks[i], t)
				if !t.slip {
					reach = math.Max(reach, math.Abs(t.off))
				}
			}
		}
		if d := p.Deviation; d.Known && d.Bounded {
			reach = math.Max(reach, math.Max(math.Abs(d.Low), math.Abs(d.High)))
		} else if d.Known {
			reach = math.Max(reach, math.Abs(d.Value))
		}
		c.people = append(c.people, rows)
	}
	reach = math.Max(reach*1.06, 1e-3)
	c.axis = scale{-reach, reach, peopleLeft, peopleRight}
	return c
}

// height is that of a person's rows with the mean below.
func (c classroom) height(personRows) geometry.Length {
	return max(geometry.Length(len(c.marks))*c.row+6, 10)
}

// note says how to read the figure.
func (c classroom) note() string {
	note := "A tick is a reading, less the mean of all on that line. "
	if n := len(c.marks); n > 1 {
		names := make([]string, n)
		for i, m := range c.marks {
			names[i] = words.Clean(m)
		}
		if all := strings.Join(names, ", "); drawing.Width(all, textSize) < 60 {
			note += "Rows of a person, from above: " + all + ". "
		} else {
			note += "Each line has a row, in the order of the study. "
		}
	}
	note += "Thick: the person's mean; bar: where it may lie (95 %)."
	if c.common > 0 {
		note += " Grey: 19 of 20 readings if all hands are alike."
	}
	for _, p := range c.people {
		for _, row := range p.ticks {
			for _, t := range row {
				if t.slip {
					return note + " Cross: a slip of the pen, left out of all else."
				}
			}
		}
	}
	return note
}

func (c classroom) figure(part []personRows, of string) drawing.Scene {
	s := titled("Who sits where, and how far each hand scatters: every reading"+of, c.note())
	foot := peopleTop
	for _, p := range part {
		foot += c.height(p)
	}
	if c.common > 0 {
		s.Add(drawing.Rectangle(drawing.Point{X: c.axis.at(-c.common), Y: peopleTop}, c.axis.at(c.common)-c.axis.at(-c.common), foot-peopleTop, drawing.Pale, drawing.Stroke{}))
	}
	s.Add(drawing.Line{From: drawing.Point{X: c.axis.at(0), Y: peopleTop}, To: drawing.Point{X: c.axis.at(0), Y: foot}, Stroke: drawing.Hair})
	y := peopleTop
	var told []string
	for i, p := range part {
		if i > 0 {
			s.Add(drawing.Line{From: drawing.Point{X: 0, Y: y}, To: drawing.Point{X: drawing.PageWidth, Y: y}, Stroke: drawing.Hair})
		}
		told = append(told, c.draw(&s, p, y))
		y += c.height(p)
	}
	earlyLate(&s, c.axis, y)
	s.Height = y + 10
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

// draw draws a person from a height downwards and says what stands there.
func (c classroom) draw(s *drawing.Scene, p personRows, top geometry.Length) string {
	mid := top + c.height(p)/2
	for i, line := range p.name {
		s.Add(drawing.Text{At: drawing.Point{X: 0, Y: mid + 1 + (geometry.Length(i)-geometry.Length(len(p.name)-1)/2)*drawing.Leading}, Size: textSize, Bold: true, Text: line})
	}
	told := words.Clean(p.By) + ":"
	for i, row := range p.ticks {
		y := top + 1.6 + (geometry.Length(i)+0.5)*c.row
		half := 0.38 * c.row
		if len(row) > 0 {
			told += " " + words.Clean(c.marks[i])
		}
		var at []geometry.Length
		for _, t := range row {
			told += " " + rounding.Signed(t.off, 3)
			x := c.axis.at(min(max(t.off, c.axis.low), c.axis.high))
			if t.slip {
				s.Add(
					drawing.Line{From: drawing.Point{X: x - half, Y: y - half}, To: drawing.Point{X: x + half, Y: y + half}, Stroke: drawing.Thin},
					drawing.Line{From: drawing.Point{X: x - half, Y: y + half}, To: drawing.Point{X: x + half, Y: y - half}, Stroke: drawing.Thin},
				)
				continue
			}
			at = append(at, x)
		}
		ticksOf(s, at, y-half, y+half, readingStroke)
	}
	y := top + 1.6 + geometry.Length(len(p.ticks))*c.row + 1.6
	first, second := words.OfHand(p.Person)
	if d := p.Deviation; d.Known {
		if d.Bounded {
			s.Add(bar(drawing.Point{X: c.axis.at(d.Low), Y: y}, drawing.Point{X: c.axis.at(d.High), Y: y}))
		}
		s.Add(drawing.Line{From: drawing.Point{X: c.axis.at(d.Value), Y: y - 1.3}, To: drawing.Point{X: c.axis.at(d.Value), Y: y + 1.3}, Stroke: drawing.Stroke{Width: 0.9, Ink: drawing.Black}})
	}
	s.Add(
		drawing.Text{At: drawing.Point{X: peopleText, Y: mid - 0.8}, Size: textSize, Bold: true, Text: first},
		drawing.Text{At: drawing.Point{X: peopleText, Y: mid + 3}, Size: textSize, Text: second},
	)
	return told + ", " + first + ", " + second
}

// readingStroke is that of one reading's tick.
var readingStroke = drawing.Stroke{Width: 0.3, Ink: drawing.Black}

// earlyLate draws an axis of degrees at a height, early to the left.
func earlyLate(s *drawing.Scene, axis scale, y geometry.Length) {
	values, n := axis.ticks(8)
	for _, v := range values {
		s.Add(
			drawing.Line{From: drawing.Point{X: axis.at(v), Y: y}, To: drawing.Point{X: axis.at(v), Y: y + 1.2}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: axis.at(v), Y: y + 4.2}, Size: textSize, Anchor: drawing.Middle, Text: rounding.Signed(v, n)},
		)
	}
	s.Add(
		drawing.Line{From: drawing.Point{X: axis.from, Y: y}, To: drawing.Point{X: axis.to, Y: y}, Stroke: drawing.Thin},
		drawing.Text{At: drawing.Point{X: axis.from, Y: y + 8.2}, Size: textSize, Text: "◄ early, degrees"},
		drawing.Text{At: drawing.Point{X: axis.to, Y: y + 8.2}, Size: textSize, Anchor: drawing.End, Text: "late ►"},
	)
}
