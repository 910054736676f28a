package webserver

import (
	"fmt"
	"math"
	"sort"

	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// rimPicture is the rim unrolled: above the whole way round with the lines at
// their places, below a piece of rim for each line, with the line as it was
// found against where it belongs. All pieces have one scale.
type rimPicture struct {
	Width, Height int
	Ticks         []tick
	Pieces        []piece
	Half          string // degrees that half a piece shows
	Summary       string // the same in words
}

// tick is a line on the whole rim.
type tick struct {
	X, LabelY float64
	Name      string
	Read      bool
	Next      bool
}

// piece is the rim around one line, in the figure's own units.
type piece struct {
	Y                   float64
	Name, Belongs, Text string
	Verdict             string
	ZoneX, ZoneW        float64 // the tolerance
	X                   float64 // where the line is
	LowX, HighX         float64 // the interval
	Read, Known, Beyond bool
	Left                bool   // beyond the left end
	Shape               string // within, outside, undecided or unread
}

const (
	figureWidth = 400
	margin      = 14
	overview    = 92
	pieceHeight = 78
)

func newRimPicture(lines []words.Line, places map[string]geometry.Angle, next string) rimPicture {
	f := rimPicture{Width: figureWidth, Height: overview + pieceHeight*len(lines)}
	half := 0.0
	for _, l := range lines {
		half = math.Max(half, 2*math.Max(l.Early.Degrees(), l.Late.Degrees()))
	}
	f.Half = fmt.Sprintf("%.3g", half)
	middle, reach := figureWidth/2.0, figureWidth/2.0-margin
	x := func(a geometry.Angle) float64 { return math.Round(10*(middle+reach*a.Degrees()/half)) / 10 }
	within := func(v float64) float64 { return math.Min(figureWidth-margin, math.Max(margin, v)) }
	for i, l := range lines {
		at := places[l.Name].Wrap()
		f.Ticks = append(f.Ticks, tick{X: math.Round(10*(middle+reach*at.Degrees()/180)) / 10, Name: l.Name, Read: l.Read, Next: l.Name == next})
		p := piece{
			Y: float64(overview + pieceHeight*i), Name: l.Name, Belongs: l.BelongsAt, Text: l.OffBy, Verdict: l.Verdict,
			ZoneX: x(-l.Early), ZoneW: x(l.Late) - x(-l.Early), Read: l.Read, Known: l.Known, Shape: "unread",
		}
		if l.Read {
			p.Shape = l.Verdict
			p.X = within(x(l.Offset))
			p.Beyond, p.Left = p.X != x(l.Offset), l.Offset < 0
			p.LowX, p.HighX = within(x(l.Offset-l.Sure)), within(x(l.Offset+l.Sure))
		}
		f.Pieces = append(f.Pieces, p)
		f.Summary += fmt.Sprintf("%s belongs at %s: %s, %s. ", l.Name, l.BelongsAt, orNothing(l.OffBy), l.Verdict)
	}
	// Labels that would touch go to the next of three rows; where none has room, the
	// tick stands alone, and the table names it.
	sort.SliceStable(f.Ticks, func(i, j int) bool { return f.Ticks[i].X < f.Ticks[j].X })
	var ends [3]float64
	for i := range f.Ticks {
		t := &f.Ticks[i]
		width := 8 * float64(len([]rune(t.Name)))
		row := 0
		for row < len(ends)-1 && t.X-width/2 < ends[row] {
			row++
		}
		if t.X-width/2 < ends[row] && !t.Next {
			continue
		}
		ends[row] = t.X + width/2 + 6
		t.LabelY = 16 + 15*float64(row)
	}
	return f
}

func orNothing(text string) string {
	if text == "" {
		return "no reading"
	}
	return text
}
