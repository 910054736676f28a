package audit

import (
	"math"
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
	NotWithheld Withheld = iota
	WithheldSuspect
	WithheldMoved
	WithheldCommon
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
		s.Teeth, s.HasTeeth = geometry.Teeth(s.Angle, part.Teeth), true
	}
	if part.Diameter == 0 {
		return s
	}
	rim := geometry.Rim{Diameter: part.Diameter}
	s.Arc, s.Chord, s.HasLengths = rim.Arc(s.Angle), rim.Chord(s.Angle), true
	if e.Known {
		s.Then = a.placed(e)
	}
	return s
}

// placed is how well the new line would be known: the measurement's rows and
// the limit for placing a line.
func (a *analysis) placed(e *Estimate) geometry.Angle {
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	limit := geometry.Limit[geometry.Angle]{Half: rim.AngleFromArc(a.sheet.Limits.Placement)}
	rows := append(uncertainty.Budget{limitRow("placing the new line", limit, 1)}, e.Budget...)
	return geometry.Angle(uncertainty.NewSum(rows.Terms()).HalfWidth(a.sheet.Limits.Confidence))
}

// scribeLines gives each line its instruction, and the pointer or the turning
// line its own where all are off alike.
func (a *analysis) scribeLines() {
	shift := &a.result.Shift
	common := shift.Finding == Common && !shift.Small
	move := MoveLine
	if a.sheet.Part.MarksOn == sheet.OnEngine {
		move = MoveScale
	}
	for i := range a.result.Marks {
		m := &a.result.Marks[i]
		withheld := NotWithheld
		switch {
		case a.moved:
			withheld = WithheldMoved
		case a.suspect:
			withheld = WithheldSuspect
		case common:
			withheld = WithheldCommon
		}
		m.Scribe = a.instruct(move, m.Offset, withheld)
		m.Scribe.Worthwhile = m.Verdict == uncertainty.Outside && m.Scribe.Along != NoWay && m.Scribe.better(m.Offset)
	}
	if !common {
		return
	}
	move = MovePointer
	if a.sheet.Part.MarksOn == sheet.OnEngine {
		move = MoveLine
	}
	withheld := NotWithheld
	switch {
	case a.moved:
		withheld = WithheldMoved
	case a.suspect:
		withheld = WithheldSuspect
	}
	shift.Scribe = a.instruct(move, shift.Common, withheld)
	// As a line is not moved while it may be within its tolerance, so the
	// pointer is not while every line may be.
	outside := slices.ContainsFunc(a.result.Marks, func(m Mark) bool { return m.Verdict == uncertainty.Outside })
	shift.Scribe.Worthwhile = outside && shift.Scribe.Along != NoWay && shift.Scribe.better(shift.Common)
}

// better reports whether a new line would be better known than the old one is
// wrong. Without a diameter the placement cannot be said in degrees: then the
// measurement alone must be better.
func (s Scribe) better(e *Estimate) bool {
	then := s.Then
	if !s.HasLengths {
		then = e.Expanded
	}
	return e.Known && then < e.Value.Abs()
}

// measureDistances lists what dividers should find between neighbouring lines,
// now and once the worthwhile instructions are carried out.
func (a *analysis) measureDistances() {
	if a.sheet.Part.Diameter == 0 || a.result.TDC == nil {
		return
	}
	rim := geometry.Rim{Diameter: a.sheet.Part.Diameter}
	after := map[string]geometry.Angle{} // only looked up
	for _, m := range a.result.Marks {
		if m.Offset == nil {
			continue
		}
		after[m.Name] = m.ComesUpAt
		if m.Scribe.Worthwhile {
			after[m.Name] = m.At
		}
	}
	chord := func(gap geometry.Angle) geometry.Length {
		return geometry.Length(math.Abs(rim.Chord(gap.Wrap()).Millimetres()))
	}
	a.neighbours(func(first, second *line) {
		a.result.Distances = append(a.result.Distances, Distance{
			From: first.mark.Name, To: second.mark.Name,
			Now:   chord(second.mark.At + second.offset() - first.mark.At - first.offset()),
			After: chord(after[second.mark.Name] - after[first.mark.Name]),
		})
	})
}
