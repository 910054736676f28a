package figure

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Part shows the part as one sees it when facing its marks, the crank at
// TDC: the running direction, each line as it was found, where it belongs, and
// the shift in millimetres where a diameter is stated. Shifts too small to see
// are drawn larger, by a factor that the figure states. Many lines are spread
// over several figures.
func Part(r audit.Result) []drawing.Scene {
	if len(r.ByLine()) == 0 {
		return nil
	}
	v := words.NewAudit(r, nil)
	factor := exaggeration(r)
	var callouts []callout
	for _, m := range r.ByLine() {
		callouts = append(callouts, newCallout(v, m, factor))
	}
	parts := [][]callout{callouts}
	for tooHigh(parts) {
		var halves [][]callout
		for _, p := range parts {
			if len(p) > 1 {
				halves = append(halves, p[:(len(p)+1)/2], p[(len(p)+1)/2:])
			} else {
				halves = append(halves, p)
			}
		}
		parts = halves
	}
	var all []drawing.Scene
	for i, p := range parts {
		all = append(all, partFigure(v, p, factor, rounding.PartOf(i, len(parts))))
	}
	return all
}

// Sizes of the figure, in millimetres.
const (
	rim       geometry.Length = 30
	middleX                   = drawing.PageWidth / 2
	leftEdge  geometry.Length = 50 // of the callouts, right-aligned there
	rightEdge                 = drawing.PageWidth - leftEdge
)

// callout is a line with what is written beside it.
type callout struct {
	mark           audit.LineResult
	belongs, found geometry.Angle // on the paper, clockwise from straight up
	name, text     []string
	height         geometry.Length
	y              geometry.Length // of its middle, once placed
}

func tooHigh(parts [][]callout) bool {
	for _, p := range parts {
		for _, side := range sides(p) {
			var sum geometry.Length
			for _, c := range side {
				sum += c.height
			}
			if sum > drawing.Tallest-drawing.Top-8 && len(p) > 1 {
				return true
			}
		}
	}
	return false
}

// onPaper is where a line stands when the crank is at TDC, clockwise from the
// pointer, or from where the turning line then stands. A line of the part that
// comes up later lies further back; one of a fixed scale lies further on.
func onPaper(s sheet.Sheet, crank geometry.Angle) geometry.Angle {
	a := crank
	if s.Part.HalfSpeed {
		a /= 2
	}
	if advise.Earlier(s) == geometry.Clockwise {
		return -a
	}
	return a
}

// exaggeration is the largest of 1, 2, 5, 10 … 100 by which shifts can be drawn
// larger without a line passing another or moving by more than 10 degrees.
func exaggeration(r audit.Result) float64 {
	best := 1.0
	for _, f := range []float64{2, 5, 10, 20, 50, 100} {
		var worst geometry.Angle
		var lines [][2]geometry.Angle // belongs, found
		for _, m := range r.ByLine() {
			if m.Offset == nil {
				continue
			}
			shift := m.Offset.Value * geometry.Angle(f)
			worst = max(worst, onPaper(r.Sheet, shift).Abs())
			lines = append(lines, [2]geometry.Angle{m.Place.Turn(), m.Place.Turn() + shift})
		}
		slices.SortStableFunc(lines, func(a, b [2]geometry.Angle) int { return cmp.Compare(a[0], b[0]) })
		ordered := slices.IsSortedFunc(lines, func(a, b [2]geometry.Angle) int { return cmp.Compare(a[1], b[1]) })
		if worst > 10 || !ordered {
			break
		}
		best = f
	}
	return best
}

func newCallout(v words.Audit, m audit.LineResult, factor float64) callout {
	const width = leftEdge - 4
	c := callout{mark: m, name: drawing.Wrap(words.Clean(m.Name), drawing.TextSize, width, mostLines), belongs: onPaper(v.Result.Sheet, m.Place)}
	c.found = c.belongs
	say := func(text string) {
		c.text = append(c.text, drawing.Wrap(text, drawing.NoteSize, width, 2)...)
	}
	if m.Offset == nil {
		say("not read; belongs at " + m.AtText)
	} else {
		c.found += onPaper(v.Result.Sheet, m.Offset.Value*geometry.Angle(factor))
		far := rounding.OffBy(m.Offset.Value, words.MarkPlaces(m))
		if v.Result.Sheet.Part.Diameter > 0 {
			far += ", " + v.Of(max(m.OnRim.Arc, -m.OnRim.Arc)) + " on the rim"
		}
		say(far)
		say(words.Judged(m))
		if m.Scribe.Worthwhile {
			to := v.Goes(m.Scribe)
			if m.Scribe.HasLengths {
				to = v.Of(m.Scribe.Arc) + " " + to
			}
			say("new line: " + to)
			say("that is " + strings.ToUpper(m.Scribe.Rotation.String()))
		}
	}
	c.height = geometry.Length(len(c.name))*drawing.Leading + geometry.Length(len(c.text))*3.2 + 2.2
	return c
}

// sides parts callouts into those right and left of the vertical, from the top.
func sides(all []callout) [2][]callout {
	var out [2][]callout
	for _, c := range all {
		side := 0
		if a := c.found.Wrap(); a < 0 || a == 180 {
			side = 1
		}
		out[side] = append(out[side], c)
	}
	for _, side := range out {
		slices.SortStableFunc(side, func(a, b callout) int { return cmp.Compare(a.found.Wrap().Abs(), b.found.Wrap().Abs()) })
	}
	return out
}

// spread puts callouts beside their lines, without overlap, around the height of
// the part's middle. It returns how far they reach above and below.
func spread(side []callout, centre geometry.Length) (top, bottom geometry.Length) {
	for i := range side {
		c := &side[i]
		c.y = drawing.Polar(drawing.Point{Y: centre}, rim+6, c.found).Y
	}
	// Pushed apart downwards, then as a whole back up by half of what that took.
	for pass := range 2 {
		for i := 1; i < len(side); i++ {
			if least := side[i-1].y + (side[i-1].height+side[i].height)/2; side[i].y < least {
				side[i].y = least
			}
		}
		if pass > 0 || len(side) == 0 {
			break
		}
		var wanted geometry.Length
		for _, c := range side {
			wanted += c.y - drawing.Polar(drawing.Point{Y: centre}, rim+6, c.found).Y
		}
		for i := range side {
			side[i].y -= wanted / geometry.Length(len(side))
		}
	}
	if len(side) == 0 {
		return centre, centre
	}
	last := side[len(side)-1]
	return side[0].y - side[0].height/2, last.y + last.height/2
}

func partFigure(v words.Audit, all []callout, factor float64, of string) drawing.Scene {
	part := v.Result.Sheet.Part
	title := "The part as you see it"
	if part.SeenFrom != "" {
		title = "As you look at the marks (" + words.Clean(part.SeenFrom) + ")"
	}
	title = drawing.Wrap(title+of, drawing.TitleSize, drawing.PageWidth, 1)[0]
	note := "The crank stands at TDC. Thick: the line as found; dashed, with a triangle: where it belongs."
	if factor > 1 {
		note += fmt.Sprintf(" Shifts are drawn %s times as large as they are.", rounding.Plain(factor))
	} else {
		note += " Shifts are drawn as they are."
	}
	s := drawing.Titled(title, note)
	lr := sides(all)
	top, bottom := -rim-13, rim+5 // around a middle at height zero
	for _, side := range lr {
		t, b := spread(side, 0)
		top, bottom = min(top, t), max(bottom, b)
	}
	centre := drawing.Point{X: middleX, Y: drawing.Top + 2 - top}
	for i := range lr {
		for j := range lr[i] {
			lr[i][j].y += centre.Y
		}
	}
	s.Height = centre.Y + bottom + 1
	drawPart(v, &s, centre)
	var told []string
	for i, side := range lr {
		for _, c := range side {
			c.draw(&s, centre, i == 1)
			told = append(told, words.Clean(c.mark.Name)+": "+strings.Join(c.text, ", "))
		}
	}
	s.Description += fmt.Sprintf(" It runs %s. %s.", v.Result.Sheet.Engine.Turns, strings.Join(told, "; "))
	return s
}

// drawPart draws what is there without lines: rim, pointer or turning line, and
// the way it runs.
func drawPart(v words.Audit, s *drawing.Scene, centre drawing.Point) {
	part, turns := v.Result.Sheet.Part, v.Result.Sheet.Engine.Turns
	up := func(r geometry.Length) drawing.Point { return centre.Plus(0, -r) }
	s.Add(drawing.Circle{Centre: centre, Radius: rim, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black}})
	label := "pointer"
	if part.MarksOn == sheet.OnEngine {
		label = "fixed scale"
		inner := rim - 10.5
		s.Add(
			drawing.Circle{Centre: centre, Radius: inner, Fill: drawing.Pale, Stroke: drawing.Thin},
			drawing.Line{From: up(inner - 7), To: up(inner), Stroke: drawing.Stroke{Width: 1, Ink: drawing.Deep}},
			drawing.Text{At: up(inner - 10.5), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "turning line"},
			drawing.Text{At: up(rim + 9.5), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: label},
			drawing.Line{From: up(rim + 8.8), To: up(rim + 1), Stroke: drawing.Hair},
		)
	} else {
		s.Add(
			drawing.Polygon{Points: []drawing.Point{up(rim + 1.2), up(rim+8).Plus(2, 0), up(rim+8).Plus(-2, 0)}, Fill: drawing.Deep},
			drawing.Text{At: up(rim + 9.5), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: label},
		)
	}
	// The arrow runs along the bottom, inside the part.
	const radius geometry.Length = 15
	from, to, ahead := geometry.Angle(250), geometry.Angle(110), geometry.Angle(-90)
	if turns == geometry.Clockwise {
		from, to, ahead = to, from, 90
	}
	tip := drawing.Polar(centre, radius, to)
	// The shaft ends within the head, whose chord leans in by 4 degrees.
	head := arrowhead(tip, to+ahead-4*ahead/ahead.Abs())
	s.Add(
		drawing.Polygon{Points: drawing.Arc(centre, radius, from, to-(to-from)/(to-from).Abs()*6), Open: true, Stroke: drawing.Stroke{Width: 0.5, Ink: drawing.Black}},
		head,
		drawing.Text{At: centre.Plus(0, 1.5), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: "runs"},
		drawing.Text{At: centre.Plus(0, 4.8), Size: drawing.NoteSize, Anchor: drawing.Middle, Text: turns.String()},
	)
}

func (c callout) draw(s *drawing.Scene, centre drawing.Point, left bool) {
	const length geometry.Length = 9
	at := func(r geometry.Length, a geometry.Angle) drawing.Point { return drawing.Polar(centre, r, a) }
	// Where it belongs.
	tip := at(rim+0.4, c.belongs)
	s.Add(
		drawing.Line{From: at(rim-length, c.belongs), To: at(rim, c.belongs), Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.Deep, Dashed: true}},
		drawing.Polygon{Points: []drawing.Point{tip, drawing.Polar(tip, 2, c.belongs-24), drawing.Polar(tip, 2, c.belongs+24)}, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Deep}},
	)
	if c.mark.Offset != nil {
		s.Add(drawing.Line{From: at(rim-length, c.found), To: at(rim, c.found), Stroke: drawing.Thick})
	}
	if way := c.belongs - c.found; c.mark.Scribe.Worthwhile && way.Abs() > 6 { // room for an arrow
		end, turn := c.belongs-way/way.Abs()*1.2, geometry.Angle(90)
		if way < 0 {
			turn = -90
		}
		s.Add(
			drawing.Polygon{Points: drawing.Arc(centre, rim-length/2, c.found, end-way/way.Abs()*3), Open: true, Stroke: drawing.Thin},
			arrowhead(at(rim-length/2, end), end+turn),
		)
	}
	edge, side, anchor := rightEdge, geometry.Length(1), drawing.Start
	if left {
		edge, side, anchor = leftEdge, -1, drawing.End
	}
	first := c.y - c.height/2 + drawing.Leading
	elbow := drawing.Point{X: edge - side*2, Y: first - 1}
	s.Add(drawing.Polygon{Points: []drawing.Point{at(rim, c.found), elbow, elbow.Plus(side*1.4, 0)}, Open: true, Stroke: drawing.Hair})
	s.Add(sign(drawing.Point{X: edge + side*1.6, Y: first - 1}, c.mark)...)
	x, y := edge+side*4, first
	for _, line := range c.name {
		s.Add(drawing.Text{At: drawing.Point{X: x, Y: y}, Size: drawing.TextSize, Anchor: anchor, Text: line})
		y += drawing.Leading
	}
	y -= drawing.Leading - 3.3
	for _, line := range c.text {
		s.Add(drawing.Text{At: drawing.Point{X: x, Y: y}, Size: drawing.NoteSize, Anchor: anchor, Text: line})
		y += 3.2
	}
}
