package sheet

import (
	"math"

	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

// Kind is the kind of readout.
type Kind uint8

// The kinds of readout.
const (
	Wheel Kind = iota
	Encoder
	Rim  // readings are lengths along the part's own rim from a chalk line
	Dial // readings are what a dial shows that stands on the piston's crown
)

// Readout describes the degree wheel, the encoder, or the rim used as one. For a
// rim the reader has turned every length into degrees, the step with them.
type Readout struct {
	BothWays      bool                           `json:",omitzero"` // numbered 0 to 180 each side: every reading carries its letters
	Chord         bool                           `json:",omitzero"` // of a rim: measured straight across, not along a tape
	Name          string                         `json:",omitzero"`
	Kind          Kind                           `json:",omitzero"`
	Step          geometry.Angle                 `json:",omitzero"`
	StepLength    geometry.Length                `json:",omitzero"` // of a rim: what Step was made from
	Counts        geometry.Sense                 `json:",omitzero"`
	QuarterTurn   *[2]Reading                    `json:",omitzero"`
	Diameter      geometry.Length                `json:",omitzero"`
	OffCentre     geometry.Length                `json:",omitzero"` // limit; zero if not stated
	LostMotion    geometry.Angle                 `json:",omitzero"` // total
	LostLimit     geometry.Limit[geometry.Angle] `json:",omitzero"`
	HasLostMotion bool                           `json:",omitzero"`
	Correction    *Correction                    `json:",omitzero"` // nil without one
	History       *History                       `json:",omitzero"` // nil without one

	// Of a dial, whose step is StepLength and whose lost motion is a length.
	Probe           geometry.Angle                  `json:",omitzero"` // between dial and cylinder
	ProbeLimit      geometry.Limit[geometry.Angle]  `json:",omitzero"`
	Crown           geometry.Angle                  `json:",omitzero"` // how far the crown leans towards the dial
	CrownLimit      geometry.Limit[geometry.Angle]  `json:",omitzero"`
	DialError       geometry.Limit[geometry.Length] `json:",omitzero"` // between any two places
	LostLength      geometry.Length                 `json:",omitzero"` // lost when the piston turns from rising to sinking
	LostLengthLimit geometry.Limit[geometry.Length] `json:",omitzero"`
	Revolution      geometry.Length                 `json:",omitzero"` // of the hand; zero: not stated
}

// OffCentreLimit returns E, the largest reading error that the stated limit on
// the wheel's centring allows: (180/π)·e/ρ.
func (r Readout) OffCentreLimit() geometry.Angle {
	if r.OffCentre == 0 || r.Diameter == 0 {
		return 0
	}
	return geometry.AngleFromRadians(math.Abs(float64(r.OffCentre)) / (float64(r.Diameter) / 2))
}

var kindWords = []string{"wheel", "encoder", "rim", "dial"}

func (k Kind) String() string { return enum.Word(kindWords, k) }

// MarshalText writes the word.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *Kind) UnmarshalText(text []byte) error { return enum.From(k, kindWords, text) }
