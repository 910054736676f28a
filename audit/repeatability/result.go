package repeatability

import "markaudit/geometry"

// Confidence is that of every interval of a study.
const Confidence = 0.95

// Result is everything that a study tells.
type Result struct {
	Data       Data
	Method     Method
	People     []Person // in the order of appearance
	Marks      []Level  // likewise
	Anova      []Source // of a balanced study
	Pooling    Pooling
	Pooled     bool // the interaction was pooled with the repeatability
	Components Components
	// ShareOfTolerance is six standard deviations of the reproducibility over
	// the whole width of the tolerance.
	ShareOfTolerance Estimate
	// Categories is 1.41 times the standard deviation of the marks over that of
	// the reproducibility, not yet cut to a whole number.
	Categories Estimate
	H1, H5     Estimate // critical values of h at 1 % and 5 %
	K1, K5     Estimate // of k, where all have the same degrees of freedom
	// SharedSetups: values of one trial go together, so that people are judged by
	// their trials.
	SharedSetups bool
	// BetweenChance is that of people who differ as much where nobody does.
	BetweenChance Estimate
	Reference     *Reference  // nil where nothing is known of any mark
	ByMeans       bool        // the reproducibility's limits come from the cells' means, not from restricted maximum likelihood
	Steadiest     string      // who repeats better than the rest by more than chance; empty: nobody is shown to
	Slips         []Slip      // values that a slip of the pen explains; unless AsRead, nothing else has them in
	Near          [][2]string // people whose names are one letter apart, and who have no trial in common
	Flags         []Flag
	Gaps          []Gap
}

// Reference is the class against what is known of its marks.
type Reference struct {
	Bias   Estimate   // of the class, later above zero; degrees, 95 %
	People []Estimate // of each person, in the order of People; not known of who measured none of these marks
	// OfMark is the ± of the bias of one mark by ISO 5725-4, A·s_R; degrees, 95 %.
	// What is known of the mark counts as exact there.
	OfMark Estimate
}

// Method is how the components were found.
type Method uint8

// Anova: two-way random analysis of variance. REML: restricted maximum
// likelihood.
const (
	Anova Method = iota
	REML
)

func (m Method) String() string { return [...]string{"anova", "reml"}[m] }

// Pooling says what to do with the interaction of people and marks.
type Pooling uint8

// PoolAuto pools it with the repeatability when its F test gives a probability
// above 0.25. PoolAlways and PoolNever do what they say.
const (
	PoolAuto Pooling = iota
	PoolAlways
	PoolNever
)

// poolAbove is the probability of the interaction above which it is pooled: the
// rule of the automotive measurement systems handbook (4th edition, chapter III,
// section B), after Bancroft.
const poolAbove = 0.25

// Estimate is a number that may not be known, with an interval that may not be
// known either.
type Estimate struct {
	Value     float64
	Known     bool
	Low, High float64
	Bounded   bool // Low and High are known
}

func know(v float64) Estimate { return Estimate{Value: v, Known: true} }

// Components are standard deviations, in degrees. Reproducibility is that of
// single values by different people, its share of repeatability included
// (ISO 5725-1, 3.18, with people in place of laboratories).
type Components struct {
	Repeatability, Reproducibility, Person, Interaction, Mark Estimate
	RepeatabilityDOF                                          float64
}

// Source is a row of the analysis of variance.
type Source struct {
	Name         string // "people", "marks", "interaction", "repeatability", "total"
	DOF          float64
	Squares      float64  // degrees squared
	F            Estimate // against the interaction, or what it was pooled with
	P            Estimate
	FWithin      Estimate // against the repeatability alone
	WithinChance Estimate
}

// MeanSquare is the squares over their degrees of freedom.
func (s Source) MeanSquare() float64 { return s.Squares / s.DOF }

// Person is what a study says of one of them.
type Person struct {
	By        string
	N         int
	Mean      geometry.Angle // of the values as they are
	Deviation Estimate       // from the mean of all people, marks allowed for; degrees
	Chance    Estimate       // of a deviation as large where nobody sits off
	SD        Estimate       // within marks, degrees
	DOF       float64
	H, K      Estimate
	K1        Estimate // critical at 1 %, by the degrees of freedom of this person
	Drift     Trend    // of the values
	Sides     Estimate // later by forward than by backward approach; degrees
	SideN     int
	Stop      StopHand
	Digits    Digits
	ByMark    []PersonMark
}

// PersonMark is one person at one mark.
type PersonMark struct {
	Mark      string
	N         int
	Mean      geometry.Angle // of the values as they are
	Deviation geometry.Angle // from the mean of the people's means
	SD        Estimate
	H, K      Estimate
}

// Level is one mark in the terms of ISO 5725-2, with people in place of
// laboratories.
type Level struct {
	Mark                           string
	N                              int
	Mean                           geometry.Angle
	SpreadOfMeans                  Estimate // standard deviation of the people's means
	Repeatability, Reproducibility Estimate
	Cochran, CochranCritical       Estimate // at 5 %
	Grubbs, GrubbsCritical         Estimate // of the people's means, at 5 %
	CochranBy, GrubbsBy            string
	H1, H5, KCritical1, KCritical5 Estimate
}

// Trend is a straight line through trials, in degrees a trial.
type Trend struct {
	Slope, Chance Estimate
	DOF           float64
	Trials        float64 // from the first to the last
}

// Over is what the trend comes to from the first trial to the last, degrees.
func (t Trend) Over() float64 { return t.Slope.Value * t.Trials }

// StopHand is how steadily a person met the stop.
type StopHand struct {
	MiddleSD, HalfArcSD Estimate // within setups, degrees
	DOF                 float64
	Ratio, Critical     Estimate // variance of half arcs over that of the others', at 5 % for all people together
	Creep               Trend
}

// Code names a finding. The words are part of the result for other programs.
type Code string

// What can stand out.
const (
	SitsOff      Code = "sits_off"     // Values: deviation, its chance
	Scatters     Code = "scatters"     // Values: sd, sd of the others
	StandsOut    Code = "stands_out"   // Values: value, mean of the others at this mark; Trial
	Drifts       Code = "drifts"       // Values: degrees from first trial to last
	SidesDiffer  Code = "sides_differ" // Values: forward later than backward, mean of the others
	StopCreeps   Code = "stop_creeps"  // Values: degrees from first pair to last
	StopWanders  Code = "stop_wanders" // Values: sd of the half arcs, that of the others
	Digit        Code = "last_digits"  // Values: the step that all lie on, how many readings, the readout's step
	Disagreement Code = "interaction"  // Values: deviation of the person at this mark beyond the person's own, chance of the interaction
)

// Flag is something that stands out.
type Flag struct {
	Code                Code
	By, Mark            string
	Trial               int
	Statistic, Critical Estimate
	Values              []float64
}

// Gap is something that the values cannot tell.
type Gap string

// What cannot be told, and why.
const (
	OnePerson     Gap = "one_person"                // nothing of differences between people
	OneMark       Gap = "one_mark"                  // nothing of marks or of interaction
	OneRepeat     Gap = "one_repeat"                // interaction is not told from repeatability
	NoRepeat      Gap = "no_repeat"                 // nor anything of repeatability
	NoInteraction Gap = "no_interaction"            // too few people share too few marks to tell interaction
	NotConnected  Gap = "not_connected"             // people share no marks
	SomeNameless  Gap = "nameless"                  // setups without a name were left out
	NoTolerance   Gap = "no_tolerance"              // no share of a tolerance
	Rounded       Gap = "all_alike"                 // values do not differ at all within people
	StepHides     Gap = "step_coarser_than_scatter" // values differ by less than the step lets see
	StepTooFine   Gap = "step_on_sheet"             // everybody reads a coarser step than the sheet says
	ReadingsOnly  Gap = "within_a_setup"            // values are readings within one setup a person
)
