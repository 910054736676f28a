package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/readout"
	"markaudit/audit/report/drawing"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/geometry"
)

// Trials shows the contacts trial by trial: middles and half arcs, each less the
// mean of its setup, in the order in which they were taken. A stop that works loose
// shows as a slope of the half arcs, a wild reading as a dot of its own. Pairs that
// were struck and the closing pair are there too. A sweep has no trials and is left
// out.
func Trials(r audit.Result) []drawing.Scene {
	if !r.TDC.Any() {
		return nil
	}
	v := words.NewAudit(r, nil)
	var panels []trialPanel
	for i := range r.TDC.Setups {
		if p := newTrialPanel(r, &r.TDC.Setups[i]); len(p.pairs) > 0 {
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
	step := r.Sheet.Readout.Step.Degrees()
	reach := step
	for _, p := range panels {
		for _, x := range p.pairs {
			if x.kind != struckPair { // a wheel that was knocked would shrink all others
				reach = max(reach, 1.15*math.Abs(x.middle), 1.15*math.Abs(x.half))
			}
		}
	}
	pages := parted(bands, heightOf, drawing.Tallest-drawing.Top)
	var all []drawing.Scene
	for i, page := range pages {
		all = append(all, trialFigure(v, page, reach, step, rounding.PartOf(i, len(pages))))
	}
	return all
}

const (
	panelsAbreast                 = 3
	abreastPoints                 = 12 // more trials than these want the whole width
	bandHeight    geometry.Length = 66
	trialPlot     geometry.Length = 20 // height of one of the two plots
)

// heightOf is that of panels side by side; the word of a closing pair has a line of its own.
func heightOf(band []trialPanel) geometry.Length {
	if slices.ContainsFunc(band, trialPanel.closes) {
		return bandHeight + drawing.Leading
	}
	return bandHeight
}

// closes reports whether the last pair is a closing pair.
func (p trialPanel) closes() bool { return p.pairs[len(p.pairs)-1].kind == closingPair }

// trialPanel is one setup.
type trialPanel struct {
	title       string
	reads, half string
	pairs       []trialPair
	points      int // columns: trials, and the closing pair
}

// trialPair is one sign: a pair of contacts.
type trialPair struct {
	column       int // from 1
	kind         pairKind
	middle, half float64 // degrees less the mean of the setup
}

type pairKind uint8

// A pair that counts, one that was struck or lacks a partner, and the closing pair.
const (
	goodPair pairKind = iota
	struckPair
	closingPair
)

func newTrialPanel(r audit.Result, s *tdc.Setup) trialPanel {
	v := words.NewAudit(r, nil)
	title := "Setup " + words.Clean(s.Name)
	if s.By != "" {
		title += ", " + words.Clean(s.By)
	}
	n := v.StepDecimals() + 1
	p := trialPanel{
		title: drawing.Wrap(title, textSize, 52, 1)[0],
		reads: "TDC reads " + v.Shows(s.Reading, n), half: "half arc " + rounding.Degrees(s.HalfArc, n),
	}
	setup := r.Sheet.Setups[s.Index]
	trials := setup.Trials
	of := make([]int, len(trials)) // the drop of each
	for i := range setup.Drops {
		for _, t := range setup.Drops[i].Trials() {
			trials, of = append(trials[:len(trials):len(trials)], t), append(of, i)
		}
	}
	from := readout.New(r.Sheet)
	raw := func(t sheet.Trial, kind pairKind) trialPair {
		p.points++
		x := trialPair{column: p.points, kind: kind}
		if t.Forward != nil && t.Backward != nil {
			middle, half := from.Pair(t)
			x.middle, x.half = (middle - s.Middle).Wrap().Degrees(), (half - s.HalfArc).Degrees()
		}
		return x
	}
	used := 0
	sums, counts := make([]float64, len(setup.Drops)), make([]float64, len(setup.Drops))
	for i, t := range trials {
		x := raw(t, goodPair)
		switch {
		case !t.Usable():
			x.kind = struckPair
		case used < len(s.Middles) && used < len(s.HalfArcs): // with what the audit corrects
			x.middle, x.half = (s.Middles[used] - s.Middle).Wrap().Degrees(), (s.HalfArcs[used] - s.HalfArc).Degrees()
			used++
			if len(setup.Drops) > 0 {
				sums[of[i]], counts[of[i]] = sums[of[i]]+x.half, counts[of[i]]+1
			}
		}
		p.pairs = append(p.pairs, x)
	}
	// Drops of several depths have half arcs of several sizes.
	for i := range p.pairs {
		if len(setup.Drops) > 1 && counts[of[i]] > 0 {
			p.pairs[i].half -= sums[of[i]] / counts[of[i]]
		}
	}
	if n := len(setup.Drops); n > 1 {
		p.half += fmt.Sprintf(", of %d drops", n)
	}
	if c := setup.Closing; c != nil && len(p.pairs) > 0 {
		kind := closingPair
		if !c.Usable() {
			kind = struckPair
		}
		p.pairs = append(p.pairs, raw(*c, kind))
	}
	return p
}

func trialFigure(v words.Audit, bands [][]trialPanel, reach, step float64, of string) drawing.Scene {
	s := titled("Contacts, trial by trial"+of,
		"Disc: the middle of a pair; triangle: half the arc blocked; each less its setup's mean, in degrees. Open: the closing pair. Cross: struck, or without a partner; at the edge, beyond. Grey: half a step, within which pairs round alike.")
	var told []string
	y := drawing.Top + 5
	for _, band := range bands {
		abreast := geometry.Length(panelsAbreast)
		if len(band) == 1 && band[0].points > abreastPoints {
			abreast = 1
		}
		width := (drawing.PageWidth - 0.5 - 4*(abreast-1)) / abreast
		for i, p := range band {
			x := geometry.Length(i) * (width + 4)
			s.Add(p.draw(drawing.Point{X: x, Y: y}, width, reach, step)...)
			told = append(told, p.told())
		}
		y += heightOf(band)
	}
	s.Height = y - 6.6
	s.Description += " " + strings.Join(told, "; ") + "."
	return s
}

// told is the panel in words: each pair with its values.
func (p trialPanel) told() string {
	var pairs []string
	for _, x := range p.pairs {
		pairs = append(pairs, [...]string{"", "struck ", "closing "}[x.kind]+rounding.Signed(x.middle, 3)+" and "+rounding.Signed(x.half, 3))
	}
	return fmt.Sprintf("%s: %s, %s; middle and half arc of each pair less the mean: %s", p.title, p.reads, p.half, strings.Join(pairs, ", "))
}

func (p trialPanel) draw(at drawing.Point, width geometry.Length, reach, step float64) []drawing.Item {
	const labels geometry.Length = 12 // room for the numbers of the axis
	items := []drawing.Item{drawing.Text{At: at.Plus(0, 0.5), Size: textSize, Bold: true, Text: p.title}}
	left, right := at.X+labels, at.X+width
	place := func(column int) geometry.Length {
		return left + (right-left)*(geometry.Length(column)-0.5)/geometry.Length(max(p.points, 3))
	}
	for i, text := range []string{p.reads, p.half} {
		top := at.Y + 6 + geometry.Length(i)*(trialPlot+7)
		axis := scale{low: -reach, high: reach, from: top + trialPlot, to: top}
		band := axis.at(-step/4) - axis.at(step/4)
		items = append(items,
			drawing.Text{At: drawing.Point{X: left, Y: top - 1}, Size: textSize, Text: text},
			drawing.Rectangle(drawing.Point{X: left, Y: axis.at(step / 4)}, right-left, band, drawing.Pale, drawing.Stroke{}),
			drawing.Rectangle(drawing.Point{X: left, Y: top}, right-left, trialPlot, drawing.None, drawing.Hair))
		ticks, decimals := axis.ticks(5)
		for _, t := range ticks {
			y := axis.at(t)
			items = append(items,
				drawing.Line{From: drawing.Point{X: left - 0.6, Y: y}, To: drawing.Point{X: left, Y: y}, Stroke: drawing.Hair},
				drawing.Text{At: drawing.Point{X: left - 1, Y: y + 0.9}, Size: textSize, Anchor: drawing.End, Text: rounding.Signed(t, decimals)})
		}
		items = append(items, drawing.Line{From: drawing.Point{X: left, Y: axis.at(0)}, To: drawing.Point{X: right, Y: axis.at(0)}, Stroke: drawing.Hair})
		items = append(items, p.signs(axis, i == 0, place)...)
	}
	return append(items, p.columns(drawing.Point{X: at.X, Y: at.Y + 6 + 2*trialPlot + 7 + 4.6}, right, place)...)
}

// signs are the pairs on one of the two plots, those that count joined.
func (p trialPanel) signs(axis scale, middles bool, place func(int) geometry.Length) []drawing.Item {
	var items []drawing.Item
	var path []drawing.Point
	for _, x := range p.pairs {
		value := x.half
		if middles {
			value = x.middle
		}
		c := drawing.Point{X: place(x.column), Y: axis.at(min(max(value, axis.low), axis.high))}
		if x.kind == struckPair {
			const arm geometry.Length = 0.9
			c.Y = min(max(c.Y, axis.to+arm), axis.from-arm)
			items = append(items,
				drawing.Line{From: c.Plus(-arm, -arm), To: c.Plus(arm, arm), Stroke: drawing.Thin},
				drawing.Line{From: c.Plus(-arm, arm), To: c.Plus(arm, -arm), Stroke: drawing.Thin})
			continue
		}
		fill, edge := drawing.Deep, drawing.Stroke{}
		if x.kind == closingPair {
			fill, edge = drawing.White, drawing.Stroke{Width: 0.35, Ink: drawing.Black}
		} else {
			path = append(path, c)
		}
		if middles {
			items = append(items, drawing.Circle{Centre: c, Radius: 0.9, Fill: fill, Stroke: edge})
		} else {
			items = append(items, drawing.Polygon{Points: []drawing.Point{c.Plus(0, -1.2), c.Plus(1.1, 0.8), c.Plus(-1.1, 0.8)}, Fill: fill, Stroke: edge})
		}
	}
	return append([]drawing.Item{drawing.Polygon{Points: path, Open: true, Stroke: drawing.Hair}}, items...)
}

// columns numbers the trials below a panel, as far as there is room.
func (p trialPanel) columns(at drawing.Point, right geometry.Length, place func(int) geometry.Length) []drawing.Item {
	items := []drawing.Item{drawing.Text{At: at, Size: textSize, Text: "trial"}}
	trials := p.points
	if last := p.pairs[len(p.pairs)-1]; p.closes() {
		closing := drawing.Text{At: drawing.Point{X: place(last.column), Y: at.Y + drawing.Leading}, Size: textSize, Anchor: drawing.Middle, Text: "closing"}
		closing.At.X = min(closing.At.X, right+0.4-closing.Extent()/2)
		items, trials = append(items, closing), p.points-1
	}
	for n := 1; n <= trials; n += max(1, p.points/24) {
		number := drawing.Text{At: drawing.Point{X: place(n), Y: at.Y}, Size: textSize, Anchor: drawing.Middle, Text: fmt.Sprint(n)}
		items = append(items, number)
	}
	return items
}
