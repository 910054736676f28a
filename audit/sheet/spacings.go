package sheet

import (
	"fmt"

	"markaudit/geometry"
)

const mostSpacings = 2 * mostMarks

// spacings reads the distances between lines that were measured on the part.
func (t *fields) spacings() (all []Spacing) {
	n := t.list("spacings", "a list, such as - {from: 1-6, to: 2-5, chord: 91.2 ± 0.1 mm}")
	switch {
	case n == nil:
		return nil
	case len(n.items) == 0:
		t.fault(n.path, "found an empty list, expected at least one distance", "")
	case len(n.items) > mostSpacings:
		t.fault(n.path, fmt.Sprintf("found %d distances, expected at most %d", len(n.items), mostSpacings), "")
		return nil
	}
	for _, item := range n.items {
		s := Spacing{Path: item.path}
		if f := t.fieldsOf(item, "from:, to: and chord: of two lines"); f != nil {
			s.From, s.To = f.word("from"), f.word("to")
			f.need("from", "the name of a line")
			f.need("to", "the name of another line")
			f.spacing(&s)
			f.done()
		}
		all = append(all, s)
	}
	return all
}

func (t *fields) spacing(s *Spacing) {
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
		t.fault(n.path, "found chord as well, expected one of them", "")
	case c == nil && n == nil:
		t.missing(t.path("chord"), "the distance with dividers, or teeth: with their number", "")
	}
}

// spacings holds the distances against the lines and the part.
func (c *checker) spacings() {
	names := make([]string, len(c.Marks))
	paths := make([]Path, len(c.Marks))
	declared := make(map[string]bool, len(c.Marks))
	for i, m := range c.Marks {
		names[i], paths[i] = m.Name, pathOr(m.Path, "marks", i)+".name"
		declared[m.Name] = true
	}
	paths = append(paths, "marks")
	d := c.Part.Diameter
	for i, s := range c.Part.Spacings {
		path := pathOr(s.Path, "part.spacings", i)
		for _, end := range []struct {
			path Path
			name string
		}{{path + ".from", s.From}, {path + ".to", s.To}} {
			if !declared[end.name] {
				c.fault(end.path, "found "+shown(end.name)+", no line of this name under marks", didYouMean(c.near(end.name, names)), paths...)
			}
		}
		if s.From == s.To {
			c.fault(path+".to", "found "+shown(s.To)+" at both ends, expected two lines", "", path+".from")
		}
		switch {
		case s.Chord == 0 && s.Teeth == 0:
			c.fault(path+".chord", "missing, expected the distance with dividers, or teeth", "", path+".teeth")
		case s.Chord == 0:
		case d == 0:
			c.fault(path+".chord", "found without part.diameter, expected both", "a chord can't be turned into degrees without the diameter", "part.diameter", "part.circumference")
		case !(s.Chord >= least && s.Chord <= d):
			c.fault(path+".chord", fmt.Sprintf("found %v, and a chord cannot be longer than the diameter of %v", s.Chord, d), "", "part.diameter", "part.circumference")
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
