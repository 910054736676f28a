package paper

import (
	"fmt"

	"markaudit/audit/report/drawing"
	"markaudit/geometry"
)

// The pictures of the form. They have the type of its words, and nothing else stands
// in their room.

// room is what a picture takes of a page, with its items.
type room struct {
	left, top, right, bottom geometry.Length
	from, to                 int // of the scene's items
}

// draw gives a picture its room, from its upper left corner.
func (f *form) draw(left, top, wide, high geometry.Length, picture func(at drawing.Point)) {
	from := len(f.scene.Items)
	picture(drawing.Point{X: left, Y: top})
	f.drawn = append(f.drawn, room{left, top, left + wide, top + high, from, len(f.scene.Items)})
}

// label is a text of a picture.
func (f *form) label(at drawing.Point, anchor drawing.Anchor, text string) {
	f.scene.Add(drawing.Text{At: at, Size: wordSize, Anchor: anchor, Text: text})
}

// curved is an arrow round a centre; both angles are clockwise from straight up.
func (f *form) curved(centre drawing.Point, radius geometry.Length, from, to geometry.Angle) {
	head := geometry.Angle(2.6 / radius.Millimetres() * 57.3)
	if to < from {
		head = -head
	}
	f.scene.Add(
		drawing.Polygon{Points: drawing.Arc(centre, radius, from, to-head), Open: true, Stroke: penStroke},
		drawing.Polygon{Points: []drawing.Point{drawing.Polar(centre, radius, to), drawing.Polar(centre, radius+1.1, to-head), drawing.Polar(centre, radius-1.1, to-head)}, Fill: drawing.Black},
	)
}

// straight is an arrow to the right.
func (f *form) straight(from drawing.Point, long geometry.Length) {
	f.scene.Add(
		drawing.Line{From: from, To: from.Plus(long-2.6, 0), Stroke: penStroke},
		drawing.Polygon{Points: []drawing.Point{from.Plus(long, 0), from.Plus(long-2.6, -1.1), from.Plus(long-2.6, 1.1)}, Fill: drawing.Black},
	)
}

// spoke is a line from one distance of a centre to another.
func (f *form) spoke(centre drawing.Point, from, to geometry.Length, at geometry.Angle, s drawing.Stroke) {
	f.scene.Add(drawing.Line{From: drawing.Polar(centre, from, at), To: drawing.Polar(centre, to, at), Stroke: s})
}

// pointing is a pointer outside a circle, its tip on it.
func (f *form) pointing(centre drawing.Point, radius geometry.Length, at geometry.Angle) {
	wide := geometry.Angle(1.3 / radius.Millimetres() * 57.3)
	f.scene.Add(drawing.Polygon{Points: []drawing.Point{drawing.Polar(centre, radius, at), drawing.Polar(centre, radius+4, at-wide), drawing.Polar(centre, radius+4, at+wide)}, Fill: drawing.Black})
}

// setups shows three setups with the readout off in between.
func (f *form) setups() {
	const each, between, high geometry.Length = 42, 27, 12
	f.gap()
	f.draw(0, f.y, drawing.PageWidth, high, func(at drawing.Point) {
		for i, name := range []string{"SETUP 1", "SETUP 2", "SETUP 3"} {
			left := at.Plus((each+between)*geometry.Length(i), 0)
			f.scene.Add(
				drawing.Rectangle(left, each, high, drawing.Pale, drawing.Stroke{}),
				drawing.Text{At: left.Plus(each/2, 5.2), Size: 3.8, Anchor: drawing.Middle, Bold: true, Text: name},
				drawing.Text{At: left.Plus(each/2, 10), Size: askSize, Anchor: drawing.Middle, Text: "steps 1 to 9"},
			)
			if i > 0 {
				f.label(left.Plus(-between/2, 4), drawing.Middle, "readout")
				f.straight(left.Plus(1.5-between, 6), between-3)
				f.label(left.Plus(-between/2, 10.4), drawing.Middle, "OFF and ON")
			}
		}
	})
	f.y += high + 0.4
}

// sides has the answers of the side on which the BTDC lines lie, each with its picture.
func (f *form) sides() {
	const radius, high geometry.Length = 8.5, 22.5
	f.gap()
	r := &row{f: f, y: f.y + 8, stroke: cellStroke}
	for _, side := range []struct {
		answer string
		way    geometry.Angle
	}{{"clockwise", 1}, {"anticlockwise", -1}} {
		r.tick(side.answer)
		wide := 2*radius + 12
		centre := geometry.Length(radius + 1)
		if side.way < 0 {
			centre = wide - centre
		}
		f.draw(r.x-1, f.y, wide, high, func(at drawing.Point) {
			c := at.Plus(centre, 5+radius)
			f.scene.Add(drawing.Circle{Centre: c, Radius: radius, Stroke: cellStroke}, drawing.Circle{Centre: c, Radius: 1.3, Stroke: cellStroke})
			f.spoke(c, radius-4, radius, 0, penStroke)
			f.spoke(c, radius-4, radius, side.way*60, penStroke)
			f.curved(c, radius+1.8, side.way*28, side.way*58)
			f.label(at.Plus(centre, 4), drawing.Middle, "TDC")
			anchor := drawing.Start
			if side.way < 0 {
				anchor = drawing.End
			}
			f.label(drawing.Polar(c, radius+1, side.way*72).Plus(0, 1.2), anchor, "BTDC")
		})
		r.x += wide + 3
	}
	r.tick("there are", "none")
	f.y += high + 1
}

// numbering is one way in which a wheel is numbered, with its place on the page.
type numbering struct {
	left, wide, centre geometry.Length
	printed, pen       [4]string        // on top, right, below and left
	at                 []geometry.Angle // of its examples: one, at a pointer, or several, each with the number that a pen wrote beside the printed one
	shows              string           // what is printed there
	says               []string
}

var numberings = []numbering{
	{0, 49, 12, [4]string{"0", "90", "180", "270"}, [4]string{}, []geometry.Angle{-22}, "338", []string{"0 to 360", "It shows 338.0:", "write 338.0."}},
	{50, 58, 12, [4]string{"0", "90", "180", "90"}, [4]string{}, []geometry.Angle{-22}, "22", []string{"0 - 180 - 0", "Falling to 0, as it", "runs: 22.0 BTDC.", "Growing: 22.0 ATDC."}},
	{110, 70, 18.5, [4]string{"0", "90", "0", "90"}, [4]string{"0", "90", "180", "270"}, []geometry.Angle{140, 220}, "40", []string{"0 - 90 - 0 - 90", "Write on with a pen", "round the wheel:", "100, 110 … 350.", "40 at 140: write 140.0", "40 at 220: write 220.0"}},
}

// wheels are the three ways in which wheels are numbered, each with an example.
func (f *form) wheels() {
	const radius, high geometry.Length = 11, 31
	f.gap()
	f.y += 1
	for _, w := range numberings {
		f.draw(w.left, f.y, w.wide, high, func(at drawing.Point) {
			c := at.Plus(w.centre, high/2)
			f.scene.Add(drawing.Circle{Centre: c, Radius: radius, Stroke: cellStroke}, drawing.Circle{Centre: c, Radius: 1.3, Stroke: cellStroke})
			for i := range 36 {
				deep := geometry.Length(1)
				if i%9 == 0 {
					deep = 1.8
				}
				f.spoke(c, radius-deep, radius, geometry.Angle(10*i), drawing.Thin)
			}
			inside := func(a geometry.Angle, from geometry.Length, printed string) {
				f.label(drawing.Polar(c, radius-from, a).Plus(0, 1.2), drawing.Middle, printed)
			}
			outside := func(a geometry.Angle, from geometry.Length, pen string) {
				f.scene.Add(drawing.Text{At: drawing.Polar(c, radius+from, a).Plus(0, 1.2), Size: wordSize, Anchor: drawing.Middle, Bold: true, Text: pen})
			}
			for i, printed := range w.printed {
				a := geometry.Angle(90 * i)
				inside(a, []geometry.Length{3.7, 4.6, 3.7, 4.8}[i], printed)
				if w.pen[i] != "" {
					outside(a, []geometry.Length{2, 3, 2.4, 4}[i], w.pen[i])
				}
			}
			if len(w.at) == 1 {
				f.pointing(c, radius, w.at[0])
			} else {
				for _, a := range w.at {
					inside(a, 3.9, w.shows)
					outside(a, 3.4, fmt.Sprint(a.Degrees()))
				}
			}
			x := w.centre + radius + 3
			if w.pen[1] != "" {
				x += 4
			}
			y := at.Y + (high-geometry.Length(len(w.says))*4.4)/2 + 3.2
			for i, line := range w.says {
				f.text(at.X+x, y+4.4*geometry.Length(i), drawing.Text{Size: wordSize, Bold: i == 0, Text: line})
			}
		})
	}
	f.y += high + 1
}

// needle is how numbers go on where the needle of an indicator comes past its 0.
type needle struct {
	when         string
	shows, write [4]string
}

// The needle goes round once a millimetre; one that is numbered both ways shows the
// last as 0.30.
var needles = []needle{
	{"The needle goes round again: count on", [4]string{"0.60", "0.90", "0.20", "0.50"}, [4]string{"0.60", "0.90", "1.20", "1.50"}},
	{"It goes back past its first 0: minus", [4]string{"0.60", "0.30", "0.00", "0.70 or 0.30"}, [4]string{"0.60", "0.30", "0.00", "−0.30"}},
}

// scales shows how the numbers of a sweep stay on one scale.
func (f *form) scales() {
	const each, between, high geometry.Length = 87, 6, 16.5
	f.gap()
	f.y += 1.5
	for i, n := range needles {
		f.draw((each+between)*geometry.Length(i), f.y, each, high, func(at drawing.Point) {
			f.scene.Add(drawing.Rectangle(at, each, high, drawing.Pale, drawing.Stroke{}))
			at = at.Plus(2, 4.4)
			f.scene.Add(drawing.Text{At: at, Size: wordSize, Bold: true, Text: n.when})
			f.label(at.Plus(0, 5), drawing.Start, "it shows")
			f.scene.Add(drawing.Text{At: at.Plus(0, 10.4), Size: ruleSize, Bold: true, Text: "write"})
			for k := range n.shows {
				x := []geometry.Length{23, 37, 51, 69}[k]
				f.label(at.Plus(x, 5), drawing.Middle, n.shows[k])
				f.scene.Add(drawing.Text{At: at.Plus(x, 10.4), Size: ruleSize, Bold: true, Anchor: drawing.Middle, Text: n.write[k]})
			}
		})
	}
	f.y += high + 1
}

// part is the part as one looks at it, to draw its lines in, and a piece of its rim,
// larger. It takes what the page has left.
func (f *form) part() {
	const asks geometry.Length = 94 // where the words beside it begin
	radius := min((f.scene.Height-f.y-9)/2, 40)
	f.draw(0, f.y, asks-4, 2*radius+9, func(at drawing.Point) {
		c := at.Plus(radius+5, radius+8)
		f.scene.Add(
			drawing.Circle{Centre: c, Radius: radius, Stroke: cellStroke},
			drawing.Circle{Centre: c, Radius: 4, Stroke: drawing.Thin},
			drawing.Circle{Centre: c, Radius: radius - 9, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Black, Dashed: true}},
		)
		for i := range 36 {
			deep := geometry.Length(1.2)
			if i%9 == 0 {
				deep = 3
			}
			f.spoke(c, radius-deep, radius, geometry.Angle(10*i), drawing.Thin)
		}
		f.label(c.Plus(0, -radius-1), drawing.Middle, "top")
		for _, way := range []geometry.Angle{1, -1} {
			f.curved(c, radius+2.4, way*8, way*32)
		}
		f.label(at.Plus(radius+5+0.56*radius, 8), drawing.Start, "clockwise")
		f.label(at.Plus(radius+5-0.56*radius, 8), drawing.End, "anticlockwise")
	})
	y := f.y + 5
	f.text(asks, y, drawing.Text{Size: askSize, Bold: true, Text: "Draw, with the TDC line at the pointer:"})
	for i, lines := range [][]string{
		{"an arrow on the dashed circle: the way it runs"},
		{"the pointer, or where the fixed scale sits"},
		{"every line where you see it then, with its name;", "one that you cannot read: a stroke for its name"},
	} {
		y += 6
		for j, line := range lines {
			if j == 0 {
				line = string(rune('1'+i)) + "  " + line
			}
			f.text(asks+map[bool]geometry.Length{true: 4}[j > 0], y+4.4*geometry.Length(j), drawing.Text{Size: askSize, Text: line})
		}
		y += 4.4 * geometry.Length(len(lines)-1)
	}
	y += 8
	f.text(asks, y, drawing.Text{Size: askSize, Bold: true, Text: "Lines close together: draw them here too, larger"})
	f.draw(asks, y+2, drawing.PageWidth-asks, 21, func(at drawing.Point) {
		const long, deep geometry.Length = drawing.PageWidth - asks, 15
		f.scene.Add(
			drawing.Line{From: at, To: at.Plus(long, 0), Stroke: cellStroke},
			drawing.Line{From: at.Plus(0, deep), To: at.Plus(long, deep), Stroke: cellStroke},
		)
		f.label(at.Plus(0, deep+4.4), drawing.Start, "◄ anticlockwise")
		f.label(at.Plus(long, deep+4.4), drawing.End, "clockwise ►")
	})
	f.y = max(f.y+2*radius+9, y+23)
}

// chalk shows on which side of the pointer a length on the rim is less than nothing.
func (f *form) chalk() {
	const high, wide geometry.Length = 25, 84
	for i, p := range []struct {
		chalk          geometry.Length
		before, length string
	}{
		{20, "the chalk line is still to come:", "−113.5 mm"},
		{64, "the chalk line has gone past:", "+161.0 mm"},
	} {
		f.draw(geometry.Length(i)*96, f.y, wide, high, func(at drawing.Point) {
			const pointer, rim geometry.Length = 42, 17
			f.label(at.Plus(0, 4), drawing.Start, p.before)
			f.scene.Add(
				drawing.Line{From: at.Plus(0, rim), To: at.Plus(wide, rim), Stroke: cellStroke},
				drawing.Line{From: at.Plus(0, high-0.4), To: at.Plus(wide, high-0.4), Stroke: drawing.Thin},
				drawing.Line{From: at.Plus(p.chalk, rim), To: at.Plus(p.chalk, high-0.4), Stroke: drawing.Stroke{Width: 1.1, Ink: drawing.Black}},
				drawing.Polygon{Points: []drawing.Point{at.Plus(pointer, rim), at.Plus(pointer-1.5, rim-5), at.Plus(pointer+1.5, rim-5)}, Fill: drawing.Black},
				drawing.Line{From: at.Plus(p.chalk, rim-2.6), To: at.Plus(pointer, rim-2.6), Stroke: drawing.Thin},
				drawing.Line{From: at.Plus(p.chalk, rim-4.4), To: at.Plus(p.chalk, rim-0.8), Stroke: drawing.Thin},
			)
			f.scene.Add(drawing.Text{At: at.Plus((p.chalk+pointer)/2, rim-5.8), Size: askSize, Anchor: drawing.Middle, Bold: true, Text: p.length})
			f.straight(at.Plus(2, high-3.6), 14)
			f.label(at.Plus(2, rim-2), drawing.Start, "it runs")
		})
	}
	f.y += high + 1
}
