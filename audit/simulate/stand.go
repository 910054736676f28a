package simulate

import (
	"slices"

	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// Rig is a stand: everything that is true of it, what is done at it, and what
// its sheet states. Angles are crank degrees unless said otherwise, and late is
// positive.
type Rig struct {
	Title, Job string
	Engine     Engine
	Part       Part
	Readout    Readout
	Lines      []Line
	Setups     []Setup
	ZeroAlike  bool // every mounting is zeroed in the same place
	Told       Told
	Slips      Slips
}

// Engine is the engine as it is.
type Engine struct {
	Turns       geometry.Rotation // the way it truly runs
	Stroke, Rod geometry.Length
	Pin, Bore   geometry.Length // offsets, to the thrust side and to the crankpin side
	FromThrow   bool            // nominals count from the throw's top
	Rock        geometry.Length // by which the piston stands higher at the backward contact than at the forward one
	Slack       geometry.Length // of the bearings: so much lower stands the piston while the rod pulls
	Cylinders   []Cylinder      // none: one without a name
}

// Cylinder is one of several. The reference cylinder stands at zero.
type Cylinder struct {
	Name     string
	Declared geometry.Angle // of its TDC after the reference cylinder's, by the sheet
	TDC      geometry.Angle // as it is
}

// Part is what carries the lines, and the pointer that they are read against.
type Part struct {
	Diameter  geometry.Length // of the rim; zero: neither known nor needed
	MarksOn   sheet.MarksOn
	Bonded    bool           // an outer ring on rubber
	RingSlip  geometry.Angle // by which the lines on the ring have become late
	Bent      geometry.Angle // by which the engine pointer makes every line late
	HalfSpeed bool           // turns once in two turns of the crank
	Teeth     int            // of the ring gear
}

// Line is one line. Where it comes up follows from At, its own Offset, and what
// ring and pointer add.
type Line struct {
	Name      string
	At        geometry.Angle
	Offset    geometry.Angle // of the line as it was cut or stamped
	Tolerance geometry.Angle
	On        string // ring, hub, ...; lines on the ring slip with it
	Readings  int    // in every setup; zero: as many as the setup says

	Cylinder      string          // At counts from its TDC; empty: from the reference cylinder's
	Written       string          // nominal on the sheet, where it is not At in degrees: "65 mm rim ATDC"
	DropTolerance geometry.Length // tolerance on the sheet in piston drop; zero: Tolerance
}

// Ring is the group of lines that slips with the outer ring.
const Ring = "ring"

// Readout is the degree wheel, the encoder, or the part's own rim, as it is. A rim
// is measured from a chalk line and follows the part, not the crank.
type Readout struct {
	Kind      sheet.Kind
	Step      geometry.Angle // recorded; zero: as fine as numbers go, stated as 1e-6
	Counts    geometry.Sense
	Diameter  geometry.Length // of a wheel at its graduations
	OffCentre geometry.Length // of a wheel's centre from the crank's axis
	Towards   geometry.Angle  // where its centre lies, in graduations from the one at TDC
	Bored     bool            // Towards is a graduation instead, the same in every mounting
	Harmonics []Harmonic
	Lost      geometry.Angle // lost motion, total
	BothWays  bool           // numbered to 180 either way, read with its letters

	Chord      bool            // of a rim: measured straight across, not along a tape
	StepLength geometry.Length // of a rim: recorded
	Chalk      geometry.Angle  // of a rim: the chalk line lies within so much of TDC, on the part; zero: anywhere
}

// Harmonic is a part of the reading error: Amplitude·sin(Order·R - Phase) at the
// reading R.
type Harmonic struct {
	Order            int
	Amplitude, Phase geometry.Angle
}

// Setup is what one person does from fitting readout and stop until either is
// moved.
type Setup struct {
	By, Note   string
	Mounting   string           // setups with the same one share the readout's zero; empty: its own
	Fitting    string           // setups with the same one share the stop's height; empty: its own
	Cylinder   string           // in which TDC is found; empty: the reference cylinder
	Method     sheet.Method     // Stop, EqualDrop or Sweep
	HalfArc    geometry.Angle   // that the stop leaves on either side of TDC, without pin and bore offset
	Drops      []Drop           // of EqualDrop
	Sweep      Sweep            // of Sweep
	Unsaid     bool             // the sheet does not say how drops or a sweep were approached
	Fallen     geometry.Length  // by which the piston is read too low after its top: a rod bent, an indicator slipped
	Trials     int              // pairs of contacts, or of readings at each drop
	Readings   int              // of every line
	Approaches []sheet.Approach // taken in turn for the readings of a line; nil: all forward
	Closing    bool             // a pair after the lines, with the stop fitted again
	Zero       geometry.Angle   // what a perfect readout shows at the piston's top; zero: drawn
	Added      geometry.Angle   // to every line by this mounting, beside what Hand draws
	Bumped     geometry.Angle   // by which the readout is moved after the contacts, in graduations
	Hand       Hand
}

// Drop is one drop of the piston, with an indicator in place of the stop.
type Drop struct {
	Drop  geometry.Length // along the indicator
	Slant geometry.Angle  // of the indicator against the cylinder
	Probe geometry.Angle  // of it as the sheet has it
	Taken sheet.Taken     // Rising or OneWay
}

// Sweep follows the piston's height through its top.
type Sweep struct {
	Points     int
	From, To   geometry.Angle  // crank angles of the first point and the last from TDC
	Taken      sheet.Taken     // Rising or OneWay
	OnSteps    bool            // the engine is turned to whole steps of the readout
	HeightSD   geometry.Length // of one height
	Step       geometry.Length // of the indicator; zero: as fine as numbers go
	CountsDown bool            // the indicator counts down as the piston rises
	Zero       geometry.Length // what the indicator shows at the top
}

// Hand is the person at the rig: scatter and habits.
type Hand struct {
	MiddleSD      geometry.Angle  // standard deviation of one middle; a contact scatters √2 times as much
	HeightSD      geometry.Length // of the height of one contact, on top
	StopSD        geometry.Length // of the stop from trial to trial, the same for both contacts
	Creep         geometry.Length // by which the stop works its way in at every contact
	ReadSD        geometry.Angle  // of one reading of a line
	RemountSD     geometry.Angle  // of what a mounting adds to every line
	RemountWithin geometry.Angle  // what a mounting adds besides, evenly within it either way
	Squint        geometry.Length // on the rim: all lines seem so much later
	WrongSide     bool            // comes to the lines backward and writes forward
	Rounds        geometry.Angle  // reads no finer than this, where it is coarser than the step
}

// Told is what the sheet states beside the readings. Zero means not stated.
type Told struct {
	Geometry        bool // stroke, rod and offsets
	Side            bool // which way the BTDC lines lie, as seen on the part
	QuarterTurn     bool
	OffCentre       geometry.Length // limits, from here on
	Sighting        geometry.Length
	Contact         geometry.Length
	Slack           geometry.Length
	Remount         geometry.Angle
	Lost, LostLimit geometry.Angle  // the value stated, and its ±
	Diameter        geometry.Length // of the rim; zero: as it is
	DiameterLimit   geometry.Length
	Spacings        []sheet.Spacing
}

// Steady returns a stand with believable scatter and nothing wrong: one line at
// each nominal, exactly where it belongs, and one setup of three trials and three
// readings. The tolerance holds for every line.
func Steady(tolerance geometry.Angle, at ...geometry.Angle) Rig {
	r := Rig{
		Engine:  Engine{Turns: geometry.Clockwise, Stroke: 92, Rod: 152},
		Part:    Part{Diameter: 158, MarksOn: sheet.OnPart},
		Readout: Readout{Kind: sheet.Encoder, Step: 0.5, Counts: geometry.CountsUp},
		Told:    Told{Geometry: true},
	}
	for i, a := range at {
		r.Lines = append(r.Lines, Line{Name: "line " + ordinal(i), At: a, Tolerance: tolerance})
	}
	r.Setups = []Setup{{HalfArc: 25, Trials: 3, Readings: 3, Hand: Hand{MiddleSD: 0.15, ReadSD: 0.15}}}
	return r
}

// Repeated has the rig's first setup done n times, each with a mounting and a
// fitting of its own.
func (r Rig) Repeated(n int) Rig {
	first := r.Setups[0]
	r.Setups = make([]Setup, n)
	for i := range r.Setups {
		r.Setups[i] = first
	}
	return r
}

// Each changes every setup.
func (r Rig) Each(change func(s *Setup)) Rig {
	r.Setups = slices.Clone(r.Setups)
	for i := range r.Setups {
		change(&r.Setups[i])
	}
	return r
}

// Mounted has the rig's first setup done in n mountings of the readout. In each
// the stop is fitted so many times in every cylinder.
func (r Rig) Mounted(n, fittings int) Rig {
	first := r.Setups[0]
	r.Setups = nil
	for i := range n {
		for range fittings {
			for j := range max(1, len(r.Engine.Cylinders)) {
				s := first
				s.Mounting = "m" + ordinal(i)
				if len(r.Engine.Cylinders) > 0 {
					s.Cylinder = r.Engine.Cylinders[j].Name
				}
				r.Setups = append(r.Setups, s)
			}
		}
	}
	return r
}
