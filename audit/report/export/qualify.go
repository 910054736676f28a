package export

import (
	"io"
	"math"

	"markaudit/audit/qualify"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// Qualify writes the comparison of a new stop with a trusted one as one object and a newline.
func Qualify(w io.Writer, r qualify.Result, tools words.Tools, o document.Options) error {
	v := words.Qualify{Result: r, Tools: tools}
	out := jsonQualify{
		Format: 1, Software: o.Software, Allowed: r.AllowedBias.Degrees(), Paired: r.Paired, Cg: r.Cg, Cgk: r.Cgk,
		Counts: "up", CountsFound: r.CountsFound, Verdict: r.Verdict.String(), Reasons: []string{},
		AllowedScatter: math.Sqrt(r.AllowedRatio), Further: []jsonChance{}, Slips: []jsonSlip{}, Setups: []jsonToolSetup{}, Warnings: []jsonToolDoubt{}, Tag: v.Tag(), Text: v.Answer(),
		SD: when(r.Scatter[1].DOF > 0, r.Scatter[1].SD.Degrees()), ReferenceSD: when(r.Scatter[0].DOF > 0, r.Scatter[0].SD.Degrees()),
		Creep: when(r.Creep.Known(), r.Creep.Slope.Degrees()), CreepP: when(r.Creep.Known(), r.Creep.P),
		Drift: when(r.Drift.Known(), r.Drift.Slope.Degrees()), DriftP: when(r.Drift.Known(), r.Drift.P),
	}
	out.Chain = chainJSON(r.Trusted)
	if r.Counts == geometry.CountsDown {
		out.Counts = "down"
	}
	if b := r.Bias; b != nil {
		out.Bias = known(b.Value.Degrees())
		out.Hidden = known(r.Hidden.Degrees())
		out.Open = known(b.Open.Degrees())
		if r.Trusted != nil {
			out.Trusted = &jsonStated{r.Trusted.Bias.Degrees(), r.Trusted.Expanded.Degrees()}
			out.OfTrusted = known(b.OfTrusted.Degrees())
		}
		out.Fitting = when(b.Fitting > 0, b.Fitting.Degrees())
		if b.Known {
			out.Interval = &[2]float64{b.Low.Degrees(), b.High.Degrees()}
			out.PLower, out.PUpper, out.DOF = known(b.PLower), known(b.PUpper), known(b.DOF)
			out.StandardError = known(b.StandardError.Degrees())
		}
		if r.PerDegree != nil {
			out.Height = known(r.ContactHeight(b.Value).Millimetres())
		}
	}
	if r.Ratio.Known {
		out.Ratio = known(r.Ratio.Value)
		if known(r.Ratio.Low) != nil && known(r.Ratio.High) != nil {
			out.RatioLimits = &[2]float64{r.Ratio.Low, r.Ratio.High}
		}
	}
	out.RatioUpper = when(r.Ratio.Shown, math.Sqrt(r.Ratio.Upper))
	if f := r.CreepFitting; f.Known {
		out.CreepFitting, out.CreepFittingHalf = known(f.Change.Degrees()), known(f.Half.Degrees())
	}
	for _, c := range r.Further() {
		out.Further = append(out.Further, jsonChance{c.Setups, c.Settled})
	}
	for _, slip := range r.Slips {
		out.Slips = append(out.Slips, jsonSlip{
			Rows: append([]int{}, slip.Lines...), Tool: slip.Tool.String(), Setup: slip.Setup, Trial: slip.Trial,
			Exchanged: slip.Exchanged, By: when(!slip.Exchanged, slip.By.Degrees()), AsRead: r.AsRead,
		})
	}
	for _, reason := range r.Reasons {
		out.Reasons = append(out.Reasons, string(reason))
	}
	for _, s := range r.Setups {
		out.Setups = append(out.Setups, jsonToolSetup{
			Setup: s.Name, Reference: when(s.Reference.Used(), s.Reference.Reading.Turn().Degrees()), New: when(s.New.Used(), s.New.Reading.Turn().Degrees()),
			Difference: when(s.Paired, s.Difference.Degrees()), Trials: [2]int{len(s.Reference.Middles), len(s.New.Middles)},
		})
	}
	for _, x := range r.Warnings {
		out.Warnings = append(out.Warnings, jsonToolDoubt{string(x.Code), v.Warning(x), textOrNull(x.Setup)})
	}
	return indented(w, out)
}

type jsonQualify struct {
	Format           int             `json:"format"`
	Software         string          `json:"software"`
	Bias             *float64        `json:"bias_deg"`
	Interval         *[2]float64     `json:"bias_interval_deg"`
	OfTrusted        *float64        `json:"bias_against_trusted_deg"`
	Trusted          *jsonStated     `json:"trusted"`
	Chain            []jsonLink      `json:"chain"`
	StandardError    *float64        `json:"bias_standard_error_deg"`
	Hidden           *float64        `json:"h_deg"`
	Open             *float64        `json:"bias_open_deg"`
	Fitting          *float64        `json:"further_fitting_deg"`
	Allowed          float64         `json:"allowed_bias_deg"`
	PLower           *float64        `json:"p_lower"`
	PUpper           *float64        `json:"p_upper"`
	DOF              *float64        `json:"bias_dof"`
	Paired           bool            `json:"paired"`
	Height           *float64        `json:"bias_as_contact_height_mm"`
	Ratio            *float64        `json:"variance_ratio"`
	RatioLimits      *[2]float64     `json:"variance_ratio_interval"`
	RatioUpper       *float64        `json:"scatter_ratio_upper"`
	AllowedScatter   float64         `json:"allowed_scatter"`
	SD               *float64        `json:"new_sd_deg"`
	ReferenceSD      *float64        `json:"reference_sd_deg"`
	Cg               *float64        `json:"cg"`
	Cgk              *float64        `json:"cgk"`
	Creep            *float64        `json:"creep_deg_per_trial"`
	CreepP           *float64        `json:"creep_p"`
	CreepFitting     *float64        `json:"creep_fitting_deg"`
	CreepFittingHalf *float64        `json:"creep_fitting_expanded_deg"`
	Drift            *float64        `json:"drift_deg_per_trial"`
	DriftP           *float64        `json:"drift_p"`
	Counts           string          `json:"counts"`
	CountsFound      bool            `json:"counts_from_contacts"`
	Verdict          string          `json:"verdict"`
	Reasons          []string        `json:"reasons"`
	ToSettle         *int            `json:"setups_to_settle"` // of an older form; further_setups tells it now, and this is null
	Further          []jsonChance    `json:"further_setups"`
	Slips            []jsonSlip      `json:"slips"`
	Setups           []jsonToolSetup `json:"setups"`
	Warnings         []jsonToolDoubt `json:"warnings"`
	Tag              string          `json:"tag"`
	Text             string          `json:"text"`
}

type jsonStated struct {
	Bias     float64 `json:"bias_deg"`
	Expanded float64 `json:"expanded_uncertainty_deg"`
}

type jsonChance struct {
	Setups  int     `json:"setups"`
	Settled float64 `json:"chance"`
}

type jsonSlip struct {
	Rows      []int    `json:"rows"`
	Tool      string   `json:"tool"`
	Setup     string   `json:"setup"`
	Trial     string   `json:"trial"`
	Exchanged bool     `json:"labels_exchanged"`
	By        *float64 `json:"off_by_deg"`
	AsRead    bool     `json:"as_read"`
}

type jsonToolSetup struct {
	Setup      string   `json:"setup"`
	Reference  *float64 `json:"reference_reading_deg"`
	New        *float64 `json:"new_reading_deg"`
	Difference *float64 `json:"new_later_by_deg"`
	Trials     [2]int   `json:"trials"`
}

type jsonToolDoubt struct {
	Code  string  `json:"code"`
	Text  string  `json:"text"`
	Setup *string `json:"setup"`
}
