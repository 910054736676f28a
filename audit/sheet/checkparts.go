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
			c.fault(path+".chord", fmt.Sprintf("found %s, and a chord cannot be longer than the diameter of %s", c.as(path+".chord", s.Chord, fmt.Sprint(stated(s.Chord, s.Limit))), c.as("part.diameter", d, fmt.Sprint(stated(d, c.Part.DiameterLimit)))), "", "part.diameter", "part.circumference")
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

// stated is a length with its limit as the sheet has them.
func stated(x geometry.Length, limit geometry.Limit[geometry.Length]) geometry.Quantity[geometry.Length] {
	return geometry.Quantity[geometry.Length]{Value: x, Limit: limit, HasValue: true, HasLimit: limit.Half > 0}
}
