package report

import (
	"fmt"
	"io"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/geometry"
)

// PistonDrop is the answer at the bench to a drop of the piston.
func PistonDrop(m audit.PistonMeasure, r audit.PistonDrop) document.Doc {
	return paragraphs(pistonDropWords(m, r))
}

// PistonAngle is the answer at the bench to a crank angle.
func PistonAngle(m audit.PistonMeasure, r audit.PistonAngle) document.Doc {
	return paragraphs(pistonAngleWords(m, r))
}

// paragraphs is one paragraph a text.
func paragraphs(texts []string) document.Doc {
	var d document.Doc
	for _, text := range texts {
		d = append(d, document.Sentence{Text: text})
	}
	return d
}

// pistonDropWords says where the crank stands when the piston is so far down, a
// sentence each.
func pistonDropWords(m audit.PistonMeasure, r audit.PistonDrop) []string {
	l := rounding.Lengths{Unit: m.Unit}
	worth := "There a degree is worth " + l.PerDegree(r.Before.PerDegree) + "."
	if before, after := l.PerDegree(r.Before.PerDegree), l.PerDegree(r.After.PerDegree); before != after {
		worth = "There a degree is worth " + before + " before and " + after + " after TDC."
	}
	out := []string{"The piston is " + l.Entered(r.Drop) + " below its top at " + bothSides(r) + ".", worth}
	if m.Diameter > 0 {
		where := l.Of(-r.Before.Arc) + " before TDC and " + l.Of(r.After.Arc) + " after"
		if l.Of(-r.Before.Arc) == l.Of(r.After.Arc) {
			where = l.Of(r.After.Arc) + " to either side of TDC"
		}
		out = append(out, "Along a rim of "+l.Of(m.Diameter)+" that is "+where+".")
	}
	if r.Shown != nil {
		out = append(out, fmt.Sprintf("An indicator slanting %s to the cylinder shows %s there, on a flat crown. Where it shows %s itself, the piston is %s below its top, at %s.",
			rounding.EnteredAngle(m.Probe), l.Of(r.Indicator), l.Entered(r.Drop), l.Of(r.Shown.Drop), bothSides(*r.Shown)))
	}
	return append(out, fromTop(r.ThrowToTDC)...)
}

// pistonAngleWords says how far down the piston is at a crank angle, a sentence
// each.
func pistonAngleWords(m audit.PistonMeasure, r audit.PistonAngle) []string {
	l := rounding.Lengths{Unit: m.Unit}
	a := r.Angle.Value
	at := a.Crank(max(rounding.Unsure, rounding.StepPlaces(a)))
	if a == 0 {
		at = "TDC"
	}
	out := []string{
		"At " + at + " the piston is " + l.Sized(r.Drop) + " below its top.",
		"There a degree is worth " + l.PerDegree(r.PerDegree) + ".",
	}
	if m.Diameter > 0 && a != 0 {
		way := "after"
		if a < 0 {
			way = "before"
		}
		out = append(out, "Along a rim of "+l.Of(m.Diameter)+" that is "+l.Of(max(r.Arc, -r.Arc))+" "+way+" TDC.")
	}
	if m.Probe > 0 {
		out = append(out, "An indicator slanting "+rounding.EnteredAngle(m.Probe)+" to the cylinder shows "+l.Sized(r.Indicator)+" there, on a flat crown.")
	}
	return append(out, fromTop(r.ThrowToTDC)...)
}

// bothSides says where the crank stands before TDC and after it.
func bothSides(r audit.PistonDrop) string {
	if r.Drop == 0 {
		return "TDC itself"
	}
	return rounding.SizedCrank(r.Before.Angle) + " and " + rounding.SizedCrank(r.After.Angle)
}

// fromTop says what the angles count from, where there are two tops.
func fromTop(t audit.Sized[geometry.Angle]) []string {
	open := t.Limit.Half.Degrees()
	switch {
	case t.Value == 0 && open == 0:
		return nil
	case open == 0:
		return []string{"Angles count from the piston's top, which comes " + rounding.Beside(t.Value) + " the throw's."}
	case t.Value == 0:
		return []string{"Angles count from the piston's top, which comes up to " + rounding.Fixed(open, 3) + "° before or after the throw's: to which side the offset lies is not known. The ± is what it leaves open."}
	}
	return []string{"Angles count from the piston's top, which comes " + rounding.Beside(t.Value) + " the throw's, ± " + rounding.Fixed(open, 3) + "°. The ± is what the offset leaves open."}
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
