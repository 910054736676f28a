package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"markaudit/geometry"
)

// Check returns what cannot be right on a sheet, whoever wrote it, in no
// particular order; nothing when the readings may be computed with. An
// unfinished sheet, without marks or setups or with a contact that lacks its
// partner, passes.
func (s Sheet) Check() Faults { return s.check(nil) }

// check leaves out what only follows from a fault already found.
func (s Sheet) check(faulted map[Path]bool) Faults {
	c := &checker{Sheet: &s, faulted: faulted}
	c.stated()
	c.sizes()
	c.guards()
	c.rim()
	c.numbered()
	c.correction()
	c.cylinders()
	c.names()
	c.spacings()
	for i := range s.Setups {
		c.setup(&s.Setups[i], i)
	}
	c.swapped()
	return c.faults
}

type checker struct {
	*Sheet
	faulted map[Path]bool
	faults  Faults
	pairs   int    // of contacts that could be judged
	deep    []deep // those that block more than half a turn
	hints   int    // given for unknown words so far
}

// deep is a pair of contacts that blocks more than half a turn.
type deep struct {
	path    Path
	forward Path
	text    string
	hint    string
}

// fault reports a value, unless it or one that it was compared with could not
// be read.
func (c *checker) fault(path Path, text, hint string, compared ...Path) {
	if covers(c.faulted, path) || slices.ContainsFunc(compared, func(p Path) bool { return covers(c.faulted, p) }) {
		return
	}
	c.faults = append(c.faults, Fault{Path: path, Text: text, Hint: hint})
}

// near is the known word that was most likely meant, as for the reader.
func (c *checker) near(word string, known []string) string {
	const most, longest = 200, 100
	if c.hints++; c.hints > most || len(word) > longest {
		return ""
	}
	return nearest(word, known)
}

// covers reports a fault at a path or at what it is part of.
func covers(faulted map[Path]bool, path Path) bool {
	for len(faulted) > 0 && path != "" {
		if faulted[path] {
			return true
		}
		path = path.outer()
	}
	return false
}

// stated looks for what no sheet can do without.
func (c *checker) stated() {
	if !rotation(c.Engine.Turns) {
		c.fault("engine.turns", "missing, expected clockwise or anticlockwise",
			"the way the engine runs, as you look at the marks, even if the wheel sits at the other end")
	}
	if c.Part.MarksOn != OnPart && c.Part.MarksOn != OnEngine {
		c.fault("part.marks_on", "missing, expected part or engine", "part: the lines turn; engine: the scale is fixed and one line turns")
	}
	if c.Readout.Counts != geometry.CountsUp && c.Readout.Counts != geometry.CountsDown {
		c.fault("readout.counts", "missing, expected up or down", "up: the number at the wheel pointer grows while you turn the engine the way it runs", "readout.numbered")
	}
	if c.Readout.Step == 0 {
		c.fault("readout.step", "missing, expected the smallest step recorded in degrees, such as 0.5", "")
	}
	if !(c.Limits.Confidence >= 0.8 && c.Limits.Confidence <= 0.999) {
		c.fault("limits.confidence", "found "+number(c.Limits.Confidence)+", expected 0.8 to 0.999", "")
	}
}

func rotation(r geometry.Rotation) bool {
	return r == geometry.Clockwise || r == geometry.Anticlockwise
}

const (
	mostStep    = 90  // degrees
	mostNominal = 720 // degrees: two turns of the crank, four strokes
)

// The largest and smallest that a length in millimetres may be, so that no
// result overflows: beyond any engine.
const (
	least = 1e-6
	most  = 1e6
)

func (c *checker) sizes() {
	for _, l := range []struct {
		path  Path
		value geometry.Length
	}{
		{"engine.stroke", c.Engine.Stroke},
		{"engine.rod", c.Engine.Rod},
		{"part.diameter", c.Part.Diameter},
		{"readout.diameter", c.Readout.Diameter},
		{"readout.off_centre", c.Readout.OffCentre},
		{"limits.placement", c.Limits.Placement},
		{"part.sighting", c.Part.Sighting.Half},
		{"limits.contact", c.Limits.Contact.Half},
		{"limits.slack", c.Limits.Slack.Half},
		{"part.diameter", c.Part.DiameterLimit.Half},
		{"engine.pin_offset", c.Engine.PinOffset.Limit.Half},
		{"engine.bore_offset", c.Engine.BoreOffset.Limit.Half},
		{"engine.pin_offset", geometry.Length(math.Abs(float64(c.Engine.PinOffset.Value)))},
		{"engine.bore_offset", geometry.Length(math.Abs(float64(c.Engine.BoreOffset.Value)))},
	} {
		if l.value != 0 && !(l.value >= least && l.value <= most) {
			c.fault(l.path, fmt.Sprintf("found %v, expected a length above zero", l.value), "", "part.circumference")
		}
	}
	for _, a := range []struct {
		path  Path
		value geometry.Angle
		most  float64
	}{
		{"readout.step", c.Readout.Step, mostStep},
		{"readout.lost_motion", c.Readout.LostMotion, 90},
		{"readout.lost_motion", c.Readout.LostLimit.Half, 90},
		{"limits.remount", c.Limits.Remount.Half, 90},
	} {
		if a.value != 0 && !(float64(a.value) >= least && float64(a.value) <= a.most) {
			c.fault(a.path, fmt.Sprintf("found %s, expected degrees above zero and at most %v", number(float64(a.value)), a.most), "")
		}
	}
	for _, k := range []struct {
		path Path
		k    float64
	}{
		{"part.diameter", c.Part.DiameterLimit.K},
		{"part.sighting", c.Part.Sighting.K},
		{"limits.contact", c.Limits.Contact.K},
		{"limits.slack", c.Limits.Slack.K},
		{"limits.remount", c.Limits.Remount.K},
		{"readout.lost_motion", c.Readout.LostLimit.K},
		{"engine.pin_offset", c.Engine.PinOffset.Limit.K},
		{"engine.bore_offset", c.Engine.BoreOffset.Limit.K},
	} {
		if k.k != 0 && !(k.k >= 0.001 && k.k <= 1000) {
			c.fault(k.path, "found k = "+number(k.k)+", expected a coverage factor above zero, such as 2", "")
		}
	}
	if c.Readout.HasLostMotion && c.Readout.LostLimit.Half == 0 {
		c.fault("readout.lost_motion", "found no limit, expected one such as ± 0.05", "")
	}
	if c.Part.Teeth < 0 {
		c.fault("part.teeth", fmt.Sprintf("found %d, expected a number of teeth above zero", c.Part.Teeth), "")
	}
	c.together()
}

// together looks at sizes that have to fit each other.
func (c *checker) together() {
	crank, stated := c.Engine.Crank()
	e := &c.Engine
	for _, o := range []struct {
		path Path
		geometry.Offset
	}{{"engine.pin_offset", e.PinOffset}, {"engine.bore_offset", e.BoreOffset}} {
		if (o.Value != 0 || o.Limit.Half != 0) && !stated {
			c.fault(o.path, "found without stroke and rod, expected both with an offset", "an offset can't be turned into degrees without them", "engine.stroke", "engine.rod")
		}
	}
	if stated {
		if err := crank.Check(); err != nil {
			c.fault("engine.rod", err.Error(), "", "engine.stroke", "engine.pin_offset", "engine.bore_offset")
		} else if worst := e.PinOffset.Limit.Half + e.BoreOffset.Limit.Half; worst > 0 {
			for _, side := range []geometry.Length{worst, -worst} {
				far := crank
				far.Offset += side
				if err := far.Check(); err != nil {
					c.fault("engine.rod", err.Error()+", with the offsets at their limits", "", "engine.stroke", "engine.pin_offset", "engine.bore_offset")
					break
				}
			}
		}
	}
	switch d := c.Part.Diameter; {
	case d != 0 && c.Part.DiameterLimit.Half >= d:
		c.fault("part.diameter", "found a limit as large as the diameter itself", "", "part.circumference")
	case d == 0 && c.Part.Sighting.Half != 0:
		c.fault("part.sighting", "found without part.diameter, expected both", "a length on the rim can't be turned into degrees without the diameter", "part.diameter", "part.circumference")
	case d != 0 && c.Part.Sighting.Half >= d:
		c.fault("part.sighting", fmt.Sprintf("found ± %v, expected much less than the part's diameter of %v", c.Part.Sighting.Half, d), "", "part.diameter", "part.circumference")
	}
	switch d, off := c.Readout.Diameter, c.Readout.OffCentre; {
	case off != 0 && d == 0:
		c.fault("readout.off_centre", "found without readout.diameter, expected both", "the diameter of the wheel at its graduations", "readout.diameter")
	case off != 0 && off >= d/2:
		c.fault("readout.off_centre", fmt.Sprintf("found %v, expected less than half the wheel's diameter of %v", off, d), "", "readout.diameter")
	}
}

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

func (c *checker) names() {
	first := map[string]int{}
	for i, m := range c.Marks {
		path := m.Path
		if path == "" {
			path = Path(fmt.Sprintf("marks[%d]", i))
		}
		other, twice := first[m.Name]
		switch {
		case m.Name == "":
			c.fault(path+".name", "missing, expected the name of the line", "")
		case m.Name == "stop" || m.Name == "closing":
			c.fault(path+".name", "found "+m.Name+", which the readings use for contacts, expected another name", "")
		case twice:
			c.fault(path+".name", fmt.Sprintf("found %s a second time, already the name of line %d of the list", shown(m.Name), other+1), "")
		default:
			first[m.Name] = i
		}
		switch t := m.Tolerance; {
		case t == 0:
			c.fault(path+".tolerance", "missing, expected degrees each way, or limits.tolerance for every mark", "", "limits.tolerance")
		case !(t >= least && t <= 180):
			c.fault(path+".tolerance", "found "+number(float64(t))+", expected degrees above zero and at most 180", "", "limits.tolerance")
		}
		for _, side := range []geometry.Angle{m.Early, m.Late} {
			if side != 0 && !(side >= least && side <= 180) {
				c.fault(path+".tolerance", "found "+number(float64(side))+" to one side, expected degrees above zero and at most 180", "", "limits.tolerance")
			}
		}
		for _, drop := range []geometry.Length{m.Drop, m.DropLimit} {
			if drop != 0 && !(drop >= least && drop <= most) {
				c.fault(path+".at", fmt.Sprintf("found a drop of %v, expected one above zero", drop), "")
			}
		}
		if !(math.Abs(float64(m.At)) <= mostNominal) {
			c.fault(path+".at", "found "+number(float64(m.At))+", expected at most two turns of the crank, 720", "")
		}
	}
}

func (c *checker) setup(s *Setup, i int) {
	path := s.Path
	if path == "" {
		path = Path(fmt.Sprintf("setups[%d]", i))
	}
	for _, t := range s.Trials {
		c.trial(t, path+".stop", fmt.Sprintf("setup %s", shown(s.Name)))
	}
	if s.Closing != nil {
		c.trial(*s.Closing, path+".closing", fmt.Sprintf("setup %s, closing", shown(s.Name)))
	}
	c.methods(s, path)
	for _, m := range c.Marks {
		readings := s.Marks[m.Name]
		for j := range readings {
			c.reading(&readings[j], path+".marks."+Path(m.Name))
		}
	}
}

// trial holds the arc that the stop blocks against the way the readout counts.
func (c *checker) trial(t Trial, path Path, where string) {
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
	pair := fmt.Sprintf("forward %s and backward %s", c.entered(t.Forward), c.entered(t.Backward))
	c.pairs++
	switch arc := c.Readout.Counts.Arc(t.Forward.Value, t.Backward.Value); {
	case arc == 0:
		c.fault(path, "found "+pair+", where both contacts read the same", "the stop blocks nothing: was it fitted?", "readout.counts", t.Forward.Path)
	case arc > 180 && !c.Limits.DeepStop:
		c.deep = append(c.deep, deep{
			path, t.Forward.Path, fmt.Sprintf("found %s (%s), which block %s degrees with %s; expected at most 180",
				pair, where, number(math.Round(float64(arc)*1000)/1000), c.sense()),
			"the contacts are swapped, or " + c.orCounts() + "; a stop that really sits so deep needs deep_stop: true under limits",
		})
	}
}

// swapped reports the pairs that block more than half a turn: all of them as
// one, because then one word on the sheet is wrong.
func (c *checker) swapped() {
	all := len(c.deep) > 1 && len(c.deep) == c.pairs
	for _, d := range c.deep {
		text := d.text
		if all {
			text += fmt.Sprintf("; so do all %d pairs", c.pairs)
		}
		c.fault(d.path, text, d.hint, "readout.counts", "readout.numbered", "limits.deep_stop", d.forward)
		if all {
			return
		}
	}
}

const mostDegrees = 1e6 // of a reading: more loses digits and is on no readout

func (c *checker) reading(r *Reading, path Path) {
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
func (c *checker) value(r *Reading, path Path) {
	if r.Path != "" {
		path = r.Path
	}
	o := &c.Readout
	switch {
	case !(math.Abs(float64(r.Value)) <= mostDegrees):
		c.fault(path, "found "+number(float64(r.Value))+", expected at most a million degrees", "")
	case r.Lettered && o.Counts == geometry.CountsDown:
		c.fault(path, "found a reading with BTDC or ATDC on a readout that counts down, expected the number alone", "with counts: down the letters leave the sign open", "readout.counts")
	case r.Lettered && o.Kind == Rim:
		c.fault(path, "found a reading with BTDC or ATDC on a rim, expected the length alone", "", "readout.kind")
	case !o.BothWays || o.Kind != Wheel:
	case !(r.Value.Abs() <= 180):
		c.fault(path, "found "+strings.ReplaceAll(r.Written(), "°", "")+", expected 0 to 180 on a wheel numbered both ways", "", "readout.numbered")
	case !r.Lettered && r.Value != 0 && r.Value != 180:
		c.fault(path, "found "+number(float64(r.Value))+" without letters, expected BTDC or ATDC behind it", "a wheel numbered both ways shows every number twice; only 0 and 180 may stand alone", "readout.numbered")
	}
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

// entered is a reading for a fault, without its degree sign.
func (c *checker) entered(r *Reading) string {
	if r.Measured || c.Readout.BothWays {
		return r.Written()
	}
	return number(float64(r.Value))
}

// number prints a number as a person writes it.
func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
