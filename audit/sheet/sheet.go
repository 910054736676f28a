package sheet

import (
	"fmt"
	"math"

	"markaudit/geometry"
)

// Path names one value of a sheet, as "setups[0].stop.forward[2]".
type Path string

// Approach is the direction in which the engine was turned to a reading. The
// zero value is invalid.
type Approach uint8

// Forward: with the running direction; Backward: against it.
const (
	Forward Approach = iota + 1
	Backward
)

func (a Approach) String() string {
	if a == Backward {
		return "backward"
	}
	return "forward"
}

// Reading is what the readout showed, in degrees, with its arbitrary zero.
type Reading struct {
	Value    geometry.Angle
	Lettered bool // written with BTDC or ATDC
	Approach Approach
	Struck   bool
	Reason   string // why it was struck
	Time     string // RFC 3339, or empty
	Note     string
	Path     Path
}

// Written is the reading as it was entered, with its letters if it had any.
func (r Reading) Written() string {
	switch {
	case !r.Lettered:
		return fmt.Sprint(r.Value)
	case r.Value < 0:
		return fmt.Sprint(r.Value.Abs()) + " BTDC"
	}
	return fmt.Sprint(r.Value) + " ATDC"
}

// Trial is one pair of contacts, forward and backward. A contact without its
// partner leaves the other nil.
type Trial struct{ Forward, Backward *Reading }

// Usable reports whether both contacts are there and neither is struck.
func (t Trial) Usable() bool {
	return t.Forward != nil && t.Backward != nil && !t.Forward.Struck && !t.Backward.Struck
}

// Setup is what was read from fitting readout and stop until either was moved.
type Setup struct {
	Name, By, Date, Note string
	Trials               []Trial
	Closing              *Trial               // a pair after the marks, with the stop back in
	Marks                map[string][]Reading // only looked up: order comes from Sheet.Marks
	Path                 Path
}

// Engine describes the engine. Zero lengths mean not stated.
type Engine struct {
	Number                string
	Turns                 geometry.Rotation
	Stroke, Rod           geometry.Length
	PinOffset, BoreOffset geometry.Offset
	RefersToThrow         bool // marks_refer_to: throw
}

// Crank returns the slider-crank with the offsets that the sheet states, and
// false when stroke or rod is missing.
func (e Engine) Crank() (geometry.Crank, bool) {
	return geometry.Crank{
		Stroke: e.Stroke, Rod: e.Rod,
		Offset: e.BoreOffset.Value - e.PinOffset.Value,
	}, e.Stroke > 0 && e.Rod > 0
}

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
	Name, Number, SeenFrom string
	Diameter               geometry.Length                 // of the rim at the line; zero if not stated
	DiameterLimit          geometry.Limit[geometry.Length] // of the diameter, also when a circumference was stated
	Unit                   geometry.Unit                   // in which the diameter was written
	MarksOn                MarksOn
	BTDCLines              geometry.Rotation // zero if not stated
	ReadAt                 string            // "centre", "leading edge", "trailing edge"
	Sighting               geometry.Limit[geometry.Length]
	Teeth                  int
}

// Kind is the kind of readout.
type Kind uint8

// The kinds of readout.
const (
	Wheel Kind = iota
	Encoder
)

// Readout describes the degree wheel or encoder.
type Readout struct {
	Name          string
	Kind          Kind
	Step          geometry.Angle
	Counts        geometry.Sense
	QuarterTurn   *[2]Reading
	Diameter      geometry.Length
	OffCentre     geometry.Length // limit; zero if not stated
	LostMotion    geometry.Angle  // total
	LostLimit     geometry.Limit[geometry.Angle]
	HasLostMotion bool
}

// OffCentreLimit returns E, the largest reading error that the stated limit on
// the wheel's centring allows: (180/π)·e/ρ.
func (r Readout) OffCentreLimit() geometry.Angle {
	if r.OffCentre == 0 || r.Diameter == 0 {
		return 0
	}
	return geometry.AngleFromRadians(math.Abs(float64(r.OffCentre)) / (float64(r.Diameter) / 2))
}

// Limits holds the stated limits and the decision threshold.
type Limits struct {
	Confidence float64 // 0.8 to 0.999
	Remount    geometry.Limit[geometry.Angle]
	Contact    geometry.Limit[geometry.Length]
	Placement  geometry.Length
	DeepStop   bool
}

// Mark is a line that the sheet declares.
type Mark struct {
	Name      string
	At        geometry.Angle // nominal crank angle; BTDC is negative
	AtText    string         // as written, always with letters: "10 BTDC", "240 ATDC", "0"
	Tolerance geometry.Angle // each way
	Path      Path
}

// Sheet is what the person wrote down.
type Sheet struct {
	Title, Job, Date string
	Engine           Engine
	Part             Part
	Readout          Readout
	Limits           Limits
	Marks            []Mark
	Setups           []Setup
	Digest           string // SHA-256 of the sheet and its files, hexadecimal
}

// The defaults of contract and trade.
const (
	DefaultConfidence = 0.95
	DefaultPlacement  = geometry.Length(0.2) // common practice, no source
)
