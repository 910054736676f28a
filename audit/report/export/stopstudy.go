package export

import (
	"io"
	"math"

	"markaudit/audit/qualify"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
)

// StopStudy writes the plan of a study of two stops as one object and a newline.
func StopStudy(w io.Writer, p qualify.Planned, o document.Options) error {
	size := func(s qualify.Size) jsonSize { return jsonSize{s.Setups, s.Pairs, s.Qualified} }
	out := jsonStopStudy{
		Format: 1, Software: o.Software, Allowed: p.AllowedBias.Degrees(), AllowedScatter: math.Sqrt(p.AllowedRatio), Step: p.Step.Degrees(),
		Scatter: p.Scatter.Degrees(), Fitting: p.Fitting.Degrees(), Bias: p.Bias.Degrees(), Usual: []jsonSize{}, Text: words.StopStudy(p),
	}
	for _, s := range p.Usual {
		out.Usual = append(out.Usual, size(s))
	}
	if p.Least != nil {
		least := size(*p.Least)
		out.Least = &least
	}
	return indented(w, out)
}

type jsonStopStudy struct {
	Format         int        `json:"format"`
	Software       string     `json:"software"`
	Allowed        float64    `json:"allowed_bias_deg"`
	AllowedScatter float64    `json:"allowed_scatter"`
	Step           float64    `json:"step_deg"`
	Scatter        float64    `json:"stop_scatter_deg"`
	Fitting        float64    `json:"fitting_scatter_deg"`
	Bias           float64    `json:"bias_deg"`
	Least          *jsonSize  `json:"least"`
	Usual          []jsonSize `json:"usual"`
	Text           string     `json:"text"`
}

type jsonSize struct {
	Setups    int     `json:"setups"`
	Pairs     int     `json:"pairs"`
	Qualified float64 `json:"chance"`
}
