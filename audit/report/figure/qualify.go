package figure

import (
	"math"
	"strings"

	"markaudit/audit/qualify"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Qualify shows the middles of both stops setup by setup, less the mean of the
// trusted one, the difference of each setup, and the mean difference with its
// intervals against the bias that is allowed.
func Qualify(r qualify.Result, tools words.Tools) []drawing.Scene {
	if len(r.Setups) == 0 {
		return nil
	}
	v := words.Qualify{Result: r, Tools: tools}
	axis := biasScale(r)
	parts := parted(r.Setups, func(qualify.Setup) geometry.Length { return setupRow }, drawing.Tallest-setupsTop-26)
	var all []drawing.Scene
	for i, part := range parts {
		all = append(all, setupsFigure(v, part, axis, rounding.PartOf(i, len(parts))))
	}
	return all
}

// Sizes of the figure, in millimetres.
const (
	setupsTop                   = drawing.Top + 5
	setupRow    geometry.Length = 10
	setupsLeft  geometry.Length = 30
	setupsRight geometry.Length = 150
)

// laterOf are middles of one tool in one setup, later above zero, less an angle.
func laterOf(r qualify.Result, c qualify.Cell, less geometry.Angle) []float64 {
	out := make([]float64, len(c.Middles))
	for i, m := range c.Middles {
		out[i] = (geometry.Angle(r.Counts) * (m - less)).Wrap().Degrees()
	}
	return out
}

// both are the middles of both tools in a setup, later above zero: less the trusted
// mean where both were read, else less their own.
func both(r qualify.Result, s qualify.Setup) (trusted, newer []float64) {
	trusted, newer = laterOf(r, s.Reference, s.Reference.Middle), laterOf(r, s.New, s.New.Middle)
	if s.Paired {
		for i := range newer {
			newer[i] += s.Difference.Degrees()
		}
	}
	return trusted, newer
}

// biasScale holds every middle, the allowed bias and the interval.
func biasScale(r qualify.Result) scale {
	reach := 1.3 * r.AllowedBias.Degrees()
	for _, s := range r.Setups {
		trusted, newer := both(r, s)
		for _, x := range append(trusted, newer...) {
			reach = math.Max(reach, 1.06*math.Abs(x))
		}
	}
	if b := r.Bias; b != nil {
		reach = math.Max(reach, 1.06*math.Abs(b.Value.Degrees()))
		if b.Known {
			// An interval without end would leave nothing of the middles.
			reach = math.Max(reach, math.Min(1.06*math.Max(math.Abs(b.Low.Degrees()), math.Abs(b.High.Degrees())), 4*reach))
		}
	}
	return scale{-reach, reach, setupsLeft, setupsRight}
}

func setupsFigure(v words.Qualify, part []qualify.Setup, axis scale, of string) drawing.Scene {
	r := v.Result
	s := titled(v.Title()+": "+v.Heading()+of,
		"Ticks: middles less the trusted mean of the setup, above of the trusted stop, below, thick, of the new one. Triangle: their difference. "+
			"Grey: allowed bias. Last: mean difference; bar: 95 %; ticks in it: 5 % to either side, for the verdict.")
	foot := setupsTop + setupRow*geometry.Length(len(part)) + 11
	allowed := r.AllowedBias.Degrees()
	s.Add(
		drawing.Rectangle(drawing.Point{X: axis.at(-allowed), Y: setupsTop}, axis.at(allowed)-axis.at(-allowed), foot-setupsTop, drawing.Pale, drawing.Stroke{}),
		drawing.Line{From: drawing.Point{X: axis.at(0), Y: setupsTop}, To: drawing.Point{X: axis.at(0), Y: foot}, Stroke: drawing.Hair},
	)
	n := rounding.StepPlaces(r.Step) + 1
	told := []string{v.Answer()}
	y := setupsTop
	for _, setup := range part {
		trusted, newer := both(r, setup)
		name := drawing.Wrap("setup "+words.Clean(setup.Name), textSize, setupsLeft-3, 1)[0]
		s.Add(drawing.Text{At: drawing.Point{X: 0, Y: y + 5.5}, Size: textSize, Text: name})
		places := func(values []float64) []geometry.Length {
			out := make([]geometry.Length, len(values))
			for i, x := range values {
				out[i] = axis.at(x)
			}
			return out
		}
		ticksOf(&s, places(trusted), y+0.8, y+3.6, readingStroke)
		ticksOf(&s, places(newer), y+4.1, y+6.9, drawing.Thick)
		says := "one stop only"
		if setup.Paired {
			at := drawing.Point{X: axis.at(setup.Difference.Degrees()), Y: y + 7.4}
			s.Add(drawing.Polygon{Points: []drawing.Point{at, at.Plus(1, 1.7), at.Plus(-1, 1.7)}, Fill: drawing.Black})
			says = rounding.Signed(setup.Difference.Degrees(), n+1) + "°"
		}
		s.Add(drawing.Text{At: drawing.Point{X: setupsRight + 4, Y: y + 5.5}, Size: textSize, Text: says})
		told = append(told, "setup "+words.Clean(setup.Name)+", trusted "+signedAll(trusted, n+1)+", new "+signedAll(newer, n+1)+", difference "+says)
		y += setupRow
	}
	told = append(told, drawBias(&s, v, axis, y+5.5, n+1))
	values, decimals := axis.ticks(8)
	for _, x := range values {
		s.Add(
			drawing.Line{From: drawing.Point{X: axis.at(x), Y: foot}, To: drawing.Point{X: axis.at(x), Y: foot + 1.2}, Stroke: drawing.Thin},
			drawing.Text{At: drawing.Point{X: axis.at(x), Y: foot + 4.2}, Size: textSize, Anchor: drawing.Middle, Text: rounding.Signed(x, decimals)},
		)
	}
	s.Add(
		drawing.Line{From: drawing.Point{X: axis.from, Y: foot}, To: drawing.Point{X: axis.to, Y: foot}, Stroke: drawing.Thin},
		drawing.Text{At: drawing.Point{X: axis.from, Y: foot + 8.2}, Size: textSize, Text: "◄ the new stop puts TDC earlier"},
		drawing.Text{At: drawing.Point{X: axis.to, Y: foot + 8.2}, Size: textSize, Anchor: drawing.End, Text: "later, degrees ►"},
	)
	s.Height = foot + 10
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

// drawBias draws the mean difference around a height, and says it.
func drawBias(s *drawing.Scene, v words.Qualify, axis scale, mid geometry.Length, places int) string {
	s.Add(drawing.Text{At: drawing.Point{X: 0, Y: mid + 1}, Size: textSize, Bold: true, Text: "all setups"})
	b := v.Bias
	if b == nil {
		s.Add(drawing.Text{At: drawing.Point{X: setupsRight + 4, Y: mid + 1}, Size: textSize, Text: "not known"})
		return "the mean difference is not known"
	}
	says := rounding.Signed(b.Value.Degrees(), places) + "°"
	told := "all setups " + says
	if b.Known {
		at := func(a geometry.Angle) drawing.Point {
			return drawing.Point{X: axis.at(min(max(a.Degrees(), axis.low), axis.high)), Y: mid}
		}
		stroke := drawing.Stroke{Width: 0.6, Ink: drawing.Black}
		s.Add(drawing.Line{From: at(b.Low), To: at(b.High), Stroke: stroke})
		for i, end := range []geometry.Angle{b.Low, b.High} {
			if end.Abs().Degrees() > axis.high {
				s.Add(arrowhead(at(end), geometry.Angle(180*i-90)))
				continue
			}
			s.Add(drawing.Line{From: at(end).Plus(0, -1.8), To: at(end).Plus(0, 1.8), Stroke: stroke})
		}
		for _, tick := range []geometry.Angle{b.Low90, b.High90} {
			if tick.Abs().Degrees() <= axis.high {
				s.Add(drawing.Line{From: at(tick).Plus(0, -1), To: at(tick).Plus(0, 1), Stroke: drawing.Stroke{Width: 0.3, Ink: drawing.Black}})
			}
		}
		told += ", 95 % " + rounding.Signed(b.Low.Degrees(), places) + " to " + rounding.Signed(b.High.Degrees(), places) +
			", 90 % " + rounding.Signed(b.Low90.Degrees(), places) + " to " + rounding.Signed(b.High90.Degrees(), places)
	}
	s.Add(
		drawing.Circle{Centre: drawing.Point{X: axis.at(b.Value.Degrees()), Y: mid}, Radius: 1, Fill: drawing.Deep},
		drawing.Text{At: drawing.Point{X: setupsRight + 4, Y: mid + 1}, Size: textSize, Bold: true, Text: says},
	)
	return told
}

// signedAll prints values with their signs.
func signedAll(values []float64, places int) string {
	out := make([]string, len(values))
	for i, x := range values {
		out[i] = rounding.Signed(x, places)
	}
	return strings.Join(out, " ")
}
