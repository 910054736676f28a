package sheet

import (
	"fmt"
	"math"
	"strings"

	"markaudit/geometry"
)

const mostCylinders = 64 // of an engine; common practice, no source

// cylinders reads where each cylinder's TDC lies after the reference's.
func (t *fields) cylinders() (all []Cylinder) {
	const expected = "cylinders with the degrees of their TDC, such as {1: 0, 6: 90}"
	n := t.get("cylinders")
	switch {
	case n == nil:
		return nil
	case n.kind != table:
		t.wrongKind(n, expected)
		return nil
	case len(n.keys) == 0:
		t.fault(n.path, "found none, expected "+expected, "")
	case len(n.keys) > mostCylinders:
		t.fault(n.path, fmt.Sprintf("found %d cylinders, expected at most %d", len(n.keys), mostCylinders), "")
		return nil
	}
	in := &fields{reader: t.reader, node: n}
	for _, name := range n.keys {
		c := Cylinder{Name: name, Path: in.path(name)}
		c.TDC, _ = parsed(in, name, "degrees after the reference cylinder, such as 90", func(s string) (geometry.Angle, error) {
			a, letters, err := geometry.ParseAngle(s)
			if err == nil && letters != geometry.NoLetters {
				err = &geometry.Refusal{Text: "found " + shown(s) + ", expected degrees after the reference cylinder, without letters"}
			}
			return a, err
		})
		all = append(all, c)
	}
	return all
}

// cylinders holds the declared cylinders against each other, and those of marks
// and setups against them.
func (c *checker) cylinders() {
	reference, known := -1, true
	names := make([]string, len(c.Engine.Cylinders))
	for i, x := range c.Engine.Cylinders {
		path := x.Path
		if path == "" {
			path = "engine.cylinders." + Path(x.Name)
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
		case covers(c.faulted, path):
			known = false
		case !(math.Abs(float64(x.TDC)) < mostNominal):
			c.fault(path, "found "+number(float64(x.TDC))+", expected less than two turns of the crank, 720", "")
			known = false
		case x.TDC != 0:
		case reference >= 0:
			c.fault(path, "found 0 a second time, already that of cylinder "+shown(names[reference])+", expected one reference cylinder",
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
		path Path
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
			c.fault(u.path, "found cylinder "+shown(u.name)+" without engine.cylinders, expected the degrees between the cylinders there",
				"a bank angle is never guessed: write engine.cylinders from the maker's data, such as {1: 0, 6: 90}", "engine.cylinders")
			return // the others say the same
		default:
			hint := didYouMean(c.near(u.name, declared))
			if hint == "" {
				hint = "the cylinders there are " + shown(strings.Join(declared, ", "))
			}
			c.fault(u.path, "found "+shown(u.name)+", which engine.cylinders does not name", hint, "engine.cylinders")
		}
	}
}

// pathOr is a path, or where it would stand on a sheet that a program built.
func pathOr(path Path, list string, i int) Path {
	if path != "" {
		return path
	}
	return Path(fmt.Sprintf("%s[%d]", list, i))
}
