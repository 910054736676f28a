package sheet

import (
	"fmt"
	"math"
	"strings"

	"markaudit/geometry"
)

// ruler turns lengths on the part's rim into crank degrees.
type ruler struct {
	on      bool // the readings are lengths
	known   bool // what they stand for could be read
	rim     geometry.Rim
	chord   bool
	turns   geometry.Angle  // crank degrees for each degree of the part
	longest geometry.Length // chord that counts
}

// rulerOf is the ruler of a readout on the part's rim. One that is not on still
// turns the lengths of the marks.
func (r *reader) rulerOf(p Part, o Readout) ruler {
	u := ruler{on: o.Kind == Rim, rim: geometry.Rim{Diameter: p.Diameter}, chord: o.Chord, turns: 1}
	if p.HalfSpeed {
		u.turns = 2
	}
	u.known = p.Diameter > 0
	for _, path := range []Path{"part", "part.diameter", "part.circumference", "part.turns"} {
		u.known = u.known && !r.faulted[path]
	}
	return u
}

// arc is the crank angle of a length along the rim.
func (u ruler) arc(l geometry.Length) geometry.Angle { return u.turns * u.rim.AngleFromArc(l) }

// measured reads how lengths on a rim were taken: true across it.
func (t *fields) measured(kind Kind) (chord bool) {
	chord = chosen(t, "measured", choice[bool]{"tape", false}, choice[bool]{"chord", true})
	n := t.node.item("measured")
	switch {
	case kind == Rim && n == nil:
		t.missing(t.path("measured"), "tape or chord", "tape: laid along the rim; chord: straight across, with dividers or a rule")
	case kind != Rim && n != nil && !t.faulted["readout.kind"]:
		t.fault(n.path, "found without readout.kind: rim, expected both", "")
	}
	return chord
}

func isLength(text string) bool {
	_, _, err := geometry.ParseLength(text)
	return err == nil
}

// length reads what was measured from the chalk line on the rim.
func (r *reader) length(f *Reading, text string) bool {
	upper := strings.ToUpper(text)
	if strings.HasSuffix(upper, "BTDC") || strings.HasSuffix(upper, "ATDC") {
		r.fault(f.Path, "found "+shown(text)+", expected the length alone", "on a rim a sign says the side of the chalk line")
		return false
	}
	l, _, err := geometry.ParseLength(text)
	if err != nil {
		r.refusal(f.Path, err)
		return false
	}
	u := &r.ruler
	if !u.known {
		r.faulted[f.Path] = true // there is nothing to judge it by
		return false
	}
	f.Measured, f.Length = true, l
	if !u.chord {
		f.Value = u.arc(l)
		return true
	}
	a, err := u.rim.AngleFromChord(l)
	if err != nil {
		r.fault(f.Path, fmt.Sprintf("found %s, and a chord cannot be longer than the diameter of %v", shown(text), u.rim.Diameter), "beyond half way round measure with a tape")
		return false
	}
	f.Value = u.turns * a
	if !f.Struck {
		u.longest = max(u.longest, geometry.Length(math.Abs(float64(l))))
	}
	return true
}

// step turns the step of a rim into degrees: for chords, which stand for more
// degrees a millimetre the longer they are, at the longest one that was read.
func (r *reader) step(o *Readout) {
	u := r.ruler
	switch {
	case !u.on || o.StepLength == 0:
		return
	case !u.known || r.faulted["readout.step"]:
		r.faulted["readout.step"] = true
		return
	}
	a, where, hint := u.arc(o.StepLength), "", ""
	if u.chord {
		a = u.turns * u.rim.AnglePerChord(u.longest) * geometry.Angle(o.StepLength)
		where, hint = fmt.Sprintf(" at the longest chord, %v", u.longest), "beyond half way round measure with a tape"
	}
	if !(a <= mostStep) {
		r.fault("readout.step", fmt.Sprintf("found %v, which is more than %d degrees%s", o.StepLength, mostStep, where), hint)
		return
	}
	o.Step = a
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
