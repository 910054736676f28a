package webserver

import (
	"fmt"
	"math"

	"markaudit/audit"
	"markaudit/audit/advise"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// linePicture shows a piece of the rim as the person sees it: the old line, the new
// one and the line towards which that goes, angles in proportion.
type linePicture struct {
	Rim                string
	Lines              []rimLine
	Arc, Tip           string
	Height             string // of the picture
	How, Side          string // how far and which way, true from any side; the same as one sees it
	Label, Seen, Title string
}

type rimLine struct {
	Path, Name, Kind, X, Y, Anchor string
}

const (
	pictureWide  = 580.0
	pictureRim   = 76.0 // from the edge of the rim to where the lines end
	mostSpanned  = 70.0 // degrees; a line further away is named and not drawn
	leastSpanned = 9.0
)

// newLinePicture draws an instruction; false where there is nothing to draw.
func newLinePicture(v words.Job, m audit.LineResult) (linePicture, bool) {
	s := m.Scribe
	part := v.Result.Sheet.Part
	if !s.Worthwhile || m.Offset == nil || s.Along == advise.NoWay {
		return linePicture{}, false
	}
	earlier := -1.0 // which way the lines that come up earlier lie: clockwise is +1
	if advise.Earlier(v.Result.Sheet) == geometry.Clockwise {
		earlier = 1
	}
	at := func(place geometry.Angle) float64 { return -earlier * part.Turned(place).Degrees() }
	move := part.Turned(s.Angle).Degrees() // the order's own angle and side
	if s.Rotation == geometry.Anticlockwise {
		move = -move
	}
	lines := []struct {
		name, kind string
		at         float64
	}{{"old line", "old", 0}, {"NEW line", "new", move}}
	for _, o := range v.Result.ByLine() {
		if o.Name == s.Towards && o.Offset != nil {
			gap := math.Remainder(at(o.Place+o.Offset.Value)-at(m.Place+m.Offset.Value), 360)
			if math.Abs(gap) < mostSpanned {
				lines = append(lines, struct {
					name, kind string
					at         float64
				}{words.Clean(o.Name), "other", gap})
			}
		}
	}
	low, high := 0.0, 0.0
	for _, l := range lines {
		low, high = min(low, l.at), max(high, l.at)
	}
	span := max(high-low, leastSpanned)
	middle, half := (low+high)/2, span/2*1.35
	radius := pictureWide / 2 / math.Sin(min(half, 80)*math.Pi/180)
	point := func(angle, r float64) (x, y float64) {
		a := (angle - middle) * math.Pi / 180
		return pictureWide/2 + r*math.Sin(a), 96 + radius - r*math.Cos(a)
	}
	on := func(angle, r float64) string { x, y := point(angle, r); return fmt.Sprintf("%.1f %.1f", x, y) }
	inner := radius - pictureRim
	p := linePicture{Seen: v.SeenFrom(), Title: words.Clean(m.Name)}
	p.Rim = fmt.Sprintf("M%s A%.1f %.1f 0 0 1 %s L%s A%.1f %.1f 0 0 0 %s Z", on(middle-half, radius), radius, radius, on(middle+half, radius), on(middle+half, inner), inner, inner, on(middle-half, inner))
	for _, l := range lines {
		one := rimLine{Name: l.name, Kind: l.kind, Path: fmt.Sprintf("M%s L%s", on(l.at, radius), on(l.at, radius-52))}
		up, anchor := 16.0, "middle"
		switch l.kind {
		case "old": // away from the new one
			anchor = "end"
			if move < 0 {
				anchor = "start"
			}
		case "new":
			up = 46
			anchor = "start"
			if move < 0 {
				anchor = "end"
			}
		}
		x, y := point(l.at, radius+up)
		one.X, one.Y, one.Anchor = fmt.Sprintf("%.1f", x), fmt.Sprintf("%.1f", y), anchor
		p.Lines = append(p.Lines, one)
	}
	// The arrow lies under the rim, from the old line to the new one.
	tip := math.Copysign(min(10, span/6), move)
	r := inner - 18
	sweep := 1
	if move < 0 {
		sweep = 0
	}
	p.Arc = fmt.Sprintf("M%s A%.1f %.1f 0 0 %d %s", on(move-tip*2, r), r, r, sweep, on(move-tip*0.4, r))
	p.Tip = fmt.Sprintf("M%s L%s L%s Z", on(move, r), on(move-tip*0.5, r+13), on(move-tip*0.5, r-13))
	_, low1 := point(0, r)
	_, low2 := point(move, r)
	p.Height = fmt.Sprintf("%.0f", max(low1, low2)+28)
	p.How, p.Side = v.HowFar(s)
	p.Label = fmt.Sprintf("Piece of the rim, %s: the new line lies %s, that is %s.", p.Seen, p.How, p.Side)
	return p, true
}
