package advise

import (
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
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

// Scribe says where the line belongs, seen from where it is.
type Scribe struct {
	Move       Move
	Along      Along // NoWay: withheld, undetermined or not off at all
	Rotation   geometry.Rotation
	Angle      geometry.Angle // unsigned
	Arc, Chord geometry.Length
	ArcU       geometry.Length // expanded uncertainty of Arc; zero where it is not known
	HasLengths bool            // a diameter is stated
	Then       geometry.Angle  // expanded uncertainty of the new line, placement included
	Teeth      float64
	HasTeeth   bool
	Worthwhile bool
	Withheld   diagnosis.Withheld
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

// instruct turns an offset, of which along is the way along the rim, into an
// instruction.
func instruct(in sheet.Sheet, move Move, e *uncertainty.Estimate, along lines.OnRim, withheld diagnosis.Withheld) Scribe {
	s := Scribe{Move: move, Withheld: withheld}
	if e == nil || e.Value.Abs() <= geometry.Tie || withheld != diagnosis.NotWithheld {
		return s
	}
	s.Along = direction(move)
	if e.Value < 0 {
		s.Along = s.Along.opposite()
	}
	s.Rotation = in.Engine.Turns
	if s.Along == Against {
		s.Rotation = s.Rotation.Opposite()
	}
	s.Angle = e.Value.Abs()
	part := in.Part
	if part.Teeth > 0 {
		s.Teeth, s.HasTeeth = geometry.Teeth(part.Turned(s.Angle), part.Teeth), true
	}
	if part.Diameter == 0 {
		return s
	}
	rim := geometry.Rim{Diameter: part.Diameter}
	s.Arc, s.Chord, s.HasLengths = rim.Arc(part.Turned(s.Angle)), rim.Chord(part.Turned(s.Angle)), true
	if e.Known {
		s.Then, s.ArcU = placed(in, *e), along.ArcU
	}
	return s
}

// placed is how well the new line would be known: the measurement's rows and
// the limit for placing a line.
func placed(s sheet.Sheet, e uncertainty.Estimate) geometry.Angle {
	rim := geometry.Rim{Diameter: s.Part.Diameter}
	limit := geometry.Limit[geometry.Angle]{Half: s.Part.OfCrank(rim.AngleFromArc(s.Limits.Placement))}
	rows := append(uncertainty.Budget{uncertainty.LimitRow(uncertainty.Placement, limit)}, e.Budget...)
	if l := lines.DiameterLimit(s, e.Value); l.Half > 0 { // it scales the distance that is laid off
		rows = append(rows, uncertainty.LimitRow(uncertainty.Diameter, l))
	}
	return geometry.Angle(uncertainty.NewSum(rows.Terms()).HalfWidth(s.Limits.Confidence))
}

// better reports whether the doubt about a new line would be smaller than what
// the old one is off. Without a diameter the placement cannot be said in
// degrees: then the measurement alone must be better.
func (s Scribe) better(e *uncertainty.Estimate) bool {
	then := s.Then
	if !s.HasLengths {
		then = e.Expanded
	}
	return e.Known && then < e.Value.Abs()
}

// scribe gives each line its instruction, and the pointer or the turning line its
// own where the lines are off together.
func (a *Advice) scribe(s sheet.Sheet, placed []lines.Line, told diagnosis.Diagnosis) {
	move := MoveLine
	if s.Part.MarksOn == sheet.OnEngine {
		move = MoveScale
	}
	for i, l := range placed {
		decision := told.Decisions[i]
		given := instruct(s, move, l.Offset, l.OnRim, decision.Withheld)
		forced := given
		if decision.Withheld != diagnosis.NotWithheld {
			forced = instruct(s, move, l.Offset, l.OnRim, diagnosis.NotWithheld)
		}
		given.Worthwhile = decision.Verdict == uncertainty.Outside && given.Along != NoWay && given.better(l.Offset)
		a.Lines, a.Forced = append(a.Lines, given), append(a.Forced, forced)
	}
	if !told.Act || told.Together.Finding == lines.Individual { // not alike: no one move puts them right
		return
	}
	move = MovePointer
	if s.Part.MarksOn == sheet.OnEngine {
		move = MoveLine
	}
	a.Together = instruct(s, move, told.Together.Common, told.Together.OnRim, told.Pointer.Withheld)
	a.Together.Worthwhile = told.Pointer.Verdict == uncertainty.Outside && a.Together.Along != NoWay && a.Together.better(told.Together.Common)
}

var alongWords = []string{"none", "running", "against"}

func (a Along) String() string { return enum.Word(alongWords, a) }

// MarshalText writes the word.
func (a Along) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (a *Along) UnmarshalText(text []byte) error { return enum.From(a, alongWords, text) }

var moveWords = []string{"line", "scale", "pointer"}

func (m Move) String() string { return enum.Word(moveWords, m) }

// MarshalText writes the word.
func (m Move) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (m *Move) UnmarshalText(text []byte) error { return enum.From(m, moveWords, text) }
