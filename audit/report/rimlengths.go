package report

import (
	"fmt"
	"io"
	"math"

	"markaudit/audit/calculate"
	"markaudit/geometry"
)

// RimLengths is the answer at the bench to an angle on a rim.
func RimLengths(m calculate.RimMeasure, r calculate.RimLengths) Doc {
	l := lengths{m.Diameter.Unit}
	rows := [][]string{
		{"along the rim", sized(l, r.Arc)},
		{"straight across, with dividers", sized(l, r.Chord)},
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"on a tape " + l.of(m.Tape) + " thick", sized(l, r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, degreesText(r.Angle)+" on a rim of "+l.diameter(m), rows)
}

// RimAngles is the answer at the bench to a length on a rim.
func RimAngles(m calculate.RimMeasure, r calculate.RimAngles) Doc {
	l := lengths{m.Diameter.Unit}
	rows := [][]string{{"measured along the rim", sizedAngle(r.Arc)}}
	if r.IsChord {
		rows = append(rows, []string{"measured straight across, with dividers", sizedAngle(r.Chord)})
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"measured on a tape " + l.of(m.Tape) + " thick", sizedAngle(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, l.of(r.Length)+" on a rim of "+l.diameter(m), rows)
}

func rimAnswer(m calculate.RimMeasure, title string, rows [][]string) Doc {
	t := Table{Header: []string{"", ""}, Rows: rows}
	if limit := m.Diameter.Limit; limit.Half > 0 {
		t.Note = "The ± is what the diameter leaves open; how finely you can mark and measure comes on top."
	}
	return Doc{Sentence{Text: title + ":"}, t}
}

func (l lengths) diameter(m calculate.RimMeasure) string {
	d := m.Diameter
	if d.Limit.Half == 0 {
		return l.of(d.Value)
	}
	return l.sure(d.Value, d.Limit.Half) + covering(d.Limit.K)
}

func covering(k float64) string {
	if k == 0 {
		return ""
	}
	return " (k=" + plain(k) + ")"
}

func teeth(m calculate.RimMeasure, n float64) [][]string {
	if m.Teeth == 0 {
		return nil
	}
	return [][]string{{fmt.Sprintf("teeth, of %d", m.Teeth), fixed(n, 2)}}
}

func sized(l lengths, s calculate.Sized[geometry.Length]) string {
	switch half := s.Limit.Half.Millimetres(); {
	case half == 0:
		return l.of(s.Value)
	case math.IsNaN(half):
		return l.of(s.Value) + " ± ?"
	}
	return l.sure(s.Value, s.Limit.Half) + covering(s.Limit.K)
}

// sizedAngle prints two decimals, or as many as the diameter supports.
func sizedAngle(s calculate.Sized[geometry.Angle]) string {
	half := s.Limit.Half.Degrees()
	switch {
	case half == 0:
		return fixed(s.Value.Degrees(), unsure) + "°"
	case math.IsNaN(half):
		return fixed(s.Value.Degrees(), unsure) + "° ± ?"
	}
	n := max(places(half), unsure)
	return fixed(s.Value.Degrees(), n) + " ± " + fixed(half, n) + "°" + covering(s.Limit.K)
}

// degreesText prints an angle as entered, to at most six decimals.
func degreesText(a geometry.Angle) string {
	return plain(math.Round(a.Degrees()*1e6)/1e6) + "°"
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

// RimLengthsJSON writes the same answer as one object and a newline.
func RimLengthsJSON(w io.Writer, m calculate.RimMeasure, r calculate.RimLengths) error {
	type of struct {
		Value *float64 `json:"value_mm"`
		Half  *float64 `json:"half_width_mm"`
	}
	value := func(ok bool, s calculate.Sized[geometry.Length]) of {
		return of{when(ok, s.Value.Millimetres()), when(ok && m.Diameter.HasLimit, s.Limit.Half.Millimetres())}
	}
	return indented(w, struct {
		jsonRim
		Angle float64  `json:"angle_deg"`
		Arc   of       `json:"arc"`
		Chord of       `json:"chord"`
		Tape  of       `json:"tape"`
		Teeth *float64 `json:"teeth"`
	}{rimJSON(m), r.Angle.Degrees(), value(true, r.Arc), value(true, r.Chord), value(m.Tape > 0, r.Tape), when(m.Teeth > 0, r.Teeth)})
}

// RimAnglesJSON writes the same answer as one object and a newline.
func RimAnglesJSON(w io.Writer, m calculate.RimMeasure, r calculate.RimAngles) error {
	type of struct {
		Value *float64 `json:"value_deg"`
		Half  *float64 `json:"half_width_deg"`
	}
	value := func(ok bool, s calculate.Sized[geometry.Angle]) of {
		return of{when(ok, s.Value.Degrees()), when(ok && m.Diameter.HasLimit, s.Limit.Half.Degrees())}
	}
	return indented(w, struct {
		jsonRim
		Length float64  `json:"length_mm"`
		Arc    of       `json:"arc"`
		Chord  of       `json:"chord"`
		Tape   of       `json:"tape"`
		Teeth  *float64 `json:"teeth"`
	}{rimJSON(m), r.Length.Millimetres(), value(true, r.Arc), value(r.IsChord, r.Chord), value(m.Tape > 0, r.Tape), when(m.Teeth > 0, r.Teeth)})
}
