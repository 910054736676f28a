package audit

import (
	"markaudit/audit/diagnosis"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// contradictions are the warnings that the diagnosis raises: where evidence
// contradicts the lines as measured, and which mistakes would explain it.
func contradictions(top tdc.Found, placed []lines.Line, told diagnosis.Diagnosis) (out []warning.Warning) {
	if !told.Refuted {
		return nil
	}
	if told.ReadoutMoved() {
		for _, s := range top.Setups {
			if h := s.Height; h != nil && h.Closing != nil && worse(told, inDegrees(*h.Closing)) {
				out = append(out, warning.Warning{Code: warning.ReadoutMoved, Setup: s.Name, Values: []float64{h.Closing.Millimetres()}})
			}
			if s.Closing != nil && worse(told, *s.Closing) {
				out = append(out, warning.Warning{Code: warning.ReadoutMoved, Setup: s.Name, Values: []float64{s.Closing.Degrees()}})
			}
		}
	}
	if told.SetupsDiffer() {
		out = append(out, warning.Warning{Code: warning.SetupsDiffer, Values: []float64{setupsApart(placed, told.Measured.Worst).Degrees()}})
	}
	if found := suspicions(placed, told); len(found) > 0 {
		out = append(out, warning.Warning{Code: warning.DeclarationSuspect, Suspicions: found})
	}
	return out
}

// copies are the setups that were written down twice, as it seems.
func copies(s sheet.Sheet) (out []warning.Warning) {
	for _, i := range s.Copied() {
		out = append(out, warning.Warning{Code: warning.SetupCopied, Setup: s.Setups[i].Name})
	}
	return out
}

// worse reports whether a closing difference is one that matters: beyond a quarter
// of what the best explanation makes of the readout's move.
func worse(told diagnosis.Diagnosis, closing geometry.Angle) bool {
	return closing.Abs() > max(told.Best().Shift.Abs()/4, leastMove)
}

// leastMove is a move of the readout below which nobody speaks of one. Common
// practice, no source.
const leastMove = geometry.Angle(0.15)

// setupsApart is how far the mountings disagree: of the line that contradicts
// itself most, or of all lines together.
func setupsApart(placed []lines.Line, worst diagnosis.Item) geometry.Angle {
	var apart geometry.Angle
	for j, l := range placed {
		if len(l.Seen) < 2 || worst.Kind == diagnosis.ItemLine && j != worst.Line {
			continue
		}
		offsets := l.Offsets()
		if d := offsets[len(offsets)-1] - offsets[0]; d.Abs() > apart.Abs() {
			apart = d
		}
	}
	return apart
}

// suspicions are the mistakes of the pen that stand.
func suspicions(placed []lines.Line, told diagnosis.Diagnosis) (out []warning.Suspicion) {
	for _, e := range told.Standing {
		var s warning.Suspicion
		for _, j := range e.Lines {
			s.Lines = append(s.Lines, placed[j].Name)
		}
		switch e.Code {
		case diagnosis.Letters:
			s.Mistake = warning.LettersSwapped
			if len(e.Lines) == 0 {
				s.Mistake = warning.AllLettersSwapped
			}
		case diagnosis.Names:
			s.Mistake = warning.NamesSwapped
		case diagnosis.Counts:
			s.Mistake = warning.CountsMirrored
		case diagnosis.StopCylinder:
			s.Mistake, s.Angle = warning.OtherCylinder, e.Shift.Abs()
		case diagnosis.Decade, diagnosis.Revolution, diagnosis.MarkCylinder, diagnosis.BankAngle, diagnosis.Kind, diagnosis.Unnamed:
			s.Mistake, s.Angle = warning.NoLine, worstOffset(placed)
		default:
			continue
		}
		out = append(out, s)
	}
	return out
}

func worstOffset(placed []lines.Line) geometry.Angle {
	var worst geometry.Angle
	for _, l := range placed {
		if l.Offset != nil {
			worst = max(worst, l.Offset.Value.Abs())
		}
	}
	return worst
}
