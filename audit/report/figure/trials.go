package figure

import (
	"fmt"
	"math"
	"strings"

	"markaudit/audit"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Trials shows the contacts trial by trial: middles and half arcs, each
// less the mean of its setup. A stop that works loose shows as a slope of the
// half arcs, a wild reading as a dot of its own. A sweep has no trials and is
// left out.
func Trials(r audit.Result) []drawing.Scene {
	if !r.TDC.Any() {
		return nil
	}
	v := words.NewAudit(r, nil)
	var panels []trialPanel
	for i := range r.TDC.Setups {
		if p := newTrialPanel(r, &r.TDC.Setups[i]); len(p.numbers) > 0 {
			panels = append(panels, p)
		}
	}
	var bands [][]trialPanel // panels side by side
	for _, p := range panels {
		if n := len(bands); n > 0 && len(bands[n-1]) < panelsAbreast && p.points <= abreastPoints && bands[n-1][0].points <= abreastPoints {
			bands[n-1] = append(bands[n-1], p)
		} else {
			bands = append(bands, []trialPanel{p})
		}
	}
	var reach float64
	for _, p := range panels {
		for i := range p.middles {
			reach = max(reach, math.Abs(p.middles[i]), math.Abs(p.halves[i]))
		}
	}
	step := r.Sheet.Readout.Step.Degrees()
	reach = max(reach*1.15, step)
	pages := parted(bands, func([]trialPanel) geometry.Length { return bandHeight }, drawing.Tallest-drawing.Top)
	var all []drawing.Scene
	for i, page := range pages {
		all = append(all, trialFigure(v, page, reach, rounding.PartOf(i, len(pages))))
	}
	return all
}

const (
	panelsAbreast                 = 3
	abreastPoints                 = 12 // more trials than these want the whole width
	bandHeight    geometry.Length = 66
	trialPlot     geometry.Length = 20 // height of one of the two plots
)

// trialPanel is one setup.
type trialPanel struct {
	title, reads, half []string
	numbers            []int // of the usable trials, as on the sheet
	struck             []int
	middles, halves    []float64 // degrees less the mean
	points             int       // trials, struck ones included
}

func newTrialPanel(r audit.Result, s *tdc.Setup) trialPanel {
	v := words.NewAudit(r, nil)
	p := trialPanel{}
	title := "Setup " + words.Clean(s.Name)
	if s.By != "" {
		title += ", " + words.Clean(s.By)
	}
	p.title = drawing.Wrap(title, drawing.TextSize, 54, 1)
	n := v.StepDecimals() + 1
	p.reads = []string{"TDC reads " + v.Shows(s.Reading, n)}
	p.half = []string{"half arc " + rounding.Degrees(s.HalfArc, n)}
	var trials []sheet.Trial
	for _, setup := range r.Sheet.Setups {
		if setup.Name != s.Name {
			continue
		}
		trials = setup.Trials
		for i := range setup.Drops {
			trials = append(trials[:len(trials):len(trials)], setup.Drops[i].Trials()...)
		}
	}
	for i, t := range trials {
		if t.Usable() {
			p.numbers = append(p.numbers, i+1)
		} else {
			p.struck = append(p.struck, i+1)
		}
	}
	if len(p.numbers) != len(s.Middles) || len(s.HalfArcs) != len(s.Middles) {
		p.struck, p.numbers = nil, nil // drops of unequal depth leave no middle each
		for i := range s.Middles {
			p.numbers = append(p.numbers, i+1)
		}
	}
	for i := range s.Middles {
		p.middles = append(p.middles, (s.Middles[i] - s.Middle).Wrap().Degrees())
		if i < len(s.HalfArcs) {
			p.halves = append(p.halves, (s.HalfArcs[i] - s.HalfArc).Degrees())
		} else {
			p.halves = append(p.halves, 0)
		}
	}
	p.points = len(p.numbers) + len(p.struck)
	return p
}

func trialFigure(v words.Audit, bands [][]trialPanel, reach float64, of string) drawing.Scene {
	s := drawing.Titled("Contacts, trial by trial"+of,
		"Disc: the middle of a pair; triangle: half the arc blocked; less the setup's mean, in degrees. Cross: struck, or without a partner.")
	var told []string
	y := drawing.Top + 3
	for _, band := range bands {
		abreast := geometry.Length(panelsAbreast)
		if len(band) == 1 && band[0].points > abreastPoints {
			abreast = 1
		}
		width := (drawing.PageWidth - 0.5 - 4*(abreast-1)) / abreast
		for i, p := range band {
			x := geometry.Length(i) * (width + 4)
			s.Add(p.draw(drawing.Point{X: x, Y: y}, width, reach)...)
			told = append(told, fmt.Sprintf("%s: %s of contacts, %s, %s", strings.Join(p.title, " "), rounding.Count(len(p.numbers), "pair", "pairs"), p.reads[0], p.half[0]))
		}
		y += bandHeight
	}
	s.Height = y - 3
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

func (p trialPanel) draw(at drawing.Point, width geometry.Length, reach float64) []drawing.Item {
	const labels geometry.Length = 10 // room for the numbers of the axis
	items := []drawing.Item{drawing.Text{At: at.Plus(0, 0.5), Size: drawing.TextSize, Text: strings.Join(p.title, " ")}}
	left, right := at.X+labels, at.X+width
	place := func(number int) geometry.Length {
		return left + (right-left)*(geometry.Length(number)-0.5)/geometry.Length(max(p.points, 3))
	}
	for i, plot := range []struct {
		text   string
		values []float64
	}{{p.reads[0], p.middles}, {p.half[0], p.halves}} {
		top := at.Y + 6 + geometry.Length(i)*(trialPlot+7)
		axis := scale{low: -reach, high: reach, from: top + trialPlot, to: top}
		items = append(items, drawing.Text{At: drawing.Point{X: left, Y: top - 1}, Size: drawing.NoteSize, Ink: drawing.Grey, Text: plot.text})
		items = append(items, drawing.Rectangle(drawing.Point{X: left, Y: top}, right-left, trialPlot, drawing.None, drawing.Hair))
		ticks, decimals := axis.ticks(5)
		for _, t := range ticks {
			y := axis.at(t)
			items = append(items,
				drawing.Line{From: drawing.Point{X: left, Y: y}, To: drawing.Point{X: right, Y: y}, Stroke: drawing.Stroke{Width: 0.1, Ink: drawing.Pale}},
				drawing.Text{At: drawing.Point{X: left - 0.8, Y: y + 0.9}, Size: drawing.NoteSize, Anchor: drawing.End, Text: rounding.Signed(t, decimals)})
		}
		items = append(items, drawing.Line{From: drawing.Point{X: left, Y: axis.at(0)}, To: drawing.Point{X: right, Y: axis.at(0)}, Stroke: drawing.Hair})
		var path []drawing.Point
		for j, value := range plot.values {
			path = append(path, drawing.Point{X: place(p.numbers[j]), Y: axis.at(value)})
		}
		items = append(items, drawing.Polygon{Points: path, Open: true, Stroke: drawing.Hair})
		for _, point := range path {
			if i == 0 {
				items = append(items, drawing.Circle{Centre: point, Radius: 0.9, Fill: drawing.Deep})
			} else {
				items = append(items, drawing.Polygon{Points: []drawing.Point{point.Plus(0, -1.2), point.Plus(1.1, 0.8), point.Plus(-1.1, 0.8)}, Fill: drawing.Black})
			}
		}
		for _, number := range p.struck {
			c := drawing.Point{X: place(number), Y: axis.at(0)}
			items = append(items,
				drawing.Line{From: c.Plus(-0.9, -0.9), To: c.Plus(0.9, 0.9), Stroke: drawing.Thin},
				drawing.Line{From: c.Plus(-0.9, 0.9), To: c.Plus(0.9, -0.9), Stroke: drawing.Thin})
		}
	}
	foot := at.Y + 6 + 2*trialPlot + 7
	every := max(1, p.points/24)
	for n := 1; n <= p.points; n += every {
		items = append(items, drawing.Text{At: drawing.Point{X: place(n), Y: foot + 3.4}, Size: drawing.NoteSize, Anchor: drawing.Middle, Text: fmt.Sprint(n)})
	}
	return append(items, drawing.Text{At: drawing.Point{X: at.X, Y: foot + 3.4}, Size: drawing.NoteSize, Text: "trial"})
}
