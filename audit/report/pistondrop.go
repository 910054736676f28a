package report

import (
	"io"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// PistonDrop is the answer at the bench to a drop of the piston.
func PistonDrop(m audit.PistonMeasure, r audit.PistonDrop) document.Doc {
	return paragraphs(words.PistonDrop(m, r))
}

// PistonAngle is the answer at the bench to a crank angle.
func PistonAngle(m audit.PistonMeasure, r audit.PistonAngle) document.Doc {
	return paragraphs(words.PistonAngle(m, r))
}

// paragraphs is one paragraph a text.
func paragraphs(texts []string) document.Doc {
	var d document.Doc
	for _, text := range texts {
		d = append(d, document.Sentence{Text: text})
	}
	return d
}

type jsonPiston struct {
	Stroke     float64  `json:"stroke_mm"`
	Rod        float64  `json:"rod_mm"`
	Offset     float64  `json:"offset_mm"`
	OffsetHalf *float64 `json:"offset_half_width_mm"`
	Probe      *float64 `json:"probe_angle_deg"`
	Diameter   *float64 `json:"diameter_mm"`
	ThrowToTDC float64  `json:"throw_to_tdc_deg"`
}

func pistonJSON(m audit.PistonMeasure, t audit.Sized[geometry.Angle]) jsonPiston {
	open := (m.PinOffset.Limit.Half + m.BoreOffset.Limit.Half).Millimetres()
	return jsonPiston{
		m.Stroke.Millimetres(), m.Rod.Millimetres(), m.Crank().Offset.Millimetres(), when(open > 0, open),
		when(m.Probe > 0, m.Probe.Degrees()), when(m.Diameter > 0, m.Diameter.Millimetres()), t.Value.Degrees(),
	}
}

type jsonPistonAt struct {
	Angle     float64  `json:"angle_deg"`
	Half      *float64 `json:"half_width_deg"`
	PerDegree float64  `json:"per_degree_mm"`
	Arc       *float64 `json:"arc_mm"`
}

func pistonAtJSON(m audit.PistonMeasure, p audit.PistonAt) jsonPistonAt {
	half := p.Angle.Limit.Half.Degrees()
	return jsonPistonAt{p.Angle.Value.Degrees(), when(half > 0, half), p.PerDegree.Millimetres(), when(m.Diameter > 0, p.Arc.Millimetres())}
}

type jsonPistonDrop struct {
	Drop   float64      `json:"drop_mm"`
	Before jsonPistonAt `json:"before"`
	After  jsonPistonAt `json:"after"`
}

func pistonDropJSON(m audit.PistonMeasure, r audit.PistonDrop) jsonPistonDrop {
	return jsonPistonDrop{r.Drop.Millimetres(), pistonAtJSON(m, r.Before), pistonAtJSON(m, r.After)}
}

// PistonDropJSON writes the same answer as one object and a newline.
func PistonDropJSON(w io.Writer, m audit.PistonMeasure, r audit.PistonDrop) error {
	out := struct {
		jsonPiston
		jsonPistonDrop
		Indicator *float64        `json:"indicator_mm"`
		Shown     *jsonPistonDrop `json:"where_indicator_shows_drop"`
	}{pistonJSON(m, r.ThrowToTDC), pistonDropJSON(m, r), when(r.Shown != nil, r.Indicator.Millimetres()), nil}
	if r.Shown != nil {
		shown := pistonDropJSON(m, *r.Shown)
		out.Shown = &shown
	}
	return indented(w, out)
}

// PistonAngleJSON writes the same answer as one object and a newline.
func PistonAngleJSON(w io.Writer, m audit.PistonMeasure, r audit.PistonAngle) error {
	half := r.Drop.Limit.Half.Millimetres()
	return indented(w, struct {
		jsonPiston
		Angle     float64  `json:"angle_deg"`
		Drop      float64  `json:"drop_mm"`
		Half      *float64 `json:"drop_half_width_mm"`
		PerDegree float64  `json:"per_degree_mm"`
		Arc       *float64 `json:"arc_mm"`
		Indicator *float64 `json:"indicator_mm"`
	}{
		pistonJSON(m, r.ThrowToTDC), r.Angle.Value.Degrees(), r.Drop.Value.Millimetres(), when(half > 0, half),
		r.PerDegree.Millimetres(), when(m.Diameter > 0, r.Arc.Millimetres()), when(m.Probe > 0, r.Indicator.Value.Millimetres()),
	})
}
