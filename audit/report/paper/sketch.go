package paper

import (
	"math"

	"markaudit/audit/report/drawing"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The pictures with the steps: how it lies, the foot of the flagstaff good and bad, the
// proof good and wrong. They are not to scale.

// picture is one of them.
type picture uint8

const (
	noPicture picture = iota
	howItLies
	footOfFlag
	proofShows
	footAndProof // what is good of both
	dotsMarked
)

// high is what a picture takes of a column; all are at most 73 mm wide.
func (p picture) high(on surface) geometry.Length {
	if p == howItLies && !on.flat() {
		return 28
	}
	return [...]geometry.Length{0, 37, 25, 25, 25, 20}[p]
}

// draws draws a picture from its upper left corner.
func (f fitted) draws(scene *drawing.Scene, what picture, at drawing.Point) {
	k := sketch{scene: scene, at: at.Plus(0, 1)}
	first := f.ribbon.flags[0]
	switch what {
	case howItLies:
		k.caption("How it lies (not to scale)")
		switch {
		case !f.ribbon.on.flat():
			k.onSlope(f)
		case f.s.o.Groove:
			k.groove()
		default:
			k.onRim(f)
		}
	case footOfFlag:
		k.tip(0, first.left, true, f.pointer, "at the FOOT: GOOD")
		k.tip(39, first.left, false, f.pointer, "under its middle: BAD")
	case footAndProof:
		k.tip(0, first.left, true, f.pointer, "at the FOOT: GOOD")
		k.proof(39, f.ribbon.proofs[0].name, true, "between: GOOD")
	case dotsMarked:
		k.dots(first.left, f.tells)
	case proofShows:
		name := f.ribbon.proofs[0].name
		k.proof(0, name, true, "between: GOOD")
		k.proof(39, name, false, "outside: STOP")
	}
}

// sketch draws from a point of a scene.
type sketch struct {
	scene *drawing.Scene
	at    drawing.Point
}

func (k sketch) caption(text string) {
	k.scene.Add(drawing.Text{At: k.at.Plus(0, 3), Size: noteSize, Bold: true, Text: text})
}

func (k sketch) shape(fill drawing.Ink, stroke geometry.Length, points ...[2]geometry.Length) {
	s := drawing.Stroke{}
	if stroke > 0 {
		s = drawing.Stroke{Width: stroke, Ink: drawing.Black}
	}
	var all []drawing.Point
	for _, p := range points {
		all = append(all, k.at.Plus(p[0], p[1]))
	}
	k.scene.Add(drawing.Polygon{Points: all, Fill: fill, Stroke: s})
}

func (k sketch) box(fill drawing.Ink, stroke, left, top, wide, high geometry.Length) {
	k.shape(fill, stroke, [2]geometry.Length{left, top}, [2]geometry.Length{left + wide, top}, [2]geometry.Length{left + wide, top + high}, [2]geometry.Length{left, top + high})
}

func (k sketch) line(width, x1, y1, x2, y2 geometry.Length) {
	k.scene.Add(drawing.Line{From: k.at.Plus(x1, y1), To: k.at.Plus(x2, y2), Stroke: drawing.Stroke{Width: width, Ink: drawing.Black}})
}

func (k sketch) text(x, y geometry.Length, anchor drawing.Anchor, text string) {
	k.scene.Add(drawing.Text{At: k.at.Plus(x, y), Size: drawing.TextSize, Anchor: anchor, Text: text})
}

// flag is a flag with its tip at a place.
func (k sketch) flag(x, y, wide, high geometry.Length, left, fresh bool) {
	if left {
		wide = -wide
	}
	fill := drawing.White
	if fresh {
		fill = drawing.Black
	}
	k.shape(fill, 0.3, [2]geometry.Length{x, y}, [2]geometry.Length{x, y - high}, [2]geometry.Length{x + wide, y - high})
	k.line(0.3, x, y-high-2, x, y)
}

// mark is a tick or a cross.
func (k sketch) mark(x, y geometry.Length, good bool) {
	if good {
		k.line(0.7, x, y, x+1.4, y+1.4)
		k.line(0.7, x+1.4, y+1.4, x+4, y-2)
		return
	}
	k.line(0.7, x, y-1.7, x+3.4, y+1.7)
	k.line(0.7, x, y+1.7, x+3.4, y-1.7)
}

// onRim shows rim and face together: the strip on the rim, the viewer at the face.
func (k sketch) onRim(f fitted) {
	const w geometry.Length = 54
	rim := [2]geometry.Length{5, 25} // the rim's surface, from its far edge to the near one
	k.box(drawing.Pale, 0.3, 0, rim[0], w, rim[1]-rim[0])
	// The face below, with the near edge of the rim as its upper border.
	var face [][2]geometry.Length
	for i := range 25 {
		a := math.Pi * float64(i) / 24
		face = append(face, [2]geometry.Length{w/2 - w/2*geometry.Length(math.Cos(a)), rim[1] + 9*geometry.Length(math.Sin(a))})
	}
	k.shape(drawing.White, 0.3, face...)
	k.text(w+2, 8, drawing.Start, "far edge")
	k.text(w+2, 14, drawing.Start, "RIM: strip")
	k.text(w+2, 17.2, drawing.Start, "lies here")
	k.text(w+2, 25.6, drawing.Start, "front edge")
	// The strip, its working edge parallel to the front edge.
	k.box(drawing.White, 0.25, 4, 6.5, w-8, 12.5)
	k.box(drawing.Black, 0, 4, 6.5, w-8, 1.3)
	for _, x := range []geometry.Length{8, w - 14} {
		k.box(drawing.White, 0.25, x, 5.3, 6, 3.4)
	}
	for i := range 23 {
		k.line(0.12, 5+2*geometry.Length(i), 17.6, 5+2*geometry.Length(i), 19)
	}
	a, b := f.ribbon.flags[0], f.ribbon.flags[1]
	old, fresh := geometry.Length(26), geometry.Length(34)
	if b.x < a.x {
		old, fresh = fresh, old
	}
	k.flag(old, 19, 3, 4.4, a.left, false)
	k.flag(fresh, 19, 3, 4.4, b.left, true)
	if f.pointer {
		k.pointer(old, 19, 13)
		k.text(old+3, 30.5, drawing.Start, "pointer")
	} else {
		k.line(0.7, old, 19, old, rim[1])
		said := "flat face: you stand here"
		if f.s.Result.Sheet.Part.Moves != "" {
			said = "you look in from here"
		}
		k.text(w/2, rim[1]+5.6, drawing.Middle, said)
	}
	x, way := geometry.Length(14), geometry.Length(1)
	if f.s.Result.Sheet.Engine.Turns != geometry.Clockwise {
		x, way = 22, -1
	}
	k.shape(drawing.White, 0.3, [2]geometry.Length{x, 10.4}, [2]geometry.Length{x + way*5, 10.4}, [2]geometry.Length{x + way*5, 9.6}, [2]geometry.Length{x + way*8, 11},
		[2]geometry.Length{x + way*5, 12.4}, [2]geometry.Length{x + way*5, 11.6}, [2]geometry.Length{x, 11.6})
}

// onSlope shows a template on a part, seen along the shaft.
func (k sketch) onSlope(f fitted) {
	centre := k.at.Plus(25, 39)
	arc := func(r, from, to geometry.Length) []drawing.Point {
		return drawing.Arc(centre, r, geometry.Angle(from), geometry.Angle(to))
	}
	stroke := drawing.Stroke{Width: 0.3, Ink: drawing.Black}
	edge := append(arc(34, -48, 48), arc(17, 48, -48)...)
	k.scene.Add(drawing.Polygon{Points: edge, Fill: drawing.Pale, Stroke: stroke})
	paper := arc(34, -34, 34)
	inner := arc(24, 34, -34)
	k.scene.Add(drawing.Polygon{Points: append(paper, inner...), Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.25, Ink: drawing.Black}})
	bar := append(arc(34, -34, 34), arc(32.4, 34, -34)...)
	k.scene.Add(drawing.Polygon{Points: bar, Fill: drawing.Black})
	for i := range 17 {
		a := geometry.Angle(-32 + 4*i)
		k.scene.Add(drawing.Line{From: drawing.Polar(centre, 24, a), To: drawing.Polar(centre, 25.3, a), Stroke: drawing.Stroke{Width: 0.12, Ink: drawing.Black}})
	}
	tail, tip := geometry.Length(-17), geometry.Length(-30) // the outlined arrow
	if f.s.Result.Sheet.Engine.Turns == geometry.Clockwise {
		tail, tip = tip, tail
	}
	neck := tail + 0.6*(tip-tail)
	runs := append(arc(29.4, tail, neck), drawing.Polar(centre, 30.2, geometry.Angle(neck)), drawing.Polar(centre, 28.8, geometry.Angle(tip)), drawing.Polar(centre, 27.4, geometry.Angle(neck)))
	k.scene.Add(drawing.Polygon{Points: append(runs, arc(28.2, neck, tail)...), Fill: drawing.White, Stroke: stroke})
	old, fresh := geometry.Angle(-6), geometry.Angle(6)
	if f.ribbon.flags[1].x < f.ribbon.flags[0].x {
		old, fresh = fresh, old
	}
	k.scene.Add(drawing.Line{From: drawing.Polar(centre, 19.5, old), To: drawing.Polar(centre, 24, old), Stroke: drawing.Stroke{Width: 0.7, Ink: drawing.Black}})
	for _, g := range []struct {
		a    geometry.Angle
		fill drawing.Ink
	}{{old, drawing.White}, {fresh, drawing.Black}} {
		lean := geometry.Angle(6)
		if g.a < 0 {
			lean = -6
		}
		k.scene.Add(drawing.Polygon{Points: []drawing.Point{drawing.Polar(centre, 24, g.a), drawing.Polar(centre, 28.5, g.a), drawing.Polar(centre, 28.5, g.a+lean)}, Fill: g.fill, Stroke: stroke})
	}
	k.text(53, 7, drawing.Start, "bar flush with")
	k.text(53, 10.4, drawing.Start, "the outer edge")
	k.text(53, 14.6, drawing.Start, "graduations")
	k.text(53, 18, drawing.Start, "to "+f.s.surface().towards())
	if f.s.Result.Sheet.Part.MarksOn != sheet.OnEngine && !f.pointer {
		k.text(46, 22.2, drawing.Start, "old line shows")
		k.text(46, 25.6, drawing.Start, "below the paper")
	}
}

// groove shows a section through a V-belt pulley: only the edge lies on the land.
func (k sketch) groove() {
	k.shape(drawing.Pale, 0.3, [2]geometry.Length{20, 12}, [2]geometry.Length{30, 12}, [2]geometry.Length{36, 28}, [2]geometry.Length{46, 28}, [2]geometry.Length{52, 12},
		[2]geometry.Length{62, 12}, [2]geometry.Length{62, 34}, [2]geometry.Length{20, 34})
	k.line(0.7, 26, 11.5, 60, 11.5)
	k.line(1.2, 55, 11.2, 60, 11.2)
	k.text(54, 9, drawing.Start, "bar, taped")
	k.text(36, 7.6, drawing.Middle, "paper over the groove")
	k.text(18, 13, drawing.End, "old line")
	k.text(18, 16.6, drawing.End, "shows here,")
	k.text(18, 20.2, drawing.End, "on the land")
	k.text(18, 29, drawing.End, "YOU ►")
}

// tip shows an old line at the tip of the open flag, and where it is not.
func (k sketch) tip(x geometry.Length, left, good, pointer bool, text string) {
	const wide, edge, deep geometry.Length = 32, 12.5, 6.5
	k.box(drawing.Pale, 0, x, edge, wide, deep)
	k.line(0.25, x, edge, x+wide, edge)
	for i := range 7 {
		k.line(0.15, x+1+5*geometry.Length(i), edge-2, x+1+5*geometry.Length(i), edge)
	}
	k.flag(x+16, edge, 7, 10, left, false)
	at := x + 16
	if !good {
		if at += 3.5; left {
			at -= 7
		}
	}
	if pointer {
		k.pointer(at, edge, deep)
	} else {
		k.line(1, at, edge, at, edge+deep)
	}
	k.scene.Add(drawing.Circle{Centre: k.at.Plus(x+16, edge), Radius: 2.6, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}})
	k.mark(x+1, edge+4.5, good)
	k.text(x+wide/2, edge+deep+3.8, drawing.Middle, text)
}

// pointer is a pointer whose tip stands at a place, so high.
func (k sketch) pointer(x, y, high geometry.Length) {
	k.shape(drawing.White, 0.4, [2]geometry.Length{x, y}, [2]geometry.Length{x + 1.8, y + high}, [2]geometry.Length{x - 1.8, y + high})
}

// proof shows a line between its two posts, and outside them.
func (k sketch) proof(x geometry.Length, name string, good bool, text string) {
	const wide, edge, deep geometry.Length = 32, 12.5, 6.5
	k.box(drawing.Pale, 0, x, edge, wide, deep)
	k.box(drawing.Pale, 0, x+11, edge-6, 10, 6)
	k.line(0.25, x, edge, x+wide, edge)
	k.line(0.6, x+11, edge-7, x+11, edge+2.5)
	k.line(0.6, x+21, edge-7, x+21, edge+2.5)
	at := x + 17
	if !good {
		at = x + 26
	}
	k.line(1, at, edge, at, edge+deep)
	k.mark(x+1, edge+4.5, good)
	k.scene.Add(drawing.Text{At: k.at.Plus(x+16, edge-9), Size: drawing.TextSize, Bold: true, Anchor: drawing.Middle, Text: drawing.WrapBold(name, drawing.TextSize, wide, 1)[0]})
	k.text(x+wide/2, edge+deep+3.8, drawing.Middle, text)
}

// dots shows where a template has its dots marked: on the old line and another that
// proves it, at the foot of the black flag, and in the gap of the bar straight above it.
func (k sketch) dots(oldLeansLeft, proves bool) {
	const wide, top, edge, deep, gap, proof geometry.Length = 44, 1.5, 12.5, 5, 1.7, 39
	old, fresh := geometry.Length(28), geometry.Length(16)
	if oldLeansLeft {
		old, fresh = fresh, old
	}
	k.box(drawing.Pale, 0, 0, edge, wide, deep)
	k.line(0.25, 0, edge, wide, edge)
	k.box(drawing.Black, 0, 0, top, fresh-gap, 2)
	k.box(drawing.Black, 0, fresh+gap, top, wide-fresh-gap, 2)
	k.flag(old, edge, 4, 6, oldLeansLeft, false)
	k.flag(fresh, edge, 4, 6, !oldLeansLeft, true)
	k.line(1, old, edge, old, edge+deep)
	dots := [][2]geometry.Length{{old, edge}, {fresh, edge}, {fresh, top}}
	if proves {
		k.line(1, proof, edge, proof, edge+deep)
		dots = append(dots, [2]geometry.Length{proof, edge})
	}
	for _, at := range dots {
		k.scene.Add(drawing.Circle{Centre: k.at.Plus(at[0], at[1]), Radius: 0.9, Fill: drawing.Black, Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.White}})
	}
	k.text(wide+3, top+1.5, drawing.Start, "outer edge, gap")
	k.text(wide+3, edge-3, drawing.Start, "● a fine dot")
	k.text(wide+3, edge+1, drawing.Start, "paper's edge")
}
