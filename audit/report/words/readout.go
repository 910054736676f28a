package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// onDial reports whether the readout is a dial.
func (v Audit) onDial() bool { return v.Result.Sheet.Readout.Kind == sheet.Dial }

// readout names the readout, to begin a sentence.
func (v Audit) readout() string {
	kind := "The " + v.Result.Sheet.Readout.Kind.String()
	if n := v.Result.Sheet.Readout.Name; n != "" {
		kind += " (" + Clean(n) + ")"
	}
	return kind
}

// ReadoutInShort names the readout with its step, for a title block.
func (v Audit) ReadoutInShort() string {
	r := v.Result.Sheet.Readout
	kind := r.Kind.String()
	if r.Name != "" {
		kind = Clean(r.Name)
	}
	return kind + ", step " + v.step()
}

// counts says how the readout counts.
func (v Audit) counts() string {
	r := v.Result.Sheet.Readout
	way := "up"
	if r.Counts == geometry.CountsDown {
		way = "down"
	}
	switch {
	case r.Kind == sheet.Dial:
		return standsOnCrown(v)
	case r.BothWays:
		return fmt.Sprintf("%s is numbered both ways from zero, in steps of %s. Every reading carries its letters.", v.readout(), v.step())
	case r.Kind == sheet.Rim:
		how := "along a tape"
		if r.Chord {
			how = "straight across"
		}
		return fmt.Sprintf("%s was measured %s from the chalk line, in steps of %s. The lengths count %s as it runs.", v.readout(), how, v.step(), way)
	}
	return fmt.Sprintf("%s counts %s as it runs, in steps of %s.", v.readout(), way, v.step())
}

// corrected says what the readout's correction did.
func (v Audit) corrected() string {
	c := v.Result.Sheet.Readout.Correction
	if c == nil {
		return ""
	}
	orders := "all its orders"
	if v.Result.Sheet.Readout.OffCentre > 0 {
		orders = "from its second order on (readout.off_centre stands for the first)"
	}
	text := fmt.Sprintf("The correction of %s (%s", Clean(c.Name), rounding.Count(c.Stations, "station", "stations"))
	if c.Date != "" {
		text += ", " + Clean(c.Date)
	}
	text += ") was taken off every reading, " + orders + "."
	var parts []string
	for _, m := range v.Result.ByLine() {
		if m.Offset != nil {
			parts = append(parts, fmt.Sprintf("%s %s", Quoted(m.Name), rounding.Later(m.Corrected, 3)))
		}
	}
	if len(parts) > 0 {
		text += " By that the lines come up: " + strings.Join(parts, ", ") + "."
	}
	return text
}

// step is the smallest step of the readout as it was written.
func (v Audit) step() string {
	if kind := v.Result.Sheet.Readout.Kind; kind == sheet.Rim || kind == sheet.Dial {
		return v.asWritten("readout.step", rounding.Plain(rounding.Trimmed(v.Result.Sheet.Readout.StepLength.Millimetres()))+" mm")
	}
	return v.asWritten("readout.step", rounding.Plain(v.Result.Sheet.Readout.Step.Degrees())+"°")
}

// StepDecimals is the number of decimals of an angle read in the readout's steps.
func (v Audit) StepDecimals() int {
	if v.Result.Sheet.Readout.Kind == sheet.Rim { // its step in degrees has no end of them
		return 1
	}
	if v.onDial() {
		return rounding.StepPlaces(geometry.Angle(v.Result.Sheet.Readout.StepLength))
	}
	return rounding.StepPlaces(v.Result.Sheet.Readout.Step)
}

// dial is a reading as the readout shows it, to a tenth of its step.
func (v Audit) dial(x float64) string {
	return v.Shows(geometry.Angle(x), v.StepDecimals()+1)
}

// Shows prints what the readout shows: 0 to 360, or with letters where readings
// were entered with them; of a dial, whose numbers are millimetres, a length.
func (v Audit) Shows(a geometry.Angle, n int) string {
	switch {
	case v.onDial():
		return v.Fine().Of(geometry.Length(a))
	case v.Result.Sheet.Readout.Kind == sheet.Rim:
		return v.onRim(a)
	case v.lettered:
		return a.Wrap().Crank(n)
	}
	return rounding.Round(a, n)
}

// otherStart is how a readout is brought to begin elsewhere, as an order.
func (v Audit) otherStart() string {
	switch v.Result.Sheet.Readout.Kind {
	case sheet.Dial:
		return "set the dial's zero elsewhere"
	case sheet.Rim:
		return "draw the chalk line in another place"
	case sheet.Encoder:
		return "zero the encoder in another place"
	}
	return "turn the degree wheel to another start"
}

// onRim is a reading of the rim in the unit that it was measured in.
func (v Audit) onRim(a geometry.Angle) string {
	part := v.Result.Sheet.Part
	rim := geometry.Rim{Diameter: part.Diameter}
	turned := a
	if part.HalfSpeed {
		turned /= 2
	}
	if v.Result.Sheet.Readout.Chord {
		return v.Fine().Of(rim.Chord(turned))
	}
	return v.Fine().Of(rim.Arc(turned))
}

// lettered reports whether any reading was entered with BTDC or ATDC.
func lettered(s sheet.Sheet) bool {
	is := func(r sheet.Reading) bool { return r.Lettered }
	for _, setup := range s.Setups {
		for _, t := range setup.Trials {
			if t.Forward != nil && t.Forward.Lettered || t.Backward != nil && t.Backward.Lettered {
				return true
			}
		}
		for _, m := range s.Marks {
			if slices.ContainsFunc(setup.Marks[m.Name], is) {
				return true
			}
		}
	}
	return false
}
