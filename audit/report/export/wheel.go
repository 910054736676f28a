package export

import (
	"io"

	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/wheel"
	"markaudit/geometry"
)

// Wheel writes the audit of a readout, and of which table it is, as one object and a
// newline.
func Wheel(w io.Writer, r wheel.Result, table wheel.Table, o document.Options) error {
	return indented(w, wheelJSON(r, table, o))
}

func wheelJSON(r wheel.Result, table wheel.Table, o document.Options) jsonWheel {
	v := words.Wheel{Result: r}
	mm := r.Diameter > 0
	j := jsonWheel{
		Format: 1, Software: o.Software, Digest: table.Digest, Table: o.Path, Method: "reference",
		Rows: r.Rows, Stations: r.Stations, Mountings: []string{}, BothWays: r.BothWays, Binned: r.Binned,
		Diameter: when(mm, r.Diameter.Millimetres()), Counts: told(r.Counts != 0, r.Counts == geometry.CountsUp),
		OffCentre: when(mm, r.OffCentre.By.Millimetres()), OffCentreU: when(mm && r.Known, r.OffCentre.Standard.Millimetres()),
		Toward: r.OffCentre.Toward.Degrees(), Harmonics: []jsonHarmonic{}, DOF: when(r.Known, r.DOF),
		PeakToPeak: r.PeakToPeak.Degrees(), Largest: r.Largest.Degrees(), LargestAt: r.LargestAt.Degrees(),
		Residual: when(r.Known || r.Residual > 0, r.Residual.Degrees()),
		Recentre: jsonRecentre{
			when(mm, r.OffCentre.By.Millimetres()), r.OffCentre.Slide.Degrees(), r.OffCentre.Left.Degrees(), r.OffCentre.Worth == wheel.WorthDoing, v.Recentre(), known(r.OffCentre.Chance),
		},
		Refused: []jsonRefused{}, Warnings: []jsonWheelDoubt{}, Instructions: v.ToDo(), NotSeen: v.NotSeen(),
	}
	switch {
	case r.Opposite:
		j.Method = "opposite"
	case r.Closure != nil:
		j.Method = "closure"
	}
	for _, name := range r.Mountings {
		if name != "" {
			j.Mountings = append(j.Mountings, name)
		}
	}
	for _, h := range r.Harmonics {
		j.Harmonics = append(j.Harmonics, jsonHarmonic{h.Order, h.Amplitude.Degrees(), h.Phase.Degrees(), when(r.Known, h.Standard.Degrees()), when(r.Known, h.P), when(r.Known, r.ExpandedAmplitude(h).Degrees())})
	}
	if l := r.LostMotion; l != nil {
		j.LostMotion, j.Reversal, j.LostMotionU = known(l.Value.Degrees()), known(l.Reversal.Degrees()), when(r.Known, l.Standard.Degrees())
	}
	if s := r.StandsOut; s != nil {
		j.StandsOut = &jsonStation{when(!r.Opposite, s.Reference.Degrees()), s.Reading.Degrees(), s.By.Degrees(), textOrNull(s.Mounting), known(s.Probability), s.LeftOut, append([]int{}, s.Rows...)}
	}
	for _, x := range r.Refused {
		one := jsonRefused{Order: x.Order, Text: v.AboutRefused(x)}
		if x.Reason == wheel.LooksLike {
			one.Like = &x.Like
		}
		j.Refused = append(j.Refused, one)
	}
	if a := r.Axis; a != nil {
		f := func(x geometry.Angle) *float64 { return known(x.Degrees()) }
		j.Axis = &jsonAxis{
			a.Targets, a.Runs, f(a.Accuracy), f(a.AccuracyForward), f(a.AccuracyBackward),
			f(a.Systematic), f(a.SystematicForward), f(a.SystematicBackward), f(a.MeanSystematic),
			f(a.Repeat), f(a.RepeatForward), f(a.RepeatBackward), f(a.Reversal), f(a.MeanReversal),
		}
	}
	if c := r.Closure; c != nil {
		one := &jsonClosure{
			Separated: c.Separated, Complete: c.Complete, DOF: when(c.Known, c.DOF), Residual: when(c.Known, c.Residual.Degrees()),
			Wheel: graduationsJSON(*c, c.Wheel), Reference: graduationsJSON(*c, c.Reference),
		}
		if c.Missing != nil {
			one.Missing = textOrNull(v.Missing())
		}
		j.Closure = one
	}
	if l := r.Lattice; l != nil {
		j.Lattice = &jsonLattice{Alike: l.Alike, Limit: l.Limit.Degrees()}
		if l.Stations > 0 {
			j.Lattice.Stations = &l.Stations
		}
	}
	if x := r.Reference; x != (wheel.Reference{}) {
		j.Reference = &jsonReference{textOrNull(x.Name), textOrNull(x.Number), textOrNull(x.Certificate), textOrNull(x.Due), when(x.Limit > 0, x.Limit.Degrees())}
	}
	if r.Swapped {
		j.Warnings = append(j.Warnings, jsonWheelDoubt{"columns_swapped", v.Doubt()})
	}
	for at := geometry.Angle(0); at < 360; at += 15 {
		j.Curve = append(j.Curve, jsonCurve{at.Degrees(), r.ErrorAt(at).Degrees(), when(r.CurveKnown(), r.Expanded(at).Degrees())})
	}
	return j
}

type jsonWheel struct {
	Format       int              `json:"format"`
	Software     string           `json:"software"`
	Digest       string           `json:"digest"`
	Table        string           `json:"table"`
	Method       string           `json:"method"`
	Rows         int              `json:"rows"`
	Stations     int              `json:"stations"`
	Mountings    []string         `json:"mountings"`
	BothWays     bool             `json:"both_directions"`
	Binned       bool             `json:"binned"`
	Diameter     *float64         `json:"diameter_mm"`
	Counts       *bool            `json:"counts_with_reference"`
	OffCentre    *float64         `json:"off_centre_mm"`
	OffCentreU   *float64         `json:"off_centre_standard_uncertainty_mm"`
	Toward       float64          `json:"toward_deg"`
	Harmonics    []jsonHarmonic   `json:"harmonics"`
	DOF          *float64         `json:"dof"`
	PeakToPeak   float64          `json:"peak_to_peak_deg"`
	Largest      float64          `json:"largest_deg"`
	LargestAt    float64          `json:"largest_at_deg"`
	Residual     *float64         `json:"residual_deg"`
	LostMotion   *float64         `json:"lost_motion_deg"`
	LostMotionU  *float64         `json:"lost_motion_standard_uncertainty_deg"`
	Reversal     *float64         `json:"reversal_deg"`
	Recentre     jsonRecentre     `json:"recentre"`
	StandsOut    *jsonStation     `json:"stands_out"`
	Refused      []jsonRefused    `json:"refused_orders"`
	Lattice      *jsonLattice     `json:"lattice"`
	Reference    *jsonReference   `json:"reference"`
	Warnings     []jsonWheelDoubt `json:"warnings"`
	Axis         *jsonAxis        `json:"iso_230_2"`
	Closure      *jsonClosure     `json:"closure"`
	Curve        []jsonCurve      `json:"curve"`
	Instructions []string         `json:"what_to_do"`
	NotSeen      []string         `json:"not_seen"`
}

type jsonHarmonic struct {
	Order     int      `json:"order"`
	Amplitude float64  `json:"amplitude_deg"`
	Phase     float64  `json:"phase_deg"`
	Standard  *float64 `json:"standard_uncertainty_deg"`
	P         *float64 `json:"p"`
	Expanded  *float64 `json:"expanded_uncertainty_deg"`
}

type jsonLattice struct {
	Alike    float64 `json:"alike"`
	Limit    float64 `json:"limit_deg"`
	Stations *int    `json:"advised_stations"`
}

type jsonReference struct {
	Name        *string  `json:"name"`
	Number      *string  `json:"number"`
	Certificate *string  `json:"certificate"`
	Due         *string  `json:"due"`
	Limit       *float64 `json:"limit_deg"`
}

type jsonWheelDoubt struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

type jsonRecentre struct {
	Move   *float64 `json:"move_mm"`
	Toward float64  `json:"toward_deg"`
	Left   float64  `json:"left_deg"`
	Worth  bool     `json:"worthwhile"`
	Text   string   `json:"text"`
	Chance *float64 `json:"chance"`
}

type jsonStation struct {
	Reference *float64 `json:"reference_deg"`
	Reading   float64  `json:"reading_deg"`
	By        float64  `json:"off_by_deg"`
	Mounting  *string  `json:"mounting"`
	P         *float64 `json:"p"`
	LeftOut   bool     `json:"left_out"`
	Rows      []int    `json:"rows"`
}

type jsonRefused struct {
	Order int    `json:"order"`
	Like  *int   `json:"looks_like_order"`
	Text  string `json:"text"`
}

type jsonAxis struct {
	Targets            int      `json:"targets"`
	Runs               int      `json:"runs"`
	Accuracy           *float64 `json:"a_deg"`
	AccuracyForward    *float64 `json:"a_forward_deg"`
	AccuracyBackward   *float64 `json:"a_backward_deg"`
	Systematic         *float64 `json:"e_deg"`
	SystematicForward  *float64 `json:"e_forward_deg"`
	SystematicBackward *float64 `json:"e_backward_deg"`
	Mean               *float64 `json:"m_deg"`
	Repeat             *float64 `json:"r_deg"`
	RepeatForward      *float64 `json:"r_forward_deg"`
	RepeatBackward     *float64 `json:"r_backward_deg"`
	Reversal           *float64 `json:"b_deg"`
	MeanReversal       *float64 `json:"b_mean_deg"`
}

type jsonClosure struct {
	Separated bool             `json:"separated"`
	Complete  bool             `json:"complete"`
	Missing   *string          `json:"missing"`
	DOF       *float64         `json:"dof"`
	Residual  *float64         `json:"residual_deg"`
	Wheel     []jsonGraduation `json:"wheel"`
	Reference []jsonGraduation `json:"reference"`
}

type jsonGraduation struct {
	At       float64  `json:"at_deg"`
	Error    float64  `json:"error_deg"`
	Standard *float64 `json:"standard_uncertainty_deg"`
}

type jsonCurve struct {
	Reading  float64  `json:"reading_deg"`
	Error    float64  `json:"error_deg"`
	Expanded *float64 `json:"expanded_uncertainty_deg"`
}

func graduationsJSON(c wheel.Closure, of []wheel.Graduation) []jsonGraduation {
	out := []jsonGraduation{}
	for _, g := range of {
		out = append(out, jsonGraduation{g.At.Degrees(), g.Error.Degrees(), when(c.Known, g.Standard.Degrees())})
	}
	return out
}
