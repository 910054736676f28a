package sheet

import (
	"fmt"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

var rotations = []choice[geometry.Rotation]{{"clockwise", geometry.Clockwise}, {"anticlockwise", geometry.Anticlockwise}}

func (r *reader) engine(t *fields) (e Engine) {
	e.Number = t.word("number")
	e.Turns = chosen(t, "turns", rotations...)
	e.Stroke, e.Rod = t.length("stroke", "92 mm"), t.length("rod", "92 mm")
	e.PinOffset, _ = parsed(t, "pin_offset", "an offset such as 0.8 mm to thrust side", geometry.ParsePinOffset)
	e.BoreOffset, _ = parsed(t, "bore_offset", "an offset such as 0.8 mm to crankpin side", geometry.ParseBoreOffset)
	e.RefersToThrow = chosen(t, "marks_refer_to", choice[bool]{"piston", false}, choice[bool]{"throw", true})
	e.Cylinders = t.cylinders()
	t.done()
	return e
}

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
		t.Fault(n.path, "found none, expected "+expected, "")
	case len(n.keys) > mostCylinders:
		t.Fault(n.path, fmt.Sprintf("found %d cylinders, expected at most %d", len(n.keys), mostCylinders), "")
		return nil
	}
	in := &fields{reader: t.reader, node: n}
	for _, name := range n.keys {
		c := Cylinder{Name: name, Path: in.path(name)}
		c.TDC, _ = parsed(in, name, "degrees after the reference cylinder, such as 90", func(s string) (geometry.Angle, error) {
			a, letters, err := geometry.ParseAngle(s)
			if err == nil && letters != geometry.NoLetters {
				err = &geometry.Refusal{Text: "found " + inputerror.Shown(s) + ", expected degrees after the reference cylinder, without letters"}
			}
			return a, err
		})
		all = append(all, c)
	}
	return all
}
