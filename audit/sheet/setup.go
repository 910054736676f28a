package sheet

import (
	"fmt"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

// Setup is what was read from fitting readout and stop, or indicator, until
// either was moved. Setups with the same Mounting share one mounting of the
// readout and its zero; an empty one is the setup's own. Setups with the same
// Fitting were taken with the stop and its lock left alone, so that it blocks the
// same arc in all of them; an empty one is the setup's own.
type Setup struct {
	Name, By, Date, Note string               `json:",omitzero"`
	Mounting             string               `json:",omitzero"`
	Fitting              string               `json:",omitzero"`
	Cylinder             string               `json:",omitzero"` // where the stop sat; empty: the reference cylinder
	Method               Method               `json:",omitzero"`
	Trials               []Trial              `json:",omitzero"` // of a stop
	Drops                []Drop               `json:",omitzero"` // of equal drops
	Sweep                *Swept               `json:",omitzero"`
	Closing              *Trial               `json:",omitzero"` // a pair after the marks, with the stop back in
	Top                  []Reading            `json:",omitzero"` // on a dial: what it shows at the piston's highest point
	ClosingTop           *Reading             `json:",omitzero"` // that once more, after the marks
	Marks                map[string][]Reading `json:",omitzero"` // only looked up: order comes from Sheet.Marks
	Path                 inputerror.Path      `json:",omitzero"`
}

// Approach is the direction in which the engine was turned to a reading. The
// zero value is not known, which only drops and sweeps may be.
type Approach uint8

// Forward: with the running direction; Backward: against it.
const (
	Forward Approach = iota + 1
	Backward
)

// Reading is what the readout showed, in degrees, with its arbitrary zero.
type Reading struct {
	Value    geometry.Angle   `json:",omitzero"`
	Measured bool             `json:",omitzero"` // on a rim: Length is what was read along or across it, Value the crank angle from that. On a dial: Length is what it shows, and Value is not used
	Length   geometry.Length  `json:",omitzero"`
	Side     geometry.Letters `json:",omitzero"` // on a dial: on which side of TDC the crank stands
	Lettered bool             `json:",omitzero"` // written with BTDC or ATDC
	Approach Approach         `json:",omitzero"`
	Struck   bool             `json:",omitzero"`
	Reason   string           `json:",omitzero"` // why it was struck
	Time     string           `json:",omitzero"` // RFC 3339, or empty
	Note     string           `json:",omitzero"`
	Text     string           `json:",omitzero"` // as it was entered, outer blanks and the reason for striking it off; empty where no person entered it
	Path     inputerror.Path  `json:",omitzero"`
}

// Written is the reading as it was entered. One that a program made, or changed,
// is written with the fewest digits, and with its letters if it has any.
func (r Reading) Written() string {
	switch {
	case r.entered():
		return r.Text
	case r.Side != geometry.NoLetters:
		return fmt.Sprint(r.Length) + " " + r.Side.String()
	case r.Measured:
		return fmt.Sprint(r.Length)
	case !r.Lettered:
		return fmt.Sprint(r.Value)
	case r.Value < 0:
		return fmt.Sprint(r.Value.Abs()) + " BTDC"
	}
	return fmt.Sprint(r.Value) + " ATDC"
}

// entered reports whether the text of a reading is there and says its value.
func (r Reading) entered() bool {
	if r.Text == "" {
		return false
	}
	text := strings.Replace(r.Text, ",", ".", 1) // of a file with semicolons
	if r.Side != geometry.NoLetters {
		text, _ = cutSide(text)
	}
	if r.Measured {
		l, _, err := geometry.ParseLength(text)
		return err == nil && l == r.Length
	}
	v, _, err := geometry.ParseAngle(text)
	return err == nil && v == r.Value
}

// Converted is a reading that was entered in another unit than reports compute
// with, in theirs: "114.30 mm" for 4 1/2 in, "12.50°" for 12°30'. It is empty for
// all others.
func (r Reading) Converted() string {
	if !r.entered() {
		return ""
	}
	return Converted(r.Text)
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
// height followed through the top. AtTop: a dial stands highest there.
const (
	Stop Method = iota
	EqualDrop
	Sweep
	AtTop
)

// key is how the sheet names a method.
func (m Method) key() string { return strings.ReplaceAll(m.String(), " ", "_") }

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

// approaches returns how the readings before and after TDC were approached.
func (t Taken) approaches() (before, after Approach) {
	switch t {
	case Rising:
		return Forward, Backward
	case OneWay:
		return Forward, Forward
	}
	return 0, 0
}

// Drop is a set of readings with the piston equally far below its top. Before[i]
// and After[i] make one trial.
type Drop struct {
	Drop          geometry.Length `json:",omitzero"` // of the piston below its top, along the indicator
	Probe         geometry.Angle  `json:",omitzero"` // of the indicator against the cylinder; zero: along it
	Text          string          `json:",omitzero"` // Drop as it was entered
	Taken         Taken           `json:",omitzero"`
	Before, After []Reading       `json:",omitzero"`
	Path          inputerror.Path `json:",omitzero"`
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
	Reading Reading         `json:",omitzero"`
	Height  geometry.Length `json:",omitzero"`
	Text    string          `json:",omitzero"` // the height as it was entered, with its unit
}

// Swept is a sweep of the piston through its top.
type Swept struct {
	Taken  Taken           `json:",omitzero"`
	Points []Point         `json:",omitzero"`
	Path   inputerror.Path `json:",omitzero"`
}

var approachWords = []string{"unknown", "forward", "backward"}

func (a Approach) String() string { return enum.Word(approachWords, a) }

// MarshalText writes the word.
func (a Approach) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (a *Approach) UnmarshalText(text []byte) error { return enum.From(a, approachWords, text) }

var methodWords = []string{"stop", "equal drop", "sweep", "top"}

func (m Method) String() string { return enum.Word(methodWords, m) }

// MarshalText writes the word.
func (m Method) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (m *Method) UnmarshalText(text []byte) error { return enum.From(m, methodWords, text) }

var takenWords = []string{"unknown", "rising", "one way"}

func (t Taken) String() string { return enum.Word(takenWords, t) }

// MarshalText writes the word.
func (t Taken) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (t *Taken) UnmarshalText(text []byte) error { return enum.From(t, takenWords, text) }
