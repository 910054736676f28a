package advise

import (
	"markaudit/audit/crosscheck"
	"markaudit/audit/diagnosis"
	"markaudit/audit/internal/enum"
	"markaudit/audit/lines"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
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
	Towards    string         // nearest line of the same part that way, less than half way round; empty where there is none, or no line of the sheet is moved
	Past       bool           // the new line lies beyond that one
	Angle      geometry.Angle // unsigned
	Arc, Chord geometry.Length
	ArcU       geometry.Length // expanded uncertainty of Arc; zero where it is not known
	HasLengths bool            // a diameter is stated
	Teeth      float64
	HasTeeth   bool
	Worthwhile bool
	Withheld   Withheld
	PutsRight  *uncertainty.Estimate // the offset that the order takes out; nil without an order
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
func instruct(in sheet.Sheet, move Move, e *uncertainty.Estimate, along lines.OnRim, withheld Withheld) Scribe {
	s := Scribe{Move: move, Withheld: withheld}
	if e == nil || e.Value.Abs() <= geometry.Tie || withheld != NotWithheld {
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
	s.Angle, s.PutsRight = e.Value.Abs(), e
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
		s.ArcU = along.ArcU
	}
	return s
}

// Then is the expanded uncertainty of the new line: the measurement's rows and the
// limit for placing a line. It is zero where it is not known, and without a
// diameter, for then the placing cannot be said in degrees.
func (s Scribe) Then(in sheet.Sheet) geometry.Angle {
	if !s.HasLengths || s.PutsRight == nil || !s.PutsRight.Known {
		return 0
	}
	rim := geometry.Rim{Diameter: in.Part.Diameter}
	limit := geometry.Limit[geometry.Angle]{Half: in.Part.OfCrank(rim.AngleFromArc(in.Limits.Placement))}
	rows := append(uncertainty.Budget{uncertainty.LimitRow(uncertainty.Placement, limit)}, s.PutsRight.Budget...)
	if l := lines.DiameterLimit(in, s.PutsRight.Value); l.Half > 0 { // it scales the distance that is laid off
		rows = append(rows, uncertainty.LimitRow(uncertainty.Diameter, l))
	}
	return geometry.Angle(uncertainty.NewSum(rows.Terms()).HalfWidth(in.Limits.Confidence))
}

// better reports whether the doubt about a new line would be smaller than what
// the old one is off. Without a diameter the placement cannot be said in
// degrees: then the measurement alone must be better.
func (s Scribe) better(in sheet.Sheet) bool {
	e := s.PutsRight
	if !s.HasLengths {
		return e.Known && e.Expanded < e.Value.Abs()
	}
	return e.Known && s.Then(in) < e.Value.Abs()
}

// scribe gives each line its instruction, and the pointer, a part or the turning
// line its own where the lines are off together.
func (a *Advice) scribe(s sheet.Sheet, top tdc.Found, placed []lines.Line, checks crosscheck.Checks, together lines.Alike, told diagnosis.Diagnosis) {
	move := MoveLine
	if s.Part.MarksOn == sheet.OnEngine {
		move = MoveScale
	}
	for i := range placed {
		l, c := &placed[i], told.Decisions[i]
		withheld := why(s, told, c, l)
		if doubt := doubted(s, top, placed, checks, l); withheld == NotWithheld {
			withheld = doubt
		}
		meant := putsRight(c, l.Offset)
		along := l.OnRim
		if meant != l.Offset {
			along = alongRim(s, meant)
		}
		given := instruct(s, move, meant, along, withheld)
		forced := given
		if withheld != NotWithheld {
			forced = instruct(s, move, meant, along, NotWithheld)
		}
		if forced.Along != NoWay {
			forced.Towards, forced.Past = towards(s, placed, i)
		}
		if given.Along != NoWay {
			given.Towards, given.Past = forced.Towards, forced.Past
		}
		given.Worthwhile = c.Scribe && given.Along != NoWay && given.better(s)
		forced.Worthwhile = c.Held && forced.Along != NoWay && forced.better(s)
		a.Lines, a.Forced = append(a.Lines, given), append(a.Forced, forced)
	}
	for _, c := range told.Decisions[len(placed):] {
		a.move(s, top, placed, checks, together, told, c)
	}
}

// alongRim is the way along the rim of what an order puts right.
func alongRim(s sheet.Sheet, e *uncertainty.Estimate) lines.OnRim {
	if e == nil {
		return lines.OnRim{}
	}
	return lines.Along(s, *e)
}

// putsRight is what an order puts right: the line's offset, or what is left of it
// once the pointer or the part has been put right.
func putsRight(c diagnosis.Decision, offset *uncertainty.Estimate) *uncertainty.Estimate {
	if offset == nil || !c.After {
		return offset
	}
	e := *offset
	e.Value = c.Late
	return &e
}

// move is the one instruction for lines that are off together: for the pointer or
// tab, or for the one line that turns. A part that has moved against another is
// looked at, and nothing on it is scribed.
func (a *Advice) move(s sheet.Sheet, top tdc.Found, placed []lines.Line, checks crosscheck.Checks, together lines.Alike, told diagnosis.Diagnosis, c diagnosis.Decision) {
	move := MovePointer
	if s.Part.MarksOn == sheet.OnEngine {
		move = MoveLine
	}
	withheld := why(s, told, c, nil)
	if doubt := doubted(s, top, placed, checks, nil); withheld == NotWithheld {
		withheld = doubt
	}
	a.Shared = sharedShift(s, placed, together, told, c)
	if c.Line == diagnosis.Part {
		withheld = WithheldGroup
	}
	shared := alongRim(s, a.Shared)
	a.Together = instruct(s, move, a.Shared, shared, withheld)
	a.TogetherHeld = a.Together
	if withheld != NotWithheld && c.Line != diagnosis.Part {
		a.TogetherHeld = instruct(s, move, a.Shared, shared, NotWithheld)
	}
	a.Together.Worthwhile = c.Scribe && a.Together.Along != NoWay && a.Together.better(s)
	a.TogetherHeld.Worthwhile = c.Held && a.TogetherHeld.Along != NoWay && a.TogetherHeld.better(s)
}

// sharedShift is the shift that one order puts right: the best mean of all lines
// where all share it, else the plain mean of those that do.
func sharedShift(s sheet.Sheet, placed []lines.Line, together lines.Alike, told diagnosis.Diagnosis, c diagnosis.Decision) *uncertainty.Estimate {
	if together.Finding == lines.Common && len(together.Lines) == len(told.Sharing) {
		return together.Common
	}
	weights := make([]float64, len(told.Sharing))
	for i := range weights {
		weights[i] = 1 / float64(len(weights))
	}
	e, _ := lines.Weighted(placed, told.Sharing, weights).Evaluate(s.Limits.Confidence)
	e.Value = c.Late
	return &e
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
