// Package warning names the doubts that an audit can raise about a measurement, with
// the place and the values of each. It holds no sentence: those are made in the
// report. A doubt is no fault: the audit goes on.
package warning

import (
	"markaudit/audit/internal/enum"
	"markaudit/geometry"
)

// Code names a kind of doubt. Codes are stable: other programs read them.
type Code string

// The doubts that an audit can raise. Their sentences are written by package
// report.
const (
	StopInDwell         Code = "stop_in_dwell"          // Values: blocked arc
	HalfArcCreeps       Code = "half_arc_creeps"        // Values: drift over the setup
	HalfArcJumps        Code = "half_arc_jumps"         // Values: range
	MiddlesDrift        Code = "middles_drift"          // Values: drift from the first middle to the last
	OneTrial            Code = "one_trial"              // no scatter, so no interval
	TwoTrials           Code = "two_trials"             // one degree of freedom
	NoPair              Code = "no_pair"                // setup without a usable trial
	NoRemounting        Code = "remounting_not_covered" // one or two setups and no limits.remount
	SetupCopied         Code = "setup_copied"           // its readings are all those of an earlier one
	SetupsDiffer        Code = "setups_differ"          // Values: difference
	RemountExceeded     Code = "remount_exceeded"       // Values: standard deviation seen, standard uncertainty stated
	StandsOut           Code = "reading_stands_out"     // Values: reading, mean of those beside it, its number on the sheet, a second one where two accuse each other; Names: forward or backward, none where the line has one side; the number of the drop
	ScattersDiffer      Code = "scatters_differ"        // Values: its standard deviation, that of the others
	StepCoarse          Code = "step_coarser_than_scatter"
	LostMotionSeen      Code = "lost_motion_seen"    // Values: lost motion, expanded uncertainty
	LostMotionDiffers   Code = "lost_motion_differs" // Values: lost motion seen, stated
	SightingMissing     Code = "sighting_not_included"
	RockMissing         Code = "rock_not_included"
	CentringMissing     Code = "centring_not_included"
	LostMotionMissing   Code = "lost_motion_not_included"    // an encoder, lines read from one side
	UAboveTolerance     Code = "uncertainty_above_tolerance" // Values: U, tolerance
	NotRead             Code = "mark_not_read"
	NoPartner           Code = "contact_without_partner" // Names: "closing" for a closing contact
	ReadOnce            Code = "read_once"               // no scatter to lend
	ReadTwice           Code = "read_twice"              // one degree of freedom
	SameDiameters       Code = "diameters_equal"         // Values: diameter
	OddDiameter         Code = "diameter_out_of_range"   // Values: diameter; Names: key
	DirectionUnchecked  Code = "direction_unconfirmed"   // Values: mean offset as declared and mirrored; none where all lines are at 0 or 180
	SideUnchecked       Code = "side_unconfirmed"
	DeclarationSuspect  Code = "declaration_suspect" // Suspicions
	ReadoutMoved        Code = "readout_moved"       // Values: difference of the closing middle
	LineOrder           Code = "line_order"          // Names: the two lines
	ArcsDiffer          Code = "blocked_arcs_differ" // Names: fitting; Values: range of the blocked arcs
	OffCentreExceeded   Code = "off_centre_exceeded" // Names: fitting; Values: amplitude found, limit stated
	CorrectionOld       Code = "correction_old"      // Values: days between the correction and the measurement
	CorrectionUndated   Code = "correction_undated"
	CorrectionUnknown   Code = "correction_origin_unknown" // a file of the first form
	ReferenceOverdue    Code = "reference_overdue"         // Names: what the correction was made against; the day its certificate ended
	DropMismatch        Code = "drop_mismatch"             // Values: drop stated along the cylinder, drop that the half arc stands for
	DropsTrend          Code = "drops_trend"               // Values: change of the middle from the smallest half arc to the largest
	DropsDisagree       Code = "drops_disagree"            // Values: range of the drops' middles
	SweepNoTop          Code = "sweep_without_top"         // the points do not bend over a top between them
	SweepOneSided       Code = "sweep_one_sided"           // Values: points before TDC, points after it
	LimbsDiffer         Code = "limbs_differ"              // Values: millimetres between the rising and the falling limb
	SweepMisfit         Code = "sweep_misfit"              // Values: per cent by which the curve is steeper than the crank's
	SlackMissing        Code = "slack_not_included"
	ApproachUnsaid      Code = "approach_not_stated"
	SideNotProven       Code = "side_not_proven" // of a dial: the letters alone say the side of TDC
	DialErrorMissing    Code = "dial_error_not_included"
	ProbeMissing        Code = "probe_angle_not_included"
	RockSeen            Code = "rock_seen"              // Values: degrees between the depths, millimetres of height, their uncertainty
	BankDiffers         Code = "bank_angle_differs"     // Names: the two cylinders; Values: angle found, declared
	BankNotFound        Code = "bank_not_found"         // Names: the line's cylinder, the one whose TDC was found; Values: angle declared
	MethodsDiffer       Code = "methods_differ"         // Names: the two methods; Values: difference, its uncertainty
	HistoryNotUsed      Code = "history_not_used"       // Names: why (package past), then whose hands; Values: standard deviation then, today
	HistoryOld          Code = "history_old"            // Values: days from its newest sheet; zero where a date is missing
	HistoryOutOfControl Code = "history_out_of_control" // Names: digests of the sheets outside
	SpacingDiffers      Code = "spacing_differs"        // Names: the two lines; Values: measured, expected, uncertainty; millimetres or teeth
	EyeCheckFailed      Code = "eye_check_failed"
	InstrumentOverdue   Code = "instrument_overdue" // Names: what it is, its name, the day its certificate ended, the day of the sheet
	PhotoChanged        Code = "photo_changed"      // Names: file, digest stated, digest found
	PhotoMissing        Code = "photo_missing"      // Names: file
)

// Warning is a doubt about the measurement, with the place it concerns. Values
// are angles in degrees or lengths in millimetres as its code says.
type Warning struct {
	Code       Code
	Setup      string
	Mark       string
	Values     []float64
	Names      []string
	Suspicions []Suspicion
}

// Mistake is a kind of slip of the pen on a sheet.
type Mistake uint8

// LettersSwapped: BTDC for ATDC, of one line or of every line. NamesSwapped: two
// lines under each other's names. CountsMirrored: the readout counts the other
// way. OtherCylinder: the stop sat in another one. NoLine: none of these, but
// further off than any line is.
const (
	LettersSwapped Mistake = iota
	AllLettersSwapped
	NamesSwapped
	CountsMirrored
	OtherCylinder
	NoLine
)

// Suspicion is one mistake that would explain the offsets.
type Suspicion struct {
	Mistake Mistake
	Lines   []string       // that it concerns
	Angle   geometry.Angle // between the cylinders, or of the largest offset
}

var mistakeWords = []string{"letters swapped", "all letters swapped", "names swapped", "counts mirrored", "other cylinder", "no line"}

func (m Mistake) String() string { return enum.Word(mistakeWords, m) }

// MarshalText writes the word.
func (m Mistake) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (m *Mistake) UnmarshalText(text []byte) error { return enum.From(m, mistakeWords, text) }
