package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

func (c *checker) setup(s *Setup, i int) {
	path := s.Path
	if path == "" {
		path = inputerror.Path(fmt.Sprintf("setups[%d]", i))
	}
	where, stop := "setup "+inputerror.Shown(s.Name), path+".stop"
	for j, t := range s.Trials {
		c.trial(t, stop, where, j+1)
	}
	if s.Closing != nil {
		c.trial(*s.Closing, path+".closing", where+", closing", 0)
	}
	for i := range s.Top {
		c.reading(&s.Top[i], path+".top")
	}
	c.dialSetup(s, path)
	c.methods(s, path)
	for _, m := range c.Marks {
		readings, at := s.Marks[m.Name], path+".marks."+inputerror.Path(m.Name)
		for j := range readings {
			c.reading(&readings[j], at)
		}
	}
}

// dialSetup holds one setup of a dial against the rest.
func (c *checker) dialSetup(s *Setup, path inputerror.Path) {
	switch {
	case c.Readout.Kind != Dial && (s.Method == AtTop || s.ClosingTop != nil):
		c.fault(path+".top", "found without readout.kind: dial, expected both", "with a wheel: stop:, equal_drop: or sweep:", "readout.kind")
		return
	case c.Readout.Kind != Dial:
		return
	case s.Method == Stop && len(s.Trials) == 0:
		c.fault(path+".top", "missing, expected what the dial shows at the piston's highest point", "")
		return
	case s.Method != AtTop:
		c.fault(path+"."+inputerror.Path(s.Method.key()), "found with readout.kind: dial, expected top", "the dial is the readout: it stands highest at TDC", "readout.kind")
		return
	}
	if s.Fitting != "" {
		c.fault(path+".fitting", "found with readout.kind: dial, expected none", "a fitting is a stop left in its place")
	}
	if s.Mounting != "" {
		c.fault(path+".mounting", "found with readout.kind: dial, expected none", "each time the dial is set up is a setup of its own, with its own top")
	}
	for i := range s.Top {
		if s.Top[i].Side != geometry.NoLetters {
			c.fault(s.Top[i].Path, "found a side of TDC at the top, expected the length alone", "")
		}
	}
	for _, m := range c.Marks {
		at := path + ".marks." + inputerror.Path(m.Name)
		if len(s.Marks[m.Name]) > 0 && c.Engine.Cylinder(m.Cylinder) != c.Engine.Cylinder(s.Cylinder) {
			c.fault(at, "found a line of another cylinder than that in which the dial stands", "a dial finds the top of its own piston only: begin a setup in that cylinder", "engine.cylinders")
		}
	}
}

// trial holds the arc that the stop blocks against the way the readout counts.
// place is its number among the pairs of its setup, from 1; 0: the closing pair.
func (c *checker) trial(t Trial, path inputerror.Path, where string, place int) {
	for _, r := range []*Reading{t.Forward, t.Backward} {
		if r != nil {
			c.reading(r, path)
		}
	}
	if !t.Usable() || c.Readout.Counts == 0 {
		return
	}
	if t.Backward.Path != "" {
		path = t.Backward.Path
	}
	pair := func() string {
		return fmt.Sprintf("forward %s and backward %s", c.entered(t.Forward), c.entered(t.Backward))
	}
	c.pairs++
	switch arc := c.Readout.Counts.Arc(t.Forward.Value, t.Backward.Value); {
	case arc == 0:
		c.fault(path, "found "+pair()+", where both contacts read the same", "the stop blocks nothing: was it fitted?", "readout.counts", t.Forward.Path)
	case arc > 180 && !c.Limits.DeepStop:
		c.deep = append(c.deep, deep{
			path, t.Forward.Path, fmt.Sprintf("found %s (%s), which block %s degrees with %s; expected at most 180",
				pair(), where, number(math.Round(float64(arc)*1000)/1000), c.sense()),
			true, where, place,
		})
	}
}

// deep is a pair of readings more than half a turn apart: of contacts, which
// block it, or at equal drops.
type deep struct {
	path     inputerror.Path
	forward  inputerror.Path
	text     string
	contacts bool
	where    string // the setup
	place    int    // among its pairs, from 1; 0: it is called by its readings alone
}

// swapped reports the pairs that lie more than half a turn apart: all of them as
// one, because then one word on the sheet is wrong, and several of one setup as one,
// because one sentence says what to do about them.
func (c *checker) swapped() {
	all := len(c.deep) == c.pairs
	for i, d := range c.deep {
		text := d.text
		switch {
		case all && c.pairs > 1:
			text += fmt.Sprintf("; so do all %d pairs", c.pairs)
		case !all && d.place > 0:
			if i > 0 && c.deep[i-1].place > 0 && c.deep[i-1].where == d.where {
				continue // said with the first of its setup
			}
			var also []string
			for _, next := range c.deep[i+1:] {
				if next.where == d.where && next.place > 0 {
					also = append(also, strconv.Itoa(next.place))
				}
			}
			if len(also) > 0 {
				text += fmt.Sprintf("; it is pair %d of its setup, and like it: pair %s", d.place, strings.Join(also, ", pair "))
			}
		}
		c.fault(d.path, text, c.sideHint(d.contacts, all), "readout.counts", "readout.numbered", "limits.deep_stop", d.forward)
		if all {
			return
		}
	}
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

const mostDegrees = 1e6 // of a reading: more loses digits and is on no readout

func (c *checker) reading(r *Reading, path inputerror.Path) {
	if r.Approach != Forward && r.Approach != Backward {
		if r.Path != "" {
			path = r.Path
		}
		c.fault(path, "found a reading without its approach, expected forward or backward", "")
		return
	}
	c.value(r, path)
}

// value judges a reading of which the approach need not be known.
func (c *checker) value(r *Reading, path inputerror.Path) {
	if r.Path != "" {
		path = r.Path
	}
	o := &c.Readout
	switch {
	case !(math.Abs(float64(r.Value)) <= mostDegrees):
		c.fault(path, "found "+number(float64(r.Value))+", expected at most a million degrees", "")
	case r.Lettered && o.Counts == geometry.CountsDown:
		c.fault(path, "found a reading with BTDC or ATDC on a readout that counts down, expected the number alone", "with counts: down the letters leave the sign open", "readout.counts")
	case o.Kind == Dial && !(r.Length.Abs() <= mostAllowed):
		c.fault(path, fmt.Sprintf("found %v, expected what a dial shows", r.Length), "")
	case o.Kind == Dial:
	case r.Lettered && o.Kind == Rim:
		c.fault(path, "found a reading with BTDC or ATDC on a rim, expected the length alone", "", "readout.kind")
	case !o.BothWays || o.Kind != Wheel:
	case !(r.Value.Abs() <= 180):
		c.fault(path, "found "+strings.ReplaceAll(r.Written(), "°", "")+", expected 0 to 180 on a wheel numbered both ways", "", "readout.numbered")
	case !r.Lettered && r.Value != 0 && r.Value != 180:
		c.fault(path, "found "+number(float64(r.Value))+" without letters, expected BTDC or ATDC behind it", "a wheel numbered both ways shows every number twice; only 0 and 180 may stand alone", "readout.numbered")
	}
}

// entered is a reading for a fault, without its degree sign.
func (c *checker) entered(r *Reading) string {
	if r.Measured || c.Readout.BothWays {
		return r.Written()
	}
	return number(float64(r.Value))
}

// methods holds the drops and the sweep of a setup against the engine.
func (c *checker) methods(s *Setup, path inputerror.Path) {
	if s.Closing != nil && s.Method != Stop {
		c.fault(path+".closing", fmt.Sprintf("found with %s, expected a closing pair beside stop only", s.Method.key()), "take the drops or the sweep again as a setup of their own")
	}
	if s.Fitting != "" && s.Method != Stop {
		c.fault(path+".fitting", fmt.Sprintf("found with %s, expected a fitting beside stop only", s.Method.key()), "a fitting is a stop left in its place from one setup to the next")
	}
	for i := range s.Drops {
		d := &s.Drops[i]
		at := pathOr(d.Path, string(path)+".equal_drop", i)
		if crank, ok := c.crank(at+".drop", "a drop"); ok && d.Drop != 0 {
			// What a slanting indicator shows is more than the piston drops.
			if _, _, err := crank.Contacts(d.Drop * geometry.Length(math.Cos(d.Probe.Radians()))); err != nil {
				c.fault(at+".drop", err.Error(), "", "engine", "engine.stroke", "engine.rod", "engine.pin_offset", "engine.bore_offset", at+".probe_angle")
			}
		}
		if !(d.Drop > 0) {
			c.fault(at+".drop", fmt.Sprintf("found %v, expected a length above zero", d.Drop), "")
		}
		if !(d.Probe >= 0 && d.Probe <= MostProbe) {
			c.fault(at+".probe_angle", fmt.Sprintf("found %s, expected 0 to %d degrees between indicator and cylinder", number(float64(d.Probe)), int(MostProbe)), "")
		}
		where := fmt.Sprintf("setup %s, drop of %v", inputerror.Shown(s.Name), d.Drop)
		for j := range d.Before {
			c.value(&d.Before[j], at)
		}
		for j := range d.After {
			c.value(&d.After[j], at)
		}
		for _, t := range d.Trials() {
			c.dropPair(t, at, where)
		}
	}
	if s.Sweep == nil {
		return
	}
	at := s.Sweep.Path
	if at == "" {
		at = path + ".sweep"
	}
	_, _ = c.crank(at, "a sweep")
	for i := range s.Sweep.Points {
		p := &s.Sweep.Points[i]
		c.value(&p.Reading, at)
		if !(math.Abs(float64(p.Height)) <= mostAllowed) {
			c.fault(at+".points", fmt.Sprintf("found a height of %v, expected one of an engine", p.Height), "")
		}
	}
}

// MostProbe is the most that an indicator may slant to the cylinder: further
// over it shows twice the drop.
const MostProbe geometry.Angle = 60

// crank returns the crank that a way to find TDC cannot do without. One that
// cannot turn is reported with the rod.
func (c *checker) crank(path inputerror.Path, what string) (geometry.Crank, bool) {
	crank, stated := c.Engine.Crank()
	if !stated {
		c.fault(path, "found "+what+" without stroke and rod, expected both under engine", "where the piston stands can't be turned into degrees without them", "engine", "engine.stroke", "engine.rod")
	}
	return crank, stated && crank.Check() == nil
}

// dropPair holds two readings at equal drop against the way the readout counts.
func (c *checker) dropPair(t Trial, path inputerror.Path, where string) {
	if !t.Usable() || c.Readout.Counts == 0 {
		return
	}
	if t.Backward.Path != "" {
		path = t.Backward.Path
	}
	pair := "before " + c.entered(t.Forward) + " and after " + c.entered(t.Backward)
	c.pairs++
	switch arc := c.Readout.Counts.Arc(t.Forward.Value, t.Backward.Value); {
	case arc == 0:
		c.fault(path, "found "+pair+", which are the same", "at one drop the piston stands once before TDC and once after it", "readout.counts", "readout.numbered", t.Forward.Path)
	case arc > 180:
		c.deep = append(c.deep, deep{
			path, t.Forward.Path, fmt.Sprintf("found %s (%s), which lie %s degrees apart with %s; expected at most 180",
				pair, where, number(math.Round(float64(arc)*1000)/1000), c.sense()),
			false, where, 0,
		})
	}
}
