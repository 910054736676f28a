package diagnosis

import (
	"math"

	"markaudit/geometry"
)

// Evidence is everything that has to be explained. It is plain data, and comes
// back from JSON as it was. Lines are counted as the sheet's marks are, mountings
// in the order in which the readout was mounted.
type Evidence struct {
	Offset Table            // [mounting][line]: how late it comes up, (-180°, 180°]; NaN where not read
	Own    Table            // [mounting][line]: standard deviation of that offset from the line's own readings; see [Scatter.OfLine]
	TDC    []geometry.Angle // [mounting]: standard deviation of its TDC; see [Scatter.OfTDC]

	// Before is the share of the contacts behind an offset that were taken before
	// the line was read, [mounting][line]: 1 as a rule, 0.5 where one of two sets
	// was taken after the line, 0 where all were. nil is 1 throughout.
	Before [][]float64
	// Later is how far the TDC of a line's cylinder comes after the one it counts
	// from, by the sheet, [mounting][line]: zero where it was found itself. nil:
	// every one was found.
	Later Table
	// Move is by how much a line is out where the readout moved by a degree, [line]:
	// nil is 1 throughout. On a dial a move is one of the top, so that it is negative
	// before TDC and hangs on the slope.
	Move   []float64
	Order  [][]int // [mounting]: lines in the order in which they were read, where the times tell; nil: not known
	Copied []int   // mountings whose readings, 8 or more, are all those of an earlier one

	Pairs     []Pair
	Distances []Distance
	Scatter   Scatter
	Remount   geometry.Angle // standard deviation of what remounting adds, as stated; zero: not stated
	Odd       *Odd           // the reading that stands out most; nil: none does by more than two steps
	Creep     []Creep

	Lines     []Line
	Cylinders []Cylinder // as the sheet declares them
	Checked   Checked

	QuarterTurn bool            // a quarter turn shows which way the readout counts
	BondedRing  bool            // an outer ring on rubber: lines on "ring" are on it, lines on "hub" on what it is bonded to
	HalfSpeed   bool            // the part turns once in two turns of the crank
	Decade      geometry.Angle  // what an offset is out by where a reading is out by ten; zero: 10°, as on a wheel
	Revolution  geometry.Length // how far the dial goes in one turn of its hand; zero: another readout, or not stated
	DecideAt    float64         // probability from which a verdict is given, above 0.5 and below 1

	// What an observation takes, and what it should show.
	Counts        geometry.Sense   // of the readout
	Shows         []geometry.Angle // [mounting]: what the readout shows at TDC
	Repeats       []geometry.Angle // [mounting]: how far from Shows a closing pair comes at most in 19 of 20 cases if nothing moved; nil: not known
	OpenCylinder  string           // a cylinder whose TDC can still be found in the last mounting; empty: none
	SetupReadings int              // readings that a further setup takes
	Diameter      geometry.Length  // of the rim at the lines; zero: not stated, and no distance is asked for
	DividersU     geometry.Length  // how well a distance between two lines can be measured, each way
}

// Line is one line of the part.
type Line struct {
	Name        string
	At          geometry.Angle // where it belongs after its cylinder's TDC; negative before it
	Cylinder    string
	CylinderTDC geometry.Angle // after the reference cylinder's: as found, else declared
	On          string         // part that carries it: ring, hub, flywheel; or empty
	Early, Late geometry.Angle // how early and how late it may come, both unsigned
	Checked     bool           // somebody went back and looked at this line
	ByItself    bool           // too unsure to say anything of another line: it is judged by its own readings
	Off         geometry.Angle // how late such a line comes up
	SideProven  bool           // its readings show on which side of TDC it lies

	Known    bool           // its scatter is known: else the rest says nothing
	U        geometry.Angle // expanded uncertainty of its offset
	TooEarly float64        // probability that it comes more than Early too early, the sheet being right
	Conforms float64        // probability that it comes within its tolerance
	TooLate  float64        // probability that it comes more than Late too late
}

func (l *Line) tolerance() geometry.Angle { return min(l.Early, l.Late) }

// belongs is where the line belongs after the reference cylinder's TDC.
func (l *Line) belongs() geometry.Angle { return l.At + l.CylinderTDC }

// Cylinder is a cylinder that the sheet declares, TDC after the reference one's.
type Cylinder struct {
	Name string
	TDC  geometry.Angle
}

// Checked says what somebody went back and looked at, so that no mistake is
// sought there.
type Checked struct{ Letters, Names, Nominals, Cylinders bool }

// Pair is TDC found a second time in one mounting.
type Pair struct {
	Mounting   int
	Kind       PairKind
	Value      geometry.Angle // how much later the second puts TDC; of banks less Declared. A readout that moved forward by x between them shows +x
	SD         geometry.Angle // standard deviation of Value; see [Scatter.OfPair]
	DOF        float64        // of SD, two more than its scatter has; zero: known exactly
	AfterLines bool           // the lines were read between the first and the second, as with a closing pair
	Cylinder   string         // of banks: the second cylinder
	Declared   geometry.Angle // of banks: how far the sheet says that its TDC comes after the first one's
}

// Distance is a distance between two lines as it was measured on the part:
// a chord, or teeth of a ring gear. SD is half the expanded uncertainty of what
// was measured less what the readings make of it.
type Distance struct {
	From, To   int
	Chord      geometry.Length // straight across; zero: counted in teeth
	ChordSD    geometry.Length
	Diameter   geometry.Length
	Teeth      float64
	TeethSD    float64
	TeethRound int // on the whole ring
}

// Odd is the reading that stands out most from those of its kind.
type Odd struct {
	P        float64 // probability of such a reading among all of the sheet, 0 to 1
	Mounting int
	Line     int   // -1: a contact
	Without  Table // Offset without that reading, or without the pair of that contact
}

// Creep is how the middles of one mounting move from pair to pair.
type Creep struct {
	Mounting int
	Drift    geometry.Angle // from the first pair to the last, in the sense of Offset: forward is positive
	P        float64        // probability of such a slope by scatter alone, times the setups, at most 1
}

// Scatter holds the pooled standard deviations that are used for comparing.
type Scatter struct {
	Line, Middle       geometry.Angle // of one reading of a line; of one middle
	LineDOF, MiddleDOF float64
}

// Scatter that is taken where nothing repeats. Common practice, no source.
const (
	unknownMiddle = geometry.Angle(0.15)
	lineOfMiddle  = 1.4 // a line's reading against a middle, which is the mean of two contacts
)

// Filled replaces what is not known: without any repeated middle 0.15° with one
// degree of freedom, without any repeated reading of a line 1.4 times a middle's.
func (s Scatter) Filled() Scatter {
	if s.MiddleDOF <= 0 {
		s.Middle, s.MiddleDOF = unknownMiddle, 1
	}
	if s.LineDOF <= 0 {
		s.Line, s.LineDOF = lineOfMiddle*s.Middle, s.MiddleDOF
	}
	return s
}

// OfTDC is the standard deviation of a TDC from n pairs of contacts, at a step:
// that of the mean, but at least that of a middle's rounding.
//
//	√max(s²/n, q²/24)
func (s Scatter) OfTDC(n int, step geometry.Angle) geometry.Angle {
	return max(s.Middle/geometry.Angle(math.Sqrt(float64(n))), step/geometry.Angle(math.Sqrt(24)))
}

// OfLine is the standard deviation of the mean of m readings of a line, at a
// step: √max(s²/m, q²/12).
func (s Scatter) OfLine(m int, step geometry.Angle) geometry.Angle {
	return max(s.Line/geometry.Angle(math.Sqrt(float64(m))), step/geometry.Angle(math.Sqrt(12)))
}

// What two sets of contacts differ by beside their scatter, for the stop is
// seated anew. Common practice, no source.
const (
	seating     = geometry.Angle(0.05)
	leastBankSD = geometry.Angle(0.08)
)

// OfPair fills in SD and DOF of a pair from the standard deviations of its two
// TDCs. It is for closing pairs, other depths and banks; of another method the
// SD is half its expanded uncertainty.
func (s Scatter) OfPair(p Pair, first, second geometry.Angle) Pair {
	variance := square(first) + square(second)
	if p.Kind != Closing {
		variance += square(seating)
	}
	p.SD = geometry.Angle(math.Sqrt(variance))
	if p.Kind == OtherBank {
		p.SD = max(p.SD, leastBankSD)
	}
	p.DOF = s.MiddleDOF + dofAdded
	return p
}

// dofAdded makes the tails of a comparison a little lighter than those of
// Student's t: the scatter of a readout is seldom wholly unknown. Chosen by
// simulation.
const (
	dofAdded = 2
	DOFAdded = dofAdded // to those of a pair's scatter
)

func square(a geometry.Angle) float64 { return a.Degrees() * a.Degrees() }

// Standard deviations and degrees of freedom of pieces of evidence; common
// practice, no source.
const (
	setupsDOF     = 6.0  // of setups held against each other as wholes
	lineDOFLimit  = 12.0 // of one line in one setup, at most
	distanceDOF   = 8.0
	leastRemount  = 0.05 // degrees
	remountUnsaid = 0.1  // degrees, where the sheet does not say
	wrongOrder    = 6.0  // surprise of two lines that would come up in the wrong order
	nearLines     = 90.0 // degrees: lines further apart have no order
)

// seen is the surprise of a deviation of z standard deviations, known to dof
// degrees of freedom: -2 ln of Student's t against its height at zero.
//
//	(ν + 1) ln(1 + z²/ν)
//
// Zero degrees of freedom stand for a standard deviation that is known exactly.
func seen(z, dof float64) float64 {
	if !(dof > 0) {
		return z * z
	}
	return (dof + 1) * math.Log1p(z*z/dof)
}

// unlikely is the surprise of a probability beyond what is given away free.
func unlikely(p, free float64) float64 {
	return math.Max(0, -2*math.Log(math.Max(p, math.SmallestNonzeroFloat64))-free)
}

// What a sheet's most extreme reading, and its steepest creep, may show by
// chance. Chosen by simulation.
const (
	freeOdd   = 2.0
	freeCreep = 4.0
)

// ItemKind is a kind of evidence.
type ItemKind uint8

// NoItem: nothing speaks against the explanation. ItemSetup: one mounting as a
// whole against the others. ItemLine: one line in one mounting. ItemPair,
// ItemDistance, ItemCreep: one entry of the evidence of that name. ItemOrder: two
// lines in the wrong order. ItemOdd: the reading that stands out.
const (
	NoItem ItemKind = iota
	ItemSetup
	ItemLine
	ItemPair
	ItemDistance
	ItemOrder
	ItemOdd
	ItemCreep
)

var itemKinds = [...]string{"none", "setup", "line", "pair", "distance", "order", "odd_reading", "creep"}

func (k ItemKind) String() string { return word(itemKinds[:], int(k)) }

// MarshalText writes the stable key.
func (k ItemKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *ItemKind) UnmarshalText(text []byte) error { return fromWord(k, itemKinds[:], text) }

// Item is one piece of evidence and how much it surprises. Index is that of the
// pair, distance or creep; of an order the second line.
type Item struct {
	Kind                  ItemKind
	Mounting, Line, Index int // -1 where it has none
	Surprise              float64
}

// PairKind says what found TDC a second time.
type PairKind uint8

// The kinds of a second finding.
const (
	Closing PairKind = iota
	OtherDepth
	OtherBank
	OtherMethod
)

var pairKinds = [...]string{"closing", "other_depth", "other_bank", "other_method"}

func (k PairKind) String() string { return word(pairKinds[:], int(k)) }

// MarshalText writes the stable key.
func (k PairKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (k *PairKind) UnmarshalText(text []byte) error { return fromWord(k, pairKinds[:], text) }
