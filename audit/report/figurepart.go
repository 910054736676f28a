package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/figure"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// PartFigures shows the part as one sees it when facing its marks, the crank at
// TDC: the running direction, each line as it was found, where it belongs, and
// the shift in millimetres where a diameter is stated. Shifts too small to see
// are drawn larger, by a factor that the figure states. Many lines are spread
// over several figures.
func PartFigures(r audit.Result) []figure.Scene {
	if len(r.Marks) == 0 {
		return nil
	}
	v := newVoice(r, nil)
	factor := exaggeration(r)
	var callouts []callout
	for _, m := range r.Marks {
		callouts = append(callouts, v.callout(m, factor))
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
	var all []figure.Scene
	for i, p := range parts {
		all = append(all, v.partFigure(p, factor, ofAll(i, len(parts))))
	}
	return all
}

// Sizes of the figure, in millimetres.
const (
	rim       geometry.Length = 30
	middleX                   = figureWidth / 2
	leftEdge  geometry.Length = 50 // of the callouts, right-aligned there
	rightEdge                 = figureWidth - leftEdge
)

// callout is a line with what is written beside it.
type callout struct {
	mark           audit.Mark
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
			if sum > tallest-figureTop-8 && len(p) > 1 {
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
	if audit.Earlier(s) == geometry.Clockwise {
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
		for _, m := range r.Marks {
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

func (v voice) callout(m audit.Mark, factor float64) callout {
	const width = leftEdge - 4
	c := callout{mark: m, name: figure.Wrap(clean(m.Name), textSize, width, mostLines), belongs: onPaper(v.r.Sheet, m.Place)}
	c.found = c.belongs
	say := func(text string) {
		c.text = append(c.text, figure.Wrap(text, noteSize, width, 2)...)
	}
	if m.Offset == nil {
		say("not read; belongs at " + m.AtText)
	} else {
		c.found += onPaper(v.r.Sheet, m.Offset.Value*geometry.Angle(factor))
		far := offBy(m.Offset.Value, markPlaces(m))
		if v.r.Sheet.Part.Diameter > 0 {
			far += ", " + v.of(max(m.Arc, -m.Arc)) + " on the rim"
		}
		say(far)
		say(judged(m))
		if m.Scribe.Worthwhile {
			to := strings.ToUpper(m.Scribe.Rotation.String())
			if m.Scribe.HasLengths {
				to = v.of(m.Scribe.Arc) + " " + to
			}
			say("new line: " + to)
		}
	}
	c.height = geometry.Length(len(c.name))*leading + geometry.Length(len(c.text))*3.2 + 2.2
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
		c.y = figure.Polar(figure.Point{Y: centre}, rim+6, c.found).Y
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
			wanted += c.y - figure.Polar(figure.Point{Y: centre}, rim+6, c.found).Y
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

func (v voice) partFigure(all []callout, factor float64, of string) figure.Scene {
	part := v.r.Sheet.Part
	title := "The part as you see it"
	if part.SeenFrom != "" {
		title = "As you look at the marks (" + clean(part.SeenFrom) + ")"
	}
	title = figure.Wrap(title+of, titleSize, figureWidth, 1)[0]
	note := "The crank stands at TDC. Thick: the line as found; dashed, with a triangle: where it belongs."
	if factor > 1 {
		note += fmt.Sprintf(" Shifts are drawn %s times as large as they are.", plain(factor))
	} else {
		note += " Shifts are drawn as they are."
	}
	s := newFigure(title, note)
	lr := sides(all)
	top, bottom := -rim-13, rim+5 // around a middle at height zero
	for _, side := range lr {
		t, b := spread(side, 0)
		top, bottom = min(top, t), max(bottom, b)
	}
	centre := figure.Point{X: middleX, Y: figureTop + 2 - top}
	for i := range lr {
		for j := range lr[i] {
			lr[i][j].y += centre.Y
		}
	}
	s.Height = centre.Y + bottom + 1
	v.drawPart(&s, centre)
	var told []string
	for i, side := range lr {
		for _, c := range side {
			c.draw(&s, centre, i == 1)
			told = append(told, clean(c.mark.Name)+": "+strings.Join(c.text, ", "))
		}
	}
	s.Description += fmt.Sprintf(" It runs %s. %s.", v.r.Sheet.Engine.Turns, strings.Join(told, "; "))
	return s
}

// drawPart draws what is there without lines: rim, pointer or turning line, and
// the way it runs.
func (v voice) drawPart(s *figure.Scene, centre figure.Point) {
	part, turns := v.r.Sheet.Part, v.r.Sheet.Engine.Turns
	up := func(r geometry.Length) figure.Point { return centre.Plus(0, -r) }
	s.Add(figure.Circle{Centre: centre, Radius: rim, Fill: figure.White, Stroke: figure.Stroke{Width: 0.35, Ink: figure.Black}})
	label := "pointer"
	if part.MarksOn == sheet.OnEngine {
		label = "fixed scale"
		inner := rim - 10.5
		s.Add(
			figure.Circle{Centre: centre, Radius: inner, Fill: figure.Pale, Stroke: thin},
			figure.Line{From: up(inner - 7), To: up(inner), Stroke: figure.Stroke{Width: 1, Ink: figure.Deep}},
			figure.Text{At: up(inner - 10.5), Size: noteSize, Anchor: figure.Middle, Text: "turning line"},
			figure.Text{At: up(rim + 9.5), Size: noteSize, Anchor: figure.Middle, Text: label},
			figure.Line{From: up(rim + 8.8), To: up(rim + 1), Stroke: hair},
		)
	} else {
		s.Add(
			figure.Polygon{Points: []figure.Point{up(rim + 1.2), up(rim+8).Plus(2, 0), up(rim+8).Plus(-2, 0)}, Fill: figure.Deep},
			figure.Text{At: up(rim + 9.5), Size: noteSize, Anchor: figure.Middle, Text: label},
		)
	}
	// The arrow runs along the bottom, inside the part.
	const radius geometry.Length = 15
	from, to, ahead := geometry.Angle(250), geometry.Angle(110), geometry.Angle(-90)
	if turns == geometry.Clockwise {
		from, to, ahead = to, from, 90
	}
	tip := figure.Polar(centre, radius, to)
	// The shaft ends within the head, whose chord leans in by 4 degrees.
	head := arrowhead(tip, to+ahead-4*ahead/ahead.Abs())
	s.Add(
		figure.Polygon{Points: figure.Arc(centre, radius, from, to-(to-from)/(to-from).Abs()*6), Open: true, Stroke: figure.Stroke{Width: 0.5, Ink: figure.Black}},
		head,
		figure.Text{At: centre.Plus(0, 1.5), Size: noteSize, Anchor: figure.Middle, Text: "runs"},
		figure.Text{At: centre.Plus(0, 4.8), Size: noteSize, Anchor: figure.Middle, Text: turns.String()},
	)
}

func (c callout) draw(s *figure.Scene, centre figure.Point, left bool) {
	const length geometry.Length = 9
	at := func(r geometry.Length, a geometry.Angle) figure.Point { return figure.Polar(centre, r, a) }
	// Where it belongs.
	tip := at(rim+0.4, c.belongs)
	s.Add(
		figure.Line{From: at(rim-length, c.belongs), To: at(rim, c.belongs), Stroke: figure.Stroke{Width: 0.3, Ink: figure.Deep, Dashed: true}},
		figure.Polygon{Points: []figure.Point{tip, figure.Polar(tip, 2, c.belongs-24), figure.Polar(tip, 2, c.belongs+24)}, Fill: figure.White, Stroke: figure.Stroke{Width: 0.25, Ink: figure.Deep}},
	)
	if c.mark.Offset != nil {
		s.Add(figure.Line{From: at(rim-length, c.found), To: at(rim, c.found), Stroke: thick})
	}
	if way := c.belongs - c.found; c.mark.Scribe.Worthwhile && way.Abs() > 6 { // room for an arrow
		end, turn := c.belongs-way/way.Abs()*1.2, geometry.Angle(90)
		if way < 0 {
			turn = -90
		}
		s.Add(
			figure.Polygon{Points: figure.Arc(centre, rim-length/2, c.found, end-way/way.Abs()*3), Open: true, Stroke: thin},
			arrowhead(at(rim-length/2, end), end+turn),
		)
	}
	edge, side, anchor := rightEdge, geometry.Length(1), figure.Start
	if left {
		edge, side, anchor = leftEdge, -1, figure.End
	}
	first := c.y - c.height/2 + leading
	elbow := figure.Point{X: edge - side*2, Y: first - 1}
	s.Add(figure.Polygon{Points: []figure.Point{at(rim, c.found), elbow, elbow.Plus(side*1.4, 0)}, Open: true, Stroke: hair})
	s.Add(sign(figure.Point{X: edge + side*1.6, Y: first - 1}, c.mark)...)
	x, y := edge+side*4, first
	for _, line := range c.name {
		s.Add(figure.Text{At: figure.Point{X: x, Y: y}, Size: textSize, Anchor: anchor, Text: line})
		y += leading
	}
	y -= leading - 3.3
	for _, line := range c.text {
		s.Add(figure.Text{At: figure.Point{X: x, Y: y}, Size: noteSize, Anchor: anchor, Text: line})
		y += 3.2
	}
}
