// Package sheet holds what a person wrote down at the engine: the sheet, a YAML
// file, with the readings in it or in a CSV beside it.
//
// [Read] takes the bytes and returns a [Sheet], or every fault of the file with
// its place: what is unreadable, unknown, missing, or contradicts another value.
// [Sheet.Check] refuses the same contradictions on a sheet that a program built.
// A sheet that passes can be computed with. [Write] writes one.
//
// A value is in the unit that its type says: degrees of the crank, millimetres.
// Nothing is computed here but what a value means by itself: an inch in
// millimetres, a length on the rim or a piston drop in crank degrees.
package sheet

import (
	"time"

	"markaudit/audit/jobrecord"
	"markaudit/geometry"
)

// Sheet is what the person wrote down.
type Sheet struct {
	Title, Job, Date string                 `json:",omitzero"`
	Workshop         string                 `json:",omitzero"` // who measured, for whom, and the day of issue: printed, never computed with
	Customer, Issued string                 `json:",omitzero"`
	Engine           Engine                 `json:",omitzero"`
	Part             Part                   `json:",omitzero"`
	Readout          Readout                `json:",omitzero"`
	Limits           Limits                 `json:",omitzero"`
	Marks            []Mark                 `json:",omitzero"`
	Setups           []Setup                `json:",omitzero"`
	Checked          Checked                `json:",omitzero"`
	Instruments      []jobrecord.Instrument `json:",omitzero"`
	Conditions       Conditions             `json:",omitzero"`
	Photos           []Photo                `json:",omitzero"`
	After            *AfterScribing         `json:",omitzero"` // nil where nothing is said of it
	Digest           string                 `json:",omitzero"` // SHA-256 of the sheet and its files, hexadecimal
}

// Limits holds the stated limits and the decision threshold.
type Limits struct {
	Confidence float64                         `json:",omitzero"` // of an interval, 0.8 to 0.999
	DecideAt   float64                         `json:",omitzero"` // how probable a verdict has to be, above 0.5 and below 1; zero: as the confidence
	Remount    geometry.Limit[geometry.Angle]  `json:",omitzero"`
	Contact    geometry.Limit[geometry.Length] `json:",omitzero"`
	Slack      geometry.Limit[geometry.Length] `json:",omitzero"` // bearing slack, for drops taken one way
	Placement  geometry.Length                 `json:",omitzero"`
	DeepStop   bool                            `json:",omitzero"`
}

// Threshold is how probable a verdict has to be (JCGM 106, 8.3).
func (l Limits) Threshold() float64 {
	if l.DecideAt == 0 {
		return l.Confidence
	}
	return l.DecideAt
}

// The defaults of contract and trade.
const (
	DefaultConfidence = 0.95
	DefaultPlacement  = geometry.Length(0.2) // common practice, no source
)

// Taken is the day of the measurement: the latest date of a setup, else that of
// the sheet. It is not known where none of them is a day such as 2026-03-14.
func (s *Sheet) Taken() (day time.Time, known bool) {
	for _, setup := range s.Setups {
		if d, err := time.Parse(time.DateOnly, setup.Date); err == nil && d.After(day) {
			day = d
		}
	}
	if !day.IsZero() {
		return day, true
	}
	day, err := time.Parse(time.DateOnly, s.Date)
	return day, err == nil
}
