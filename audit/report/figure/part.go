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

// Sizes of the figure, in millimetres.
const (
	discRadius geometry.Length = 23
	discX      geometry.Length = 48
	discY      geometry.Length = 47
	discFoot   geometry.Length = 74 // the first place begins
	furtherTop geometry.Length = 15 // the same on a figure without the disc
	legendX    geometry.Length = 103
)

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
		u.disc(&s, all)
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
	note := "The disc is true: every line where it was found, the crank at TDC. Below it each place is unrolled at the scale that stands beside it"
	right := "clockwise"
	if u.mirrored {
		right = "anticlockwise"
	}
	switch u.Result.Sheet.Part.Moves {
	case "up", "down":
		note += ", the window turned by a quarter: up is to the right."
	case "":
		note += "; right is " + right + "."
	default:
		note += ", as the window shows it: right is " + right + "."
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

// runs begins what says the running direction.
func (u unrolling) runs() string {
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		return "The line goes"
	}
	return "It runs"
}

// disc draws the part, its lines where they were found, its places and which way it
// runs.
func (u unrolling) disc(s *drawing.Scene, all []place) {
	centre := drawing.Point{X: discX, Y: discY}
	at := func(r geometry.Length, a geometry.Angle) drawing.Point { return drawing.Polar(centre, r, a) }
	s.Add(drawing.Circle{Centre: centre, Radius: discRadius, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black}})
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		const inner geometry.Length = 11
		s.Add(
			drawing.Circle{Centre: centre, Radius: inner, Fill: drawing.Pale, Stroke: drawing.Thin},
			drawing.Line{From: at(inner-5, 0), To: at(inner, 0), Stroke: drawing.Stroke{Width: 0.9, Ink: drawing.Deep}},
			drawing.Text{At: centre.Plus(0, -1.6), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "turning"},
			drawing.Text{At: centre.Plus(0, 1.5), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "line"},
			drawing.Text{At: at(discRadius+3, 0), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "fixed scale"},
		)
	} else {
		tip := at(discRadius+0.8, 0)
		s.Add(
			drawing.Polygon{Points: []drawing.Point{tip, tip.Plus(1.5, -5), tip.Plus(-1.5, -5)}, Fill: drawing.Deep},
			drawing.Text{At: tip.Plus(0, -6.2), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "pointer"},
		)
	}
	u.runningArrow(s, centre)
	for _, whole := range groupsOf(all) {
		u.key(s, at, whole)
	}
}

// runningArrow stands outside the rim at the top, where the marks are.
func (u unrolling) runningArrow(s *drawing.Scene, centre drawing.Point) {
	turns := u.Result.Sheet.Engine.Turns
	side, anchor := geometry.Length(1), drawing.Start
	from, to, ahead := geometry.Angle(24), geometry.Angle(58), geometry.Angle(90)
	if turns == geometry.Anticlockwise {
		side, anchor, from, to, ahead = -1, drawing.End, -from, -to, -ahead
	}
	const radius = discRadius + 4.4
	s.Add(
		drawing.Polygon{Points: drawing.Arc(centre, radius, from, to-ahead/90*5), Open: true, Stroke: drawing.Stroke{Width: 1.1, Ink: drawing.Black}},
		head(drawing.Polar(centre, radius, to), to+ahead-ahead/90*4, 4.2),
	)
	for i, text := range []string{strings.ToLower(u.runs()), turns.String()} {
		s.Add(drawing.Text{
			At: drawing.Point{X: centre.X + side*(radius-4), Y: centre.Y - radius + 2.6 + geometry.Length(i)*3.6}, Size: drawing.TextSize, Anchor: anchor, Bold: true, Text: text,
		})
	}
}

// key draws the lines of a place on the disc, as thick as their number leaves them
// apart, and the place's letter; those of its parts where there is room.
func (u unrolling) key(s *drawing.Scene, at func(geometry.Length, geometry.Angle) drawing.Point, parts []place) {
	n := 0
	for _, p := range parts {
		n += len(p.rows)
	}
	stroke := drawing.Stroke{Width: 0.5, Ink: drawing.Black}
	if n > 8 {
		stroke.Width = 0.25
	}
	const low, bracket geometry.Length = discRadius - 4, discRadius - 5.2
	const letters, partLetters = discRadius - 8.6, discRadius - 7.8
	onDisc := func(p place) (from, to geometry.Angle) {
		return u.seen(p.rows[0].found), u.seen(p.rows[len(p.rows)-1].found)
	}
	var names []drawing.Text // of the parts, beside their brackets
	for _, p := range parts {
		for _, r := range p.rows {
			if r.mark.Offset != nil {
				a := u.seen(r.found)
				s.Add(drawing.Line{From: at(low, a), To: at(discRadius, a), Stroke: stroke})
			}
		}
		from, to := onDisc(p)
		over := geometry.Angle(1.2)
		if len(parts) > 1 { // or the brackets of neighbours would run into one
			over = 0
		}
		if len(p.rows) > 1 {
			s.Add(drawing.Polygon{Points: drawing.Arc(at(0, 0), bracket, min(from, to)-over, max(from, to)+over), Open: true, Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.Black}})
		}
		names = append(names, drawing.Text{At: at(partLetters, (from+to)/2).Plus(0, 0.36*partSize), Size: partSize, Anchor: drawing.Middle, Bold: true, Text: p.name()})
	}
	// Every name is written, or every second, third … of them: whichever leaves them
	// apart. A place of one part, or too crowded for three names, has its letter.
	for every := 1; len(parts) > 1 && every*3 <= max(len(parts), 3); every++ {
		var some []drawing.Text
		for i := 0; i < len(names); i += every {
			some = append(some, names[i])
		}
		if areApart(some) {
			for _, name := range some {
				s.Add(name)
			}
			return
		}
	}
	from, _ := onDisc(parts[0])
	_, to := onDisc(parts[len(parts)-1])
	middle := at(letters, (from+to)/2)
	s.Add(drawing.Text{At: middle.Plus(0, 0.36*letterSize), Size: letterSize, Anchor: drawing.Middle, Bold: true, Text: parts[0].letter})
}

// areApart reports whether texts round a middle leave room between each other.
func areApart(texts []drawing.Text) bool {
	for i, a := range texts {
		for _, b := range texts[:i] {
			wide := (a.Extent() + b.Extent()) / 2
			if math.Abs(float64(a.At.X-b.At.X)) < float64(wide) && math.Abs(float64(a.At.Y-b.At.Y)) < float64(a.Size) {
				return false
			}
		}
	}
	return true
}

const (
	letterSize geometry.Length = 3.6
	partSize   geometry.Length = 2.2
)

// legend says what the signs of the unrolled places are.
func (u unrolling) legend(s *drawing.Scene) {
	y := geometry.Length(21)
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
		{"the line as found may really stand anywhere here (" + u.Confidence() + ")", func() []drawing.Item {
			return []drawing.Item{bar(at(-wide/2, 0), at(wide/2, 0)), barEnd(at(-wide/2, 0)), barEnd(at(wide/2, 0))}
		}},
		{"scribe anew: from the old line to the new", func() []drawing.Item { return wayArrow(at(-wide/2, 0), at(wide/2, 0)) }},
	} {
		s.Add(e.items()...)
		s.Add(drawing.Text{At: drawing.Point{X: legendX + wide + 2, Y: y}, Size: drawing.NoteSize, Text: e.text})
		y += 6
	}
	x := legendX + wide + 2
	for i, e := range []diagnosis.Verdict{diagnosis.Within, diagnosis.Undecided, diagnosis.Outside} {
		text := drawing.Text{At: drawing.Point{X: x, Y: y}, Size: drawing.NoteSize, Text: words.Verdict(audit.LineResult{Verdict: e})}
		if i == 0 {
			s.Add(verdictSign(at(0, 0), e)...)
		} else {
			s.Add(verdictSign(drawing.Point{X: x - 3.5, Y: y - 1}, e)...)
		}
		s.Add(text)
		x += text.Extent() + 9.5
	}
}
