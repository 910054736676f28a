package lines

import (
	"fmt"

	"markaudit/audit/internal/enum"
	"markaudit/audit/past"
	"markaudit/audit/sheet"
	"markaudit/audit/tdc"
	"markaudit/audit/uncertainty"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Placed is where the lines of one sheet come up.
type Placed struct {
	Lines    []Line // in the order of the sheet's marks
	Warnings []warning.Warning
}

// Line is one line with where it comes up.
type Line struct {
	sheet.Mark
	Place       geometry.Angle        // where it belongs, counted from the reference cylinder's TDC
	Zero        geometry.Angle        // where its cylinder's TDC comes after the reference cylinder's
	Offset      *uncertainty.Estimate // nil when the line was not read or there is no TDC
	ComesUpAt   geometry.Angle
	Conformity  uncertainty.Sides // on which side of the tolerance the line lies, the sheet being right
	Covers      Covers
	NotIncluded []warning.Code // doubts that nothing on the sheet covers
	Corrected   geometry.Angle // how much later the readout's correction makes the line come up
	OnRim       OnRim
	DropAt      geometry.Length         // of the piston where the line comes up, for a line given as a drop
	ByDial      *Drop                   // by a dial; nil for any other readout
	Seen        []Seen                  // one for each mounting that read it
	Scatter     Scatter                 // that its interval uses
	Compared    Scatter                 // by which it is held against other lines
	Own         Scatter                 // of its own readings alone
	Before      past.Use                // what earlier audits say of the scatter of its readings
	Remounted   past.Use                // and of what remounting changes
	Lost        float64                 // share of the readout's lost motion in Offset: 1/2, -1/2, or 0 read from both sides
	From        uncertainty.Combination // Offset, with everything that it depends on
	Alone       uncertainty.Combination // the same without TDC: where the readout has the line
}

// String is the line's name with its offset.
func (l Line) String() string {
	if l.Offset == nil {
		return l.Name + ": not read"
	}
	return fmt.Sprintf("%s: %v", l.Name, *l.Offset)
}

// Read reports whether the line has an offset.
func (l Line) Read() bool { return len(l.Seen) > 0 }

// Seen is a line as one mounting of the readout saw it.
type Seen struct {
	At       tdc.Zero
	Later    geometry.Angle   // how far its cylinder's TDC comes after that of At by the sheet, where it was not found
	Forward  []geometry.Angle // true readings, unwrapped around each other, struck ones left out
	Backward []geometry.Angle
	Reading  geometry.Angle // mean of the means from each side
	Offset   geometry.Angle
	PerLine  float64 // variance of Reading over that of one reading

	// On a dial: what it shows at the line, the share of that to which the piston came
	// sinking, and how far it has dropped there.
	Shown   geometry.Length
	Sinking float64
	Drop    geometry.Length
}

// Covers says what an interval answers for.
type Covers uint8

// Repeatability: readings within the setups taken. Remounting: also what taking
// the readout off and fitting it again adds.
const (
	Repeatability Covers = iota
	Remounting
)

// Offsets are the line's offsets in the mountings that read it, unwrapped around
// the first, so that offsets near ±180 do not cancel.
func (l Line) Offsets() []geometry.Angle {
	out := make([]geometry.Angle, len(l.Seen))
	for i, s := range l.Seen {
		out[i] = s.Offset
	}
	return geometry.Unwrap(out, out[0])
}

// Zeros are the TDCs that the line counts from, one a mounting.
func (l Line) Zeros() []tdc.Zero {
	out := make([]tdc.Zero, len(l.Seen))
	for i, s := range l.Seen {
		out[i] = s.At
	}
	return out
}

// Mountings are the mountings that read the line.
func (l Line) Mountings() []int {
	out := make([]int, len(l.Seen))
	for i, s := range l.Seen {
		out[i] = s.At.Mounting
	}
	return out
}

// Ends are the ends of the interval of its offset; the offset itself where there is
// none.
func (l Line) Ends() (low, high geometry.Angle) {
	switch e := l.Offset; {
	case !e.Known:
		return e.Value, e.Value
	case l.ByDial != nil: // whose two sides differ
		return l.ByDial.Low, l.ByDial.High
	default:
		return e.Value - e.Expanded, e.Value + e.Expanded
	}
}

// Readings is the number of readings that count.
func (l Line) Readings() int {
	n := 0
	for _, s := range l.Seen {
		n += len(s.Forward) + len(s.Backward)
	}
	return n
}

// PerLine is the variance of the line's mean over that of one reading.
func (l Line) PerLine() float64 {
	var v float64
	for _, s := range l.Seen {
		v += s.PerLine
	}
	return v / float64(len(l.Seen)*len(l.Seen))
}

// RepeatsLine reports whether the readings of the line show scatter, their own or
// that of other lines.
func (l Line) RepeatsLine() bool { return l.Scatter.DOF > 0 }

var coversWords = []string{"repeatability", "remounting"}

func (c Covers) String() string { return enum.Word(coversWords, c) }

// MarshalText writes the word.
func (c Covers) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (c *Covers) UnmarshalText(text []byte) error { return enum.From(c, coversWords, text) }
