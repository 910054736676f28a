package sheet

import (
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

// MarksOn says what carries the lines. The zero value is invalid.
type MarksOn uint8

// OnPart: the lines turn and the pointer is fixed to the engine. OnEngine: the
// scale is fixed to the engine and one line turns.
const (
	OnPart MarksOn = iota + 1
	OnEngine
)

// Part describes the part that carries the marks, or the turning line.
type Part struct {
	Name, Number, SeenFrom string                          `json:",omitzero"`
	Diameter               geometry.Length                 `json:",omitzero"` // of the rim at the line; zero if not stated
	DiameterLimit          geometry.Limit[geometry.Length] `json:",omitzero"` // of the diameter, also when a circumference was stated
	Unit                   geometry.Unit                   `json:",omitzero"` // in which the diameter was written
	MarksOn                MarksOn                         `json:",omitzero"`
	BTDCLines              geometry.Rotation               `json:",omitzero"` // zero if not stated
	ReadAt                 string                          `json:",omitzero"` // "centre", "leading edge", "trailing edge"
	Sighting               geometry.Limit[geometry.Length] `json:",omitzero"`
	Teeth                  int                             `json:",omitzero"`
	BondedRing             bool                            `json:",omitzero"` // an outer ring on rubber
	HalfSpeed              bool                            `json:",omitzero"` // turns once in two crank turns
	Moves                  string                          `json:",omitzero"` // in a window, running: "left", "right", "up", "down"; empty if not stated
	Spacings               []Spacing                       `json:",omitzero"`
}

// Spacing is a distance between two lines as measured on the part: a chord with
// dividers, or a number of ring-gear teeth.
type Spacing struct {
	From, To string                          `json:",omitzero"`
	Chord    geometry.Length                 `json:",omitzero"` // zero if in teeth
	Teeth    float64                         `json:",omitzero"` // zero if a chord
	Limit    geometry.Limit[geometry.Length] `json:",omitzero"` // of Chord
	Path     inputerror.Path                 `json:",omitzero"`
}

// Turned is the angle by which the part turns with the crank: half of it on a
// part that turns at half speed.
func (p Part) Turned(crank geometry.Angle) geometry.Angle {
	if p.HalfSpeed {
		return crank / 2
	}
	return crank
}

// OfCrank is the angle by which the crank turns while the part turns.
func (p Part) OfCrank(part geometry.Angle) geometry.Angle {
	if p.HalfSpeed {
		return 2 * part
	}
	return part
}

// Round brings the crank angle between two places on the part to the nearer way
// round: within half a turn of the part.
func (p Part) Round(crank geometry.Angle) geometry.Angle {
	return p.OfCrank(p.Turned(crank).Wrap())
}

// Onwards brings the crank angle between two places on the part to the way round
// in the running direction: from zero to a turn of the part.
func (p Part) Onwards(crank geometry.Angle) geometry.Angle {
	return p.OfCrank(p.Turned(crank).Turn())
}

var marksOnWords = []string{"not stated", "part", "engine"}

func (m MarksOn) String() string { return enum.Word(marksOnWords, m) }

// MarshalText writes the word.
func (m MarksOn) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (m *MarksOn) UnmarshalText(text []byte) error { return enum.From(m, marksOnWords, text) }

// Mark is a line that the sheet declares.
type Mark struct {
	Name      string          `json:",omitzero"`
	At        geometry.Angle  `json:",omitzero"` // nominal crank angle; BTDC is negative
	AtText    string          `json:",omitzero"` // as written, always with letters: "10 BTDC", "240 ATDC", "0"
	Tolerance geometry.Angle  `json:",omitzero"` // each way; the smaller of the two where they differ
	Early     geometry.Angle  `json:",omitzero"` // how early it may come, positive; zero: Tolerance
	Late      geometry.Angle  `json:",omitzero"` // how late it may come; zero: Tolerance
	On        string          `json:",omitzero"` // group that the line belongs to: ring, hub, flywheel, tab; or empty
	Cylinder  string          `json:",omitzero"` // At counts from this cylinder's TDC; empty: the reference cylinder
	Drop      geometry.Length `json:",omitzero"` // nominal piston drop, where At was written as one
	DropLimit geometry.Length `json:",omitzero"` // tolerance in piston drop, where it was written as one
	Known     Known           `json:",omitzero"` // where it truly is, from elsewhere; the audit does not look at it
	Further   *[2]Reading     `json:",omitzero"` // on a dial: what it shows at the line, and a few degrees further the way the engine runs
	Path      inputerror.Path `json:",omitzero"`
}

// Known is how far off a line truly is, known from elsewhere, as of a class that
// measures a line on a bench. Late is positive.
type Known struct {
	Off      geometry.Angle `json:",omitzero"`
	Expanded geometry.Angle `json:",omitzero"` // at 95 %; above zero where it is known
}

// parseKnown reads 0.35 late ± 0.05.
func parseKnown(text string) (Known, error) {
	const such = ", such as 0.35 late ± 0.05"
	off, limit, found := strings.Cut(strings.ReplaceAll(text, "+/-", "±"), "±")
	if !found {
		return Known{}, &geometry.Refusal{Text: "found " + inputerror.Shown(text) + ", expected how far off the line is with its uncertainty at 95 %" + such, Hint: "without its uncertainty the value says nothing"}
	}
	var k Known
	var err error
	if k.Off, err = geometry.ParseOffBy(off); err != nil {
		return Known{}, err
	}
	q, err := geometry.ParseAngleQuantity("± " + strings.TrimSpace(limit))
	switch {
	case err != nil:
		return Known{}, err
	case !(q.Limit.Half > 0 && q.Limit.Half <= 90 && k.Off.Abs() <= 180) || q.Limit.K != 0 && q.Limit.K != 2:
		return Known{}, &geometry.Refusal{Text: "found " + inputerror.Shown(text) + ", expected degrees with an uncertainty above zero at 95 %" + such}
	}
	k.Expanded = q.Limit.Half
	return k, nil
}

// Allowed returns how early and how late the line may come, both unsigned.
func (m Mark) Allowed() (early, late geometry.Angle) {
	if m.Early > 0 && m.Late > 0 {
		return m.Early, m.Late
	}
	return m.Tolerance, m.Tolerance
}
