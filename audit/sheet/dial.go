package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// A dial in the plug hole is a readout by itself: set to the piston's highest point,
// it says how far the piston has dropped where a line comes up. It tells no angle,
// and not on which side of TDC the crank stands.

// readDial reads what the sheet says of a dial.
func (t *fields) readDial(o *Readout) {
	o.StepLength = t.length("step", "0.01 mm")
	if q, ok := parsed(t, "probe_angle", "degrees with their limit, such as 20 ± 3", geometry.ParseAngleQuantity); ok {
		o.Probe, o.ProbeLimit = q.Value, q.Limit
	}
	if q, ok := parsed(t, "crown", "degrees with their limit, such as ± 5", geometry.ParseAngleQuantity); ok {
		o.Crown, o.CrownLimit = q.Value, q.Limit
	}
	o.DialError = limit(t, "error", "± 0.015 mm", geometry.ParseLengthQuantity)
	if q, ok := parsed(t, "lost_motion", "a length with its limit, such as 0.003 ± 0.002 mm", geometry.ParseLengthQuantity); ok {
		if !q.HasValue || !q.HasLimit {
			t.refuse("lost_motion", "a value and its limit, such as 0.003 ± 0.002 mm")
		}
		o.LostLength, o.LostLengthLimit, o.HasLostMotion = q.Value, q.Limit, true
	}
	if l := t.length("revolution", "1 mm"); l > 0 {
		o.Revolution = l
	}
}

// notOnDial are keys of a readout that say nothing of a dial.
var notOnDial = []string{"numbered", "counts", "quarter_turn", "diameter", "off_centre", "correction", "history"}

// dialOnly are those that say nothing of another readout.
var dialOnly = []string{"probe_angle", "crown", "error", "revolution"}

// otherReadout refuses keys that belong to another kind of readout.
func (t *fields) otherReadout(keys []string, kind string) {
	for _, key := range keys {
		if n := t.get(key); t.node.item(key) != nil && n != nil {
			t.Fault(t.path(key), "found with readout.kind: "+kind+", expected none", "")
			t.Faulted[t.path(key)] = true
		}
	}
}

// shown reads what a dial shows, with the side of TDC behind it or without.
func (r *reader) shown(f *Reading, text string) bool {
	number, side := cutSide(text)
	l, _, err := geometry.ParseLength(number)
	if err != nil {
		r.Refusal(f.Path, err)
		return false
	}
	f.Measured, f.Length, f.Side, f.Lettered = true, l, side, side != geometry.NoLetters
	return true
}

// cutSide cuts the letters off what a dial shows.
func cutSide(text string) (number string, side geometry.Letters) {
	number = strings.TrimSpace(text)
	for _, letters := range []geometry.Letters{geometry.BTDC, geometry.ATDC} {
		if n := len(number) - len(letters.String()); n > 0 && strings.EqualFold(number[n:], letters.String()) {
			return strings.TrimSpace(number[:n]), letters
		}
	}
	return number, geometry.NoLetters
}

// further reads what the dial shows at a line and a few degrees further on.
func (t *fields) further() *[2]Reading {
	n := t.list("further", "two readings, such as [1.74 mm, 1.52 mm]")
	switch {
	case n == nil:
		return nil
	case !t.dial:
		t.Fault(n.path, "found without readout.kind: dial, expected both", "a wheel shows by itself on which side of TDC a line lies")
		return nil
	case len(n.items) != 2:
		t.Fault(n.path, fmt.Sprintf("found %s, expected two", inputerror.Count(len(n.items), "reading")), "the dial at the line, and a few degrees further the way the engine runs")
		return nil
	}
	all, ok := t.reader.list(n, Forward)
	if !ok {
		return nil
	}
	return &[2]Reading{all[0], all[1]}
}

// top reads where the dial stood with the piston at its highest.
func (t *fields) top() []Reading {
	n := t.get("top")
	if n == nil {
		return nil
	}
	all, ok := t.reader.list(n, Forward)
	switch {
	case !ok:
		return nil
	case len(all) == 0:
		t.Fault(n.path, "found an empty list, expected what the dial shows at the piston's highest point, such as [0.00 mm, 0.01 mm]", "")
	}
	return all
}

// closingTop reads the top again, after the lines.
func (t *fields) closingTop() *Reading {
	again := t.under("closing")
	if again.node == nil {
		return nil
	}
	n := again.get("top")
	again.done()
	again.need("top", "what the dial shows at the piston's highest point, once more")
	if n == nil {
		return nil
	}
	if reading, ok := t.reader.reading(n, Forward); ok {
		return &reading
	}
	return nil
}

// TopOf is the mean of what the dial shows at the piston's highest point, false where
// nothing counts.
func (s *Setup) TopOf() (mean geometry.Length, n int) {
	for _, r := range s.Top {
		if !r.Struck {
			mean += r.Length
			n++
		}
	}
	return mean / geometry.Length(max(1, n)), n
}

// SideOf is the side of TDC on which the sheet says that a line comes up: by the
// letters of its readings, else by how the dial moves further on. NoLetters is not
// told.
func (s *Sheet) SideOf(m Mark) geometry.Letters {
	for i := range s.Setups {
		for _, r := range s.Setups[i].Marks[m.Name] {
			if !r.Struck && r.Side != geometry.NoLetters {
				return r.Side
			}
		}
	}
	side, _ := s.Further(m)
	return side
}

// Further is the side that the dial's moving further on proves: towards the top
// the piston still rises, before TDC. False where the sheet holds nothing of it.
func (s *Sheet) Further(m Mark) (geometry.Letters, bool) {
	if m.Further == nil {
		return geometry.NoLetters, false
	}
	for i := range s.Setups {
		setup := &s.Setups[i]
		top, n := setup.TopOf()
		if n == 0 || len(setup.Marks[m.Name]) == 0 {
			continue
		}
		here, there := (m.Further[0].Length - top).Abs(), (m.Further[1].Length - top).Abs()
		if there < here {
			return geometry.BTDC, true
		}
		return geometry.ATDC, true
	}
	return geometry.NoLetters, false
}

// dial holds a dial against the rest of the sheet.
func (c *checker) dial() {
	o := &c.Readout
	if o.Kind != Dial {
		for i, m := range c.Marks {
			if m.Further != nil {
				c.fault(pathOr(m.Path, "marks", i)+".further", "found without readout.kind: dial, expected both", "", "readout.kind")
			}
		}
		return
	}
	const why = "how far the piston has dropped can't be turned into degrees without stroke and rod"
	switch {
	case c.Engine.Stroke == 0:
		c.fault("engine.stroke", "missing, expected it with readout.kind: dial", why)
	case c.Engine.Rod == 0:
		c.fault("engine.rod", "missing, expected it with readout.kind: dial", why)
	}
	if o.StepLength == 0 {
		c.fault("readout.step", "missing, expected the smallest step of the dial, such as 0.01 mm", "")
	}
	if !(o.Probe >= 0 && o.Probe <= MostProbe) {
		c.fault("readout.probe_angle", fmt.Sprintf("found %s, expected 0 to %d degrees between dial and cylinder", number(float64(o.Probe)), int(MostProbe)), "")
	}
	for _, l := range []struct {
		path  inputerror.Path
		value float64
		most  float64
	}{
		{"readout.probe_angle", float64(o.ProbeLimit.Half), 30},
		{"readout.crown", float64(o.CrownLimit.Half), 30},
		{"readout.crown", math.Abs(float64(o.Crown)), 30},
		{"readout.error", float64(o.DialError.Half), most},
		{"readout.step", float64(o.StepLength), most},
		{"readout.lost_motion", math.Abs(float64(o.LostLength)), most},
	} {
		if l.value != 0 && !(l.value >= least && l.value <= l.most) {
			c.fault(l.path, "found "+number(l.value)+", expected at most "+number(l.most), "")
		}
	}
	for i, m := range c.Marks {
		path := pathOr(m.Path, "marks", i)
		if m.Name == "top" {
			c.fault(path+".name", "found top, expected another name", "top is where the dial stands highest")
		}
		c.dialLine(m, path)
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

const (
	leastFurther = 5 // steps that the hand has to move further on, to tell the side
	overTop      = 3 // steps that a reading may lie on the other side of the top
)

// dialLine holds the readings of one line against each other and the engine.
func (c *checker) dialLine(m Mark, path inputerror.Path) {
	step := c.Readout.StepLength
	side, above, below := geometry.NoLetters, false, false
	crank, known := c.Engine.Crank()
	for i := range c.Setups {
		s := &c.Setups[i]
		top, n := s.TopOf()
		for j := range s.Marks[m.Name] {
			r := &s.Marks[m.Name][j]
			if r.Struck || n == 0 {
				continue
			}
			if side != geometry.NoLetters && r.Side != geometry.NoLetters && r.Side != side {
				c.fault(r.Path, fmt.Sprintf("found %s where another reading of this line says %v, expected one side of TDC", r.Written(), side), "")
			}
			if r.Side != geometry.NoLetters {
				side = r.Side
			}
			if turn := c.Readout.Revolution; turn > 0 && (r.Length-firstOf(s.Marks[m.Name]).Length).Abs() > turn/2 {
				c.fault(r.Path, fmt.Sprintf("found %s where another reading of this line is %s, more than half a turn of the hand away", r.Written(), firstOf(s.Marks[m.Name]).Written()), "was a turn of the hand missed?")
			}
			above, below = above || r.Length-top > overTop*step, below || top-r.Length > overTop*step
			if above && below {
				c.fault(r.Path, fmt.Sprintf("found %s, on the other side of the top of %v than other readings of this line", r.Written(), top), "was a turn of the hand missed? The dial shows its largest or smallest at the top, never between")
				above = false
			}
			if drop := (r.Length - top).Abs() * c.Readout.Along(); known && crank.Check() == nil && drop > crank.Drop(crank.PistonBDC()) {
				c.fault(r.Path, fmt.Sprintf("found %s, which is %.2f below the top; the piston travels %.2f", r.Written(), drop, crank.Drop(crank.PistonBDC())), "another unit, or a turn of the hand too many?", "engine.stroke", "engine.rod")
			}
		}
	}
	f := m.Further
	if f == nil {
		return
	}
	proven, told := c.Further(m)
	switch {
	case !told:
	case (f[1].Length - f[0].Length).Abs() < leastFurther*step-least:
		c.fault(path+".further", fmt.Sprintf("found %s, then %s, which is less than %d steps", f[0].Written(), f[1].Written(), leastFurther), "turn a few degrees further, the way the engine runs, until the hand has moved plainly")
	case side != geometry.NoLetters && side != proven:
		towards := "towards its top, so that the line would lie before TDC"
		if proven == geometry.ATDC {
			towards = "away from its top, so that the line would lie after TDC"
		}
		c.fault(path+".further", fmt.Sprintf("found %s, then %s further on: the dial moves %s, and the readings say %v", f[0].Written(), f[1].Written(), towards, side),
			"either the letters are wrong, or the engine was turned against the way it runs. Look which way it runs, and turn once more")
	}
}

// firstOf is the first of some readings that counts.
func firstOf(all []Reading) Reading {
	return all[slices.IndexFunc(all, func(r Reading) bool { return !r.Struck })]
}

// Along is by what a reading of the dial is to be multiplied to have the drop along
// the cylinder: cos γ of a slanting probe, and sin γ tan κ more on a crown that leans
// towards the dial by κ (plane geometry). One for any other readout.
func (r Readout) Along() geometry.Length { return alongAt(r.Probe, r.Crown) }

func alongAt(probe, crown geometry.Angle) geometry.Length {
	sin, cos := math.Sincos(probe.Radians())
	return geometry.Length(cos + sin*math.Tan(crown.Radians()))
}

// AlongLimits is half of what probe and crown may change [Readout.Along] by.
func (r Readout) AlongLimits() (probe, crown float64) {
	half := func(low, high geometry.Length) float64 { return math.Abs(float64(high-low)) / 2 }
	return half(alongAt(max(0, r.Probe-r.ProbeLimit.Half), r.Crown), alongAt(r.Probe+r.ProbeLimit.Half, r.Crown)),
		half(alongAt(r.Probe, r.Crown-r.CrownLimit.Half), alongAt(r.Probe, r.Crown+r.CrownLimit.Half))
}

// dialText writes what a sheet says of a dial.
func dialText(o Readout, limit func(geometry.Limit[geometry.Length]) string) string {
	var b strings.Builder
	put := func(key, value string) { keyed(&b, "  ", key, strings.TrimSpace(value)) }
	degrees := func(key string, a geometry.Angle, l geometry.Limit[geometry.Angle]) {
		if a == 0 && l.Half == 0 {
			return
		}
		q := geometry.Quantity[geometry.Angle]{Value: a, HasValue: true, Limit: l, HasLimit: l.Half > 0}
		put(key, strings.ReplaceAll(q.String(), "°", ""))
	}
	put("step", fmt.Sprint(o.StepLength))
	degrees("probe_angle", o.Probe, o.ProbeLimit)
	degrees("crown", o.Crown, o.CrownLimit)
	put("error", limit(o.DialError))
	if o.HasLostMotion {
		put("lost_motion", fmt.Sprint(o.LostLength)+" "+limit(o.LostLengthLimit))
	}
	if o.Revolution > 0 {
		put("revolution", fmt.Sprint(o.Revolution))
	}
	return b.String()
}
