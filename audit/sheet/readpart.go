package sheet

import (
	"fmt"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

const mostTeeth = 10000 // of a ring gear

func readPart(t *fields) (p Part) {
	p.Name, p.Number, p.SeenFrom = t.word("name"), t.word("number"), t.word("seen_from")
	p.Diameter, p.DiameterLimit, p.Unit = readDiameter(t)
	p.MarksOn = chosen(t, "marks_on", choice[MarksOn]{"part", OnPart}, choice[MarksOn]{"engine", OnEngine})
	p.BTDCLines = chosen(t, "btdc_lines", rotations...)
	p.ReadAt = "centre"
	if at := chosen(t, "read_at", same("centre"), same("leading edge"), same("trailing edge")); at != "" {
		p.ReadAt = at
	}
	p.Sighting = limit(t, "sighting", "± 0.3 mm", geometry.ParseLengthQuantity)
	if n, ok := parsed(t, "teeth", "a number of teeth", geometry.ParseNumber); ok {
		if p.Teeth = int(n); float64(p.Teeth) != n || n < 1 || n > mostTeeth {
			t.refuse("teeth", fmt.Sprintf("a whole number of teeth from 1 to %d", mostTeeth))
		}
	}
	p.BondedRing = chosen(t, "build", choice[bool]{"bonded ring", true})
	p.HalfSpeed = chosen(t, "turns", choice[bool]{"half", true})
	p.Moves = chosen(t, "moves", same("left"), same("right"), same("up"), same("down"))
	p.Spacings = readSpacings(t)
	t.done()
	return p
}

// readDiameter reads that of the rim, from itself or from the circumference.
func readDiameter(t *fields) (geometry.Length, geometry.Limit[geometry.Length], geometry.Unit) {
	d, hasD := parsed(t, "diameter", "a length such as 158.0 ± 0.2 mm", geometry.ParseLengthQuantity)
	c, hasC := parsed(t, "circumference", "a length such as 496.4 ± 0.5 mm", geometry.ParseLengthQuantity)
	key, q := "diameter", d
	if hasC {
		if hasD {
			t.Fault(t.path("circumference"), "found diameter as well, expected one of them", "keep the one that was measured")
		}
		key, q = "circumference", c
		q.Value = geometry.DiameterFromCircumference(c.Value)
		q.Limit.Half = geometry.DiameterFromCircumference(c.Limit.Half)
	}
	if (hasD || hasC) && !(q.Value > 0) {
		t.refuse(key, "a length above zero, such as 158.0 ± 0.2 mm")
	}
	return q.Value, q.Limit, q.Unit
}

const mostSpacings = 2 * mostMarks

// readSpacings reads the distances between lines that were measured on the part.
func readSpacings(t *fields) (all []Spacing) {
	n := t.list("spacings", "a list, such as - {from: 1-6, to: 2-5, chord: 91.2 ± 0.1 mm}")
	switch {
	case n == nil:
		return nil
	case len(n.items) == 0:
		t.Fault(n.path, "found an empty list, expected at least one distance", "")
	case len(n.items) > mostSpacings:
		t.Fault(n.path, fmt.Sprintf("found %d distances, expected at most %d", len(n.items), mostSpacings), "")
		return nil
	}
	for _, item := range n.items {
		s := Spacing{Path: item.path}
		if f := t.fieldsOf(item, "from:, to: and chord: of two lines"); f != nil {
			s.From, s.To = f.word("from"), f.word("to")
			f.need("from", "the name of a line")
			f.need("to", "the name of another line")
			readSpacing(f, &s)
			f.done()
		}
		all = append(all, s)
	}
	return all
}

func readSpacing(t *fields, s *Spacing) {
	chord, hasChord := parsed(t, "chord", "a length such as 91.2 ± 0.1 mm", geometry.ParseLengthQuantity)
	if s.Chord, s.Limit = chord.Value, chord.Limit; hasChord && !(s.Chord > 0) {
		t.refuse("chord", "a length above zero, such as 91.2 ± 0.1 mm")
	}
	teeth, hasTeeth := parsed(t, "teeth", "a number of teeth, such as 45", geometry.ParseNumber)
	if s.Teeth = teeth; hasTeeth && !(s.Teeth > 0) {
		t.refuse("teeth", "a number of teeth above zero")
	}
	switch c, n := t.node.item("chord"), t.node.item("teeth"); {
	case c != nil && n != nil:
		t.Fault(n.path, "found chord as well, expected one of them", "")
	case c == nil && n == nil:
		t.missing(t.path("chord"), "the distance with dividers, or teeth: with their number", "")
	}
}

var rotations = []choice[geometry.Rotation]{{"clockwise", geometry.Clockwise}, {"anticlockwise", geometry.Anticlockwise}}

func readEngine(t *fields) (e Engine) {
	e.Number = t.word("number")
	e.Turns = chosen(t, "turns", rotations...)
	e.Stroke, e.StrokeLimit = t.sized("stroke", "92 mm")
	e.Rod, e.RodLimit = t.sized("rod", "92 mm")
	e.PinOffset, _ = parsed(t, "pin_offset", "an offset such as 0.8 mm to thrust side", geometry.ParsePinOffset)
	e.BoreOffset, _ = parsed(t, "bore_offset", "an offset such as 0.8 mm to crankpin side", geometry.ParseBoreOffset)
	e.RefersToThrow = chosen(t, "marks_refer_to", choice[bool]{"piston", false}, choice[bool]{"throw", true})
	e.Cylinders = readCylinders(t)
	t.done()
	return e
}

const mostCylinders = 64 // of an engine; common practice, no source

// readCylinders reads where each cylinder's TDC lies after the reference's.
func readCylinders(t *fields) (all []Cylinder) {
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
