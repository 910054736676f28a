package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Findings is what was found beside the verdicts: what contradicts itself, what the
// lines say together, what the parts say of each other. They are no things to do.
func Findings(v Audit) []string {
	var out []string
	r := v.Result
	if !r.TDC.Any() {
		return nil
	}
	if r.Diagnosis.Refuted {
		out = append(out, contradiction(v))
	}
	if text := Together(v); text != "" {
		out = append(out, text)
	}
	for _, w := range r.Warnings {
		if w.Code == warning.DeclarationSuspect && !saidAsBest(v, w) {
			out = append(out, Sentence(Warning(v, w)))
		}
	}
	return out
}

// saidAsBest reports whether a suspicion is what explains the evidence best, so that it
// was said already.
func saidAsBest(v Audit, w warning.Warning) bool {
	best := v.Result.Diagnosis.Best()
	if !v.Result.Diagnosis.Refuted || len(w.Suspicions) != 1 {
		return false
	}
	code := map[warning.Mistake]diagnosis.Code{
		warning.LettersSwapped: diagnosis.Letters, warning.AllLettersSwapped: diagnosis.Letters, warning.NamesSwapped: diagnosis.Names,
		warning.CountsMirrored: diagnosis.Counts, warning.OtherCylinder: diagnosis.StopCylinder,
	}
	suspected := w.Suspicions[0]
	is, known := code[suspected.Mistake]
	return known && best.Code == is && (suspected.Mistake != warning.LettersSwapped || len(best.Lines) > 0)
}

// contradiction says which piece of evidence speaks against the lines as they were
// measured.
func contradiction(v Audit) string {
	d := v.Result.Diagnosis
	text := "The evidence contradicts the lines as measured"
	if piece := pieceOfEvidence(v, d.Measured.Worst); piece != "" {
		text += ": " + piece
	}
	text += ". No verdict is given, and nothing is to be scribed."
	if best := d.Best(); best.Code != diagnosis.AsMeasured {
		text += " What explains it best: " + mayHaveHappened(v, best) + "."
	}
	return text
}

// pieceOfEvidence says one piece of evidence.
func pieceOfEvidence(v Audit, i diagnosis.Item) string {
	r := v.Result
	setup := ""
	if i.Mounting >= 0 && i.Mounting < len(r.TDC.Mountings) && len(r.TDC.Mountings) > 1 {
		setup = " in " + mountingName(v, i.Mounting)
	}
	switch i.Kind {
	case diagnosis.ItemPair:
		for _, s := range r.TDC.Setups {
			if h := s.Height; h != nil && h.Closing != nil && (i.Mounting < 0 || slices.Contains(r.TDC.Mountings[i.Mounting].Setups, s.Index)) {
				return "after the lines the dial stood " + v.Fine().Of(h.Closing.Abs()) + " from where it had stood at the top" + setup
			}
			if s.Closing != nil && (i.Mounting < 0 || slices.Contains(r.TDC.Mountings[i.Mounting].Setups, s.Index)) {
				return "the closing pair puts TDC " + rounding.Degrees(s.Closing.Abs(), rounding.Unsure) + " from where the contacts had it" + setup
			}
		}
		if _, without := byIndicator(v); without {
			return "found twice in one mounting, TDC is not in one place" + setup
		}
		return "two sets of contacts in one mounting do not put TDC in one place" + setup
	case diagnosis.ItemSetup:
		return "the setups disagree" + setup
	case diagnosis.ItemLine:
		return lineName(v, i.Line) + " comes up in different places in different setups, and the other lines agree better"
	case diagnosis.ItemDistance:
		for _, s := range r.Checks.Spacings {
			if s.Differs {
				return "the distance from " + Quoted(s.From) + " to " + Quoted(s.To) + " is not what the readings make of it"
			}
		}
		return "a distance measured on the part is not what the readings make of it"
	case diagnosis.ItemOrder:
		return lineName(v, i.Line) + " and " + lineName(v, i.Index) + " come up in the wrong order"
	case diagnosis.ItemOdd:
		return oddReading(v) + " stands out far from the others" + setup
	case diagnosis.ItemCreep:
		return "the middles of the contacts creep from pair to pair" + setup
	}
	return ""
}

func lineName(v Audit, i int) string {
	if i < 0 || i >= len(v.Result.Lines) {
		return "a line"
	}
	return Quoted(v.Result.Lines[i].Name)
}

func lineNames(v Audit, all []int) string {
	names := make([]string, len(all))
	for i, j := range all {
		names[i] = lineName(v, j)
	}
	return strings.Join(names, ", ")
}

// mountingName names a mounting by its setups.
func mountingName(v Audit, i int) string {
	m := v.Result.TDC.Mountings[i]
	var names []string
	for _, s := range m.Setups {
		names = append(names, Clean(v.Result.Sheet.Setups[s].Name))
	}
	if len(names) == 1 {
		return "setup " + names[0]
	}
	return "setups " + strings.Join(names, " and ")
}

// mayHaveHappened says what may have happened, by an explanation that stands: one clause without
// a full stop.
func mayHaveHappened(v Audit, e diagnosis.Explanation) string {
	r := v.Result
	by := rounding.Degrees(e.Shift.Abs(), rounding.Unsure)
	between := "the contacts and the lines"
	if way, without := byIndicator(v); without {
		between = "the " + way + " and the lines"
	}
	if v.onDial() {
		by, between = v.Fine().Of(geometry.Length(e.Shift.Abs().Degrees())*lines.DialSlope), "the top and the lines"
	}
	of := lineNames(v, e.Lines)
	in := ""
	if len(e.Mountings) > 0 && len(r.TDC.Mountings) > 1 {
		names := make([]string, len(e.Mountings))
		for i, m := range e.Mountings {
			names[i] = mountingName(v, m)
		}
		in = " in " + strings.Join(names, " and ")
	}
	switch e.Code {
	case diagnosis.ReadoutMoved:
		if len(e.Lines) > 0 {
			return "the readout may have moved by " + by + " before " + of + " was read" + in
		}
		return "the readout may have moved by " + by + " between " + between + in + thenFine(v, e)
	case diagnosis.ReadoutMovedAfter:
		return "the readout may have moved by " + by + " after the lines were read" + in
	case diagnosis.MovedBetween:
		if way, without := byIndicator(v); without {
			return "the " + way + ", taken twice, put TDC " + by + " apart: the readout may have moved in between" + in
		}
		return "two sets of contacts put TDC " + by + " apart: the readout may have moved between them" + in
	case diagnosis.ReadoutCreeps:
		return "the readout may creep while the contacts are taken" + in
	case diagnosis.ReadingSlipped:
		return oddReading(v) + " may be a slip"
	case diagnosis.Letters:
		if len(e.Lines) == 0 {
			return "BTDC may have been written for ATDC, or the other way round, on every line"
		}
		return withEitherLetters(v, e)
	case diagnosis.Names:
		return "the readings of " + strings.Replace(of, ", ", " and ", 1) + " may have been exchanged (exchanged, they fit)"
	case diagnosis.Counts:
		return "the readout may count the other way round"
	case diagnosis.Decade:
		return of + " may have been misread by " + by + " every time"
	case diagnosis.Revolution:
		return "a turn of the hand may have been missed, or counted once too often, at " + of + ": it would then be " + rounding.OffBy(e.Offset[e.Lines[0]], rounding.Unsure)
	case diagnosis.StopCylinder:
		return "the stop may have sat in another cylinder, " + by + " away" + in
	case diagnosis.MarkCylinder:
		return of + " may belong to another cylinder"
	case diagnosis.BankAngle:
		return "the angle of a cylinder that was not found may not be what the sheet says; its lines would then be shifted by " + by
	case diagnosis.BankAngleDiffers:
		return "the angle between the cylinders is not what the sheet says"
	case diagnosis.Kind:
		return otherKind(v, of)
	case diagnosis.Copied:
		return "one setup is a copy of another"
	case diagnosis.Unnamed:
		if len(e.Lines) > 0 {
			return of + " is so far off that a mistake is likelier than a line scribed there"
		}
		return "the lines are off so far that a mistake is likelier than worn or wrong metal"
	}
	return "the lines are as measured"
}

func otherKind(v Audit, of string) string {
	what := "a value on the sheet"
	if of != "" {
		what = "the place of " + of
	}
	return what + " may be of another kind than was written: millimetres round the rim for millimetres of the piston, throw for piston, chord for tape, or the side of an offset"
}

// withEitherLetters says what a line would be with either letters.
func withEitherLetters(v Audit, e diagnosis.Explanation) string {
	var parts []string
	for _, j := range e.Lines {
		l := v.Result.Lines[j]
		if l.Offset == nil {
			continue
		}
		then := e.Offset[j]
		parts = append(parts, fmt.Sprintf("as %s, %s would be %s; as %s it would be %s", l.AtText, Quoted(l.Name),
			rounding.OffBy(l.Offset.Value, rounding.Unsure), otherLetters(l.Mark), rounding.OffBy(then, rounding.Unsure)))
	}
	return strings.Join(parts, "; ")
}

// thenFine follows an explanation under which every line is where it belongs.
func thenFine(v Audit, e diagnosis.Explanation) string {
	for j, l := range v.Result.Lines {
		if l.Offset == nil {
			continue
		}
		early, late := l.Allowed()
		if d := e.Offset[j]; d > late || d < -early {
			return ""
		}
	}
	return ": every line would then be within its tolerance"
}

// otherLetters is where a line would belong with BTDC for ATDC.
func otherLetters(m sheet.Mark) string {
	if m.At < 0 {
		return strings.Replace(m.AtText, "BTDC", "ATDC", 1)
	}
	return strings.Replace(m.AtText, "ATDC", "BTDC", 1)
}
