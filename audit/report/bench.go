package report

import (
	"fmt"
	"io"
	"math"

	"markaudit/audit"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// PairTop is the answer at the bench to one pair of stop contacts.
func PairTop(t audit.PairTop) Doc {
	n := contactPlaces(t.Pair)
	top := dialText(t.Pair, t.Reading, n+1)
	where := "TDC is where the readout shows " + top
	if t.Step > 0 {
		where += ", ± " + fixed(t.StepLimit.Degrees(), stepPlaces(t.StepLimit)) + " from its step of " + plain(t.Step.Degrees()) + " alone"
	}
	d := Doc{
		Sentence{Lead: "TAKE THE STOP OUT FIRST", Text: "then turn by hand, never with the starter."},
		Sentence{Text: where + "."},
		Space{},
		Steps{moves(t, n, top)},
		Space{},
		Sentence{Text: fmt.Sprintf("The stop blocks %s degrees, half of it %s.", fixed(2*t.HalfArc.Degrees(), n), fixed(t.HalfArc.Degrees(), n+1))},
	}
	if t.InDwell {
		d = append(d, Sentence{Lead: "DOUBT", Text: "so small an arc lies in the dwell, where the piston hardly moves: a hair of height is a degree. Fit the stop deeper, for a half arc of 20 to 35, and take the pair again."})
	}
	return append(d, Sentence{Text: "Not told by one pair: how well it repeats (take three or more), whether the wheel sits off centre, what a pin or bore offset adds."})
}

// moves says how to get from the contact to TDC.
func moves(t audit.PairTop, n int, top string) []string {
	back := dialText(t.Pair, t.Again, 0)
	by := func(m audit.CrankMove) string { return fixed(m.By.Degrees(), 0) }
	if t.Standing == sheet.Forward {
		return []string{
			fmt.Sprintf("You stand at the forward contact, %s, before TDC. Turn the engine THE WAY IT RUNS, by about %s degrees, up to %s, and stop there.",
				dialText(t.Pair, t.Forward.Value, n), by(t.Moves[0]), top),
			fmt.Sprintf("Gone past it? Turn back to about %s and come up to %s again.", back, top),
		}
	}
	first, second := t.Moves[0], t.Moves[1]
	return []string{
		fmt.Sprintf("You stand at the backward contact, %s, past TDC. Turn the engine AGAINST the way it runs, by about %s degrees: past %s, on to about %s.",
			dialText(t.Pair, t.Backward.Value, n), by(first), top, back),
		fmt.Sprintf("Turn it THE WAY IT RUNS, by about %s degrees, up to %s, and stop there. Gone past it? Turn back to about %s and come up again.", by(second), top, back),
	}
}

// contactPlaces is the number of decimals of a contact: those of the step, and
// of what was read more finely.
func contactPlaces(p audit.Pair) int {
	return max(stepPlaces(p.Step), stepPlaces(p.Forward.Value), stepPlaces(p.Backward.Value))
}

// dialText is a reading as the readout shows it, 0 to 360; with letters as well
// where a contact was read with them.
func dialText(p audit.Pair, a geometry.Angle, n int) string {
	scale := math.Pow10(n)
	a = geometry.Angle(math.Round(a.Degrees()*scale) / scale)
	text := fixed(a.Turn().Degrees(), n)
	if p.Forward.Lettered || p.Backward.Lettered {
		return a.Wrap().Crank(n) + " (" + text + ")"
	}
	return text
}

type jsonPairTop struct {
	Reading    float64    `json:"reading_deg"`
	StepLimit  *float64   `json:"step_limit_deg"`
	BlockedArc float64    `json:"blocked_arc_deg"`
	HalfArc    float64    `json:"half_arc_deg"`
	InDwell    bool       `json:"stop_in_dwell"`
	Standing   string     `json:"standing"`
	Moves      []jsonMove `json:"moves"`
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
		InDwell: t.InDwell, Standing: t.Standing.String(),
	}
	for _, m := range t.Moves {
		out.Moves = append(out.Moves, jsonMove{m.Along.String(), m.By.Degrees(), m.To.Degrees()})
	}
	return indented(w, out)
}

// RimLengths is the answer at the bench to an angle on a rim.
func RimLengths(m audit.RimMeasure, r audit.RimLengths) Doc {
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
func RimAngles(m audit.RimMeasure, r audit.RimAngles) Doc {
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

func rimAnswer(m audit.RimMeasure, title string, rows [][]string) Doc {
	t := Table{Header: []string{"", ""}, Rows: rows}
	if limit := m.Diameter.Limit; limit.Half > 0 {
		t.Note = "The ± is what the diameter leaves open; how finely you can mark and measure comes on top."
	}
	return Doc{Sentence{Text: title + ":"}, t}
}

func (l lengths) diameter(m audit.RimMeasure) string {
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

func teeth(m audit.RimMeasure, n float64) [][]string {
	if m.Teeth == 0 {
		return nil
	}
	return [][]string{{fmt.Sprintf("teeth, of %d", m.Teeth), fixed(n, 2)}}
}

func sized(l lengths, s audit.Sized[geometry.Length]) string {
	if s.Limit.Half == 0 {
		return l.of(s.Value)
	}
	return l.sure(s.Value, s.Limit.Half) + covering(s.Limit.K)
}

// sizedAngle prints two decimals, or as many as the diameter supports.
func sizedAngle(s audit.Sized[geometry.Angle]) string {
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
