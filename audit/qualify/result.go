package qualify

import "markaudit/geometry"

// Options say what the new stop is held to, and what is known of readout and
// engine.
type Options struct {
	AllowedBias geometry.Angle // each way, above zero
	Tolerance   geometry.Angle // of the marks that the stop is for, each way; zero: not stated, and no Cg
	Step        geometry.Angle // of the readout, above zero
	Counts      geometry.Sense // zero: from the contacts

	Crank        *geometry.Crank // nil where stroke and rod are not known
	OffsetLimit  geometry.Length // by which its offset may be wrong, either way
	AllowedRatio float64         // of the variances, new to reference; zero is 4, twice the scatter
	Trusted      *Stated         // what is known of the trusted stop; nil: nothing, and it is the measure
	AsRead       bool            // readings that stand out were looked up: they count as they are
}

// Verdict is what the comparison comes to. The zero value is NotProven.
type Verdict uint8

// The three verdicts.
const (
	NotProven Verdict = iota
	Qualified
	Rejected
)

func (v Verdict) String() string { return [...]string{"not proven", "qualified", "rejected"}[v] }

// Reason is what a verdict rests on.
type Reason string

// The reasons. The first belongs to Qualified, the next three to Rejected, the
// others to NotProven. Of a study too small, what would reject it is said too.
const (
	BiasExcluded     Reason = "bias_excluded"      // proven to be within the allowed bias, and to scatter and creep little enough
	BiasBeyond       Reason = "bias_beyond"        // the whole interval is outside
	ScattersMore     Reason = "scatters_more"      // the variance ratio's lower limit is above the allowed one
	Creeps           Reason = "creeps"             // by more than allowed over one fitting, for certain
	LookFirst        Reason = "look_first"         // a reading cannot belong: no verdict before it is looked up
	TooFewSetups     Reason = "too_few_setups"     // under three, or under two degrees of freedom
	StepHides        Reason = "step_hides"         // rounding may hide as much as is allowed
	EarlyNotRuled    Reason = "early_not_ruled"    // too early by more than allowed is not ruled out
	LateNotRuled     Reason = "late_not_ruled"     // too late likewise
	ScatterUnseen    Reason = "scatter_unseen"     // one pair a setup
	StepHidesScatter Reason = "step_hides_scatter" // the trusted stop's is about what the step alone gives
	ScatterNotShown  Reason = "scatter_not_shown"  // to be small enough
	CreepNotRuled    Reason = "creep_not_ruled"    // a pair that catches it may be off by more than allowed
	OneToolOnly      Reason = "one_tool_only"      // one of the tools was not read
)

// Code is a kind of doubt.
type Code string

// The doubts, with what Values holds; degrees unless it is said.
const (
	NoPartner        Code = "contact_without_partner" // nothing
	Struck           Code = "trial_struck"            // nothing
	StopInDwell      Code = "stop_in_dwell"           // the smallest blocked arc
	HalfArcsDiffer   Code = "half_arcs_differ"        // reference, new
	StepCoarser      Code = "step_coarser_than_scatter"
	ReferenceNoNoise Code = "reference_without_scatter" // the scatter that stands in for it
	Drift            Code = "readout_drifts"            // a trial; what of the bias it explains
	Unbalanced       Code = "order_not_balanced"        // new after reference on average, in trials
	LeftOut          Code = "setups_left_out"           // nothing
	Unpaired         Code = "one_tool_a_setup"          // nothing
	OneSetup         Code = "remounting_not_covered"    // nothing
	ReferenceCreeps  Code = "reference_creeps"          // a trial
	OffsetOpen       Code = "offset_not_known"          // what it leaves open in the bias
	MiddlesFar       Code = "middles_far_apart"         // widest range of one tool's middles in one setup
	StandsOut        Code = "reading_stands_out"        // by how much; Lines has the rows
	LabelsExchanged  Code = "labels_exchanged"          // half arcs of the rows written as reference and as new (NaN: none), median ones of the others; Lines
	LabelsUnchecked  Code = "labels_not_checked"        // nothing
)

// Warning is a doubt. Setup and Trial are empty where it is about all of them.
type Warning struct {
	Code         Code
	Setup, Trial string
	Tool         string
	Values       []float64
	Lines        []int // of the file
}

// Cell is what one tool did in one setup.
type Cell struct {
	Middles, HalfArcs []geometry.Angle // trial by trial; middles are readings, unwrapped around the setup
	Order             []float64        // place of each trial among those of the setup, from 0
	own               []float64        // place of each among those of its tool, from 0
	at                []int            // into the study's trials
	Middle, HalfArc   geometry.Angle   // means
	Correction        geometry.Angle   // β: how far after the piston's top the middle lies
	Reading           geometry.Angle   // what the readout shows at TDC by this tool, corrected, within (-180°, 180°] of Middle's turn
}

// Used reports whether there is a usable trial.
func (c Cell) Used() bool { return len(c.Middles) > 0 }

// Setup is one mounting of the readout.
type Setup struct {
	Name, By       string
	Reference, New Cell
	Difference     geometry.Angle // new less reference, positive later; meaningless unless Paired
	Paired         bool
}

// Bias is how much later the new tool puts TDC than the trusted one.
type Bias struct {
	Value         geometry.Angle // with what the trusted stop's own bias was stated to be
	OfTrusted     geometry.Angle // against the trusted stop alone
	StandardError geometry.Angle
	DOF           float64
	Open          geometry.Angle // what the offset's limit leaves open, added to either side, as is what the step hides
	Fitting       geometry.Angle // how far from the bias a further fitting lies, 95 of 100; 0: not known

	half90, half95 float64        // degrees, of the error alone
	Known          bool           // the interval and the probabilities are
	Low, High      geometry.Angle // 95 %
	Low90, High90  geometry.Angle // 5 % to either side, on which the verdict rests
	PLower         float64        // of so late a TDC, were the bias the allowed one early
	PUpper         float64        // of so early a TDC, were it the allowed one late
}

// Scatter is how well a tool repeats its middle within setups.
type Scatter struct {
	SD  geometry.Angle
	DOF float64 // zero: not known
}

// Ratio is that of the variances, new to reference.
type Ratio struct {
	Value, Low, High float64 // 95 %
	Known            bool
	Floored          bool // the reference's scatter is what its step alone gives

	Upper float64 // one-sided limit at 5 %, without the step's part in the reference's scatter
	Shown bool    // whether there is one
}

// Fitting is the change of a half arc from the first trial of a fitting to the
// last one, with its 95 % half width.
type Fitting struct {
	Change, Half geometry.Angle
	Trials       int
	Known        bool
}

// Trend is a slope a trial within setups, with its 95 % half width.
type Trend struct {
	Slope, Half geometry.Angle
	P           float64 // two-sided
	DOF         float64 // zero: not known
}

// Known reports whether there is a slope.
func (t Trend) Known() bool { return t.DOF > 0 }

// Significant reports whether it differs from none at 5 %.
func (t Trend) Significant() bool { return t.Known() && t.P < level }

// Result is the comparison.
type Result struct {
	Options
	CountsFound bool // from the contacts
	Setups      []Setup
	Paired      bool // the bias is a mean of differences within setups; else a difference of means
	BiasSetups  int  // setups the bias rests on; unpaired: of the tool with fewer
	Trials      [2]int
	HalfArcs    [2]geometry.Angle // mean over setups, reference and new; zero without any

	Bias           *Bias // nil where one of the tools was not read
	Scatter        [2]Scatter
	Ratio          Ratio
	Hidden         geometry.Angle // what rounding can hide in the bias, both tools together
	HiddenOf       [2]geometry.Angle
	Creep          Trend   // of the new tool's half arc; positive: it works its way in
	CreepFitting   Fitting // the same over one fitting
	ReferenceCreep Trend
	Drift          Trend          // of the middles over the order of the rows, positive later
	DriftInBias    geometry.Angle // what of the bias the drift would explain
	Cg, Cgk        *float64

	Slips   []Slip // readings that cannot belong, by the order of the file
	Verdict Verdict
	Reasons []Reason

	// Of the new tool's half arc; nil without the crank.
	PerDegree *geometry.Length // that the piston falls a degree
	Warnings  []Warning
}

// ContactHeight returns by how much the two contacts would have to differ in
// height to move TDC by a bias.
func (r Result) ContactHeight(bias geometry.Angle) geometry.Length {
	return geometry.Length(2*bias.Abs()) * *r.PerDegree
}
