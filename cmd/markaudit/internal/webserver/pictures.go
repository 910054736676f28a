package webserver

import (
	"fmt"
	"math"

	"markaudit/audit/guide"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// facePicture is the round face of the part as the person sees it: the pointer on
// top, the arrow of turning, the lines at their places.
type facePicture struct {
	Arc, Head string // of the arrow, as paths
	Turns     bool   // there is an arrow
	Lines     []faceLine
	Label     string // the picture in words
	Stands    string
}

// faceLine is a line on the face.
type faceLine struct {
	Path         string
	Next, Stands bool
	Name         string
	X, Y         float64
	Anchor       string
}

const (
	faceX, faceY, faceR = 150.0, 150.0, 100.0
	arrowR              = 72.0
)

// point is a place on a circle, by its angle clockwise from the top.
func point(r, degrees float64) (x, y float64) {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return faceX + r*s, faceY - r*c
}

// newFace draws the face for a turn of so many degrees; clockwise as one looks at
// it where that is positive. A turn whose length is not known is drawn as most of
// a round.
func newFace(clockwise bool, degrees float64, toPointer bool) facePicture {
	f := facePicture{Turns: true}
	if degrees == 0 {
		degrees = 300
	}
	degrees = math.Min(math.Max(degrees, 24), 320)
	sign, sweep := 1.0, 1
	if !clockwise {
		sign, sweep = -1, 0
	}
	long := 0
	if degrees > 180 {
		long = 1
	}
	// What stands at the pointer turns away from it; the next line turns to it.
	from, to := 0.0, sign*degrees
	if toPointer {
		from, to = -sign*degrees, -sign*12
	}
	x0, y0 := point(arrowR, from)
	x1, y1 := point(arrowR, to)
	f.Arc = fmt.Sprintf("M%.1f %.1fA%g %g 0 %d %d %.1f %.1f", x0, y0, arrowR, arrowR, long, sweep, x1, y1)
	f.Head = head(to, sign)
	return f
}

// head is the head of an arrow at the end of an arc.
func head(degrees, sign float64) string {
	x1, y1 := point(arrowR-17, degrees)
	x2, y2 := point(arrowR+17, degrees)
	x3, y3 := point(arrowR, degrees+sign*24)
	return fmt.Sprintf("M%.1f %.1fL%.1f %.1fL%.1f %.1fZ", x1, y1, x2, y2, x3, y3)
}

// drawFace draws what the step at hand turns, and the lines where they are on a part
// whose lines turn. It is false where nothing turns.
func drawFace(s *server, r words.Recording) (facePicture, bool) {
	v := s.rec.State().View()
	step := v.Step
	way := step.Approach
	switch step.Kind {
	case guide.Lower:
		way = sheet.Forward
	case guide.TakeOut:
		if step.Rests == 0 {
			return facePicture{}, false
		}
		way = sheet.Forward + sheet.Backward - step.Rests
	case guide.Ask:
		if step.Question != guide.QuarterTo {
			return facePicture{}, false
		}
		way, step.Turn = sheet.Forward, 90
	case guide.Take:
	default:
		return facePicture{}, false
	}
	turns := v.Sheet.Engine.Turns
	if way == sheet.Backward {
		turns = turns.Opposite()
	}
	clockwise := turns == geometry.Clockwise
	part := 1.0
	if v.Sheet.Part.HalfSpeed {
		part = 0.5
	}
	degrees := part * step.Turn.Degrees()
	if step.Kind == guide.TakeOut {
		degrees = 14
	}
	lines := step.Kind == guide.Take && step.Stands != "" && v.Sheet.Part.MarksOn == sheet.OnPart
	f := newFace(clockwise, degrees, lines && step.Turn > 0)
	f.Label = "An arrow turning " + turns.String() + ", " + r.SeenFrom()
	if lines {
		drawLines(s, &f, v, step, clockwise == (way == sheet.Forward), part)
	}
	return f, true
}

// drawLines draws the lines, with the one at which the engine stands at the pointer.
// The next one comes to the pointer from the side from which the rim turns.
func drawLines(s *server, f *facePicture, v guide.View, step guide.Step, clockwise bool, part float64) {
	stands := s.rec.State().Place(step.Stands)
	for _, m := range v.Sheet.Marks {
		ahead := part * (s.rec.State().Place(m.Name) - stands).Degrees()
		if clockwise {
			ahead = -ahead
		}
		next, here := m.Name == step.Item, m.Name == step.Stands
		x1, y1 := point(faceR-20, ahead)
		x2, y2 := point(faceR, ahead)
		l := faceLine{Path: fmt.Sprintf("M%.1f %.1fL%.1f %.1f", x1, y1, x2, y2), Next: next && !here, Stands: here}
		if l.Next {
			l.Name = words.Clean(m.Name)
			l.X, l.Y = point(faceR+14, ahead)
			l.Y += 9
			switch side := math.Remainder(ahead, 360); {
			case math.Abs(side) < 20:
				l.Y -= 8
				l.Anchor = map[bool]string{true: "start", false: "end"}[side > 0]
			case side > 0 && side < 160:
				l.Anchor = "start"
			case side < 0 && side > -160:
				l.Anchor = "end"
			default:
				l.Anchor = "middle"
				l.Y += 14
			}
		}
		f.Lines = append(f.Lines, l)
	}
	f.Stands = words.Clean(step.Stands)
	f.Label += fmt.Sprintf("; you stand at line %s, and line %s comes next", f.Stands, words.Clean(step.Item))
}

// pairsPicture shows the middles of the pairs, how sure TDC is, and the goal. It
// has one scale for the job: what the lines may be off.
type pairsPicture struct {
	Low, High    float64 // the doubt; both zero before two pairs
	GoalA, GoalB float64
	Dots         []dot
	Scale        string
	Label        string
}

type dot struct{ X, Y float64 }

// drawPairs draws the pairs of the current setup; false where there is nothing to show.
func drawPairs(s *server) (pairsPicture, bool) {
	v := s.rec.State().View()
	goal := v.Goal.Degrees()
	if v.Result == nil || math.IsInf(goal, 1) || goal <= 0 {
		return pairsPicture{}, false
	}
	scale := 4 * goal // the smallest tolerance
	const middle, half = 390.0, 300.0
	x := func(d float64) float64 {
		return math.Round(10*(middle+half*math.Min(1.15, math.Max(-1.15, d/scale)))) / 10
	}
	p := pairsPicture{GoalA: x(-goal), GoalB: x(goal), Scale: fmt.Sprintf("%.3g° either way", scale)}
	if v.TDC > 0 {
		p.Low, p.High = x(-v.TDC.Degrees()), x(v.TDC.Degrees())
	}
	any := false
	for _, setup := range v.Result.TDC.Setups {
		if setup.Name != v.Setup || len(setup.Middles) == 0 {
			continue
		}
		any = true
		var sum float64
		for _, m := range setup.Middles {
			sum += (m - setup.Middles[0]).Wrap().Degrees()
		}
		mean := sum / float64(len(setup.Middles))
		seen := map[float64]int{} // only looked up
		for _, m := range setup.Middles {
			at := x((m - setup.Middles[0]).Wrap().Degrees() - mean)
			p.Dots = append(p.Dots, dot{at, 40 - 18*float64(seen[at])})
			seen[at]++
		}
	}
	p.Label = fmt.Sprintf("The middles of the contacts on a scale of %.3g degrees either way; the goal is %.3g degrees either way.", scale, goal)
	return p, any
}
