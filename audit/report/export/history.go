package export

import (
	"io"

	"markaudit/audit/history"
	"markaudit/audit/past"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
)

// History writes the history of a readout with its control chart as one object and a
// newline.
func History(w io.Writer, h sheet.History, left []history.Left, names []string, line string, o document.Options) error {
	v := words.History{Result: h, Left: left, Names: names, Line: line}
	out := jsonHistory{
		Format: 1, Software: o.Software, Digest: textOrNull(h.Digest), Readout: h.Readout, Step: h.Step.Degrees(), By: append([]string{}, h.By...),
		Middle: pastJSON(h.Middle()), Reading: pastJSON(h.Reading()), Mounting: pastJSON(h.Mounting()),
		Sheets: []jsonPastSheet{}, Instructions: v.InControl(), Left: append([]string{}, v.LeftOut()...), InControl: len(past.Outside(h)) == 0,
	}
	charts := map[past.Kind]map[int]past.Point{} // only looked up
	for _, k := range past.Kinds() {
		charts[k] = map[int]past.Point{}
		for _, p := range past.Chart(h, k) {
			charts[k][p.Sheet] = p
		}
	}
	values := map[int]past.Value{} // only looked up
	for _, x := range past.Values(h, line) {
		values[x.Sheet] = x
	}
	for i, s := range h.Sheets {
		one := jsonPastSheet{Digest: s.Digest, Date: textOrNull(s.Date), Setups: s.Setups}
		for k, to := range map[past.Kind]**jsonPoint{past.OfMiddles: &one.Middle, past.OfReadings: &one.Reading, past.OfMountings: &one.Mounting} {
			if p, ok := charts[k][i]; ok {
				*to = &jsonPoint{p.SD.Degrees(), p.DOF, when(p.Limit > 0, p.Limit.Degrees()), p.Outside || p.InRun}
			}
		}
		if x, ok := values[i]; ok {
			one.Line = &jsonValue{x.Offset.Degrees(), when(x.Half > 0, x.Mean.Degrees()), when(x.Half > 0, x.Half.Degrees()), x.Outside}
		}
		out.Sheets = append(out.Sheets, one)
	}
	return indented(w, out)
}

func pastJSON(p sheet.Past) jsonPast {
	return jsonPast{
		SD: when(p.DOF > 0, p.SD.Degrees()), DOF: p.DOF, Sheets: p.Sheets, Pairs: when(p.Pairs > 0, p.Pairs), Readings: when(p.Readings > 0, p.Readings),
		Used: p.DOF >= past.EnoughDOF,
	}
}

type jsonHistory struct {
	Format       int             `json:"format"`
	Software     string          `json:"software"`
	Digest       *string         `json:"digest"`
	Readout      string          `json:"readout"`
	Step         float64         `json:"step_deg"`
	By           []string        `json:"by"`
	Middle       jsonPast        `json:"middle"`
	Reading      jsonPast        `json:"reading"`
	Mounting     jsonPast        `json:"mounting"`
	InControl    bool            `json:"in_control"`
	Sheets       []jsonPastSheet `json:"sheets"`
	Instructions []string        `json:"instructions"`
	Left         []string        `json:"left_out"`
}

type jsonPast struct {
	SD       *float64 `json:"sd_deg"`
	DOF      float64  `json:"dof"`
	Sheets   int      `json:"sheets"`
	Pairs    *float64 `json:"pairs"`
	Readings *float64 `json:"readings"`
	Used     bool     `json:"enough"`
}

type jsonPastSheet struct {
	Digest   string     `json:"digest"`
	Date     *string    `json:"date"`
	Setups   int        `json:"setups"`
	Middle   *jsonPoint `json:"middle"`
	Reading  *jsonPoint `json:"reading"`
	Mounting *jsonPoint `json:"mounting"`
	Line     *jsonValue `json:"line"`
}

type jsonPoint struct {
	SD      float64  `json:"sd_deg"`
	DOF     float64  `json:"dof"`
	Limit   *float64 `json:"limit_deg"`
	Outside bool     `json:"outside"`
}

type jsonValue struct {
	Offset  float64  `json:"offset_deg"`
	Mean    *float64 `json:"mean_before_deg"`
	Half    *float64 `json:"half_width_deg"`
	Outside bool     `json:"outside"`
}
