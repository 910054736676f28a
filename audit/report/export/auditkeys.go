package export

import (
	"markaudit/audit/sheet"
)

// The keys of an audit. Those that only some engines have a use for are there, on
// every entry, where the sheet uses what they tell of.

type jsonResult struct {
	Format      int            `json:"format"`
	Software    string         `json:"software"`
	Commit      *string        `json:"commit"`
	Digest      string         `json:"digest"`
	Sheet       string         `json:"sheet"`
	Title       string         `json:"title"`
	Confidence  float64        `json:"confidence"`
	TDC         *jsonTDC       `json:"tdc"`
	Marks       []jsonMark     `json:"marks"`
	CommonShift jsonShift      `json:"common_shift"`
	Distances   []jsonDistance `json:"distances"`
	jsonCases
	Diagnosis jsonDiagnosis `json:"diagnosis"`
	jsonPaperwork
	Readings    []jsonEntered   `json:"readings"`
	Stated      []jsonSaid      `json:"stated"`
	Warnings    []jsonWarning   `json:"warnings"`
	JobRecord   jsonAuditRecord `json:"job_record"`
	SheetAsRead sheet.Sheet     `json:"sheet_as_read"`
}

type jsonTDC struct {
	Method        string      `json:"method"`
	Trials        int         `json:"trials"`
	Setups        int         `json:"setups"`
	Repeatability *float64    `json:"repeatability_deg"`
	DOF           *float64    `json:"dof"`
	Standard      *float64    `json:"standard_uncertainty_deg"`
	ThrowToTDC    *float64    `json:"throw_to_tdc_deg"`
	BySetup       []jsonSetup `json:"by_setup"`
}

type jsonSetup struct {
	Setup      string   `json:"setup"`
	By         string   `json:"by"`
	Method     string   `json:"method"`
	Reading    *float64 `json:"reading_deg"`
	HalfArc    *float64 `json:"half_arc_deg"`
	HalfArcSD  *float64 `json:"half_arc_sd_deg"`
	Correction float64  `json:"pin_offset_correction_deg"`
	Trials     int      `json:"trials"`
	Closing    *float64 `json:"closing_difference_deg"`
	jsonSetupCase
}

type jsonSetupCase struct {
	Mounting optional[string]  `json:"mounting,omitzero"`
	Cylinder optional[string]  `json:"cylinder,omitzero"`
	Points   optional[int]     `json:"points,omitzero"`
	Fit      optional[float64] `json:"fit_standard_uncertainty_deg,omitzero"`
	Slack    optional[float64] `json:"slack_correction_deg,omitzero"`
	Top      optional[float64] `json:"top_mm,omitzero"`
	TopSD    optional[float64] `json:"top_sd_mm,omitzero"`
	TopMoved optional[float64] `json:"closing_difference_mm,omitzero"`
}

type jsonMark struct {
	Name        string      `json:"name"`
	Nominal     float64     `json:"nominal_deg"`
	NominalText string      `json:"nominal_text"`
	ComesUpAt   *float64    `json:"comes_up_at_deg"`
	Offset      *float64    `json:"offset_deg"`
	Standard    *float64    `json:"standard_uncertainty_deg"`
	DOF         *float64    `json:"effective_dof"`
	Expanded    *float64    `json:"expanded_uncertainty_deg"`
	Interval    *[2]float64 `json:"interval_deg"`
	Tolerance   float64     `json:"tolerance_deg"`
	Conformity  *float64    `json:"conformity_probability"`
	Early       *float64    `json:"early_probability"`
	Late        *float64    `json:"late_probability"`
	Risk        *float64    `json:"risk"`
	Verdict     string      `json:"verdict"`
	Covers      string      `json:"covers"`
	NotIncluded []string    `json:"not_included"`
	Arc         *float64    `json:"arc_mm"`
	ArcExpanded *float64    `json:"arc_expanded_mm"`
	Chord       *float64    `json:"chord_mm"`
	Teeth       *float64    `json:"teeth"`
	jsonMarkCase
	Scribe   jsonScribe `json:"scribe"`
	ToDecide *string    `json:"to_decide"`
	Next     *jsonNext  `json:"next"`
	Budget   []jsonRow  `json:"budget"`
}

type jsonMarkCase struct {
	On            optional[string]  `json:"on,omitzero"`
	Cylinder      optional[string]  `json:"cylinder,omitzero"`
	NominalDrop   optional[float64] `json:"nominal_drop_mm,omitzero"`
	Drop          optional[float64] `json:"drop_mm,omitzero"`
	DropExpanded  optional[float64] `json:"drop_expanded_mm,omitzero"`
	DropNominal   optional[float64] `json:"drop_nominal_mm,omitzero"`
	SideTold      optional[bool]    `json:"side_told,omitzero"`
	DropTolerance optional[float64] `json:"tolerance_drop_mm,omitzero"`
	Early         optional[float64] `json:"tolerance_early_deg,omitzero"`
	Late          optional[float64] `json:"tolerance_late_deg,omitzero"`
	Corrected     optional[float64] `json:"correction_deg,omitzero"`
}

type jsonScribe struct {
	Direction  string   `json:"direction"`
	Along      string   `json:"along"`
	Towards    *string  `json:"towards"`
	Move       string   `json:"move"`
	Arc        *float64 `json:"arc_mm"`
	Chord      *float64 `json:"chord_mm"`
	Worthwhile bool     `json:"worthwhile"`
	Then       *float64 `json:"then_expanded_deg"`
	Withheld   *string  `json:"withheld"`
	Check      *string  `json:"check"`
	Text       *string  `json:"text"`

	Window optional[string] `json:"window,omitzero"`
}

type jsonNext struct {
	Trials   int     `json:"trials"`
	Readings int     `json:"readings"`
	Setups   int     `json:"setups"`
	Chance   float64 `json:"chance"`

	First *jsonFirst `json:"first"`
}

type jsonFirst struct {
	Trials   int     `json:"trials"`
	Readings int     `json:"readings"`
	Chance   float64 `json:"chance"`
}

type jsonRow struct {
	Source       string   `json:"source"`
	SourceKey    string   `json:"source_key"`
	Evaluation   string   `json:"evaluation"`
	Distribution string   `json:"distribution"`
	HalfWidth    *float64 `json:"half_width_deg"`
	N            *int     `json:"n"`
	DOF          *float64 `json:"dof"`
	Sensitivity  float64  `json:"sensitivity"`
	Standard     float64  `json:"standard_uncertainty_deg"`
	Share        float64  `json:"share"`
	Shared       bool     `json:"shared"`
}

type jsonShift struct {
	Offset      *float64   `json:"offset_deg"`
	Expanded    *float64   `json:"expanded_uncertainty_deg"`
	Homogeneity *float64   `json:"homogeneity_p"`
	Finding     string     `json:"finding"`
	StandsOut   []string   `json:"stands_out"`
	Scribe      jsonScribe `json:"scribe"`
	Text        string     `json:"text"`
}

type jsonDistance struct {
	From  string   `json:"from"`
	To    string   `json:"to"`
	Now   float64  `json:"now_chord_mm"`
	After float64  `json:"after_chord_mm"`
	U     *float64 `json:"now_expanded_mm"`

	NowRound   *float64 `json:"now_round_mm"`
	AfterRound *float64 `json:"after_round_mm"`
	RoundU     *float64 `json:"now_round_expanded_mm"`

	Checks bool     `json:"checks"` // the report lists it, as a check of the readings
	Along  float64  `json:"along_rim_mm"`
	AlongU *float64 `json:"along_rim_expanded_mm"`
}

type jsonWarning struct {
	Code  string  `json:"code"`
	Text  string  `json:"text"`
	Setup *string `json:"setup"`
	Mark  *string `json:"mark"`
}

type jsonCases struct {
	Groups    optional[[]jsonGroup]    `json:"groups,omitzero"`
	Between   optional[[]jsonBetween]  `json:"between_groups,omitzero"`
	Slip      optional[string]         `json:"slip,omitzero"`
	Cylinders optional[[]jsonCylinder] `json:"cylinders,omitzero"`
	Methods   optional[[]jsonMethod]   `json:"methods,omitzero"`
	Spacings  optional[[]jsonSpacing]  `json:"spacings,omitzero"`
	Rock      optional[jsonRock]       `json:"rock,omitzero"`
	Centring  optional[[]jsonCentring] `json:"centring,omitzero"`
	History   optional[jsonPastUse]    `json:"history,omitzero"`
}

// jsonPastUse is what became of the readout's history.
type jsonPastUse struct {
	Readout string        `json:"readout"`
	Digest  string        `json:"digest"`
	Sheets  int           `json:"sheets"`
	Middles jsonUse       `json:"middles"`
	Lines   []jsonLineUse `json:"lines"`
}

type jsonLineUse struct {
	Name       string  `json:"name"`
	Readings   jsonUse `json:"readings"`
	Remounting jsonUse `json:"remounting"`
}

// jsonUse is one part of it. Sheets are the earlier ones that show it.
type jsonUse struct {
	Used     bool     `json:"used"`
	Objected bool     `json:"objected"`
	Then     *float64 `json:"then_sd_deg"`
	Today    *float64 `json:"today_sd_deg"`
	Sheets   int      `json:"sheets"`
}

type jsonGroup struct {
	Name      string   `json:"name"`
	Marks     []string `json:"marks"`
	Offset    *float64 `json:"offset_deg"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
	Finding   string   `json:"finding"`
	StandsOut []string `json:"stands_out"`
}

type jsonBetween struct {
	From     string  `json:"from"`
	To       string  `json:"to"`
	Offset   float64 `json:"offset_deg"`
	Expanded float64 `json:"expanded_uncertainty_deg"`
	Differ   bool    `json:"differ"`
}

type jsonCylinder struct {
	From      string   `json:"from"`
	To        string   `json:"to"`
	Declared  float64  `json:"declared_deg"`
	Angle     float64  `json:"angle_deg"`
	Standard  *float64 `json:"standard_uncertainty_deg"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
	Mountings int      `json:"mountings"`
	Differs   *bool    `json:"differs"`
}

type jsonMethod struct {
	First        string   `json:"first"`
	Second       string   `json:"second"`
	Later        float64  `json:"second_later_by_deg"`
	Expanded     *float64 `json:"expanded_uncertainty_deg"`
	SameMounting bool     `json:"same_mounting"`
	Differ       *bool    `json:"differ"`
}

type jsonSpacing struct {
	From     string   `json:"from"`
	To       string   `json:"to"`
	Unit     string   `json:"unit"`
	Measured float64  `json:"measured"`
	Expected float64  `json:"by_readings"`
	Expanded *float64 `json:"expanded_uncertainty"`
	Nominal  float64  `json:"nominal"`
	Differs  *bool    `json:"differs"`
}

type jsonRock struct {
	Height   float64  `json:"height_mm"`
	Expanded float64  `json:"expanded_uncertainty_mm"`
	Shift    float64  `json:"deep_against_shallow_deg"`
	Seen     bool     `json:"seen"`
	Used     bool     `json:"used"`
	Setups   []string `json:"setups"`
}

type jsonCentring struct {
	Fitting   string   `json:"fitting"`
	Setups    []string `json:"setups"`
	Range     float64  `json:"blocked_arc_range_deg"`
	Varies    bool     `json:"varies"`
	Amplitude *float64 `json:"amplitude_deg"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
	Toward    *float64 `json:"toward_deg"`
	OffCentre *float64 `json:"off_centre_mm"`
	OffU      *float64 `json:"off_centre_expanded_mm"`
	Seen      bool     `json:"seen"`
}
