package export

import (
	"io"

	"markaudit/audit/plan"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
)

// Plan writes a plan, and the guess that it rests on, as one object and a newline.
func Plan(w io.Writer, p plan.Plan, g plan.Guess, o document.Options) error {
	scheme := func(s plan.Scheme) jsonScheme {
		return jsonScheme{s.Setups, s.Trials, s.Readings, known(s.U.Degrees()), s.Covers.String(), s.Effort}
	}
	out := jsonPlan{
		Format: 1, Software: o.Software, HalfArc: p.Best.HalfArc.Degrees(), Drop: when(p.Best.Drop > 0, p.Best.Drop.Millimetres()),
		Wanted: p.Wanted.Degrees(), Usual: []jsonScheme{}, Worst: p.Worst.Name, U: known(p.Best.U.Degrees()), Outside: p.Outside.Degrees(),
		Depths: []jsonDepth{}, Gains: []jsonGain{}, Budget: []jsonRow{}, Guess: jsonGuess{g.Middle.Degrees(), g.Reading.Degrees(), g.Remount.Degrees()},
	}
	if p.Least != nil {
		least := scheme(*p.Least)
		out.Least = &least
	}
	for _, s := range p.Usual {
		out.Usual = append(out.Usual, scheme(s))
	}
	for _, d := range p.Depths {
		out.Depths = append(out.Depths, jsonDepth{d.HalfArc.Degrees(), d.Drop.Millimetres(), d.PerDegree.Millimetres(), d.Rock.Degrees(), d.Correction.Degrees(), known(d.U.Degrees())})
	}
	for _, x := range p.Gains {
		out.Gains = append(out.Gains, jsonGain{words.Better(x.Means), known(x.U.Degrees())})
	}
	shares := p.Budget.Shares()
	for i, row := range p.Budget {
		out.Budget = append(out.Budget, rowJSON(row, shares[i]))
	}
	return indented(w, out)
}

type jsonPlan struct {
	Format   int          `json:"format"`
	Software string       `json:"software"`
	HalfArc  float64      `json:"half_arc_deg"`
	Drop     *float64     `json:"drop_mm"`
	Wanted   float64      `json:"wanted_deg"`
	Least    *jsonScheme  `json:"least"`
	Usual    []jsonScheme `json:"usual"`
	Worst    string       `json:"worst"`
	U        *float64     `json:"expanded_uncertainty_deg"`
	Outside  float64      `json:"outside_deg"`
	Depths   []jsonDepth  `json:"depths"`
	Gains    []jsonGain   `json:"gains"`
	Budget   []jsonRow    `json:"budget"`
	Guess    jsonGuess    `json:"guess"`
}

type jsonScheme struct {
	Setups   int      `json:"setups"`
	Trials   int      `json:"trials"`
	Readings int      `json:"readings"`
	U        *float64 `json:"expanded_uncertainty_deg"`
	Covers   string   `json:"covers"`
	Minutes  float64  `json:"minutes"`
}

type jsonDepth struct {
	HalfArc    float64  `json:"half_arc_deg"`
	Drop       float64  `json:"drop_mm"`
	PerDegree  float64  `json:"mm_per_deg"`
	Rock       float64  `json:"rock_half_width_deg"`
	Correction float64  `json:"pin_offset_correction_deg"`
	U          *float64 `json:"expanded_uncertainty_deg"`
}

type jsonGain struct {
	With string   `json:"with"`
	U    *float64 `json:"expanded_uncertainty_deg"`
}

type jsonGuess struct {
	Middle  float64 `json:"middle_deg"`
	Reading float64 `json:"reading_deg"`
	Remount float64 `json:"remount_deg"`
}
