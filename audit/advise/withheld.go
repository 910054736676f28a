package advise

import (
	"slices"

	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Withheld is why an instruction is not given.
type Withheld uint8

// The reasons for withholding an instruction. Suspect: an entry on the sheet may be
// wrong. Moved: the readout moved, or TDC was found twice and differs. Unproven:
// nothing shows that the readout has not moved. Setups: setups contradict each
// other. Reading: a reading stands out. Distances: distances measured on the part
// contradict the readings. Dwell: the stop sat in the dwell, and rock is not
// included. LostMotion: lost motion was seen, and the line was read from one side.
// Common: the lines are off alike, and one move puts them right. Group: the lines on
// this part are off alike, those on another are not. Ring: the outer
// ring has slipped; it is replaced, not re-marked. RingUntold: it may have. Hub: a
// line on the hub is never scribed anew. EyeCheck: the metal was found to be other
// than the sheet has it.
const (
	NotWithheld Withheld = iota
	WithheldSuspect
	WithheldMoved
	WithheldUnproven
	WithheldSetups
	WithheldReading
	WithheldDistances
	WithheldDwell
	WithheldLostMotion
	WithheldCommon
	WithheldGroup
	WithheldRing
	WithheldRingUntold
	WithheldHub
	WithheldEyeCheck
)

var withheldWords = []string{
	"not withheld", "suspect entry", "readout moved", "readout not proven", "setups differ", "reading stands out", "distances differ",
	"stop in the dwell", "lost motion", "common shift", "group shifted", "ring slipped", "ring untold", "line on the hub", "eye check failed",
}

func (w Withheld) String() string { return enum.Word(withheldWords, w) }

// MarshalText writes the word.
func (w Withheld) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (w *Withheld) UnmarshalText(text []byte) error { return enum.From(w, withheldWords, text) }

// why is why a decision is no instruction.
func why(s sheet.Sheet, told diagnosis.Diagnosis, c diagnosis.Decision, l *lines.Line) Withheld {
	ringHeld := l != nil && s.Part.BondedRing && l.On == lines.OnRing
	switch {
	case s.EyeCheckFailed():
		return WithheldEyeCheck
	case c.Scribe:
		return NotWithheld
	case told.Refuted:
		return contradicted(told)
	case ringHeld && told.Ring == diagnosis.RingSlipped:
		return WithheldRing
	case len(c.Against) > 0:
		return rival(told, told.Standing[c.Against[0]])
	case l != nil && l.On == lines.OnHub && c.IfRight == diagnosis.Outside:
		return WithheldHub
	case ringHeld && told.Ring == diagnosis.RingMay, c.Held && s.Part.BondedRing:
		return WithheldRingUntold
	case l != nil && slices.Contains(told.Sharing, c.Line) && told.Story.Kind == diagnosis.PartAlike:
		return WithheldGroup
	case l != nil && slices.Contains(told.Sharing, c.Line) && told.Story.Kind == diagnosis.AllAlike:
		return WithheldCommon
	}
	return NotWithheld
}

// contradicted is what speaks against the lines as measured.
func contradicted(told diagnosis.Diagnosis) Withheld {
	best := told.Best()
	switch {
	case told.SetupsDiffer() && (best.Code == diagnosis.AsMeasured || best.Code == diagnosis.ReadoutMoved):
		return WithheldSetups
	case best.Code != diagnosis.AsMeasured:
		return rival(told, best)
	}
	switch told.Measured.Worst.Kind {
	case diagnosis.ItemPair, diagnosis.ItemCreep:
		return WithheldMoved
	case diagnosis.ItemDistance:
		return WithheldDistances
	case diagnosis.ItemOdd:
		return WithheldReading
	}
	return WithheldSuspect
}

// rival is the reason that another explanation gives.
func rival(told diagnosis.Diagnosis, e diagnosis.Explanation) Withheld {
	switch e.Code {
	case diagnosis.ReadoutMoved, diagnosis.ReadoutMovedAfter, diagnosis.MovedBetween, diagnosis.ReadoutCreeps:
		if told.Refuted || e.Code == diagnosis.ReadoutCreeps {
			return WithheldMoved
		}
		return WithheldUnproven
	case diagnosis.ReadingSlipped:
		return WithheldReading
	}
	return WithheldSuspect
}

// doubted is why an instruction that the diagnosis gives is not given all the same:
// a doubt of which nobody knows the size would be in the new line.
func doubted(s sheet.Sheet, top tdc.Found, placed []lines.Line, checks crosscheck.Checks, l *lines.Line) Withheld {
	dwell := slices.ContainsFunc(top.Setups, tdc.Setup.InDwell)
	if dwell && slices.Contains(lines.NotIncluded(s, top, placed), warning.RockMissing) {
		return WithheldDwell
	}
	if l != nil && l.Read() {
		// Lost motion that lines read from both sides show, beyond what the sheet
		// states, moves this line by more than a quarter of its tolerance.
		moves := geometry.Angle(l.Lost) * checks.LostMotion
		if moves.Abs() > l.Tolerance/4+geometry.Tie {
			return WithheldLostMotion
		}
	}
	return NotWithheld
}
