package rates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// dialCell is one kind of sheet with a dial in the plug hole alone: the doubts that the
// sheet states, each of which is as large as it may be or smaller, evenly.
type dialCell struct {
	name                  string
	stroke, rod           float64 // mm
	probe, slant, crown   float64 // degrees
	strokeU, rodU, errorU float64 // mm
	slack, sighting       float64 // mm; degrees of the crank
	eye, step             float64 // degrees; mm
	at                    []float64
	off                   float64 // lines lie so far off, or by 0.3 of where they belong
	sinking               bool    // half of the sheets: lines after TDC come with the piston sinking
}

var dialCells = []dialCell{
	{name: "all doubts", stroke: 54, rod: 110, probe: 20, slant: 3, crown: 5, strokeU: 0.1, rodU: 0.5, errorU: 0.01, slack: 0.04, sighting: 0.23, eye: 0.15, step: 0.01, at: []float64{5, 10, 20, 30, 40}, off: 2, sinking: true},
	{name: "close to TDC", stroke: 54, rod: 110, probe: 20, slant: 3, crown: 5, strokeU: 0.1, rodU: 0.5, errorU: 0.01, slack: 0.04, sighting: 0.23, eye: 0.15, step: 0.01, at: []float64{1, 2, 3, 4}, off: 2, sinking: true},
	{name: "no limits", stroke: 54, rod: 110, eye: 0.15, step: 0.01, at: []float64{5, 10, 20, 30, 40}, off: 2},
	{name: "a fine eye", stroke: 54, rod: 110, eye: 0.05, step: 0.01, at: []float64{5, 10, 20, 30, 40}, off: 2},
	{name: "a coarse step", stroke: 54, rod: 110, eye: 0.15, step: 0.05, at: []float64{5, 10, 20, 30, 40}, off: 2},
	{name: "a longer engine", stroke: 92, rod: 152, probe: 20, slant: 3, crown: 5, strokeU: 0.1, rodU: 0.5, errorU: 0.01, slack: 0.04, sighting: 0.23, eye: 0.15, step: 0.01, at: []float64{5, 15, 30}, off: 2, sinking: true},
}

// dialSheets is how many sheets of each kind are drawn.
func dialSheets() int {
	if long {
		return 2000
	}
	return 60
}

// dialDrop is how far a piston drops, from the triangle of crank and rod.
func dialDrop(stroke, rod, theta float64) float64 {
	sin, cos := math.Sincos(theta * math.Pi / 180)
	r := stroke / 2
	return r + rod - r*cos - math.Sqrt(rod*rod-r*r*sin*sin)
}

// sheetOf draws one sheet; truth is how late each line really comes up.
func (c dialCell) sheetOf(rng *rand.Rand) (s sheet.Sheet, truth []geometry.Angle) {
	within := func(u float64) float64 { return u * (2*rng.Float64() - 1) }
	stroke, rod := c.stroke+within(c.strokeU), c.rod+within(c.rodU)
	probe, crown, hangs := c.probe+within(c.slant), within(c.crown), c.slack*rng.Float64()
	rad := math.Pi / 180
	along := math.Cos(probe*rad) + math.Sin(probe*rad)*math.Tan(crown*rad)
	const dialSD = 0.003
	shown := func(x float64) geometry.Length {
		return geometry.Length(math.Round((x+dialSD*rng.NormFloat64())/c.step) * c.step)
	}
	half := func(u float64) geometry.Limit[geometry.Length] {
		return geometry.Limit[geometry.Length]{Half: geometry.Length(u)}
	}
	s = sheet.Sheet{
		Engine: sheet.Engine{Turns: geometry.Clockwise, Stroke: geometry.Length(c.stroke), Rod: geometry.Length(c.rod), StrokeLimit: half(c.strokeU), RodLimit: half(c.rodU)},
		Part:   sheet.Part{MarksOn: sheet.OnPart},
		Readout: sheet.Readout{
			Kind: sheet.Dial, StepLength: geometry.Length(c.step), Probe: geometry.Angle(c.probe), DialError: half(c.errorU),
			ProbeLimit: geometry.Limit[geometry.Angle]{Half: geometry.Angle(c.slant)}, CrownLimit: geometry.Limit[geometry.Angle]{Half: geometry.Angle(c.crown)},
		},
		Limits:  sheet.Limits{Confidence: 0.95, Slack: half(c.slack)},
		Checked: sheet.Checked{Tolerances: true},
	}
	if c.sighting > 0 {
		s.Part.Diameter = 120
		s.Part.Sighting = half(c.sighting * rad * 60)
	}
	setup := sheet.Setup{Name: "1", Method: sheet.AtTop, Marks: map[string][]sheet.Reading{}}
	zero := rng.Float64()
	for range 3 {
		setup.Top = append(setup.Top, sheet.Reading{Measured: true, Length: shown(zero), Approach: sheet.Forward})
	}
	eye, sinks := within(c.sighting), c.sinking && rng.IntN(2) == 0
	for i, at := range c.at {
		side, letters := -1.0, geometry.BTDC
		if rng.IntN(2) == 0 {
			side, letters = 1, geometry.ATDC
		}
		late := within(math.Min(c.off, 0.3*at))
		m := sheet.Mark{Name: fmt.Sprintf("line %d", i), At: geometry.Angle(side * at), Tolerance: 3}
		s.Marks, truth = append(s.Marks, m), append(truth, geometry.Angle(late))
		sinking := side > 0 && sinks
		approach := sheet.Forward
		if side > 0 && !sinks {
			approach = sheet.Backward
		}
		wrong := within(c.errorU)
		for range 3 {
			drop := dialDrop(stroke, rod, side*at+late+eye+c.eye*rng.NormFloat64())
			if sinking {
				drop -= hangs
			}
			setup.Marks[m.Name] = append(setup.Marks[m.Name], sheet.Reading{Measured: true, Length: shown(zero + drop/along + wrong), Side: letters, Lettered: true, Approach: approach})
		}
	}
	s.Setups = []sheet.Setup{setup}
	return s, truth
}

// The interval of a line by a dial holds its true place in 95 of 100 cases, also where
// the two sides of it differ. The places are drawn from the triangle of crank and rod,
// the doubts evenly within their limits; the side of TDC is declared rightly.
//
//	go test -tags rates ./audit/rates -run DialHolds -v
func TestDialHolds(t *testing.T) {
	sheets := dialSheets()
	for k, c := range dialCells {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(19, uint64(k)))
			held, width, told := make([]float64, len(c.at)), make([]float64, len(c.at)), make([]float64, len(c.at))
			for range sheets {
				s, truth := c.sheetOf(rng)
				r, err := audit.Run(s)
				if err != nil {
					t.Fatal(err)
				}
				for i, l := range r.Lines {
					d := l.ByDial
					if truth[i] >= d.Low && truth[i] <= d.High {
						held[i]++
					}
					if d.SideTold {
						told[i]++
					}
					width[i] += (d.High - d.Low).Degrees() / 2
				}
			}
			n := float64(sheets)
			for i, at := range c.at {
				rate := held[i] / n
				t.Logf("| %s | %g | %.3f | %.2f | %.2f |", c.name, at, rate, width[i]/n, told[i]/n)
				if least := 0.945 - 3.5*math.Sqrt(0.95*0.05/n); rate < least {
					t.Errorf("at %g degrees the interval holds the truth in %.3f, want at least %.3f", at, rate, least)
				}
			}
		})
	}
}

// A line whose truth lies on the border of its tolerance is called within, or outside,
// wrongly in at most one case of twenty.
func TestDialAtTheBorder(t *testing.T) {
	for k, c := range []struct{ at, tolerance float64 }{{20, 1}, {5, 1}, {2, 1.5}} {
		rng := rand.New(rand.NewPCG(20, uint64(k)))
		var within, outside float64
		for i := range dialSheets() {
			cell := dialCells[2]
			cell.at, cell.off = []float64{c.at}, 0
			side := 1 - 2*float64(i%2)
			s, _ := cell.sheetOf(rng)
			s.Marks[0].At += geometry.Angle(side * c.tolerance) // the line stays; what belongs moves
			s.Marks[0].Tolerance = geometry.Angle(c.tolerance)
			r, err := audit.Run(s)
			if err != nil {
				t.Fatal(err)
			}
			switch r.Diagnosis.Decisions[0].IfRight {
			case diagnosis.Within:
				within++
			case diagnosis.Outside:
				outside++
			}
		}
		n := float64(dialSheets())
		t.Logf("| %g ± %g | within %.3f | outside %.3f |", c.at, c.tolerance, within/n, outside/n)
		if most := 0.055 + 3.5*math.Sqrt(0.05*0.95/n); within/n > most || outside/n > most {
			t.Errorf("%g ± %g: within wrongly in %.3f, outside in %.3f, want at most %.3f", c.at, c.tolerance, within/n, outside/n, most)
		}
	}
}
