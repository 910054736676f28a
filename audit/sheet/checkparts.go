package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

// cylinders holds the declared cylinders against each other, and those of marks
// and setups against them.
func (c *checker) cylinders() {
	reference, known := -1, true
	names := make([]string, len(c.Engine.Cylinders))
	for i, x := range c.Engine.Cylinders {
		path := x.Path
		if path == "" {
			path = "engine.cylinders." + inputerror.Path(x.Name)
		}
		for _, other := range names[:i] {
			if other == x.Name {
				c.fault(path, "found a second time, expected each cylinder once", "")
			}
		}
		names[i] = x.Name
		switch {
		case x.Name == "":
			c.fault("engine.cylinders", "found a cylinder without a name, expected one", "")
		case path.Within(c.faulted):
			known = false
		case !(math.Abs(float64(x.TDC)) < mostNominal):
			c.fault(path, "found "+number(float64(x.TDC))+", expected less than two turns of the crank, 720", "")
			known = false
		case x.TDC != 0:
		case reference >= 0:
			c.fault(path, "found 0 a second time, already that of cylinder "+inputerror.Shown(names[reference])+", expected one reference cylinder",
				"a piston that rises with the reference's on the other stroke stands at 360")
		default:
			reference = i
		}
	}
	if len(names) > 0 && reference < 0 && known {
		c.fault("engine.cylinders", "found no cylinder at 0, expected one, the reference that the others are counted from", "")
	}
	c.cylindersNamed(names)
}

func (c *checker) cylindersNamed(declared []string) {
	type use struct {
		path inputerror.Path
		name string
	}
	var uses []use
	for i, m := range c.Marks {
		uses = append(uses, use{pathOr(m.Path, "marks", i) + ".cylinder", m.Cylinder})
	}
	for i, s := range c.Setups {
		uses = append(uses, use{pathOr(s.Path, "setups", i) + ".cylinder", s.Cylinder})
	}
	alike := true
	for _, u := range uses {
		alike = alike && u.name == uses[0].name
	}
	if len(declared) == 0 && alike {
		return
	}
	for _, u := range uses {
		known := false
		for _, name := range declared {
			known = known || name == u.name
		}
		switch {
		case u.name == "" || known:
		case len(declared) == 0:
			c.fault(u.path, "found cylinder "+inputerror.Shown(u.name)+" without engine.cylinders, expected the degrees between the cylinders there",
				"a bank angle is never guessed: write engine.cylinders from the maker's data, such as {1: 0, 6: 90}", "engine.cylinders")
			return // the others say the same
		default:
			hint := inputerror.DidYouMean(c.near(u.name, declared))
			if hint == "" {
				hint = "the cylinders there are " + inputerror.Shown(strings.Join(declared, ", "))
			}
			c.fault(u.path, "found "+inputerror.Shown(u.name)+", which engine.cylinders does not name", hint, "engine.cylinders")
		}
	}
}

// spacings holds the distances against the lines and the part.
func (c *checker) spacings() {
	names, paths := c.lineNames()
	declared := make(map[string]bool, len(c.Marks))
	for _, name := range names {
		declared[name] = true
	}
	d := c.Part.Diameter
	for i, s := range c.Part.Spacings {
		path := pathOr(s.Path, "part.spacings", i)
		for _, end := range []struct {
			path inputerror.Path
			name string
		}{{path + ".from", s.From}, {path + ".to", s.To}} {
			if !declared[end.name] {
				c.fault(end.path, "found "+inputerror.Shown(end.name)+", no line of this name under marks", inputerror.DidYouMean(c.near(end.name, names)), paths...)
			}
		}
		if s.From == s.To {
			c.fault(path+".to", "found "+inputerror.Shown(s.To)+" at both ends, expected two lines", "", path+".from")
		}
		switch {
		case s.Chord == 0 && s.Teeth == 0:
			c.fault(path+".chord", "missing, expected the distance with dividers, or teeth", "", path+".teeth")
		case s.Chord == 0:
		case d == 0:
			c.fault(path+".chord", "found without part.diameter, expected both", "a chord can't be turned into degrees without the diameter", "part.diameter", "part.circumference")
		case !(s.Chord >= least && s.Chord-s.Limit.Half <= d+c.Part.DiameterLimit.Half): // across the middle dividers may show a little more
			c.fault(path+".chord", fmt.Sprintf("found %s, and a chord cannot be longer than the diameter of %s", c.as(path+".chord", s.Chord, fmt.Sprint(asStated(s.Chord, s.Limit))), c.as("part.diameter", d, fmt.Sprint(asStated(d, c.Part.DiameterLimit)))), "", "part.diameter", "part.circumference")
		case s.Limit.Half >= s.Chord:
			c.fault(path+".chord", "found a limit as large as the chord itself", "")
		}
		switch n := float64(c.Part.Teeth); {
		case s.Teeth == 0:
		case n == 0:
			c.fault(path+".teeth", "found without part.teeth, expected both", "count the teeth of the whole ring gear", "part.teeth")
		case !(s.Teeth > 0 && s.Teeth < n):
			c.fault(path+".teeth", fmt.Sprintf("found %s, expected fewer than the %d of the whole ring gear", number(s.Teeth), c.Part.Teeth), "", "part.teeth")
		}
	}
}

// rim holds the readout on a rim against the rest of the sheet.
func (c *checker) rim() {
	o := &c.Readout
	if o.Kind != Rim {
		return
	}
	if c.Part.Diameter == 0 {
		c.fault("readout.kind", "found rim without part.diameter, expected both", "a length on the rim can't be turned into degrees without the diameter", "part.diameter", "part.circumference")
	}
	const itself = "the rim is the readout, and its diameter stands under part"
	if o.Diameter != 0 {
		c.fault("readout.diameter", "found with readout.kind: rim, expected none", itself)
	}
	if o.OffCentre != 0 {
		c.fault("readout.off_centre", "found with readout.kind: rim, expected none", itself)
	}
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
		{"readout.error", float64(o.DialError.Half), mostAllowed},
		{"readout.step", float64(o.StepLength), mostAllowed},
		{"readout.lost_motion", math.Abs(float64(o.LostLength)), mostAllowed},
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

// sameDiameter is how far the diameters on sheet and correction may differ, as
// they are measured with a rule. Common practice, no source.
const sameDiameter geometry.Length = 1

// history refuses the history of another readout, or of another step: scatter holds
// what rounding does.
func (c *checker) history() {
	o := &c.Readout
	h := o.History
	if h == nil {
		return
	}
	const path = "readout.history"
	taken := c.ReadingsDigest()
	switch {
	case o.Name == "":
		c.fault("readout.name", "missing, expected "+inputerror.Shown(h.Readout)+", the readout that the history is of", "the name tells one readout's history from another's")
	case o.Name != h.Readout:
		c.fault(path, "found the history of "+inputerror.Shown(h.Readout)+", expected that of "+inputerror.Shown(o.Name), "a history belongs to one readout", "readout.name")
	case math.Abs(float64(o.Step-h.Step)) > float64(geometry.Tie):
		c.fault(path, fmt.Sprintf("found the history of a step of %s°, readout.step is %s°", number(float64(h.Step)), number(float64(o.Step))), "scatter holds what rounding does, so a history belongs to one step", "readout.step")
	case slices.ContainsFunc(h.Sheets, func(s PastSheet) bool { return s.Taken == taken || s.Digest == c.Digest && c.Digest != "" }):
		c.fault(path, "found these very readings in the history", "a sheet is held against earlier ones: make the history from those")
	}
}

// correction refuses the correction of another readout.
func (c *checker) correction() {
	o := &c.Readout
	k := o.Correction
	if k == nil {
		return
	}
	const path = "readout.correction"
	switch {
	case o.Kind == Rim:
		c.fault(path, "found with kind: rim, expected a wheel or an encoder", "a rim is put right by its diameter", "readout.kind")
	case o.Name == "":
		c.fault("readout.name", "missing, expected "+inputerror.Shown(k.Name)+", the readout that the correction is of", "the name tells one wheel's correction from another's")
	case o.Name != k.Name:
		c.fault(path, "found the correction of "+inputerror.Shown(k.Name)+", expected that of "+inputerror.Shown(o.Name), "a correction belongs to one readout", "readout.name")
	case o.Diameter > 0 && k.Diameter > 0 && math.Abs(float64(o.Diameter-k.Diameter)) > float64(sameDiameter):
		c.fault(path, fmt.Sprintf("found the correction of a wheel of %v, readout.diameter is %s", k.Diameter, c.as("readout.diameter", o.Diameter, fmt.Sprint(o.Diameter))), "a correction belongs to one readout", "readout.diameter")
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

// asStated is a length with its limit as the sheet has them.
func asStated(x geometry.Length, limit geometry.Limit[geometry.Length]) geometry.Quantity[geometry.Length] {
	return geometry.Quantity[geometry.Length]{Value: x, Limit: limit, HasValue: true, HasLimit: limit.Half > 0}
}
