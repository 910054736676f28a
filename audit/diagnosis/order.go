package diagnosis

import (
	"slices"

	"markaudit/audit/internal/enum"
	"markaudit/audit/internal/stats"
	"markaudit/audit/lines"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Withheld is why an instruction is not given.
type Withheld uint8

// The reasons for withholding an instruction.
const (
	NotWithheld        Withheld = iota
	WithheldSuspect             // one mistake on the sheet would explain the offsets
	WithheldMoved               // a closing pair says that the readout moved
	WithheldSetups              // two setups disagree
	WithheldDwell               // the stop sat in the dwell, and rock is not included
	WithheldLostMotion          // lost motion was seen and the line read from one side
	WithheldCommon              // all lines, or all others, are off alike
	WithheldRing                // the outer ring slipped: it is replaced, not re-marked
	WithheldRingUntold          // lines on a bonded ring are off alike, and nothing tells whether it slipped
	WithheldGroup               // the lines on this part are off alike, those on another are not
)

// order says of each line, and of the pointer, why nothing is to be moved.
func (e evidence) order(d *Diagnosis, suspect bool) {
	d.Act = e.shiftMatters(*d)
	all := e.withheld(suspect)
	for i, l := range e.lines {
		withheld := all
		switch {
		case withheld != NotWithheld:
		case e.spoiltByLostMotion(l):
			withheld = WithheldLostMotion
		case e.groupShifted(*d, l.On) != NotWithheld:
			withheld = e.groupShifted(*d, l.On)
		case d.Act && slices.Contains(d.Together.Lines, l.Name):
			withheld = WithheldCommon
		}
		d.Decisions[i].Withheld = withheld
	}
	d.Pointer.Withheld = all
	if all == NotWithheld && e.sheet.Part.BondedRing && d.Slip == Untold {
		d.Pointer.Withheld = WithheldRingUntold
	}
	if e.outside(*d, d.Together) {
		d.Pointer.Verdict = uncertainty.Outside
	}
}

// withheld is why no instruction at all is given.
func (e evidence) withheld(suspect bool) Withheld {
	dwell := slices.ContainsFunc(e.top.Setups, tdc.Setup.InDwell)
	switch {
	case e.checks.Moved:
		return WithheldMoved
	case suspect:
		return WithheldSuspect
	case e.checks.SetupsDiffer:
		return WithheldSetups
	case dwell && slices.Contains(lines.NotIncluded(e.sheet, e.top, e.lines), warning.RockMissing):
		return WithheldDwell
	}
	return NotWithheld
}

// groupShifted is why no line of a group gets a new line of its own: the part
// that it belongs to has moved against another.
func (e evidence) groupShifted(d Diagnosis, on string) Withheld {
	g := d.group(on)
	switch {
	case g == nil || d.Slip != RingSlipped && d.Slip != Apart:
		return NotWithheld
	case d.Slip == RingSlipped && on == onRing:
		return WithheldRing
	case g.Finding == lines.Common && !g.Small && e.outside(d, g.Shift):
		return WithheldGroup
	}
	return NotWithheld
}

// spoiltByLostMotion reports whether lost motion that lines read from both
// sides show, beyond what the sheet states, moves this line by more than a
// quarter of its tolerance.
func (e evidence) spoiltByLostMotion(l lines.Line) bool {
	if !l.Read() {
		return false
	}
	moves := geometry.Angle(l.Lost) * e.checks.LostMotion
	return moves.Abs() > l.Tolerance/4+geometry.Tie
}

// shiftMatters reports whether the lines are off together so far that what
// shifts them comes before any line: all alike; all others alike, and outside;
// or each in its own way but all the same way by far more than they differ, as
// on a ring that has slipped and runs out of true.
func (e evidence) shiftMatters(d Diagnosis) bool {
	shift := d.Together
	switch {
	case shift.Small || d.Slip == RingSlipped || d.Slip == Apart: // no one move puts them right
		return false
	case shift.Finding == lines.Common:
		return true
	case shift.Finding == lines.SingleMark:
		return shift.Shifted && e.outside(d, shift)
	case shift.Finding == lines.Individual && len(shift.Lines) > 1:
		var offsets []geometry.Angle
		for _, l := range e.lines {
			if slices.Contains(shift.Lines, l.Name) {
				offsets = append(offsets, l.Offset.Value)
			}
		}
		lo, hi := stats.Extremes(offsets)
		return min(lo.Abs(), hi.Abs()) > max(suspectFrom, 2*(hi-lo)) && e.outside(d, shift)
	}
	return false
}

// outside reports whether any line that a shift speaks of is outside: as a line is
// not moved while it may be within its tolerance, so the pointer is not while every
// line may be.
func (e evidence) outside(d Diagnosis, shift lines.Shift) bool {
	for i, l := range e.lines {
		if d.Decisions[i].Verdict == uncertainty.Outside && slices.Contains(shift.Lines, l.Name) && !slices.Contains(shift.StandsOut, l.Name) {
			return true
		}
	}
	return false
}

var withheldWords = []string{"not withheld", "suspect entry", "readout moved", "setups differ", "stop in the dwell", "lost motion", "common shift", "ring slipped", "ring untold", "group shifted"}

func (w Withheld) String() string { return enum.Word(withheldWords, w) }

// MarshalText writes the word.
func (w Withheld) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (w *Withheld) UnmarshalText(text []byte) error { return enum.From(w, withheldWords, text) }
