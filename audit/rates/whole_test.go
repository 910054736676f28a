package rates

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// whole is one kind of audit of the honesty study: what is read how often with
// what, and what lies within the limits that the sheet states.
type whole struct {
	trials, readings, setups int
	step                     float64 // in scatters of a reading
	at                       []geometry.Angle
	wheel                    geometry.Length // limit of its centring, used evenly
	lost                     geometry.Angle  // stated with a limit of a third, used evenly
	down                     bool
	pin, bore                geometry.Length
	limits                   bool // sighting and rock, used evenly
}

func (c whole) String() string {
	text := fmt.Sprintf("%d pairs, %d readings, %d setups, step %g", c.trials, c.readings, c.setups, c.step)
	for _, x := range []struct {
		on   bool
		text string
	}{
		{c.wheel > 0, ", wheel"},
		{c.lost > 0, ", lost motion"},
		{c.down, ", counts down"},
		{c.pin != 0 || c.bore != 0, ", offsets"},
		{c.limits, ", sighting and rock"},
		{c.at[len(c.at)-1] > 90, ", far lines"},
	} {
		if x.on {
			text += x.text
		}
	}
	return text
}

var (
	nearLines = []geometry.Angle{0, -10, 8, -20}
	farLines  = []geometry.Angle{0, -30, 120, 240}
)

// grid goes from 3 to 10 pairs, 1 to 5 readings, 1 and 3 to 5 setups, steps from
// far below to far above the scatter.
var grid = []whole{
	{3, 3, 1, 0.02, nearLines, 0, 0, false, 0, 0, false},
	{3, 3, 1, 0.5, nearLines, 0, 0, false, 0, 0, false},
	{3, 3, 1, 1, nearLines, 0, 0, true, 0, 0, false},
	{3, 3, 1, 2, nearLines, 0, 0, false, 0, 0, false},
	{3, 3, 1, 5, nearLines, 0, 0, false, 0, 0, false},
	{3, 3, 1, 20, nearLines, 0, 0, false, 0, 0, false},
	{3, 2, 1, 1, farLines, 0, 0, false, 0, 0, false},
	{5, 1, 3, 1, nearLines, 0, 0, false, 0, 0, false},
	{5, 3, 1, 1, farLines, 0.3, 0, false, 0, 0, false},
	{5, 5, 1, 0.1, farLines, 0.3, 0, true, 0, 0, true},
	{10, 5, 1, 0.5, nearLines, 0, 0.2, false, 0, 0, false},
	{10, 3, 1, 5, farLines, 0, 0, false, 1.2, 0, true},
	{3, 3, 3, 0.1, nearLines, 0, 0, false, 0, 0, false},
	{3, 3, 3, 1, farLines, 0.3, 0, false, 0, 0, false},
	{3, 3, 3, 5, nearLines, 0, 0, true, 0, 0, false},
	{3, 3, 4, 1, nearLines, 0, 0.2, false, 0, 0, true},
	{4, 3, 4, 20, farLines, 0, 0, false, 0, 0, false},
	{5, 3, 5, 0.5, farLines, 0.3, 0.2, false, -0.8, 0, true},
	{5, 2, 5, 2, nearLines, 0, 0, false, 0, 6, false},
	{10, 5, 3, 0.1, farLines, 0, 0, true, 0, 0, false},
}

const (
	wholeSD        = 0.1 // of a middle and of a reading
	wholeTolerance = 0.6
)

// stand draws a stand of the cell, nothing on the graduations.
func (c whole) stand(rng *rand.Rand) simulate.Rig {
	evenly := func() float64 { return within(rng, 1.0) }
	r := simulate.Steady(wholeTolerance, c.at...)
	r.Readout.Step = geometry.Angle(c.step * wholeSD)
	if c.down {
		r.Readout.Counts = geometry.CountsDown
	}
	if c.wheel > 0 {
		r.Readout.Kind, r.Readout.Diameter = sheet.Wheel, 280
		r.Readout.OffCentre, r.Readout.Towards = c.wheel*geometry.Length(math.Abs(evenly())), geometry.Angle(360*rng.Float64())
		r.Told.OffCentre = c.wheel
	}
	if c.lost > 0 {
		r.Told.Lost, r.Told.LostLimit = c.lost, c.lost/3
		r.Readout.Lost = c.lost + c.lost/3*geometry.Angle(evenly())
	}
	r.Engine.Pin, r.Engine.Bore = c.pin, c.bore
	r.Told.QuarterTurn, r.Told.Side = true, true
	hand := simulate.Hand{MiddleSD: wholeSD, ReadSD: wholeSD}
	if c.setups > 1 {
		hand.RemountSD = 0.08
	}
	if c.limits {
		r.Told.Sighting, r.Told.Contact = 0.15, 0.04
		hand.Squint = geometry.Length(0.15 * evenly())
		r.Engine.Rock = geometry.Length(0.04 * evenly())
	}
	r.Setups[0] = simulate.Setup{HalfArc: geometry.Angle(18 + 15*rng.Float64()), Trials: c.trials, Readings: c.readings, Hand: hand}
	return r.Repeated(c.setups)
}

// TestWhole is what the program promises of its 95 %, over a grid of whole audits
// (docs/validation.md). Each draw is three audits: with lines off by anything, with
// nothing wrong, and with the last line at its very tolerance.
func TestWhole(t *testing.T) {
	var cells []cell
	for _, c := range grid {
		cells = append(cells, cell{
			name: c.String(), draws: 4000, quick: 12,
			asks: []ask{
				// Lines of one stand share its TDC, so one of them is asked.
				atLeast(nearly95, "the interval holds the truth", coverage),
				atMost(0.05, "at the tolerance called within", decision),
				atMost(0.05, "at the tolerance called outside", decision),
				// Two tests at 0.025 each, on degrees of freedom that are approximate.
				atMost(0.06, "something is claimed of good lines", claims),
			},
			draw: func(t *testing.T, rng *rand.Rand) []answer {
				r := c.stand(rng)
				for i := range r.Lines {
					r.Lines[i].Offset = geometry.Angle(2 * (rng.Float64() - 0.5))
				}
				asked := rng.IntN(len(r.Lines))
				held := holds(audited(t, r, rng).ByLine()[asked].Offset, r.Lines[asked].Offset)
				good := audited(t, c.stand(rng), rng).Together.Finding
				r = c.stand(rng)
				last := len(r.Lines) - 1
				r.Lines[last].Offset = wholeTolerance
				if rng.IntN(2) > 0 {
					r.Lines[last].Offset = -wholeTolerance
				}
				border := audited(t, r, rng)
				return answers(
					held, verdict(border, last, diagnosis.Within), verdict(border, last, diagnosis.Outside),
					good == lines.Common || good == lines.SingleMark || good == lines.Individual,
				)
			},
		})
	}
	measure(t, cells)
}
