package diagnosis

import "markaudit/geometry"

// Code names an explanation.
type Code uint8

// The explanations, in the order in which equally good ones are told.
const (
	AsMeasured        Code = iota // every line is where it was measured
	ReadoutMoved                  // the readout moved after the contacts and before lines, all or some
	ReadoutMovedAfter             // the readout moved after the lines
	MovedBetween                  // the readout moved between two sets of contacts
	ReadoutCreeps                 // the readout creeps from pair to pair
	ReadingSlipped                // the reading that stands out is wrong
	Letters                       // BTDC was written for ATDC
	Names                         // two lines were taken for each other
	Counts                        // the readout counts the other way round
	Decade                        // a line was misread by ten every time
	StopCylinder                  // the stop sat in another cylinder than was written
	MarkCylinder                  // a line belongs to another cylinder
	BankAngle                     // the angle of a cylinder that was not found is wrong
	BankAngleDiffers              // the angle between two cylinders is not what the sheet says
	Kind                          // a nominal, an offset or the readings are of another kind than was written
	Revolution                    // a turn of the dial's hand was missed at a line
	Copied                        // one setup is a copy of another
	Unnamed                       // a mistake that is none of these
)

var codes = [...]string{
	"as_measured", "readout_moved", "readout_moved_after", "moved_between", "readout_creeps", "reading_slipped",
	"letters", "names", "counts", "decade", "stop_cylinder", "mark_cylinder", "bank_angle", "bank_angle_differs",
	"kind", "revolution", "copied", "unnamed",
}

func (c Code) String() string { return word(codes[:], int(c)) }

// MarshalText writes the stable key.
func (c Code) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (c *Code) UnmarshalText(text []byte) error { return fromWord(c, codes[:], text) }

// Explanation is one way in which the evidence can have come about.
type Explanation struct {
	Code      Code
	Lines     []int          // that it is about; nil: all
	Mountings []int          // that it is about; nil: all
	Shift     geometry.Angle // by which the readout moved, a reading is out, or a cylinder is elsewhere
	Story     Story          // of the metal that is then left
	Offset    Row            // [line]: how late each line then is, NaN where not read
	Surprise  float64
	Worst     Item // the piece of evidence that costs it most
}

// claim is an explanation that has not been weighed.
type claim struct {
	code             Code
	lines, mountings []int
	shift            float64
	price            float64
	chance           float64            // what it must pay besides before it may stand: it fits by being free to fit
	late             func() [][]float64 // [mounting][line]: what the readings then mean, worked out for a claim that may stand; nil: as measured
	renamed          []float64          // [line]: how much later the line then belongs, its place unchanged; nil: nowhere
	pairs            []float64          // [pair]: what it should then show, NaN: anything; nil: 0
	closes           []float64          // [mounting]: what a closing pair would then show; nil: 0
	noOdd            bool               // the reading that stands out is left out
	creeps           int                // the mounting that creeps, and one: 0 is none
}

// propose makes the claims of one code; each costs at least the price.
type propose func(w *weigher, price float64) []claim

// entry is a line of the list.
type entry struct {
	code    Code
	price   float64
	propose propose
	told    []ObservationKind
}

// explanations is THE list: each explanation with its price, -2 ln of how seldom
// that mistake is made against a job without it, and the observations that tell it
// from the lines as measured. Of a distance and a closing pair that is worked out
// from what they would show. To read again, where an explanation names no line,
// is to take the contacts again. A further explanation is a file and a line here.
var explanations = [...]entry{
	{AsMeasured, 0, proposeAsMeasured, nil},
	{ReadoutMoved, 4, proposeMovedBeforeAll, []ObservationKind{OtherBankContacts, SecondSetup}},
	{ReadoutMoved, 4, proposeMovedBeforeSome, []ObservationKind{ReadAgain, OtherBankContacts, SecondSetup}},
	{ReadoutMovedAfter, 4, proposeMovedAfter, []ObservationKind{SecondSetup}},
	{MovedBetween, 4, proposeMovedBetween, []ObservationKind{ReadAgain, SecondSetup}},
	{ReadoutCreeps, 4, proposeCreeps, []ObservationKind{ReadAgain, SecondSetup}},
	{ReadingSlipped, 6, proposeSlipped, []ObservationKind{ReadAgain, SecondSetup}},
	{Letters, 8, proposeLetters, []ObservationKind{Look}},
	{Names, 8, proposeNames, []ObservationKind{Look}},
	{Counts, 8, proposeCounts, []ObservationKind{QuarterTurn}},
	{Decade, 8, proposeDecade, []ObservationKind{ReadAgain, SecondSetup}},
	{StopCylinder, 8, proposeStopCylinder, []ObservationKind{Look, OtherBankContacts}},
	{MarkCylinder, 8, proposeMarkCylinder, []ObservationKind{Look}},
	{BankAngle, 4, proposeBankAngle, []ObservationKind{OtherBankContacts}},
	{BankAngleDiffers, 8, proposeBankAngleDiffers, []ObservationKind{Look}},
	{Kind, 7, proposeKind, []ObservationKind{Look}},
	{Revolution, 8, proposeRevolution, []ObservationKind{ReadAgain, SecondSetup}},
	{Copied, 0, proposeCopied, []ObservationKind{SecondSetup}},
	{Unnamed, 20, proposeUnnamed, []ObservationKind{ReadAgain}},
}

func proposeAsMeasured(*weigher, float64) []claim { return []claim{{code: AsMeasured}} }
