package report

import (
	"io"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// PairTop is the answer at the bench to one pair of stop contacts.
func PairTop(t audit.PairTop) document.Doc {
	onRim := t.Forward.Measured
	d := document.Doc{
		document.Sentence{Lead: "TAKE THE STOP OUT FIRST", Text: "then turn by hand, never with the starter."},
		document.Sentence{Text: words.WhereTDC(t)},
		document.Space{},
		document.Steps{Items: words.Moves(t)},
		document.Space{},
	}
	if t.Rim.Diameter.HasValue {
		d = append(d, halfOnRim(t)...)
		if !onRim {
			d = append(d, document.Space{})
		}
	}
	d = append(d, document.Sentence{Text: words.Blocked(t)})
	for _, doubt := range words.PairDoubts(t) {
		d = append(d, document.Sentence{Lead: "DOUBT", Text: doubt})
	}
	return append(d, document.Sentence{Text: words.NotTold(t)})
}

// halfOnRim says how far to step off from either contact.
func halfOnRim(t audit.PairTop) document.Doc {
	l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
	rows := [][]string{
		{"along the rim", l.Sized(t.Half.Arc)},
		{"straight across, with dividers", l.Sized(t.Half.Chord)},
	}
	if !t.Forward.Measured {
		return rimAnswer(t.Rim, words.FromContact(t), rows)
	}
	rows = append(rows, []string{"in degrees", rounding.SizedAngle(t.Half.Angle)})
	d := rimAnswer(t.Rim, words.FromContact(t), rows)
	return append(d, document.Space{}, document.Sentence{Text: words.StepOff(t)})
}

type jsonPairTop struct {
	Reading    float64    `json:"reading_deg"`
	StepLimit  *float64   `json:"step_limit_deg"`
	BlockedArc float64    `json:"blocked_arc_deg"`
	HalfArc    float64    `json:"half_arc_deg"`
	InDwell    bool       `json:"stop_in_dwell"`
	Standing   string     `json:"standing"`
	Moves      []jsonMove `json:"moves"`
	Rim        *jsonHalf  `json:"rim,omitempty"`
}

// jsonHalf is there where a rim was given: the distance from either contact to
// TDC.
type jsonHalf struct {
	Diameter     float64  `json:"diameter_mm"`
	DiameterHalf *float64 `json:"diameter_half_width_mm"`
	Coverage     *float64 `json:"coverage_factor"`

	Measured  *string   `json:"measured"`
	Counts    string    `json:"counts"`
	Guessed   bool      `json:"counts_guessed"`
	Reading   *float64  `json:"reading_mm"`
	StepLimit *float64  `json:"step_limit_mm"`
	Arc       jsonSized `json:"arc"`
	Chord     jsonSized `json:"chord"`
}

type jsonSized struct {
	Value float64  `json:"value_mm"`
	Half  *float64 `json:"half_width_mm"`
}

func halfJSON(t audit.PairTop) *jsonHalf {
	if !t.Rim.Diameter.HasValue {
		return nil
	}
	value := func(s audit.Sized[geometry.Length]) jsonSized {
		return jsonSized{s.Value.Millimetres(), when(t.Rim.Diameter.HasLimit, s.Limit.Half.Millimetres())}
	}
	rim := rimJSON(t.Rim)
	out := &jsonHalf{
		Diameter: rim.Diameter, DiameterHalf: rim.DiameterHalf, Coverage: rim.Coverage, Counts: "up", Guessed: t.Guessed,
		StepLimit: when(t.Step > 0, geometry.Rim{Diameter: t.Rim.Diameter.Value}.Arc(t.StepLimit).Millimetres()),
		Arc:       value(t.Half.Arc), Chord: value(t.Half.Chord),
	}
	if t.Counts == geometry.CountsDown {
		out.Counts = "down"
	}
	if t.Forward.Measured {
		out.Measured, out.Reading = text("tape"), when(true, t.Shown(t.Reading).Millimetres())
		if t.Chord {
			out.Measured = text("chord")
		}
	}
	return out
}

type jsonMove struct {
	Along string  `json:"along"`
	By    float64 `json:"by_deg"`
	To    float64 `json:"to_deg"`
}

// PairTopJSON writes the same answer as one object and a newline.
func PairTopJSON(w io.Writer, t audit.PairTop) error {
	out := jsonPairTop{
		Reading: t.Reading.Degrees(), StepLimit: when(t.Step > 0, t.StepLimit.Degrees()),
		BlockedArc: 2 * t.HalfArc.Degrees(), HalfArc: t.HalfArc.Degrees(),
		InDwell: t.InDwell, Standing: t.Standing.String(), Rim: halfJSON(t),
	}
	for _, m := range t.Moves {
		out.Moves = append(out.Moves, jsonMove{m.Along.String(), m.By.Degrees(), m.To.Degrees()})
	}
	return indented(w, out)
}
