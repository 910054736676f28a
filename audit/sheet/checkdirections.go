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
			c.fault("part.btdc_lines", fmt.Sprintf("found %v, which contradicts engine.turns: %v with part.marks_on: %s", lines, e.Turns, on),
				"one of the three is wrong. Look at all three again before you change one: stand where you look at the marks and turn the engine by hand the way it runs", "engine.turns", "part.marks_on")
		}
	}
	if q := o.QuarterTurn; q != nil && o.Counts != 0 {
		c.reading(&q[0], "readout.quarter_turn")
		c.reading(&q[1], "readout.quarter_turn")
		switch c.observed() {
		case against:
			c.fault("readout.quarter_turn", fmt.Sprintf("found %s, then %s after about a quarter turn the way the engine runs, which contradicts %s",
				c.entered(&q[0]), c.entered(&q[1]), c.sense()),
				"make the quarter turn again before you change either: the stop out, the engine turned the way it runs. What the readout shows then is right", "readout.counts")
		case unclear:
			c.fault("readout.quarter_turn", fmt.Sprintf("found %s and %s, which are not about a quarter turn apart", c.entered(&q[0]), c.entered(&q[1])),
				"two readings, the second after turning the engine about 90 degrees the way it runs")
		}
	}
}

// observation is what the quarter turn says of the way the readout counts.
type observation uint8

const (
	missing observation = iota
	unclear             // no quarter turn lies between its readings
	confirmed
	against
)

// observed holds the quarter turn against the way the readout counts.
func (c *checker) observed() observation {
	q := c.Readout.QuarterTurn
	if q == nil || c.Readout.Counts == 0 {
		return missing
	}
	quarter := func(turn geometry.Angle) bool { return turn >= 45 && turn <= 135 }
	switch turn := geometry.Angle(c.Readout.Counts) * (q[1].Value - q[0].Value).Wrap(); {
	case quarter(turn):
		return confirmed
	case quarter(-turn):
		return against
	}
	return unclear
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

// FindTheSide begins every advice on readings that stand on the wrong side of
// TDC. Several mistakes give that picture. Each could be put right by one word,
// and the wrong word would turn every side, so an observation comes first.
const FindTheSide = "Change nothing by guess, and scribe nothing before it is settled: take the stop out, turn the engine a quarter turn the way it runs"

// sideHint says how it is found out why pairs lie more than half a turn apart:
// contacts of a stop, or else readings at equal drops. All says that every pair
// on the sheet does.
func (c *checker) sideHint(contacts, all bool) string {
	pair, first, second := "before and after are swapped", "before", "while the piston rises"
	if contacts {
		pair, first, second = "forward and backward are swapped", "forward", "turning the way the engine runs"
	}
	counting := "readout.counts is not the way it counts"
	if c.Readout.BothWays {
		counting = "BTDC and ATDC are swapped"
	}
	deep := ", or the stop blocks more than half a turn"
	const turned = "Turn the engine from one contact to the other: by less than half a turn, and the stop is so deep, which limits.deep_stop: true allows; by more, and it is not"
	switch o := c.observed(); {
	case !all:
		return "other pairs do not: in this one " + pair + ", or a number is mistyped. Take it again; the wrong one stays on the sheet, struck with the reason"
	case o == against:
		return "readout.quarter_turn says so too: either " + counting + ", or the engine was turned against the way it runs each time. Look which way it runs before you change anything, and make the quarter turn again"
	case o == confirmed && contacts:
		return "readout.quarter_turn shows that it counts so: " + pair + deep + ". " + turned + ", and forward is the contact that you reach " + second
	case o == confirmed:
		return "readout.quarter_turn shows that it counts so: " + pair + "; " + first + " is what it shows " + second
	case contacts:
		return "one of three is so: " + pair + ", " + counting + deep + ". " + FindTheSide + " and write what the readout shows before and after it as readout.quarter_turn: [before, after]"
	}
	return "one of two is so: " + pair + ", or " + counting + ". " + FindTheSide + " and write what the readout shows before and after it as readout.quarter_turn: [before, after]"
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
