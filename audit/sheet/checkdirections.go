package sheet

import (
	"fmt"

	"markaudit/geometry"
)

// guards holds what the sheet says twice against itself. No reading sees which
// way the engine runs or what carries the lines: docs/method.md.
func (c *checker) guards() {
	e, p, o := &c.Engine, &c.Part, &c.Readout
	if lines := p.BTDCLines; rotation(lines) && rotation(e.Turns) && p.MarksOn != 0 {
		want, on := e.Turns, "part"
		if p.MarksOn == OnEngine {
			want, on = e.Turns.Opposite(), "engine"
		}
		if lines != want {
			c.fault("part.btdc_lines", fmt.Sprintf("found %v, which contradicts engine.turns: %v with part.marks_on: %s; expected %v", lines, e.Turns, on, want),
				"one of engine.turns, part.marks_on and part.btdc_lines is wrong: look at the engine again", "engine.turns", "part.marks_on")
		}
	}
	if q := o.QuarterTurn; q != nil && o.Counts != 0 {
		first, second := q[0].Value, q[1].Value
		c.reading(&q[0], "readout.quarter_turn")
		c.reading(&q[1], "readout.quarter_turn")
		quarter := func(turn geometry.Angle) bool { return turn >= 45 && turn <= 135 }
		switch turn := geometry.Angle(o.Counts) * (second - first).Wrap(); {
		case quarter(turn):
		case quarter(-turn):
			c.fault("readout.quarter_turn", fmt.Sprintf("found %s, then %s after about a quarter turn the way the engine runs, which contradicts %s",
				c.entered(&q[0]), c.entered(&q[1]), c.sense()),
				"one of the two is wrong: turn the engine the way it runs and watch the numbers", "readout.counts")
		default:
			c.fault("readout.quarter_turn", fmt.Sprintf("found %s and %s, which are not about a quarter turn apart", c.entered(&q[0]), c.entered(&q[1])),
				"two readings, the second after turning the engine about 90 degrees the way it runs")
		}
	}
}

// sense is the key that says which way the readout counts, with its value.
func (c *checker) sense() string {
	switch {
	case c.Readout.BothWays:
		return "the letters, BTDC before TDC and ATDC after it"
	case c.Readout.Counts == geometry.CountsDown:
		return "readout.counts: down"
	}
	return "readout.counts: up"
}

// orCounts is what may be the wrong way round beside a pair of readings.
func (c *checker) orCounts() string {
	if c.Readout.BothWays {
		return "BTDC and ATDC are"
	}
	return "readout.counts is the wrong way round"
}

// numbered holds a wheel that shows every number twice against the rest.
func (c *checker) numbered() {
	switch o := &c.Readout; {
	case !o.BothWays:
	case o.Kind != Wheel:
		c.fault("readout.numbered", "found both ways, expected that of a wheel only", "", "readout.kind")
	case o.Counts == geometry.CountsDown:
		c.fault("readout.counts", "found down, expected up with readout.numbered: both ways", "the letters of each reading say the side")
	}
}
