package export

import (
	"io"

	"markaudit/audit/calculate"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// AtTheBench writes what was computed at the bench: one answer as an object, several as
// an array, and a newline.
func AtTheBench(w io.Writer, answers []any) error {
	if len(answers) == 1 {
		return indented(w, answers[0])
	}
	return indented(w, answers)
}

// Pairs is what several pairs of contacts say together.
func Pairs(p calculate.Pairs) any {
	out := struct {
		jsonPairTop
		Repeats  float64       `json:"repeatability_deg"`
		Expanded *float64      `json:"expanded_uncertainty_deg"`
		Pairs    []jsonPairTop `json:"pairs"`
	}{jsonPairTop: pairTopJSON(p.Mean), Repeats: p.Repeats.Degrees(), Expanded: when(p.Expanded > 0, p.Expanded.Degrees())}
	for _, t := range p.Tops {
		out.Pairs = append(out.Pairs, pairTopJSON(t))
	}
	return out
}

// PairTop is the top between two contacts.
func PairTop(t calculate.PairTop) any { return pairTopJSON(t) }

func pairTopJSON(t calculate.PairTop) jsonPairTop {
	out := jsonPairTop{
		Reading: t.Reading.Degrees(), StepLimit: when(t.Step > 0, t.StepLimit.Degrees()),
		BlockedArc: 2 * t.HalfArc.Degrees(), HalfArc: t.HalfArc.Degrees(),
		InDwell: t.InDwell, Standing: t.Standing.String(), Rim: halfJSON(t),
	}
	for _, m := range t.Moves {
		out.Moves = append(out.Moves, jsonMove{turningWord(m.Turning), m.By.Degrees(), m.To.Degrees()})
	}
	return out
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

func halfJSON(t calculate.PairTop) *jsonHalf {
	if !t.Rim.Diameter.HasValue {
		return nil
	}
	value := func(s calculate.Sized[geometry.Length]) jsonSized {
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
		out.Measured, out.Reading = textOrNull("tape"), when(true, t.Shown(t.Reading).Millimetres())
		if t.Chord {
			out.Measured = textOrNull("chord")
		}
	}
	return out
}

type jsonMove struct {
	Along string  `json:"along"`
	By    float64 `json:"by_deg"`
	To    float64 `json:"to_deg"`
}

// PistonDrop is where the crank stands at a drop of the piston.
func PistonDrop(m calculate.PistonMeasure, r calculate.PistonDrop) any {
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
	return out
}

// PistonAngle is how far down the piston is at a crank angle.
func PistonAngle(m calculate.PistonMeasure, r calculate.PistonAngle) any {
	half := r.Drop.Limit.Half.Millimetres()
	return struct {
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
	}
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

// RimLengths is the lengths on a rim of an angle.
func RimLengths(m calculate.RimMeasure, r calculate.RimLengths) any {
	type of struct {
		Value *float64 `json:"value_mm"`
		Half  *float64 `json:"half_width_mm"`
	}
	value := func(ok bool, s calculate.Sized[geometry.Length]) of {
		return of{when(ok, s.Value.Millimetres()), when(ok && m.Diameter.HasLimit, s.Limit.Half.Millimetres())}
	}
	return struct {
		jsonRim
		Angle float64  `json:"angle_deg"`
		Arc   of       `json:"arc"`
		Chord of       `json:"chord"`
		Tape  of       `json:"tape"`
		Teeth *float64 `json:"teeth"`
	}{rimJSON(m), r.Angle.Degrees(), value(true, r.Arc), value(true, r.Chord), value(m.Tape > 0, r.Tape), when(m.Teeth > 0, r.Teeth)}
}

// RimAngles is the angles of a length on a rim.
func RimAngles(m calculate.RimMeasure, r calculate.RimAngles) any {
	type of struct {
		Value *float64 `json:"value_deg"`
		Half  *float64 `json:"half_width_deg"`
	}
	value := func(ok bool, s calculate.Sized[geometry.Angle]) of {
		return of{when(ok, s.Value.Degrees()), when(ok && m.Diameter.HasLimit, s.Limit.Half.Degrees())}
	}
	return struct {
		jsonRim
		Length float64  `json:"length_mm"`
		Arc    of       `json:"arc"`
		Chord  of       `json:"chord"`
		Tape   of       `json:"tape"`
		Teeth  *float64 `json:"teeth"`
	}{rimJSON(m), r.Length.Millimetres(), value(true, r.Arc), value(r.IsChord, r.Chord), value(m.Tape > 0, r.Tape), when(m.Teeth > 0, r.Teeth)}
}

type jsonRim struct {
	Diameter     float64  `json:"diameter_mm"`
	DiameterHalf *float64 `json:"diameter_half_width_mm"`
	Coverage     *float64 `json:"coverage_factor"`
	Tape         *float64 `json:"tape_thickness_mm"`
}

func rimJSON(m calculate.RimMeasure) jsonRim {
	d := m.Diameter
	return jsonRim{
		d.Value.Millimetres(), when(d.HasLimit, d.Limit.Half.Millimetres()),
		when(d.Limit.K > 0, d.Limit.K), when(m.Tape > 0, m.Tape.Millimetres()),
	}
}

// turningWord says which way the crank is turned.
func turningWord(a sheet.Approach) string {
	if a == sheet.Backward {
		return "against"
	}
	return "running"
}
