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
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"fmt"
	"math"
	"strings"
	"time"

	"markaudit/audit/inputerror"
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
	Stated           []Said                 `json:",omitzero"` // numbers and sizes as they were entered, in the order of the sheet; nothing is computed from them
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

// Said is a number or a size of the sheet as it was entered.
type Said struct {
	Path inputerror.Path `json:",omitzero"`
	Text string          `json:",omitzero"`
}

// Said is what stands at a path of the sheet, such as engine.stroke; empty where
// nothing does, or a program made the sheet.
func (s *Sheet) Said(path inputerror.Path) string {
	for _, said := range s.Stated {
		if said.Path == path {
			return said.Text
		}
	}
	return ""
}

// ReadingsDigest is the digest of the sheet's readings alone: a sheet that names a
// history is another than the one that is in it, and its readings are the same.
func (s *Sheet) ReadingsDigest() string {
	hash := sha256.New()
	write := func(r *Reading) {
		if r != nil {
			fmt.Fprintf(hash, "%x %d %t;", math.Float64bits(float64(r.Value)), r.Approach, r.Struck)
		}
	}
	for i := range s.Setups {
		setup := &s.Setups[i]
		fmt.Fprintf(hash, "setup %d:", i)
		for _, t := range setup.Trials {
			write(t.Forward)
			write(t.Backward)
		}
		for _, d := range setup.Drops {
			for _, t := range d.Trials() {
				write(t.Forward)
				write(t.Backward)
			}
		}
		if setup.Sweep != nil {
			for j := range setup.Sweep.Points {
				write(&setup.Sweep.Points[j].Reading)
			}
		}
		for _, m := range s.Marks {
			for j := range setup.Marks[m.Name] {
				write(&setup.Marks[m.Name][j])
			}
		}
	}
	return hex.EncodeToString(hash.Sum(nil))
}

// SideOf is the side of TDC on which the sheet says that a line comes up: by the
// letters of its readings, else by how the dial moves further on. NoLetters is not
// told.
func (s *Sheet) SideOf(m Mark) geometry.Letters {
	for i := range s.Setups {
		for _, r := range s.Setups[i].Marks[m.Name] {
			if !r.Struck && r.Side != geometry.NoLetters {
				return r.Side
			}
		}
	}
	side, _ := s.Further(m)
	return side
}

// Further is the side that the dial's moving further on proves: towards the top
// the piston still rises, before TDC. False where the sheet holds nothing of it.
func (s *Sheet) Further(m Mark) (geometry.Letters, bool) {
	if m.Further == nil {
		return geometry.NoLetters, false
	}
	for i := range s.Setups {
		setup := &s.Setups[i]
		top, n := setup.TopOf()
		if n == 0 || len(setup.Marks[m.Name]) == 0 {
			continue
		}
		here, there := (m.Further[0].Length - top).Abs(), (m.Further[1].Length - top).Abs()
		if there < here {
			return geometry.BTDC, true
		}
		return geometry.ATDC, true
	}
	return geometry.NoLetters, false
}

// EyeCheckFailed reports whether the metal was found to be other than the report
// had it.
func (s *Sheet) EyeCheckFailed() bool { return s.After != nil && s.After.EyeCheck == NotAsSaid }

// Scribed reports whether the sheet says that a new line was scribed, or the pointer
// moved, by what it orders. A check by eye, a date and a witness line alone do not: they
// come before the scriber as well.
func (s *Sheet) Scribed() bool {
	a := s.After
	return a != nil && !s.EyeCheckFailed() && (a.By != "" || a.ScribedBy != "" || len(a.Dividers) > 0 || len(a.ReadAgain) > 0 || a.TimingLight != nil)
}

// Converted is a size that was written in another unit than reports compute with, in
// theirs: "568.33 mm" for 22 3/8 in, "12.50°" for 12°30'. It is empty for a text that
// is in millimetres or in degrees already, or that is neither.
func Converted(text string) string {
	text = strings.Replace(text, ",", ".", 1)
	if strings.Contains(text, "mm") {
		return ""
	}
	length := func(l geometry.Length) string { return size(float64(l)) + " mm" }
	if q, err := geometry.ParseLengthQuantity(text); err == nil {
		switch {
		case q.HasValue && q.HasLimit:
			return size(float64(q.Value)) + " ± " + length(q.Limit.Half)
		case q.HasLimit:
			return "± " + length(q.Limit.Half)
		}
		return length(q.Value)
	}
	if o, err := geometry.ParsePinOffset(text); err == nil {
		return length(max(o.Value, -o.Value))
	}
	if t, err := geometry.ParseTolerance(text); err == nil && t.Counted != geometry.CrankDegrees {
		return length(t.Length)
	}
	if n, err := geometry.ParseNominal(text); err == nil && (n.Counted == geometry.RimLength || n.Counted == geometry.PistonDrop) {
		return length(max(n.Length, -n.Length))
	}
	if a, letters, err := geometry.ParseAngle(text); err == nil && strings.ContainsAny(text, "'′’") {
		if letters == geometry.NoLetters {
			return fmt.Sprintf("%.2f", a)
		}
		return fmt.Sprintf("%.2f %v", a.Abs(), letters)
	}
	return ""
}

// size is a number of millimetres, with a third digit below one.
func size(mm float64) string {
	if mm < 1 && mm > -1 {
		return fmt.Sprintf("%.3f", mm)
	}
	return fmt.Sprintf("%.2f", mm)
}

//go:embed blank.yaml
var blankSheet string

//go:embed demo.yaml
var demoSheet string

// Blank returns a sheet to fill in, with a comment on every key. It cannot be
// read before it is filled in.
func Blank() string { return blankSheet }

// Demo returns the demonstration sheet: an invented engine with invented
// readings.
func Demo() string { return demoSheet }
