package past

import (
	"math"

	"markaudit/audit/internal/stats"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// The rules of the control chart: a point is outside at 0.5 %, one false alarm in 200
// points; and so is the fourth of four in a row that are all in the upper tenth, one in
// 10,000. Common practice, not simulated.
const (
	outside    = 0.005
	upperTenth = 0.10
	run        = 4
	fewest     = 5 // sheets, for the values of a line
)

// Kind is what a chart shows.
type Kind uint8

// The standard deviations of a history.
const (
	OfMiddles Kind = iota
	OfReadings
	OfMountings
)

var kindWords = []string{"middles", "readings", "remounting"}

func (k Kind) String() string { return kindWords[k] }

// Kinds are all of them.
func Kinds() []Kind { return []Kind{OfMiddles, OfReadings, OfMountings} }

func (k Kind) of(s sheet.PastSheet) sheet.Deviation {
	return [...]sheet.Deviation{s.Middle, s.Reading, s.Mounting}[k]
}

// Point is one sheet on the chart of a standard deviation, with the limit that all
// sheets before it give (NIST/SEMATECH e-Handbook, 2.2.3.1 and 6.3.2).
type Point struct {
	Sheet   int // index into the history
	SD      geometry.Angle
	DOF     float64
	Before  geometry.Angle // pooled over the sheets before; zero: none shows it
	Limit   geometry.Angle // above it the point is outside; zero: none
	P       float64        // probability of so much, the past being right; 1 without one
	Outside bool
	InRun   bool // the last of four in a row in the upper tenth
}

// Chart holds each sheet's standard deviation of a kind against those before it:
// outside where s²/s_p² exceeds F(ν, ν_p) at 0.5 %. Sheets that do not show it are
// left out.
func Chart(h sheet.History, k Kind) []Point {
	var out []Point
	var squares, dof float64
	high := 0
	for i, s := range h.Sheets {
		d := k.of(s)
		if d.DOF == 0 {
			continue
		}
		p := Point{Sheet: i, SD: d.SD, DOF: d.DOF, P: 1}
		if before := squares / dof; dof > 0 && before > 0 {
			p.Before = root(before)
			p.Limit = root(before * stats.FQuantile(outside, d.DOF, dof))
			p.P = stats.FSurvival(stats.Square(d.SD.Degrees())/before, d.DOF, dof)
			p.Outside = p.P < outside
		}
		if high++; p.P >= upperTenth {
			high = 0
		}
		p.InRun = high >= run
		squares, dof = squares+d.DOF*stats.Square(d.SD.Degrees()), dof+d.DOF
		out = append(out, p)
	}
	return out
}

// Value is one sheet on the chart of a line's offset.
type Value struct {
	Sheet   int
	Offset  geometry.Angle
	Mean    geometry.Angle // of the sheets before
	Half    geometry.Angle // the offset is outside beyond Mean ± Half; zero below five sheets before
	Outside bool
}

// Values holds a line's offset against those before it, from the fifth sheet on:
// outside where |δ - mean| > t·S·√(1 + 1/k), t on k - 1 at 99.5 %. It is for a line
// on a part that does not change: the check standard of a shop.
func Values(h sheet.History, line string) []Value {
	var out []Value
	var before []geometry.Angle
	for i, s := range h.Sheets {
		for _, l := range s.Lines {
			if l.Name != line {
				continue
			}
			v := Value{Sheet: i, Offset: l.Offset}
			if k := float64(len(before)); k >= fewest {
				around := geometry.Unwrap(before, before[0])
				squares, dof := stats.Spread(around)
				v.Mean = stats.MeanAngle(around)
				v.Half = geometry.Angle(-stats.TQuantile(outside, dof) * math.Sqrt(squares/dof*(1+1/k)))
				v.Outside = (l.Offset - v.Mean).Wrap().Abs() > v.Half+geometry.Tie
			}
			before = append(before, l.Offset)
			out = append(out, v)
			break
		}
	}
	return out
}

// Outside are the sheets of a history that lie outside in any of its standard
// deviations, or end a run, in the order of the history.
func Outside(h sheet.History) []int {
	found := make([]bool, len(h.Sheets))
	for _, k := range Kinds() {
		for _, p := range Chart(h, k) {
			found[p.Sheet] = found[p.Sheet] || p.Outside || p.InRun
		}
	}
	var out []int
	for i, f := range found {
		if f {
			out = append(out, i)
		}
	}
	return out
}

func root(variance float64) geometry.Angle { return geometry.Angle(math.Sqrt(variance)) }
