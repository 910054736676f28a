package export

import (
	"markaudit/audit/diagnosis"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

type jsonDiagnosis struct {
	Standing []jsonExplanation `json:"standing"`
	Refuted  bool              `json:"refuted"`
	Ask      []jsonObservation `json:"ask"`
	Held     []jsonHeld        `json:"held"`
}

type jsonExplanation struct {
	Code     string     `json:"code"`
	Lines    []string   `json:"lines"`
	Setups   []string   `json:"setups"`
	Shift    float64    `json:"shift_deg"`
	Surprise float64    `json:"surprise"`
	Offsets  []*float64 `json:"offsets_deg"`
}

type jsonObservation struct {
	Kind   string   `json:"kind"`
	Lines  []string `json:"lines"`
	Expect *float64 `json:"expect_deg"`
	Text   string   `json:"text"`
}

type jsonHeld struct {
	Mark    *string    `json:"mark"` // null: the pointer, or the line that turns
	Against []string   `json:"against"`
	Scribe  jsonScribe `json:"scribe"`
}

// diagnosisJSON is what was weighed: what stands, what is asked for, what is held
// back.
func diagnosisJSON(v words.Audit) jsonDiagnosis {
	r := v.Result
	d := r.Diagnosis
	out := jsonDiagnosis{Standing: []jsonExplanation{}, Refuted: d.Refuted, Ask: []jsonObservation{}, Held: []jsonHeld{}}
	for _, e := range d.Standing {
		x := jsonExplanation{
			Code: e.Code.String(), Lines: lineNames(v, e.Lines), Setups: []string{}, Shift: e.Shift.Degrees(), Surprise: e.Surprise,
		}
		for _, m := range e.Mountings {
			for _, s := range r.TDC.Mountings[m].Setups {
				x.Setups = append(x.Setups, r.Sheet.Setups[s].Name)
			}
		}
		for _, o := range e.Offset {
			x.Offsets = append(x.Offsets, known(o.Degrees()))
		}
		out.Standing = append(out.Standing, x)
	}
	for _, o := range d.Ask {
		x := jsonObservation{Kind: o.Kind.String(), Lines: lineNames(v, o.Lines), Text: words.Ask(v, o)}
		if o.Kind == diagnosis.ClosingPair {
			x.Expect = degrees(o.Expect)
		}
		out.Ask = append(out.Ask, x)
	}
	for i, c := range d.Decisions {
		if !c.Held {
			continue
		}
		h := jsonHeld{Against: []string{}}
		for _, k := range c.Against {
			h.Against = append(h.Against, d.Standing[k].Code.String())
		}
		if i < len(r.Lines) {
			h.Mark = textOrNull(r.Lines[i].Name)
			h.Scribe = scribeJSON(v, r.Advice.Forced[i], r.Lines[i].Offset)
		} else {
			h.Scribe = scribeJSON(v, r.Advice.TogetherHeld, r.Advice.Shared)
		}
		out.Held = append(out.Held, h)
	}
	return out
}

func degrees(a geometry.Angle) *float64 { return known(a.Degrees()) }

func lineNames(v words.Audit, lines []int) []string {
	out := []string{}
	for _, j := range lines {
		out = append(out, v.Result.Lines[j].Name)
	}
	return out
}
