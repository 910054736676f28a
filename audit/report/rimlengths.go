package report

import (
	"fmt"
	"io"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/report/words"
	"markaudit/geometry"
)

// RimLengths is the answer at the bench to an angle on a rim.
func RimLengths(m audit.RimMeasure, r audit.RimLengths) document.Doc {
	l := rounding.Lengths{Unit: m.Diameter.Unit}
	rows := [][]string{
		{"along the rim", l.Sized(r.Arc)},
		{"straight across, with dividers", l.Sized(r.Chord)},
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"on a tape " + l.Of(m.Tape) + " thick", l.Sized(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, words.OnRim(rounding.EnteredAngle(r.Angle), m), rows)
}

// RimAngles is the answer at the bench to a length on a rim.
func RimAngles(m audit.RimMeasure, r audit.RimAngles) document.Doc {
	l := rounding.Lengths{Unit: m.Diameter.Unit}
	rows := [][]string{{"measured along the rim", rounding.SizedAngle(r.Arc)}}
	if r.IsChord {
		rows = append(rows, []string{"measured straight across, with dividers", rounding.SizedAngle(r.Chord)})
	}
	if m.Tape > 0 {
		rows = append(rows, []string{"measured on a tape " + l.Of(m.Tape) + " thick", rounding.SizedAngle(r.Tape)})
	}
	rows = append(rows, teeth(m, r.Teeth)...)
	return rimAnswer(m, words.OnRim(l.Of(r.Length), m), rows)
}

// rimAnswer is a table of lengths or angles on a rim under its title.
func rimAnswer(m audit.RimMeasure, title string, rows [][]string) document.Doc {
	t := document.Table{Header: []string{"", ""}, Rows: rows}
	if limit := m.Diameter.Limit; limit.Half > 0 {
		t.Note = words.AboutRimLimit
	}
	return document.Doc{document.Sentence{Text: title + ":"}, t}
}

// teeth is a row of the table for a ring gear, where there is one.
func teeth(m audit.RimMeasure, n float64) [][]string {
	if m.Teeth == 0 {
		return nil
	}
	return [][]string{{fmt.Sprintf("teeth, of %d", m.Teeth), rounding.Fixed(n, 2)}}
}

type jsonRim struct {
	Diameter     float64  `json:"diameter_mm"`
	DiameterHalf *float64 `json:"diameter_half_width_mm"`
	Coverage     *float64 `json:"coverage_factor"`
	Tape         *float64 `json:"tape_thickness_mm"`
}

func rimJSON(m audit.RimMeasure) jsonRim {
	d := m.Diameter
	return jsonRim{
		d.Value.Millimetres(), when(d.HasLimit, d.Limit.Half.Millimetres()),
		when(d.Limit.K > 0, d.Limit.K), when(m.Tape > 0, m.Tape.Millimetres()),
	}
}

// RimLengthsJSON writes the same answer as one object and a newline.
func RimLengthsJSON(w io.Writer, m audit.RimMeasure, r audit.RimLengths) error {
	type of struct {
		Value *float64 `json:"value_mm"`
		Half  *float64 `json:"half_width_mm"`
	}
	value := func(ok bool, s audit.Sized[geometry.Length]) of {
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
func RimAnglesJSON(w io.Writer, m audit.RimMeasure, r audit.RimAngles) error {
	type of struct {
		Value *float64 `json:"value_deg"`
		Half  *float64 `json:"half_width_deg"`
	}
	value := func(ok bool, s audit.Sized[geometry.Angle]) of {
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
