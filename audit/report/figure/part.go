package figure

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Part shows the part as one sees it when facing its marks, the crank at TDC: a
// disc, true, with each line where it was found, as a key; below it each place with
// lines, unrolled at a stated scale, with the line as found, where it belongs, its
// tolerance, its doubt and the way between. Nothing is drawn larger than the scale
// says. What does not fit a page goes on in further figures.
func Part(r audit.Result) []drawing.Scene {
	if len(r.ByLine()) == 0 {
		return nil
	}
	u := newUnrolling(words.NewAudit(r, nil))
	places := u.places()
	room := drawing.Tallest - discFoot
	var figures [][]place
	var used geometry.Length
	rows := 0
	for _, p := range places { // the first of them fits below the disc, for so they are divided
		h := u.height(p)
		if len(figures) == 0 || used+h > room || rows+len(p.rows) > mostRows {
			if len(figures) > 0 {
				room = drawing.Tallest - furtherTop
			}
			figures, used, rows = append(figures, nil), 0, 0
		}
		figures[len(figures)-1] = append(figures[len(figures)-1], p)
		used += h
		rows += len(p.rows)
	}
	var all []drawing.Scene
	for i, here := range figures {
		all = append(all, u.figure(places, here, i == 0, rounding.PartOf(i, len(figures))))
	}
	return all
}

// Where the figure has what, in millimetres.
const (
	discFoot   geometry.Length = 75              // the first place begins
	furtherTop                 = drawing.Top + 2 // the same on a figure without the disc
	legendX    geometry.Length = 96
)

// partDisc is the disc of a figure of its own.
var partDisc = disc{centre: drawing.Point{X: 48, Y: 49}, radius: 23}

// onPaper is where a line stands when the crank is at TDC, clockwise from the
// pointer, or from where the turning line then stands. A line of the part that
// comes up later lies further back; one of a fixed scale lies further on.
func (u unrolling) onPaper(crank geometry.Angle) geometry.Angle {
	a := u.Result.Sheet.Part.Turned(crank)
	if u.earlier == geometry.Clockwise {
		return -a
	}
	return a
}

// figure draws the places of one figure, below the disc where it is the first.
func (u unrolling) figure(all, here []place, first bool, of string) drawing.Scene {
	s := titled(u.title()+of, u.note(all))
	y := furtherTop
	if first {
		u.disc(&s, partDisc, groupsOf(all), true)
		u.legend(&s)
		y = discFoot
	}
	var told []string
	for _, p := range here {
		u.draw(&s, p, y)
		y += u.height(p)
		for _, r := range p.rows {
			told = append(told, p.name()+", "+u.told(r))
		}
	}
	s.Height = y
	s.Description += fmt.Sprintf(" %s %s. %s.", u.runs(), u.Result.Sheet.Engine.Turns, strings.Join(told, "; "))
	return s
}

// title says from where one looks, at what, and how large that is.
func (u unrolling) title() string {
	part := u.Result.Sheet.Part
	title := "As you look at the marks"
	if part.SeenFrom != "" {
		title += " (" + words.Clean(part.SeenFrom) + ")"
	}
	var of []string
	if part.Name != "" {
		of = append(of, words.Clean(part.Name))
	}
	if part.Diameter > 0 {
		of = append(of, rounding.Plain(math.Round(part.Diameter.In(u.unit)*1000)/1000)+" "+u.unit.String()+" across")
	}
	if len(of) > 0 {
		title += ": " + strings.Join(of, ", ")
	}
	return title
}

// note says how to read the figure.
func (u unrolling) note(all []place) string {
	note := "The disc is true: every line where it was found, the crank at TDC. Below it each place is unrolled at the scale that stands beside it. " + u.toTheRight()
	if u.Result.Advice.Together.Worthwhile { // or somebody scribes the wrong way
		note += " All lines are off alike: none is scribed here."
	}
	for _, p := range all {
		for _, r := range p.rows {
			if r.cut() {
				return note + " A bar that ends in arrows is longer."
			}
		}
	}
	return note
}

// toTheRight says which way round the part right is on the paper.
func (u unrolling) toTheRight() string {
	right := "clockwise"
	if u.mirrored {
		right = "anticlockwise"
	}
	switch u.Result.Sheet.Part.Moves {
	case "up", "down":
		return "The window is turned by a quarter: up is to the right."
	case "":
		return "Right is " + right + "."
	}
	at := ""
	for _, m := range u.Result.ByLine() { // of a fixed scale, where the line that turns stands at TDC
		if u.Result.Sheet.Part.MarksOn == sheet.OnEngine && m.Offset != nil && u.onPaper(m.Place+m.Offset.Value).Wrap().Abs() < apart/3 {
			at = " at " + words.Quoted(m.Name)
			break
		}
	}
	return "As the window" + at + " shows it, right is " + right + "."
}

// runs begins what says the running direction.
func (u unrolling) runs() string {
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "The line goes"
	}
	return "It runs"
}

// legend says what the signs of the unrolled places are.
func (u unrolling) legend(s *drawing.Scene) {
	y := geometry.Length(25)
	const wide geometry.Length = 8
	mid := legendX + wide/2
	at := func(dx, dy geometry.Length) drawing.Point { return drawing.Point{X: mid + dx, Y: y - 1 + dy} }
	for _, e := range []struct {
		text  string
		items func() []drawing.Item
	}{
		{"the line as found", func() []drawing.Item {
			return []drawing.Item{drawing.Line{From: at(0, -2), To: at(0, 2), Stroke: drawing.Thick}}
		}},
		{"where it belongs", func() []drawing.Item { return belongsSign(at(0, 0), 2) }},
		{"its tolerance, either way of where it belongs", func() []drawing.Item {
			return []drawing.Item{drawing.Rectangle(at(-wide/2, -1.6), wide, 3.2, drawing.Pale, drawing.Stroke{})}
		}},
		{"its doubt: it may really stand anywhere here (" + u.Confidence() + ")", func() []drawing.Item {
			return []drawing.Item{bar(at(-wide/2, 0), at(wide/2, 0)), barEnd(at(-wide/2, 0)), barEnd(at(wide/2, 0))}
		}},
		{"the way from the old line to the new", func() []drawing.Item { return wayArrow(at(-wide/2, 0), at(wide/2, 0)) }},
	} {
		s.Add(e.items()...)
		s.Add(drawing.Text{At: drawing.Point{X: legendX + wide + 2, Y: y}, Size: textSize, Text: e.text})
		y += 6.2
	}
	s.Add(numberSign(at(0, 0), 4)...)
	s.Add(drawing.Text{At: drawing.Point{X: legendX + wide + 2, Y: y}, Size: textSize, Text: "which line of the sheet it is, counted from the first"})
	y += 6.2
	x := legendX + wide + 2
	for i, e := range []diagnosis.Verdict{diagnosis.Within, diagnosis.Undecided, diagnosis.Outside} {
		text := drawing.Text{At: drawing.Point{X: x, Y: y}, Size: textSize, Text: words.Verdict(audit.LineResult{Verdict: e})}
		if i == 0 {
			s.Add(verdictSign(at(0, 0), e)...)
		} else {
			s.Add(verdictSign(drawing.Point{X: x - 3.5, Y: y - 1}, e)...)
		}
		s.Add(text)
		x += text.Extent() + 9.5
	}
}
