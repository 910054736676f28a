package sheet

import (
	"fmt"
	"math"

	"markaudit/geometry"
)

// Path names one value of a sheet, as "setups[0].stop.forward[2]".
type Path string

// Approach is the direction in which the engine was turned to a reading. The
// zero value is not known, which only drops and sweeps may be.
type Approach uint8

// Forward: with the running direction; Backward: against it.
const (
	Forward Approach = iota + 1
	Backward
)

func (a Approach) String() string { return [...]string{"unknown", "forward", "backward"}[a] }

// Reading is what the readout showed, in degrees, with its arbitrary zero.
type Reading struct {
	Value    geometry.Angle
	Measured bool // on a rim: Length is what was read along or across it, Value the crank angle from that
	Length   geometry.Length
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
	case r.Measured:
		return fmt.Sprint(r.Length)
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

// Method is how a setup finds TDC.
type Method uint8

// Stop: contacts against a positive stop. EqualDrop: readings where the piston
// stands equally far below its top before and after it. Sweep: the piston's
// height followed through the top.
const (
	Stop Method = iota
	EqualDrop
	Sweep
)

func (m Method) String() string { return [...]string{"stop", "equal drop", "sweep"}[m] }

// Taken says how the readings of a drop or a sweep were approached.
type Taken uint8

// Unknown: the sheet does not say. Rising: the piston was rising at every
// reading, so before was reached turning forward and after turning backward.
// OneWay: all were reached turning forward.
const (
	Unknown Taken = iota
	Rising
	OneWay
)

// Drop is a set of readings with the piston equally far below its top. Before[i]
// and After[i] make one trial.
type Drop struct {
	Drop          geometry.Length // of the piston below its top, along the indicator
	Probe         geometry.Angle  // of the indicator against the cylinder; zero: along it
	Taken         Taken
	Before, After []Reading
	Path          Path
}

// Trials returns the pairs of the drop in order, the first reading of each
// before TDC as forward and the one after it as backward, as the contacts with a
// stop are. Readings beyond the shorter list are left out.
func (d *Drop) Trials() []Trial {
	all := make([]Trial, min(len(d.Before), len(d.After)))
	for i := range all {
		all[i] = Trial{Forward: &d.Before[i], Backward: &d.After[i]}
	}
	return all
}

// Point is one reading of a sweep with the height that the indicator showed.
type Point struct {
	Reading Reading
	Height  geometry.Length
}

// Swept is a sweep of the piston through its top.
type Swept struct {
	Taken  Taken
	Points []Point
	Path   Path
}

// Setup is what was read from fitting readout and stop, or indicator, until
// either was moved. Setups with the same Mounting share one mounting of the
// readout and its zero; an empty one is the setup's own. Setups with the same
// Fitting were taken with the stop and its lock left alone, so that it blocks the
// same arc in all of them; an empty one is the setup's own.
type Setup struct {
	Name, By, Date, Note string
	Mounting             string
	Fitting              string
	Cylinder             string // where the stop sat; empty: the reference cylinder
	Method               Method
	Trials               []Trial // of a stop
	Drops                []Drop  // of equal drops
	Sweep                *Swept
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
	Cylinders             []Cylinder
}

// Cylinder says where a cylinder's TDC lies after that of the reference
// cylinder, in the running direction. The reference cylinder stands at zero.
type Cylinder struct {
	Name string
	TDC  geometry.Angle
	Path Path
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
	BondedRing             bool   // an outer ring on rubber
	HalfSpeed              bool   // turns once in two crank turns
	Moves                  string // in a window, running: "left", "right", "up", "down"; empty if not stated
	Spacings               []Spacing
}

// Spacing is a distance between two lines as measured on the part: a chord with
// dividers, or a number of ring-gear teeth.
type Spacing struct {
	From, To string
	Chord    geometry.Length                 // zero if in teeth
	Teeth    float64                         // zero if a chord
	Limit    geometry.Limit[geometry.Length] // of Chord
	Path     Path
}

// Kind is the kind of readout.
type Kind uint8

// The kinds of readout.
const (
	Wheel Kind = iota
	Encoder
	Rim // readings are lengths along the part's own rim from a chalk line
)

// Readout describes the degree wheel, the encoder, or the rim used as one. For a
// rim the reader has turned every length into degrees, the step with them.
type Readout struct {
	BothWays      bool // numbered 0 to 180 each side: every reading carries its letters
	Chord         bool // of a rim: measured straight across, not along a tape
	Name          string
	Kind          Kind
	Step          geometry.Angle
	StepLength    geometry.Length // of a rim: what Step was made from
	Counts        geometry.Sense
	QuarterTurn   *[2]Reading
	Diameter      geometry.Length
	OffCentre     geometry.Length // limit; zero if not stated
	LostMotion    geometry.Angle  // total
	LostLimit     geometry.Limit[geometry.Angle]
	HasLostMotion bool
	Correction    *Correction // nil without one
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
	Slack      geometry.Limit[geometry.Length] // bearing slack, for drops taken one way
	Placement  geometry.Length
	DeepStop   bool
}

// Mark is a line that the sheet declares.
type Mark struct {
	Name      string
	At        geometry.Angle  // nominal crank angle; BTDC is negative
	AtText    string          // as written, always with letters: "10 BTDC", "240 ATDC", "0"
	Tolerance geometry.Angle  // each way; the smaller of the two where they differ
	Early     geometry.Angle  // how early it may come, positive; zero: Tolerance
	Late      geometry.Angle  // how late it may come; zero: Tolerance
	On        string          // group that the line belongs to: ring, hub, flywheel, tab; or empty
	Cylinder  string          // At counts from this cylinder's TDC; empty: the reference cylinder
	Drop      geometry.Length // nominal piston drop, where At was written as one
	DropLimit geometry.Length // tolerance in piston drop, where it was written as one
	Path      Path
}

// Allowed returns how early and how late the line may come, both unsigned.
func (m Mark) Allowed() (early, late geometry.Angle) {
	if m.Early > 0 && m.Late > 0 {
		return m.Early, m.Late
	}
	return m.Tolerance, m.Tolerance
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

// Cylinder names the cylinder that a sheet's word stands for: the reference one
// where nothing is said; empty where the sheet names no cylinders.
func (e Engine) Cylinder(name string) string {
	if name != "" {
		return name
	}
	for _, c := range e.Cylinders {
		if c.TDC == 0 {
			return c.Name
		}
	}
	return ""
}

// Declared is where the sheet says that a cylinder's TDC lies after that of the
// reference cylinder.
func (e Engine) Declared(cylinder string) geometry.Angle {
	for _, c := range e.Cylinders {
		if c.Name == cylinder {
			return c.TDC
		}
	}
	return 0
}

// Rank orders cylinders as the sheet does, the reference one first.
func (e Engine) Rank(cylinder string) int {
	if cylinder == e.Cylinder("") {
		return -1
	}
	for i, c := range e.Cylinders {
		if c.Name == cylinder {
			return i
		}
	}
	return len(e.Cylinders)
}
