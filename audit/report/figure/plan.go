package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/lines"
	"markaudit/audit/plan"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Plan shows the ± that is likely for the line known worst: left against the depth
// of the stop, right against the pairs in a setup for one, three and five setups.
// What is chosen is ringed.
func Plan(p plan.Plan, of sheet.Sheet) []drawing.Scene {
	v := words.Plan{Result: p, Sheet: of, Lengths: rounding.Lengths{Unit: of.Part.Unit}}
	o := newOutlook(p)
	if math.IsInf(o.top, 1) {
		return nil
	}
	note := "Up: the ± of the line known worst, on average, "
	if len(p.Depths) > 0 {
		note += "left by the depth of the stop (3 setups of 5 pairs), right "
	}
	note += "by the pairs in a setup (3 readings a line). Ring: planned. Dashed: wanted."
	if o.Usual[0].Covers != lines.Remounting {
		note += " One setup leaves out remounting."
	}
	if o.grey() {
		note += " Grey: beyond the tolerance."
	}
	s := titled("What buys how much", note)
	told := o.drawDepths(&s, v)
	told = append(told, o.drawPairs(&s)...)
	s.Height = planFoot + 11
	s.Description += " Wanted ± " + rounding.TwoDigits(p.Wanted) + ", tolerance ± " + rounding.Plain(rounding.Trimmed(o.tolerance)) + "°; " + strings.Join(told, "; ") + "."
	return []drawing.Scene{s}
}

// Sizes of the figure, in millimetres.
const (
	planTop                  = drawing.Top + 8
	planFoot                 = planTop + 58
	planWide geometry.Length = 68
	planLeft geometry.Length = 15  // of the first plot
	planNext geometry.Length = 106 // of the second
)

// outlook is a plan laid out.
type outlook struct {
	plan.Plan
	rows      []outlookRow
	tolerance float64 // degrees
	top       float64 // of both plots
}

// outlookRow is the ± against the pairs, of so many setups; +Inf is missing.
type outlookRow struct {
	setups int
	u      []float64
}

const (
	fewestPairs, mostPairs = 2, 6
	plannedReadings        = 3 // of each line, as in the table
)

func newOutlook(p plan.Plan) outlook {
	o := outlook{Plan: p, tolerance: p.Worst.Tolerance.Degrees()}
	top := math.Inf(-1)
	see := func(u float64) {
		if !math.IsInf(u, 0) {
			top = math.Max(top, u)
		}
	}
	for _, d := range p.Depths {
		see(d.U.Degrees())
	}
	for _, setups := range []int{1, 3, 5} {
		row := outlookRow{setups: setups}
		for pairs := fewestPairs; pairs <= mostPairs; pairs++ {
			row.u = append(row.u, p.Predict(setups, pairs, plannedReadings).Degrees())
			see(row.u[len(row.u)-1])
		}
		o.rows = append(o.rows, row)
	}
	if p.Least != nil {
		see(p.Least.U.Degrees())
	}
	if math.IsInf(top, -1) { // nothing holds a scatter
		o.top = math.Inf(1)
		return o
	}
	// Two pairs in one setup may be known so badly that the others would lie flat.
	if usual := p.Usual[len(p.Usual)-2].U.Degrees(); !math.IsInf(usual, 0) {
		top = math.Min(top, 4*math.Max(usual, p.Wanted.Degrees()))
	}
	o.top = 1.12 * math.Max(top, p.Wanted.Degrees())
	if o.tolerance < 2*o.top {
		o.top = math.Max(o.top, 1.15*o.tolerance)
	}
	return o
}

// grey reports whether the tolerance is low enough to be seen.
func (o outlook) grey() bool { return o.tolerance < o.top }

// plot draws the axes of one plot, the tolerance and what is wanted.
func (o outlook) plot(s *drawing.Scene, x scale, unit string) chart {
	c := chart{x, scale{0, o.top, planFoot, planTop}}
	if o.grey() {
		s.Add(drawing.Rectangle(drawing.Point{X: x.from, Y: planTop}, x.to-x.from, c.y.at(o.tolerance)-planTop, drawing.Pale, drawing.Stroke{}))
	}
	values, n := c.y.ticks(6)
	for _, v := range values {
		s.Add(
			drawing.Line{From: drawing.Point{X: x.from - 1, Y: c.y.at(v)}, To: drawing.Point{X: x.from, Y: c.y.at(v)}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: x.from - 1.6, Y: c.y.at(v) + 0.9}, Size: textSize, Anchor: drawing.End, Text: "±" + rounding.Fixed(v, n) + "°"},
		)
	}
	wanted := c.y.at(o.Wanted.Degrees())
	s.Add(
		drawing.Line{From: drawing.Point{X: x.from, Y: planTop}, To: drawing.Point{X: x.from, Y: planFoot}, Stroke: drawing.Thin},
		drawing.Line{From: drawing.Point{X: x.from, Y: planFoot}, To: drawing.Point{X: x.to, Y: planFoot}, Stroke: drawing.Thin},
		drawing.Line{From: drawing.Point{X: x.from, Y: wanted}, To: drawing.Point{X: x.to, Y: wanted}, Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.Black, Dashed: true}},
		drawing.Text{At: drawing.Point{X: (x.from + x.to) / 2, Y: planFoot + 8.4}, Size: textSize, Anchor: drawing.Middle, Text: unit},
	)
	return c
}

// points draws values joined by a line, each with the sign of so many setups; a
// missing one breaks the line.
func (o outlook) points(s *drawing.Scene, c chart, setups int, x, u []float64) {
	var path []drawing.Point
	end := func() {
		if len(path) > 1 {
			s.Add(drawing.Polygon{Points: path, Open: true, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black}})
		}
		for _, p := range path {
			s.Add(setupsSign(p, setups))
		}
		path = nil
	}
	for i := range x {
		if u[i] > o.top {
			end()
			continue
		}
		path = append(path, c.point(x[i], u[i]))
	}
	end()
}

// setupsSign is the sign of one setup, of three, and of more.
func setupsSign(at drawing.Point, setups int) drawing.Item {
	switch setups {
	case 1:
		return drawing.Circle{Centre: at, Radius: 0.9, Fill: drawing.White, Stroke: drawing.Stroke{Width: 0.35, Ink: drawing.Black}}
	case 3:
		return drawing.Circle{Centre: at, Radius: 0.9, Fill: drawing.Deep}
	}
	return drawing.Rectangle(at.Plus(-0.9, -0.9), 1.8, 1.8, drawing.Black, drawing.Stroke{})
}

// ring marks what is planned.
func ring(s *drawing.Scene, at drawing.Point) {
	s.Add(drawing.Circle{Centre: at, Radius: 2, Fill: drawing.None, Stroke: drawing.Stroke{Width: 0.4, Ink: drawing.Black}})
}

// drawDepths draws the ± against the half arc.
func (o outlook) drawDepths(s *drawing.Scene, v words.Plan) (told []string) {
	if len(o.Depths) == 0 {
		return nil
	}
	var x, u []float64
	for _, d := range o.Depths {
		x, u = append(x, d.HalfArc.Degrees()), append(u, d.U.Degrees())
		told = append(told, "half arc "+rounding.Degrees(d.HalfArc, 0)+", piston "+v.Of(d.Drop)+" down: ± "+rounding.TwoDigits(d.U))
	}
	c := o.plot(s, scale{0, x[len(x)-1] * 1.05, planLeft, planLeft + planWide}, "half arc")
	free := geometry.Length(0)
	for _, at := range x {
		label := drawing.Text{At: drawing.Point{X: c.x.at(at), Y: planFoot + 4.2}, Size: textSize, Anchor: drawing.Middle, Text: rounding.Fixed(at, 0) + "°"}
		s.Add(drawing.Line{From: drawing.Point{X: label.At.X, Y: planFoot}, To: drawing.Point{X: label.At.X, Y: planFoot + 1.2}, Stroke: drawing.Thin})
		if label.At.X-label.Extent()/2 > free {
			s.Add(label)
			free = label.At.X + label.Extent()/2 + 0.8
		}
	}
	o.points(s, c, 3, x, u)
	says := "planned: " + rounding.Degrees(o.Best.HalfArc, 0)
	if o.Best.Drop > 0 {
		says += ", piston " + v.Of(o.Best.Drop) + " down"
	}
	told = append(told, says)
	at := c.point(o.Best.HalfArc.Degrees(), 0)
	for i := range x {
		if math.Abs(x[i]-o.Best.HalfArc.Degrees()) < 1e-9 && u[i] <= o.top {
			at = c.point(x[i], u[i])
			ring(s, at)
		}
	}
	if at.Y == planFoot && o.Best.HalfArc.Degrees() < c.x.high { // a depth of one's own
		s.Add(head(drawing.Point{X: at.X, Y: planFoot}, 180, 3))
	}
	s.Add(drawing.Text{At: drawing.Point{X: planLeft, Y: planTop - 2.4}, Size: textSize, Bold: true, Text: says})
	return told
}

// drawPairs draws the ± against pairs and setups.
func (o outlook) drawPairs(s *drawing.Scene) (told []string) {
	left := planNext
	if len(o.Depths) == 0 { // nothing stands there
		left = planLeft
	}
	right := left + planWide - 14 // the names of the rows stand behind
	c := o.plot(s, scale{1, mostPairs + 0.3, left, right}, "pairs in each setup")
	var names []rowName
	for _, row := range o.rows {
		name := rounding.Count(row.setups, "setup", "setups")
		var x []float64
		for i, u := range row.u {
			x = append(x, float64(fewestPairs+i))
			if !math.IsInf(u, 0) {
				told = append(told, fmt.Sprintf("%s of %d pairs: ± %s", name, fewestPairs+i, rounding.TwoDigits(geometry.Angle(u))))
			}
		}
		o.points(s, c, row.setups, x, row.u)
		if last := row.u[len(row.u)-1]; last <= o.top {
			names = append(names, rowName{row.setups, c.y.at(last), name})
		}
	}
	spreadNames(names, planFoot)
	for _, n := range names {
		s.Add(setupsSign(drawing.Point{X: right + 2, Y: n.y}, n.setups), drawing.Text{At: drawing.Point{X: right + 4, Y: n.y + 0.9}, Size: textSize, Text: n.text})
	}
	for pairs := 1; pairs <= mostPairs; pairs++ {
		s.Add(
			drawing.Line{From: c.point(float64(pairs), 0), To: c.point(float64(pairs), 0).Plus(0, 1.2), Stroke: drawing.Thin},
			drawing.Text{At: c.point(float64(pairs), 0).Plus(0, 4.2), Size: textSize, Anchor: drawing.Middle, Text: fmt.Sprint(pairs)},
		)
	}
	says := "not reached by 6 setups of 10 pairs and 6 readings"
	if l := o.Least; l != nil {
		says = fmt.Sprintf("planned: %s, %s, %s", rounding.Count(l.Setups, "setup", "setups"), rounding.Count(l.Trials, "pair", "pairs"), rounding.Count(l.Readings, "reading", "readings"))
		if l.Trials <= mostPairs && l.U.Degrees() <= o.top {
			at := c.point(float64(l.Trials), l.U.Degrees())
			s.Add(setupsSign(at, l.Setups))
			ring(s, at)
		}
		told = append(told, says+", ± "+rounding.TwoDigits(l.U))
	} else {
		told = append(told, says)
	}
	s.Add(drawing.Text{At: drawing.Point{X: left, Y: planTop - 2.4}, Size: textSize, Bold: true, Text: says})
	return told
}

// rowName stands behind the last point of a row.
type rowName struct {
	setups int
	y      geometry.Length
	text   string
}

// spreadNames keeps names a line apart, in the order of their points, and above the
// foot.
func spreadNames(names []rowName, foot geometry.Length) {
	const apart geometry.Length = 3.2
	slices.SortStableFunc(names, func(a, b rowName) int { return cmp.Compare(a.y, b.y) })
	for i := 1; i < len(names); i++ {
		names[i].y = max(names[i].y, names[i-1].y+apart)
	}
	for i := len(names) - 1; i >= 0; i-- {
		names[i].y = min(names[i].y, foot-apart*geometry.Length(len(names)-1-i))
	}
}
