package diagnosis

import (
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Thresholds of a suspected entry. Common practice, no source.
const (
	decisive    = 4.0 // how much better one belief must fit than another
	suspectFrom = geometry.Angle(5)
	// A pulley with one wrong declaration may also have a wrong line: after the
	// declaration is put right every line must come within this, or within its
	// tolerance if that is more; after a mistake of 20° and more, within 5°.
	suspectSlack = geometry.Angle(2.5)
	noLine       = geometry.Angle(45) // further off than any slip or wrong line
)

// suspicions looks for one mistake on the sheet that would explain large offsets,
// and names every such mistake.
func suspicions(s sheet.Sheet, top tdc.Found, all []lines.Line) []warning.Suspicion {
	off, mirrored := lines.Senses(s, top, all)
	var at []geometry.Angle
	var read []lines.Line
	for _, l := range all {
		if l.Read() {
			read, at = append(read, l), append(at, l.Place)
		}
	}
	if len(read) == 0 {
		return nil
	}
	var worst geometry.Angle
	for _, d := range off {
		worst = max(worst, d.Abs())
	}
	before := lines.Apart(off)
	// explains reports whether every line belongs where it came up once the
	// offsets of some are replaced; or, on a part that has slipped as a whole,
	// whether the lines then agree.
	explains := func(replaced func(i int) geometry.Angle) bool {
		then, each := make([]geometry.Angle, len(read)), true
		for i, l := range read {
			slack := l.Tolerance
			if worst > suspectFrom {
				slack = max(slack, min(suspectFrom, max(suspectSlack, worst/decisive)))
			}
			then[i] = replaced(i)
			each = each && then[i].Abs() <= slack+geometry.Tie
		}
		return each || before > suspectFrom && lines.Apart(then) <= before/decisive+geometry.Tie
	}
	if explains(func(i int) geometry.Angle { return off[i] }) {
		return nil
	}
	var found []warning.Suspicion
	for i := range read {
		flipped := (2*read[i].At + off[i]).Wrap()
		if flipped != off[i] && explains(func(k int) geometry.Angle {
			if k == i {
				return flipped
			}
			return off[k]
		}) {
			found = append(found, warning.Suspicion{Mistake: warning.LettersSwapped, Lines: []string{read[i].Name}})
		}
		for j := range i {
			if explains(func(k int) geometry.Angle {
				switch k {
				case i:
					return (at[j] + off[j] - at[i]).Wrap()
				case j:
					return (at[i] + off[i] - at[j]).Wrap()
				}
				return off[k]
			}) {
				found = append(found, warning.Suspicion{Mistake: warning.NamesSwapped, Lines: []string{read[j].Name, read[i].Name}})
			}
		}
	}
	if len(read) > 1 && explains(func(k int) geometry.Angle { return (2*read[k].At + off[k]).Wrap() }) {
		found = append(found, warning.Suspicion{Mistake: warning.AllLettersSwapped})
	}
	if s.Readout.QuarterTurn == nil && explains(func(k int) geometry.Angle { return mirrored[k] }) {
		found = append(found, warning.Suspicion{Mistake: warning.CountsMirrored})
	}
	for _, turn := range []geometry.Angle{90, -90, 120, -120, 180} {
		if explains(func(k int) geometry.Angle { return (off[k] - turn).Wrap() }) {
			found = append(found, warning.Suspicion{Mistake: warning.OtherCylinder, Angle: turn.Abs()})
		}
	}
	if len(found) == 0 && worst > noLine {
		found = append(found, warning.Suspicion{Mistake: warning.NoLine, Angle: worst})
	}
	return found
}
