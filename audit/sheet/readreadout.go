package sheet

import (
	"fmt"

	"markaudit/audit/inputerror"
	"markaudit/geometry"
)

func readReadout(t *fields, part Part) (o Readout) {
	o.Name = t.word("name")
	o.Kind = chosen(t, "kind", choice[Kind]{"wheel", Wheel}, choice[Kind]{"encoder", Encoder}, choice[Kind]{"rim", Rim}, choice[Kind]{"dial", Dial})
	o.Chord = readMeasured(t, o.Kind)
	switch {
	case t.Faulted["readout.kind"]: // degrees or a length
		t.get("step")
		t.Faulted["readout.step"] = true
	case o.Kind == Rim:
		o.StepLength = t.length("step", "1 mm")
	case o.Kind == Dial:
		t.dial = true
		readDial(t, &o)
		refuseOtherReadout(t, notOnDial, "dial")
		t.done()
		return o
	default:
		o.Step = t.degrees("step", "the smallest step recorded, such as 0.5")
	}
	if !t.Faulted["readout.kind"] {
		refuseOtherReadout(t, dialOnly, o.Kind.String())
	}
	o.BothWays = chosen(t, "numbered", choice[bool]{"round", false}, choice[bool]{"both ways", true})
	o.Counts = chosen(t, "counts", choice[geometry.Sense]{"up", geometry.CountsUp}, choice[geometry.Sense]{"down", geometry.CountsDown})
	if o.BothWays {
		if n := t.node.item("counts"); n != nil {
			t.Fault(n.path, "found "+inputerror.Shown(n.text)+", expected no counts with readout.numbered: both ways", "the letters of each reading say the side")
		}
		o.Counts = geometry.CountsUp // BTDC is below 0, ATDC above
	}
	t.ruler = rulerOf(t.reader, part, o)
	if n := t.list("quarter_turn", "two readings, such as [12, 102]"); n != nil {
		if len(n.items) != 2 {
			t.Fault(n.path, fmt.Sprintf("found %s, expected two", inputerror.Count(len(n.items), "reading")), "the second after turning the engine about a quarter turn the way it runs")
		} else if turn, ok := t.reader.list(n, Forward); ok {
			o.QuarterTurn = &[2]Reading{turn[0], turn[1]}
			for _, q := range turn {
				if q.Struck {
					t.Fault(q.Path, "found a struck reading, expected two that count", "")
				}
			}
		}
	}
	o.Diameter = t.length("diameter", "92 mm")
	o.OffCentre = t.most("off_centre")
	if q, ok := parsed(t, "lost_motion", "degrees with their limit, such as 0.10 ± 0.05", geometry.ParseAngleQuantity); ok {
		if !q.HasValue || !q.HasLimit {
			t.refuse("lost_motion", "a value and its limit, such as 0.10 ± 0.05")
		}
		o.LostMotion, o.LostLimit, o.HasLostMotion = q.Value, q.Limit, true
	}
	if n := t.get("correction"); n != nil {
		o.Correction = attachedCorrection(t.reader, n)
	}
	if n := t.get("history"); n != nil {
		o.History = attachedHistory(t.reader, n)
	}
	t.done()
	return o
}

// readMeasured reads how lengths on a rim were taken: true across it.
func readMeasured(t *fields, kind Kind) (chord bool) {
	chord = chosen(t, "measured", choice[bool]{"tape", false}, choice[bool]{"chord", true})
	n := t.node.item("measured")
	switch {
	case kind == Rim && n == nil:
		t.missing(t.path("measured"), "tape or chord", "tape: laid along the rim; chord: straight across, with dividers or a rule")
	case kind != Rim && n != nil && !t.Faulted["readout.kind"]:
		t.Fault(n.path, "found without readout.kind: rim, expected both", "")
	}
	return chord
}

// attachedCorrection reads the file that corrects the readout's readings.
func attachedCorrection(r *reader, n *node) *Correction {
	path, data, ok := r.attached(n, "the name of a correction file", "such as wheel-4.json")
	if !ok {
		return nil
	}
	c, err := ReadCorrection(data)
	if err != nil {
		r.Fault(n.path, inputerror.Shown(r.beside(path))+": "+err.Error(), "`markaudit wheel --write` writes such a file")
		return nil
	}
	return c
}

// attachedHistory reads the file with what the readout did in earlier audits.
func attachedHistory(r *reader, n *node) *History {
	path, data, ok := r.attached(n, "the name of a history file", "such as wheel-4.history.json")
	if !ok {
		return nil
	}
	h, err := ReadHistory(data)
	if err != nil {
		r.Fault(n.path, inputerror.Shown(r.beside(path))+": "+err.Error(), "`markaudit history --write` writes such a file")
		return nil
	}
	return h
}

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
func rulerOf(r *reader, p Part, o Readout) ruler {
	u := ruler{on: o.Kind == Rim, rim: geometry.Rim{Diameter: p.Diameter}, chord: o.Chord, turns: 1}
	if p.HalfSpeed {
		u.turns = 2
	}
	u.known = p.Diameter > 0
	for _, path := range []inputerror.Path{"part", "part.diameter", "part.circumference", "part.turns"} {
		u.known = u.known && !r.Faulted[path]
	}
	return u
}

// arc is the crank angle of a length along the rim.
func (u ruler) arc(l geometry.Length) geometry.Angle { return u.turns * u.rim.AngleFromArc(l) }

// setRimStep turns the step of a rim into degrees: for chords, which stand for more
// degrees a millimetre the longer they are, at the longest one that was read.
func setRimStep(r *reader, o *Readout) {
	u := r.ruler
	switch {
	case !u.on || o.StepLength == 0:
		return
	case !u.known || r.Faulted["readout.step"]:
		r.Faulted["readout.step"] = true
		return
	}
	a, where, hint := u.arc(o.StepLength), "", ""
	if u.chord {
		a = u.turns * u.rim.AnglePerChord(u.longest) * geometry.Angle(o.StepLength)
		where, hint = fmt.Sprintf(" at the longest chord, %v", u.longest), "beyond half way round measure with a tape"
	}
	if !(a <= mostStep) {
		r.Fault("readout.step", fmt.Sprintf("found %s, which is more than %d degrees%s", inputerror.Shown(r.as("readout.step", o.StepLength)), mostStep, where), hint)
		return
	}
	o.Step = a
}
