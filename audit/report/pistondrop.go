package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"markaudit/audit/calculate"
	"markaudit/geometry"
)

// PistonDrop is the answer at the bench to a drop of the piston.
func PistonDrop(m calculate.PistonMeasure, r calculate.PistonDrop) Doc {
	l := lengths{m.Unit}
	worth := "There a degree is worth " + l.perDegree(r.Before.PerDegree) + "."
	if before, after := l.perDegree(r.Before.PerDegree), l.perDegree(r.After.PerDegree); before != after {
		worth = "There a degree is worth " + before + " before and " + after + " after TDC."
	}
	d := Doc{
		Sentence{Text: "The piston is " + l.entered(r.Drop) + " below its top at " + bothSides(r) + "."},
		Sentence{Text: worth},
	}
	if m.Diameter > 0 {
		where := l.of(-r.Before.Arc) + " before TDC and " + l.of(r.After.Arc) + " after"
		if l.of(-r.Before.Arc) == l.of(r.After.Arc) {
			where = l.of(r.After.Arc) + " to either side of TDC"
		}
		d = append(d, Sentence{Text: "Along a rim of " + l.of(m.Diameter) + " that is " + where + "."})
	}
	if r.Shown != nil {
		d = append(d, Sentence{Text: fmt.Sprintf("An indicator slanting %s to the cylinder shows %s there, on a flat crown. Where it shows %s itself, the piston is %s below its top, at %s.",
			degreesText(m.Probe), l.of(r.Indicator), l.entered(r.Drop), l.of(r.Shown.Drop), bothSides(*r.Shown))})
	}
	return append(d, fromTop(m, r.ThrowToTDC)...)
}

// PistonAngle is the answer at the bench to a crank angle.
func PistonAngle(m calculate.PistonMeasure, r calculate.PistonAngle) Doc {
	l := lengths{m.Unit}
	a := r.Angle.Value
	at := a.Crank(max(unsure, stepPlaces(a)))
	if a == 0 {
		at = "TDC"
	}
	d := Doc{
		Sentence{Text: "At " + at + " the piston is " + sized(l, r.Drop) + " below its top."},
		Sentence{Text: "There a degree is worth " + l.perDegree(r.PerDegree) + "."},
	}
	if m.Diameter > 0 && a != 0 {
		way := "after"
		if a < 0 {
			way = "before"
		}
		d = append(d, Sentence{Text: "Along a rim of " + l.of(m.Diameter) + " that is " + l.of(max(r.Arc, -r.Arc)) + " " + way + " TDC."})
	}
	if m.Probe > 0 {
		d = append(d, Sentence{Text: "An indicator slanting " + degreesText(m.Probe) + " to the cylinder shows " + sized(l, r.Indicator) + " there, on a flat crown."})
	}
	return append(d, fromTop(m, r.ThrowToTDC)...)
}

// bothSides says where the crank stands before TDC and after it.
func bothSides(r calculate.PistonDrop) string {
	if r.Drop == 0 {
		return "TDC itself"
	}
	return sizedCrank(r.Before.Angle) + " and " + sizedCrank(r.After.Angle)
}

// sizedCrank is an angle with its letters, with two decimals or as many as its
// limit supports.
func sizedCrank(s calculate.Sized[geometry.Angle]) string {
	half := s.Limit.Half.Degrees()
	if half == 0 {
		return s.Value.Crank(unsure)
	}
	n := max(places(half), unsure)
	size, letters, _ := strings.Cut(s.Value.Crank(n), " ")
	return strings.TrimSpace(size + " ± " + fixed(half, n) + " " + letters)
}

// fromTop says what the angles count from, where there are two tops.
func fromTop(m calculate.PistonMeasure, t calculate.Sized[geometry.Angle]) Doc {
	open := t.Limit.Half.Degrees()
	switch {
	case t.Value == 0 && open == 0:
		return nil
	case open == 0:
		return Doc{Sentence{Text: "Angles count from the piston's top, which comes " + beside(t.Value) + " the throw's."}}
	case t.Value == 0:
		return Doc{Sentence{Text: "Angles count from the piston's top, which comes up to " + fixed(open, 3) + "° before or after the throw's: to which side the offset lies is not known. The ± is what it leaves open."}}
	}
	return Doc{Sentence{Text: "Angles count from the piston's top, which comes " + beside(t.Value) + " the throw's, ± " + fixed(open, 3) + "°. The ± is what the offset leaves open."}}
}

// perDegree prints how much the drop changes over a degree: a place more than a
// length, for it is multiplied by several.
func (l lengths) perDegree(x geometry.Length) string {
	mm := fixed(x.Millimetres(), 3) + " mm"
	if l.unit.Imperial() {
		return fixed(x.In(geometry.Inch), 4) + " in (" + mm + ")"
	}
	return mm
}

// entered prints a length that was typed, with all the decimals it was typed
// with.
func (l lengths) entered(x geometry.Length) string {
	if l.unit.Imperial() {
		return l.of(x)
	}
	s := plain(math.Round(x.Millimetres()*1e4) / 1e4)
	if _, decimals, _ := strings.Cut(s, "."); len(decimals) > 2 {
		return s + " mm"
	}
	return l.of(x)
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

func pistonJSON(m calculate.PistonMeasure, t calculate.Sized[geometry.Angle]) jsonPiston {
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

func pistonAtJSON(m calculate.PistonMeasure, p calculate.PistonAt) jsonPistonAt {
	half := p.Angle.Limit.Half.Degrees()
	return jsonPistonAt{p.Angle.Value.Degrees(), when(half > 0, half), p.PerDegree.Millimetres(), when(m.Diameter > 0, p.Arc.Millimetres())}
}

type jsonPistonDrop struct {
	Drop   float64      `json:"drop_mm"`
	Before jsonPistonAt `json:"before"`
	After  jsonPistonAt `json:"after"`
}

func pistonDropJSON(m calculate.PistonMeasure, r calculate.PistonDrop) jsonPistonDrop {
	return jsonPistonDrop{r.Drop.Millimetres(), pistonAtJSON(m, r.Before), pistonAtJSON(m, r.After)}
}

// PistonDropJSON writes the same answer as one object and a newline.
func PistonDropJSON(w io.Writer, m calculate.PistonMeasure, r calculate.PistonDrop) error {
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
func PistonAngleJSON(w io.Writer, m calculate.PistonMeasure, r calculate.PistonAngle) error {
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
