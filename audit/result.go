package audit

import (
	"markaudit/audit/sheet"
	"markaudit/audit/uncertainty"
	"markaudit/geometry"
)

// Result is everything that one sheet can tell.
type Result struct {
	Sheet     sheet.Sheet
	TDC       *TDC   // nil when no pair of contacts can be used
	Marks     []Mark // in the order of the sheet
	Shift     Shift
	Distances []Distance
	Groups    []Group   // of lines on different parts, in the order of the sheet
	Between   []Between // those groups
	Slip      Slip
	Banks     []Bank // cylinders, in the order of the sheet
	Methods   []Compared
	Spacings  []Spacing // as the sheet states them
	Centrings []Centring
	Rock      *Rock // nil where no two stop depths were taken
	Check     Check
	Moved     bool // a closing pair says that the readout moved: nothing is decided
	Differ    bool // two setups disagree: nothing that rests on them is decided
	Warnings  []Warning
}

// TDC is true top dead centre as the stop found it.
type TDC struct {
	Setups     []SetupTDC // those with at least one usable trial
	Trials     int
	Scatter    geometry.Angle // standard deviation of one middle, pooled over setups
	DOF        float64        // of Scatter; zero when nothing repeats
	Budget     uncertainty.Budget
	Standard   geometry.Angle // of the mean middle; meaningless when DOF is zero
	ThrowToTDC geometry.Angle // positive: the piston's top comes after the throw's
}

// SetupTDC is what one setup says of top dead centre.
type SetupTDC struct {
	Name, By   string
	Mounting   string // empty: its own
	Cylinder   string // empty: the sheet names none
	Method     sheet.Method
	Middles    []geometry.Angle // one a trial, unwrapped around each other; none of a sweep
	HalfArcs   []geometry.Angle
	Points     int             // of a sweep
	Middle     geometry.Angle  // mean of Middles, or the fitted top
	HalfArc    geometry.Angle  // mean of HalfArcs; of a sweep the root mean square distance from the top
	MiddleSD   geometry.Angle  // zero for one trial; of a sweep the standard uncertainty of its top
	HalfArcSD  geometry.Angle  // zero for one trial
	Correction geometry.Angle  // from pin and bore offset, crank degrees
	Reading    geometry.Angle  // what the readout shows at the piston's top: [0, 360), on a rim from its chalk line on
	Closing    *geometry.Angle // TDC by the closing pair less TDC by the trials, crank degrees

	setup      *sheet.Setup
	scatter    geometry.Angle // standard deviation of one middle that its interval uses
	scatterDOF float64
	perDegree  geometry.Length // the middle moves by h/(2·perDegree) where its two sides differ by h in height
	reach      reach           // of the readout, to the middle
	slack      bool            // bearing slack reaches the middle
}

// Estimate is a value with its doubt. Where Known is false the readings hold
// no scatter, and only Value and the rows of the budget mean anything.
type Estimate struct {
	Value    geometry.Angle
	Budget   uncertainty.Budget
	Known    bool
	Standard geometry.Angle
	DOF      float64         // effective, for information; +Inf when all rows are of type B
	Expanded geometry.Angle  // half width of the interval at the sheet's confidence
	ArcU     geometry.Length // Expanded along the rim, with the diameter's own doubt; zero without a diameter
}

// Covers says what an interval answers for.
type Covers uint8

// Repeatability: readings within the setups taken. Remounting: also what taking
// the readout off and fitting it again adds.
const (
	Repeatability Covers = iota
	Remounting
)

func (c Covers) String() string {
	if c == Remounting {
		return "remounting"
	}
	return "repeatability"
}

// Mark is the verdict on one line.
type Mark struct {
	sheet.Mark
	Offset      *Estimate // nil when the mark was not read or there is no TDC
	ComesUpAt   geometry.Angle
	Place       geometry.Angle // where it belongs, counted from the reference cylinder's TDC
	Setups      int
	Conformity  float64 // probability that the offset lies within the tolerance
	Verdict     uncertainty.Verdict
	Covers      Covers
	NotIncluded []Code          // sources of doubt that nothing on the sheet covers
	Corrected   geometry.Angle  // how much later the readout's correction makes the line come up
	DropAt      geometry.Length // of the piston where the line comes up, for a line given as a drop
	Arc, Chord  geometry.Length // of the offset, signed; zero without a diameter
	Teeth       float64         // of the ring gear in the offset, signed; zero without teeth
	Scribe      Scribe
	Forced      Scribe // the instruction with nothing withheld, for who insists
	repeats     repeats
}

// RepeatsLine reports whether the readings of the line show scatter, their own
// or that of other lines.
func (m Mark) RepeatsLine() bool { return m.repeats.lineDOF > 0 }

// Distance is what dividers should find between two neighbouring lines.
type Distance struct {
	From, To   string
	Now, After geometry.Length // chords; After with the instructed new lines
	U          geometry.Length // expanded uncertainty of Now; zero where it is not known
}
