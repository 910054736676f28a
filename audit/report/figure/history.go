package figure

import (
	"fmt"
	"math"
	"strings"
	"time"

	"markaudit/audit"
	"markaudit/audit/compare"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// History shows each line's offset with its interval and verdict, audit by audit, to
// a scale of time where every audit has its day; audits of one day stand side by
// side. No line joins the audits, for between them nothing was measured.
func History(c compare.Comparison, paths []string) []drawing.Scene {
	h := historyOf(c, paths)
	if len(h.lines) == 0 {
		return nil
	}
	parts := parted(h.lines, func(historyLine) geometry.Length { return historyPanel }, drawing.Tallest-historyTop-16)
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, h.figure(part, rounding.PartOf(i, len(parts))))
	}
	return all
}

// Sizes of the figure, in millimetres.
const (
	historyTop                      = drawing.Top + 5
	historyPanel    geometry.Length = 34
	historyLeft     geometry.Length = 40
	historyRight                    = drawing.PageWidth - 2
	historyAside    geometry.Length = 4 // from audit to audit of one day
	historyFootRoom geometry.Length = 13
)

// chronicle is a comparison laid out along time.
type chronicle struct {
	words.Comparison
	lines     []historyLine
	at        []geometry.Length // of each audit on the paper
	dated     bool
	low, high float64         // of the degrees
	perDay    geometry.Length // on the paper; 0 without days, or where all is of one day
}

type historyLine struct {
	name   string
	audits []int // that read it
	marks  []audit.LineResult
}

func historyOf(c compare.Comparison, paths []string) chronicle {
	h := chronicle{Comparison: words.Comparison{Result: c, Paths: paths}}
	index := map[string]int{} // only looked up
	for i, r := range c.Audits {
		for _, m := range r.ByLine() {
			if m.Offset == nil {
				continue
			}
			at, known := index[m.Name]
			if !known {
				at = len(h.lines)
				index[m.Name] = at
				h.lines = append(h.lines, historyLine{name: m.Name})
			}
			l := &h.lines[at]
			l.audits, l.marks = append(l.audits, i), append(l.marks, m)
			early, late := m.Allowed()
			d, u := m.Offset.Value.Degrees(), m.Offset.Expanded.Degrees()
			h.low, h.high = min(h.low, d-u, -early.Degrees()), max(h.high, d+u, late.Degrees())
		}
	}
	margin := math.Max(0.08*(h.high-h.low), 1e-3)
	h.low, h.high = h.low-margin, h.high+margin
	h.place(c.Taken)
	return h
}

// place puts the audits along time, as far apart as their days, or equally far where
// not all have one.
func (h *chronicle) place(taken []time.Time) {
	h.dated = true
	for _, t := range taken {
		h.dated = h.dated && !t.IsZero()
	}
	first, last := taken[0], taken[len(taken)-1]
	beside, same := make([]geometry.Length, len(taken)), geometry.Length(0)
	for i := 1; i < len(taken); i++ {
		if h.dated && taken[i].Equal(taken[i-1]) {
			beside[i] = beside[i-1] + historyAside
		}
		same = max(same, beside[i])
	}
	from, to := historyLeft+6, historyRight-12-same
	if h.dated && last.After(first) {
		h.perDay = (to - from) / geometry.Length(last.Sub(first).Hours()/24)
	}
	for i, t := range taken {
		x := from + (to-from)*(geometry.Length(i)+0.5)/geometry.Length(len(taken))
		switch {
		case h.perDay > 0:
			x = from + h.perDay*geometry.Length(t.Sub(first).Hours()/24)
		case h.dated:
			x = (from + to) / 2
		}
		h.at = append(h.at, x+beside[i])
	}
}

func (h chronicle) figure(part []historyLine, of string) drawing.Scene {
	note := "To the scale of time. "
	if !h.dated {
		note = "Equally far apart, for not every audit has its day. "
	}
	s := titled("Each line, audit by audit"+of, note+"Grey: the tolerance. Disc: within; square with a cross: OUTSIDE; diamond: undecided. Bar: where the true offset lies. No line joins the audits, for between them nothing was measured.")
	y := historyTop
	var told []string
	for _, line := range part {
		told = append(told, h.draw(&s, line, y))
		y += historyPanel
	}
	h.foot(&s, y)
	s.Height = y + historyFootRoom
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

// draw draws one line's panel and says it in words.
func (h chronicle) draw(s *drawing.Scene, line historyLine, top geometry.Length) string {
	c := scale{h.low, h.high, top + historyPanel - 3, top + 3}
	for i, text := range drawing.Wrap(words.Clean(line.name), textSize, historyLeft-14, mostLines) {
		s.Add(drawing.Text{At: drawing.Point{X: 0, Y: top + 8 + geometry.Length(i)*drawing.Leading}, Size: textSize, Bold: true, Text: text})
	}
	last := line.marks[len(line.marks)-1]
	early, late := last.Allowed()
	s.Add(
		drawing.Text{At: drawing.Point{X: 0, Y: top + historyPanel - 8}, Size: textSize, Text: "late above,"},
		drawing.Text{At: drawing.Point{X: 0, Y: top + historyPanel - 4.9}, Size: textSize, Text: "early below"},
		drawing.Rectangle(drawing.Point{X: historyLeft, Y: c.at(late.Degrees())}, historyRight-historyLeft, c.at(-early.Degrees())-c.at(late.Degrees()), drawing.Pale, drawing.Stroke{}),
		drawing.Line{From: drawing.Point{X: historyLeft, Y: c.at(0)}, To: drawing.Point{X: historyRight, Y: c.at(0)}, Stroke: drawing.Hair},
		drawing.Line{From: drawing.Point{X: historyLeft, Y: c.from}, To: drawing.Point{X: historyLeft, Y: c.to}, Stroke: drawing.Thin},
	)
	values, n := c.ticks(5)
	for _, v := range values {
		s.Add(
			drawing.Line{From: drawing.Point{X: historyLeft - 1, Y: c.at(v)}, To: drawing.Point{X: historyLeft, Y: c.at(v)}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: historyLeft - 1.6, Y: c.at(v) + 0.9}, Size: textSize, Anchor: drawing.End, Text: rounding.Signed(v, n) + "°"},
		)
	}
	told := words.Clean(line.name) + ":"
	free := geometry.Length(0) // where the last value ends
	for k, m := range line.marks {
		i := line.audits[k]
		x, d, u := h.at[i], m.Offset.Value.Degrees(), m.Offset.Expanded.Degrees()
		if m.Offset.Known {
			s.Add(drawing.Line{From: drawing.Point{X: x, Y: c.at(d - u)}, To: drawing.Point{X: x, Y: c.at(d + u)}, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}})
		}
		s.Add(sign(drawing.Point{X: x, Y: c.at(d)}, m)...)
		value := drawing.Text{At: drawing.Point{X: x + 2.2, Y: c.at(d) + 0.9}, Size: textSize, Text: rounding.Signed(d, words.MarkPlaces(m))}
		if math.Abs(float64(value.At.Y-0.9-c.at(0))) < 1.5 { // not on the line of zero
			value.At.Y = c.at(0) - 0.8
		}
		ends := value.At.X + value.Extent()
		if next := k+1 < len(line.marks) && h.at[line.audits[k+1]]-2 < ends; !next && x-1.6 >= free {
			s.Add(value)
			free = ends
		}
		told += " " + h.Label(i) + " " + words.Offset(m.Offset) + ", " + words.Judged(m) + ";"
	}
	return strings.TrimSuffix(told, ";")
}

// foot draws the audits' days below the last panel: a tick each, and its day or
// number where there is room.
func (h chronicle) foot(s *drawing.Scene, y geometry.Length) {
	s.Add(drawing.Line{From: drawing.Point{X: historyLeft, Y: y}, To: drawing.Point{X: historyRight, Y: y}, Stroke: drawing.Thin})
	h.calendar(s, y)
	free := geometry.Length(-1)
	for i, x := range h.at {
		s.Add(drawing.Line{From: drawing.Point{X: x, Y: y + 5.4}, To: drawing.Point{X: x, Y: y + 7.2}, Stroke: drawing.Thick})
		label := drawing.Text{At: drawing.Point{X: x, Y: y + 10.4}, Size: textSize, Anchor: drawing.Middle, Text: h.Label(i)}
		half := label.Extent() / 2
		label.At.X = min(label.At.X, historyRight+2-half)
		if label.At.X-half > free {
			s.Add(label)
			free = label.At.X + half + 1
		}
	}
}

// calendar draws years, or months where the audits span less than two years.
func (h chronicle) calendar(s *drawing.Scene, y geometry.Length) {
	if h.perDay == 0 {
		return
	}
	first := h.Result.Taken[0]
	for _, months := range []int{1, 3, 12, 24, 60, 120, 240} {
		if h.perDay*30.4*geometry.Length(months) < 16 {
			continue
		}
		t := time.Date(first.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
		for ; ; t = t.AddDate(0, months, 0) {
			x := h.at[0] + h.perDay*geometry.Length(t.Sub(first).Hours()/24)
			if x > historyRight-8 {
				return
			}
			if x < historyLeft {
				continue
			}
			text := fmt.Sprint(t.Year())
			if months < 12 {
				text = t.Format("2006-01")
			}
			s.Add(
				drawing.Line{From: drawing.Point{X: x, Y: y}, To: drawing.Point{X: x, Y: y + 1.2}, Stroke: drawing.Thin},
				drawing.Text{At: drawing.Point{X: x + 0.8, Y: y + 3.6}, Size: textSize, Text: text},
			)
		}
	}
}
