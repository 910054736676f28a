package export

import (
	"markaudit/audit/report/words"
)

// What a sheet says of instruments, conditions, photos and the time after scribing:
// keys that are there where the sheet has them.

type jsonPaperwork struct {
	Instruments optional[[]jsonOwned]    `json:"instruments,omitzero"`
	Conditions  optional[jsonConditions] `json:"conditions,omitzero"`
	Photos      optional[[]jsonPhoto]    `json:"photos,omitzero"`
	After       optional[jsonAfter]      `json:"after_scribing,omitzero"`
}

// jsonOwned is an instrument of a sheet.
type jsonOwned struct {
	jsonInstrument
	Uncertainty optional[string] `json:"uncertainty,omitzero"`
}

type jsonConditions struct {
	Temperature *string `json:"temperature"`
	Place       *string `json:"place"`
}

type jsonPhoto struct {
	File  string  `json:"file"`
	Of    *string `json:"of"`
	Said  *string `json:"sha256"`
	Found *string `json:"sha256_found"`
	State string  `json:"state"`
}

type jsonAfter struct {
	By          *string       `json:"by"`
	Date        *string       `json:"date"`
	ScribedBy   *string       `json:"scribed_by"`
	EyeCheck    string        `json:"eye_check"`
	Dividers    []jsonDivided `json:"dividers"`
	ReadAgain   []jsonAgain   `json:"read_again"`
	TimingLight *jsonLight    `json:"timing_light"`
	WitnessLine string        `json:"witness_line"`
}

type jsonDivided struct {
	From     string   `json:"from"`
	To       string   `json:"to"`
	Measured float64  `json:"measured_mm"`
	Should   *float64 `json:"should_mm"`
	U        *float64 `json:"should_expanded_mm"`
	Agrees   *bool    `json:"agrees"`
}

type jsonAgain struct {
	Name      string   `json:"name"`
	Setup     string   `json:"setup"`
	Offset    float64  `json:"offset_deg"`
	ComesUpAt float64  `json:"comes_up_at_deg"`
	Expected  *float64 `json:"ordered_offset_deg"`
	Allowed   *float64 `json:"ordered_expanded_deg"`
	AsOrdered *bool    `json:"as_ordered"`
}

type jsonLight struct {
	Line   string  `json:"line"`
	Agrees bool    `json:"agrees"`
	At     *string `json:"at"`
}

func paperworkJSON(v words.Audit) jsonPaperwork {
	s := v.Result.Sheet
	instruments, photos := []jsonOwned{}, []jsonPhoto{}
	for _, i := range s.Instruments {
		instruments = append(instruments, jsonOwned{instrumentJSON(i), some(i.Uncertainty != "", i.Uncertainty)})
	}
	for _, p := range s.Photos {
		photos = append(photos, jsonPhoto{p.File, textOrNull(p.Of), textOrNull(p.Digest), textOrNull(p.Found), p.State.String()})
	}
	c := s.Conditions
	return jsonPaperwork{
		Instruments: some(len(instruments) > 0, instruments),
		Conditions:  some(c.String() != "", jsonConditions{textOrNull(c.Temperature), textOrNull(c.Place)}),
		Photos:      some(len(photos) > 0, photos),
		After:       some(s.After != nil, afterJSON(v)),
	}
}

func afterJSON(v words.Audit) jsonAfter {
	a := v.Result.Sheet.After
	if a == nil {
		return jsonAfter{}
	}
	out := jsonAfter{
		By: textOrNull(a.By), Date: textOrNull(a.Date), ScribedBy: textOrNull(a.ScribedBy), EyeCheck: a.EyeCheck.String(), WitnessLine: a.WitnessLine.String(),
		Dividers: []jsonDivided{}, ReadAgain: []jsonAgain{},
	}
	for _, d := range v.Result.After.Dividers {
		out.Dividers = append(out.Dividers, jsonDivided{
			d.From, d.To, d.Measured.Millimetres(), when(d.Computed, d.Should.Millimetres()), when(d.U > 0, d.U.Millimetres()), told(d.U > 0, d.Agrees),
		})
	}
	for _, l := range v.Result.After.Again {
		out.ReadAgain = append(out.ReadAgain, jsonAgain{
			l.Name, l.Setup, l.Offset.Degrees(), l.ComesUpAt.Degrees(), when(l.Ordered, l.Expected.Degrees()), when(l.Ordered, l.Allowed.Degrees()), told(l.Ordered, l.AsOrdered),
		})
	}
	if l := a.TimingLight; l != nil {
		out.TimingLight = &jsonLight{l.Line, l.Agrees, textOrNull(l.At)}
	}
	return out
}
