package audit

import (
	"slices"

	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Along is a direction with or against the way the engine runs.
type Along uint8

// The directions along the rim.
const (
	NoWay Along = iota
	Running
	Against
)

func (a Along) String() string { return [...]string{"none", "running", "against"}[a] }

func (a Along) opposite() Along {
	switch a {
	case Running:
		return Against
	case Against:
		return Running
	}
	return NoWay
}

// Move is what an instruction moves.
type Move uint8

// MoveLine: a line on the part that turns. MoveScale: a line of the fixed scale.
// MovePointer: the engine's pointer or tab.
const (
	MoveLine Move = iota
	MoveScale
	MovePointer
)

func (m Move) String() string { return [...]string{"line", "scale", "pointer"}[m] }

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

// Scribe says where the line belongs, seen from where it is.
type Scribe struct {
	Move       Move
	Along      Along // NoWay: withheld, undetermined or not off at all
	Rotation   geometry.Rotation
	Angle      geometry.Angle // unsigned
	Arc, Chord geometry.Length
	HasLengths bool           // a diameter is stated
	Then       geometry.Angle // expanded uncertainty of the new line, placement included
	Teeth      float64
	HasTeeth   bool
	Worthwhile bool
	Withheld   Withheld
}

// direction is the way to move for a line that comes up late; against it for an
// early one. A line on the part that turns goes further on in the running
// direction, so that it passes the pointer sooner; what is fixed to the engine,
// pointer or scale, goes to meet it.
func direction(move Move) Along {
	if move == MoveLine {
		return Running
	}
	return Against
}

// instruct turns an offset into an instruction along the rim.
func (a *analysis) instruct(move Move, e *Estimate, withheld Withheld) Scribe {
	s := Scribe{Move: move, Withheld: withheld}
	if e == nil || e.Value.Abs() <= tie || withheld != NotWithheld {
		return s
	}
	s.Along = direction(move)
	if e.Value < 0 {
		s.Along = s.Along.opposite()
	}
	s.Rotation = a.sheet.Engine.Turns
	if s.Along == Against {
		s.Rotation = s.Rotation.Opposite()
	}
	s.Angle = e.Value.Abs()
	part := a.sheet.Part
	if part.Teeth > 0 {
		s.Teeth, s.HasTeeth = geometry.Teeth(a.onPart(s.Angle), part.Teeth), true
	}
	if part.Diameter == 0 {
		return s
	}
	rim := geometry.Rim{Diameter: part.Diameter}
	s.Arc, s.Chord, s.HasLengths = rim.Arc(a.onPart(s.Angle)), rim.Chord(a.onPart(s.Angle)), true
	if e.Known {
		s.Then = a.placed(e)
	}
	return s
}

// placed is how well the new line would be known: the measurement's rows and
// the limit for placing a line.
func (a *analysis) placed(e *Estimate) geometry.Angle {
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	limit := geometry.Limit[geometry.Angle]{Half: a.ofCrank(rim.AngleFromArc(a.sheet.Limits.Placement))}
	rows := append(uncertainty.Budget{limitRow("placing the new line", limit, 1)}, e.Budget...)
	if l := a.diameterLimit(e.Value); l.Half > 0 { // it scales the distance that is laid off
		rows = append(rows, limitRow("diameter", l, 1))
	}
	return geometry.Angle(uncertainty.NewSum(rows.Terms()).HalfWidth(a.sheet.Limits.Confidence))
}

// scribeLines gives each line its instruction, and the pointer or the turning
// line its own where the lines are off together.
func (a *analysis) scribeLines() {
	shift := &a.result.Shift
	shift.Act = a.shiftMatters()
	move := MoveLine
	if a.sheet.Part.MarksOn == sheet.OnEngine {
		move = MoveScale
	}
	for i := range a.result.Marks {
		m := &a.result.Marks[i]
		withheld := a.withheld()
		switch {
		case withheld != NotWithheld:
		case a.spoiltByLostMotion(&a.lines[i]):
			withheld = WithheldLostMotion
		case a.groupShifted(m.On) != NotWithheld:
			withheld = a.groupShifted(m.On)
		case shift.Act && slices.Contains(shift.Lines, m.Name):
			withheld = WithheldCommon
		}
		m.Scribe = a.instruct(move, m.Offset, withheld)
		m.Forced = m.Scribe
		if withheld != NotWithheld {
			m.Forced = a.instruct(move, m.Offset, NotWithheld)
		}
		m.Scribe.Worthwhile = m.Verdict == uncertainty.Outside && m.Scribe.Along != NoWay && m.Scribe.better(m.Offset)
	}
	if !shift.Act || shift.Finding == Individual { // not alike: no one move puts them right
		return
	}
	move = MovePointer
	if a.sheet.Part.MarksOn == sheet.OnEngine {
		move = MoveLine
	}
	withheld := a.withheld()
	if withheld == NotWithheld && a.sheet.Part.BondedRing && a.result.Slip == Untold {
		withheld = WithheldRingUntold
	}
	shift.Scribe = a.instruct(move, shift.Common, withheld)
	shift.Scribe.Worthwhile = a.outside(shift) && shift.Scribe.Along != NoWay && shift.Scribe.better(shift.Common)
}

// withheld is why no instruction at all is given.
func (a *analysis) withheld() Withheld {
	dwell := slices.ContainsFunc(a.result.Warnings, func(w Warning) bool { return w.Code == StopInDwell })
	switch {
	case a.result.Moved:
		return WithheldMoved
	case a.suspect:
		return WithheldSuspect
	case a.result.Differ:
		return WithheldSetups
	case dwell && slices.Contains(a.notIncluded(), RockMissing):
		return WithheldDwell
	}
	return NotWithheld
}

// groupShifted is why no line of a group gets a new line of its own: the part
// that it belongs to has moved against another.
func (a *analysis) groupShifted(on string) Withheld {
	r := &a.result
	g := r.group(on)
	switch {
	case g == nil || r.Slip != RingSlipped && r.Slip != Apart:
		return NotWithheld
	case r.Slip == RingSlipped && on == onRing:
		return WithheldRing
	case g.Finding == Common && !g.Small && a.outside(&g.Shift):
		return WithheldGroup
	}
	return NotWithheld
}

// spoiltByLostMotion reports whether lost motion that lines read from both
// sides show, beyond what the sheet states, moves this line by more than a
// quarter of its tolerance.
func (a *analysis) spoiltByLostMotion(l *line) bool {
	if len(l.seen) == 0 {
		return false
	}
	moves := geometry.Angle(l.reach().lost) * a.lostMotion
	return moves.Abs() > l.mark.Tolerance/4+tie
}

// shiftMatters reports whether the lines are off together so far that what
// shifts them comes before any line: all alike; all others alike, and outside;
// or each in its own way but all the same way by far more than they differ, as
// on a ring that has slipped and runs out of true.
func (a *analysis) shiftMatters() bool {
	shift := &a.result.Shift
	switch {
	case shift.Small || a.result.Slip == RingSlipped || a.result.Slip == Apart: // no one move puts them right
		return false
	case shift.Finding == Common:
		return true
	case shift.Finding == SingleMark:
		return shift.Shifted && a.outside(shift)
	case shift.Finding == Individual && len(shift.Lines) > 1:
		var offsets []geometry.Angle
		for _, m := range a.result.Marks {
			if slices.Contains(shift.Lines, m.Name) {
				offsets = append(offsets, m.Offset.Value)
			}
		}
		lo, hi := extremes(offsets)
		return min(lo.Abs(), hi.Abs()) > max(suspectFrom, 2*(hi-lo)) && a.outside(shift)
	}
	return false
}

// outside reports whether any line that the shift speaks of is outside: as a
// line is not moved while it may be within its tolerance, so the pointer is not
// while every line may be.
func (a *analysis) outside(shift *Shift) bool {
	return slices.ContainsFunc(a.result.Marks, func(m Mark) bool {
		return m.Verdict == uncertainty.Outside && slices.Contains(shift.Lines, m.Name) && !slices.Contains(shift.StandsOut, m.Name)
	})
}

// better reports whether the doubt about a new line would be smaller than what
// the old one is off. Without a diameter the placement cannot be said in
// degrees: then the measurement alone must be better.
func (s Scribe) better(e *Estimate) bool {
	then := s.Then
	if !s.HasLengths {
		then = e.Expanded
	}
	return e.Known && then < e.Value.Abs()
}
