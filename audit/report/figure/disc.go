package figure

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/report/drawing"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// disc is where the part is drawn whole, and how large.
type disc struct {
	centre drawing.Point
	radius geometry.Length
}

func (d disc) at(r geometry.Length, a geometry.Angle) drawing.Point {
	return drawing.Polar(d.centre, r, a)
}

// innerDisc is the radius of what turns inside a fixed scale, in that of the disc.
const innerDisc = 0.3

// turnsInside is written over a fixed scale.
const turnsInside = "inside: what turns"

// How far in from the rim lines, brackets and names stand.
func (d disc) low() geometry.Length     { return d.radius * 0.83 }
func (d disc) bracket() geometry.Length { return d.radius * 0.775 }

// Over the rim a disc takes overDisc for its pointer and the pointer's name.
const overDisc geometry.Length = 10

// disc draws the part, its lines where they were found, its places and which way it
// runs. A place has its letter where it is unrolled below, its lines' names else; both
// where names is set. Places that are listed have their letter all the same, where that
// leaves the names room. It returns the letters of the places whose lines have their names
// on the disc, and of those that have their letter by the list.
func (u unrolling) disc(s *drawing.Scene, d disc, groups [][]place, names bool, listed ...string) (named, lettered []string) {
	s.Add(drawing.Circle{Centre: d.centre, Radius: d.radius, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black}})
	if u.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		inner := d.radius * innerDisc
		s.Add(
			drawing.Circle{Centre: d.centre, Radius: inner, Fill: drawing.Pale, Stroke: drawing.Thin},
			drawing.Line{From: d.at(0, 0), To: d.at(inner, 0), Stroke: drawing.Thick},
			drawing.Text{At: d.at(d.radius+6.2, 0), Size: textSize, Anchor: drawing.Middle, Text: "fixed scale;"},
			drawing.Text{At: d.at(d.radius+2.4, 0), Size: textSize, Anchor: drawing.Middle, Text: turnsInside},
		)
	} else {
		tip := d.at(d.radius+0.8, 0)
		s.Add(
			drawing.Polygon{Points: []drawing.Point{tip, tip.Plus(1.5, -5), tip.Plus(-1.5, -5)}, Fill: drawing.Deep},
			drawing.Text{At: tip.Plus(0, -6.2), Size: textSize, Anchor: drawing.Middle, Text: "pointer"},
		)
	}
	u.runningArrow(s, d)
	var labels [][]drawing.Text
	for _, parts := range groups {
		u.linesOnDisc(s, d, parts)
		if u.brief && parts[0].drawn.perDegree == 0 { // its letter would lead nowhere
			labels = append(labels, nil)
			continue
		}
		labels = append(labels, u.letters(d, parts))
	}
	for _, unrolled := range []bool{false, true} { // names, as far as they leave each other room
		for n := range groups {
			i := len(groups) - 1 - n // first those that are not near the top, where a strip may name them
			parts := groups[i]
			drawn := parts[0].drawn.perDegree > 0
			if drawn != unrolled || drawn && !names || len(parts) > 1 {
				continue
			}
			block := u.namesOn(d, parts[0], drawn)
			if block == nil || !u.nearest(d, parts[0], block, groups) {
				continue
			}
			free := true
			for j, other := range labels {
				free = free && (i == j || !touch(block, other))
			}
			if free {
				labels[i] = block
				named = append(named, parts[0].letter)
			}
		}
	}
	for i, parts := range groups {
		if labels[i] != nil || !slices.Contains(listed, parts[0].letter) {
			continue
		}
		letter := u.letters(d, parts)
		if !slices.ContainsFunc(labels, func(other []drawing.Text) bool { return touch(letter, other) }) {
			labels[i], lettered = letter, append(lettered, parts[0].letter)
		}
	}
	for _, texts := range labels {
		for _, text := range texts {
			if text.Bold { // a place, and no line
				wide, high := text.Extent()+2*boxed, text.Size*0.75+2*boxed
				s.Add(drawing.Rectangle(text.At.Plus(-wide/2, boxed-high), wide, high, drawing.White, drawing.Thin))
			}
			s.Add(text)
		}
	}
	return named, lettered
}

// runningArrow stands outside the rim at the top, where the marks are.
func (u unrolling) runningArrow(s *drawing.Scene, d disc) {
	turns := u.Result.Sheet.Engine.Turns
	side, anchor := geometry.Length(1), drawing.Start
	from, to, ahead := geometry.Angle(24), geometry.Angle(58), geometry.Angle(90)
	if d.radius < 20 || u.Result.Sheet.Part.MarksOn == sheet.OnEngine { // clear of what is written at the top
		from, to = from+20, to+20
	}
	if turns == geometry.Anticlockwise {
		side, anchor, from, to, ahead = -1, drawing.End, -from, -to, -ahead
	}
	radius := d.radius + 4.4
	s.Add(
		drawing.Polygon{Points: drawing.Arc(d.centre, radius, from, to-ahead/90*5), Open: true, Stroke: drawing.Stroke{Width: 1.1, Ink: drawing.Black}},
		head(drawing.Polar(d.centre, radius, to), to+ahead-ahead/90*4, 4.2),
	)
	at := d.at(radius+2.5, (from+to)/2).Plus(side*1, -1)
	if u.brief { // lower, clear of what stands above the strips
		at = d.centre.Plus(side*(d.radius+2.5), 4.5)
	}
	for i, text := range u.runsHow() {
		s.Add(drawing.Text{At: at.Plus(0, geometry.Length(i-1)*drawing.Leading), Size: textSize, Anchor: anchor, Bold: true, Text: text})
	}
}

// runsHow says the running direction in two lines.
func (u unrolling) runsHow() []string {
	return []string{strings.ToLower(u.runs()), u.Result.Sheet.Engine.Turns.String()}
}

// linesOnDisc draws the lines of a place, as thick as their number leaves them apart,
// the outside ones thick,
// and a bracket round those of each part.
func (u unrolling) linesOnDisc(s *drawing.Scene, d disc, parts []place) {
	n := 0
	for _, p := range parts {
		n += len(p.rows)
	}
	stroke := drawing.Stroke{Width: 0.5, Ink: drawing.Black}
	if n > 8 {
		stroke.Width = 0.25
	}
	for _, p := range parts {
		for _, r := range p.rows {
			if r.mark.Offset != nil {
				a, stroke := u.seen(r.found), stroke
				if r.mark.Verdict == diagnosis.Outside && n <= 8 {
					stroke = drawing.Thick
				}
				s.Add(drawing.Line{From: d.at(d.low(), a), To: d.at(d.radius, a), Stroke: stroke})
			}
		}
		from, to := u.onDisc(p)
		over := geometry.Angle(1.2)
		if len(parts) > 1 { // or the brackets of neighbours would run into one
			over = 0
		}
		if len(p.rows) > 1 {
			s.Add(drawing.Polygon{Points: drawing.Arc(d.centre, d.bracket(), min(from, to)-over, max(from, to)+over), Open: true, Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.Black}})
		}
	}
}

// onDisc is from where to where the lines of a place stand.
func (u unrolling) onDisc(p place) (from, to geometry.Angle) {
	return u.seen(p.rows[0].found), u.seen(p.rows[len(p.rows)-1].found)
}

const letterSize geometry.Length = 3.6

// letters are the names of a place's parts beside their brackets: all, or every second,
// third … of them, whichever leaves them apart. A place of one part, or too crowded for
// three names, has its letter.
func (u unrolling) letters(d disc, parts []place) []drawing.Text {
	in := d.bracket() - 2.6
	text := func(r, size geometry.Length, a geometry.Angle, text string) drawing.Text {
		return drawing.Text{At: d.at(r, a).Plus(0, 0.36*size), Size: size, Anchor: drawing.Middle, Bold: true, Text: text}
	}
	var names []drawing.Text
	for _, p := range parts {
		from, to := u.onDisc(p)
		names = append(names, text(in, textSize, (from+to)/2, p.name()))
	}
	for every := 1; len(parts) > 1 && every*3 <= max(len(parts), 3); every++ {
		var some []drawing.Text
		for i := 0; i < len(names); i += every {
			some = append(some, names[i])
		}
		apart := true
		for i := range some {
			apart = apart && !touch(some[:i], some[i:i+1])
		}
		if apart {
			return some
		}
	}
	from, _ := u.onDisc(parts[0])
	_, to := u.onDisc(parts[len(parts)-1])
	return []drawing.Text{text(in, letterSize, (from+to)/2, parts[0].letter)}
}

// namesOn are the lines of a place by their names, below its letter where that is asked:
// beside the rim from the top down as their lines stand, at the top and at the bottom of
// the part from left to right. It is nil where there is no room for them inside the rim,
// or a name would stand nearer to another line than to its own.
func (u unrolling) namesOn(d disc, p place, letter bool) []drawing.Text {
	const most = 4
	if len(p.rows) > most {
		return nil
	}
	from, to := u.onDisc(p)
	mid := d.at(1, (from+to)/2)
	level := math.Abs(float64(mid.Y-d.centre.Y)) > math.Abs(float64(mid.X-d.centre.X)) // the lines stand side by side
	var names []drawing.Text
	for _, r := range u.asSeen(d, p, level) {
		if len(r.name) > 1 {
			return nil
		}
		names = append(names, drawing.Text{Size: textSize, Anchor: drawing.Middle, Text: r.name[0]})
	}
	block, wide, high := laidOut(names, level)
	if letter {
		const pitch = drawing.Leading
		for i := range block {
			block[i].At.Y += pitch + boxed + 0.4
		}
		block = slices.Insert(block, 0, drawing.Text{At: drawing.Point{X: wide / 2}, Size: letterSize, Anchor: drawing.Middle, Bold: true, Text: p.letter})
		more := max(0, block[0].Extent()-wide)
		for i := range block {
			block[i].At.X += more / 2
		}
		wide, high = wide+more, high+pitch+2*boxed+0.4
	}
	for r := d.bracket(); r > 0; r -= 0.25 {
		c := d.at(r, (from+to)/2)
		far := geometry.Length(math.Hypot(math.Abs(float64(c.X-d.centre.X))+float64(wide/2), math.Abs(float64(c.Y-d.centre.Y))+float64(high/2)))
		if far > d.bracket()-0.8 {
			continue
		}
		if u.Result.Sheet.Part.MarksOn == sheet.OnEngine { // clear of what turns
			dx, dy := max(0, math.Abs(float64(c.X-d.centre.X))-float64(wide/2)), max(0, math.Abs(float64(c.Y-d.centre.Y))-float64(high/2))
			if math.Hypot(dx, dy) < float64(d.radius*innerDisc)+0.4 {
				return nil
			}
		}
		for i := range block {
			block[i].At = block[i].At.Plus(c.X-wide/2, c.Y+letterSize*0.75-high/2)
		}
		return block
	}
	return nil
}

// asSeen are the lines of a place as they stand on the disc, from the left where they stand
// side by side, else from the top down.
func (u unrolling) asSeen(d disc, p place, level bool) []partRow {
	return slices.SortedStableFunc(slices.Values(p.rows), func(a, b partRow) int {
		if level {
			return cmp.Compare(u.markOn(d, a).X, u.markOn(d, b).X)
		}
		return cmp.Compare(u.markOn(d, a).Y, u.markOn(d, b).Y)
	})
}

// markOn is the inner end of a line on the disc.
func (u unrolling) markOn(d disc, r partRow) drawing.Point { return d.at(d.low(), u.seen(r.found)) }

// nearest reports whether each name of a place stands nearer to its own line than to any
// other of the part.
func (u unrolling) nearest(d disc, p place, block []drawing.Text, groups [][]place) bool {
	for _, r := range p.rows {
		i := slices.IndexFunc(block, func(t drawing.Text) bool { return !t.Bold && t.Text == r.name[0] })
		own := away(block[i], u.markOn(d, r))
		for _, o := range slices.Concat(groups...) {
			if slices.ContainsFunc(o.rows, func(other partRow) bool {
				return other.number != r.number && away(block[i], u.markOn(d, other)) <= own
			}) {
				return false
			}
		}
	}
	return true
}

// laidOut puts names below each other, or side by side where they are level, the first
// base line at zero, and returns how much room they take.
func laidOut(names []drawing.Text, level bool) (block []drawing.Text, wide, high geometry.Length) {
	const pitch, space = drawing.Leading, 1.6
	for i, name := range names {
		if level {
			if i > 0 {
				wide += space
			}
			name.At.X = wide + name.Extent()/2
			wide += name.Extent()
		} else {
			name.At.Y = geometry.Length(i) * pitch
			wide = max(wide, name.Extent())
		}
		block = append(block, name)
	}
	if level {
		return block, wide, letterSize * 0.75
	}
	for i := range block {
		block[i].At.X = wide / 2
	}
	return block, wide, geometry.Length(len(block)-1)*pitch + letterSize*0.75
}

// away is how far a name stands from a point.
func away(name drawing.Text, p drawing.Point) geometry.Length {
	dx := max(0, math.Abs(float64(p.X-name.At.X))-float64(name.Extent()/2))
	dy := max(0, float64(p.Y-name.At.Y), float64(name.At.Y-0.7*name.Size-p.Y))
	return geometry.Length(math.Hypot(dx, dy))
}

// boxed is how far the box around a place's letter keeps from it.
const boxed geometry.Length = 0.7

// touch reports whether texts stand on each other, or nearly so.
func touch(some, others []drawing.Text) bool {
	const free geometry.Length = 0.8
	for _, a := range some {
		for _, b := range others {
			wide, high := (a.Extent()+b.Extent())/2+free, max(a.Size, b.Size)
			for _, t := range []drawing.Text{a, b} {
				if t.Bold {
					wide, high = wide+boxed, high+boxed
				}
			}
			if math.Abs(float64(a.At.X-b.At.X)) < float64(wide) && math.Abs(float64(a.At.Y-b.At.Y)) < float64(high) {
				return true
			}
		}
	}
	return false
}
