package uncertainty

import "fmt"

// Source is where a doubt comes from. Nothing else tells one row of a budget from
// another: not its name in print, not the shape of its distribution, not its
// place in the list.
type Source uint8

// The sources of doubt, in the order in which a budget lists them.
const (
	StopContacts Source = iota + 1 // scatter of the middles of a positive stop
	EqualDrops                     // scatter of the middles of readings at equal drop
	SweepFit                       // residuals of the curve through a sweep
	TopReadings                    // scatter of a dial at the piston's highest point
	StepAtTDC
	LineReadings
	LineReadingsPooled // one estimate of scatter for several lines
	StepAtLine
	BetweenSetups // three setups or more, held against each other
	AsBefore      // setups as the readout was remounted in earlier audits
	OffCentre
	DialError  // of a dial between any two places
	ProbeAngle // how far the dial slants
	CrownLean  // how far the crown leans under the dial
	LostMotion
	LostMotionUnsaid
	Correction
	ReadoutReference // what the correction was made against
	RimDiameter      // of a rim that is the readout
	Sighting
	ContactHeight
	Slack
	Stroke
	Rod
	PinOffset
	BoreOffset
	Remounting
	DiameterOfLengths // reaches the lengths along the rim, not the angle
	Placement
	Diameter
	Dividers
	CountingTeeth
	endOfSources
)

// More is what a person can take more of, so that a doubt becomes smaller.
type More uint8

// Nothing: the source stays as it is however much is read.
const (
	Nothing More = iota
	MorePairs
	MoreReadings
	MoreSetups
)

func (m More) String() string { return [...]string{"nothing", "pairs", "readings", "setups"}[m] }

// sources is the table of sources: one line a source, and all that is to be known
// of it.
var sources = [endOfSources]struct {
	key     string // stable: other programs read it
	name    string // in print
	smaller More   // what makes it smaller
	scatter bool   // evaluated from the scatter of readings: type A (JCGM 100, 4.2)
	ofTDC   bool   // a doubt of TDC, of those that repeat or round
	own     bool   // of one line alone; all others reach several lines together
	folded  bool   // its limit is no angle, so that a budget shows limit times sensitivity
	cure    string // what to do where it stands in the way
}{
	StopContacts: {
		"stop_contacts", "stop contacts", MorePairs, true, true, false, false,
		"take more pairs of contacts",
	},
	EqualDrops: {
		"equal_drops", "equal drops", MorePairs, true, true, false, false,
		"take more pairs of readings at equal drop",
	},
	SweepFit: {
		"sweep_fit", "sweep fit", Nothing, true, true, false, false,
		"take a sweep with more points on both sides of the top",
	},
	TopReadings: {
		"top_readings", "readings of the top", MorePairs, true, true, false, false,
		"read the dial at the top more often, each time from 20 degrees away",
	},
	StepAtTDC: {
		"step_at_tdc", "step, at TDC", Nothing, false, true, false, false,
		"use a readout with a finer step, or take three setups, each with the readout at another start (or use readout.history)",
	},
	LineReadings: {
		"line_readings", "line readings", MoreReadings, true, false, true, false,
		"read the line more often",
	},
	LineReadingsPooled: {
		"line_readings_pooled", "line readings, pooled", MoreReadings, true, false, true, false,
		"read the line more often",
	},
	StepAtLine: {
		"step_at_line", "step, at the line", Nothing, false, false, true, false,
		"use a readout with a finer step, or take three setups, each with the readout at another start (or use readout.history)",
	},
	BetweenSetups: {
		"between_setups", "setups against each other", MoreSetups, true, false, true, false,
		"take more setups",
	},
	AsBefore: {
		"setups_as_before", "setups, as in earlier audits", MoreSetups, true, false, true, false,
		"take more setups",
	},
	OffCentre: {
		"off_centre", "wheel off centre", Nothing, false, false, false, false,
		"centre the wheel more closely, or check how far it is off",
	},
	DialError: {
		"dial_error", "error of the dial", Nothing, false, false, true, true,
		"use a dial with a certificate of a smaller error",
	},
	ProbeAngle: {
		"probe_angle", "slant of the dial", Nothing, false, false, false, true,
		"measure the slant more closely, or stand the dial along the cylinder",
	},
	CrownLean: {
		"crown_lean", "lean of the crown", Nothing, false, false, false, true,
		"let the dial touch a flat part of the crown",
	},
	LostMotion: {
		"lost_motion", "lost motion", Nothing, false, false, false, false,
		"read the line from both sides",
	},
	LostMotionUnsaid: {
		"lost_motion_unsaid", "lost motion, approach not stated", Nothing, false, false, false, false,
		"say on the sheet how the readings were approached (taken)",
	},
	Correction: {
		"correction", "readout's correction", Nothing, false, false, false, false,
		"check the readout again, at more stations, for a better correction",
	},
	ReadoutReference: {
		"readout_reference", "readout's reference", Nothing, false, false, false, false,
		"check the readout against a better reference, for a better correction",
	},
	RimDiameter: {
		"rim_diameter", "rim diameter", Nothing, false, false, false, false,
		"measure the diameter or the circumference more closely",
	},
	Sighting: {
		"sighting", "sighting, engine pointer", Nothing, false, false, false, false,
		"sight the line more finely: a sharp pointer close to the rim, the eye in line with pointer and shaft centre",
	},
	ContactHeight: {
		"contact_height", "contact height (rock)", Nothing, false, false, false, true,
		"fit the stop nearer the pin's axis, or deeper: rock matters less there",
	},
	Slack: {
		"slack", "bearing slack", Nothing, false, false, false, true,
		"take every height with the piston rising: before TDC turning forward, after it turning backward",
	},
	Stroke: {
		"stroke", "stroke", Nothing, false, false, false, true,
		"measure the stroke more closely",
	},
	Rod: {
		"rod", "rod", Nothing, false, false, false, true,
		"measure the rod more closely",
	},
	PinOffset: {
		"pin_offset", "pin offset", Nothing, false, false, false, true,
		"find out to which side the pin offset goes",
	},
	BoreOffset: {
		"bore_offset", "bore offset", Nothing, false, false, false, true,
		"find out to which side the bore offset goes",
	},
	Remounting: {
		"remounting", "remounting", MoreSetups, false, false, false, false,
		"take three setups or more: they show what remounting adds",
	},
	DiameterOfLengths: {
		"diameter_of_lengths", "diameter (lengths only)", Nothing, false, false, false, false,
		"measure the diameter or the circumference more closely",
	},
	Placement: {
		"placement", "placing the new line", Nothing, false, false, false, false,
		"mark the new line with a finer means",
	},
	Diameter: {
		"diameter", "diameter", Nothing, false, false, false, false,
		"measure the diameter or the circumference more closely",
	},
	Dividers: {
		"dividers", "dividers", Nothing, false, false, false, false,
		"measure the distance with finer dividers",
	},
	CountingTeeth: {
		"counting_teeth", "counting teeth", Nothing, false, false, false, false,
		"count from the flank of a tooth, to a quarter of a tooth",
	},
}

// Sources returns every source, in the order of the table.
func Sources() []Source {
	out := make([]Source, 0, endOfSources-1)
	for s := Source(1); s < endOfSources; s++ {
		out = append(out, s)
	}
	return out
}

// String is the source's name in print.
func (s Source) String() string {
	if s == 0 || s >= endOfSources {
		return "no source"
	}
	return sources[s].name
}

// Key is the source's stable name for other programs.
func (s Source) Key() string { return sources[s].key }

// MarshalText returns the key.
func (s Source) MarshalText() ([]byte, error) { return []byte(s.Key()), nil }

// UnmarshalText takes a key.
func (s *Source) UnmarshalText(text []byte) error {
	for i := range sources {
		if sources[i].key == string(text) {
			*s = Source(i)
			return nil
		}
	}
	return fmt.Errorf("found %q, expected the key of a source of doubt", text)
}

// Smaller is what a person can take more of to make the doubt smaller.
func (s Source) Smaller() More { return sources[s].smaller }

// Cure is a short order that clears the doubt, to be read after the source's name.
func (s Source) Cure() string { return sources[s].cure }

// Scatters reports whether the doubt is evaluated from the scatter of readings.
func (s Source) Scatters() bool { return sources[s].scatter }

// Shared reports whether the doubt reaches several lines of a sheet together.
func (s Source) Shared() bool { return !sources[s].own }

// OfReadout are the sources that the readout alone brings.
func OfReadout() []Source {
	return []Source{OffCentre, LostMotion, LostMotionUnsaid, Correction, ReadoutReference, RimDiameter}
}
