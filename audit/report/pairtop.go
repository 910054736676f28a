package report

import (
	"fmt"
	"io"

	"markaudit/audit"
	"markaudit/audit/report/document"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/geometry"
)

// PairTop is the answer at the bench to one pair of stop contacts.
func PairTop(t audit.PairTop) document.Doc {
	onRim := t.Forward.Measured
	d := document.Doc{
		document.Sentence{Lead: "TAKE THE STOP OUT FIRST", Text: "then turn by hand, never with the starter."},
		document.Sentence{Text: whereTDC(t)},
		document.Space{},
		document.Steps{Items: moves(t)},
		document.Space{},
	}
	if t.Rim.Diameter.HasValue {
		d = append(d, halfOnRim(t)...)
		if !onRim {
			d = append(d, document.Space{})
		}
	}
	d = append(d, document.Sentence{Text: blocked(t)})
	for _, doubt := range pairDoubts(t) {
		d = append(d, document.Sentence{Lead: "DOUBT", Text: doubt})
	}
	return append(d, document.Sentence{Text: notTold(t)})
}

// whereTDC says where the readout stands at TDC, and what its step leaves open.
func whereTDC(t audit.PairTop) string {
	top := topText(t)
	onRim := t.Forward.Measured
	l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
	where := "TDC is where the readout shows " + top
	if onRim {
		where = "TDC is where the pointer stands " + top + " from the chalk line"
		if t.Chord {
			where += ", straight across"
		}
	}
	switch {
	case onRim && t.StepLength > 0:
		where += ", ± " + l.Of(geometry.Rim{Diameter: t.Rim.Diameter.Value}.Arc(t.StepLimit)) + " along the rim from the step of " + l.Entered(t.StepLength) + " alone"
	case t.Step > 0:
		where += ", ± " + rounding.Fixed(t.StepLimit.Degrees(), rounding.StepPlaces(t.StepLimit)) + " from its step of " + rounding.Plain(t.Step.Degrees()) + " alone"
	}
	return where + "."
}

// topText is the reading at TDC, with one decimal more than the contacts have.
func topText(t audit.PairTop) string {
	return dialText(t.Pair, t.Reading, contactPlaces(t.Pair)+1)
}

// blocked says how far the stop blocks the crank.
func blocked(t audit.PairTop) string {
	n, half := contactPlaces(t.Pair), contactPlaces(t.Pair)+1
	if t.Forward.Measured {
		n, half = rounding.Unsure, rounding.Unsure
	}
	return fmt.Sprintf("The stop blocks %s degrees, half of it %s.", rounding.Fixed(2*t.HalfArc.Degrees(), n), rounding.Fixed(t.HalfArc.Degrees(), half))
}

// pairDoubts says what of a pair of contacts may be wrong.
func pairDoubts(t audit.PairTop) []string {
	var out []string
	if t.InDwell {
		out = append(out, "so small an arc lies in the dwell, where the piston hardly moves: a hair of height is a degree. Fit the stop deeper, for a half arc of 20 to 35, and take the pair again.")
	}
	if t.Guessed {
		out = append(out, "no --counts was given. Taken is that the lengths "+growOrFall(t.Counts)+" while the engine turns the way it runs, for else the stop would block more than half a turn. If they do not, the two contacts are swapped: TDC stays where it is, the ways to turn change places.")
	}
	return out
}

// notTold says what one pair cannot tell.
func notTold(t audit.PairTop) string {
	untold := "whether the wheel sits off centre"
	if t.Forward.Measured {
		untold = "whether the rim runs true"
	}
	return "Not told by one pair: how well it repeats (take three or more), " + untold + ", what a pin or bore offset adds."
}

// halfOnRim says how far to step off from either contact.
func halfOnRim(t audit.PairTop) document.Doc {
	l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
	rows := [][]string{
		{"along the rim", l.Sized(t.Half.Arc)},
		{"straight across, with dividers", l.Sized(t.Half.Chord)},
	}
	if !t.Forward.Measured {
		return rimAnswer(t.Rim, fromContact(t), rows)
	}
	rows = append(rows, []string{"in degrees", rounding.SizedAngle(t.Half.Angle)})
	d := rimAnswer(t.Rim, fromContact(t), rows)
	return append(d, document.Space{}, document.Sentence{Text: stepOff(t)})
}

// fromContact leads to the distances from either contact to TDC.
func fromContact(t audit.PairTop) string {
	rim := rounding.Lengths{Unit: t.Rim.Diameter.Unit}.Quantity(t.Rim.Diameter)
	if t.Forward.Measured {
		return "From either contact's line to TDC, between the two, on a rim of " + rim
	}
	return "From either contact to TDC on a rim of " + rim
}

// stepOff says which way to go from either contact's line.
func stepOff(t audit.PairTop) string {
	return fmt.Sprintf("Step it off from the forward line where the lengths %s, and from the backward line where they %s: both must meet at TDC.", growOrFall(t.Counts), growOrFall(-t.Counts))
}

// growOrFall says what lengths do while the engine turns the way it runs.
func growOrFall(s geometry.Sense) string {
	if s == geometry.CountsDown {
		return "fall"
	}
	return "grow"
}

// moves says how to get from the contact to TDC.
func moves(t audit.PairTop) []string {
	n, top := contactPlaces(t.Pair), topText(t)
	back := dialText(t.Pair, t.Again, 0)
	by := func(m audit.CrankMove) string { return rounding.Fixed(m.By.Degrees(), 0) + " degrees" }
	if t.Forward.Measured {
		l := rounding.Lengths{Unit: t.Rim.Diameter.Unit}
		back = l.About(t.Shown(t.Again))
		by = func(m audit.CrankMove) string {
			return rounding.Fixed(m.By.Degrees(), 0) + " degrees (" + l.About(geometry.Rim{Diameter: t.Rim.Diameter.Value}.Arc(m.By)) + " of rim)"
		}
	}
	if t.Standing == sheet.Forward {
		return []string{
			fmt.Sprintf("You stand at the forward contact, %s, before TDC. Turn the engine THE WAY IT RUNS, by about %s, up to %s, and stop there.",
				dialText(t.Pair, t.Forward.Value, n), by(t.Moves[0]), top),
			fmt.Sprintf("Gone past it? Turn back to about %s and come up to %s again.", back, top),
		}
	}
	first, second := t.Moves[0], t.Moves[1]
	return []string{
		fmt.Sprintf("You stand at the backward contact, %s, past TDC. Turn the engine AGAINST the way it runs, by about %s: past %s, on to about %s.",
			dialText(t.Pair, t.Backward.Value, n), by(first), top, back),
		fmt.Sprintf("Turn it THE WAY IT RUNS, by about %s, up to %s, and stop there. Gone past it? Turn back to about %s and come up again.", by(second), top, back),
	}
}

// contactPlaces is the number of decimals of a contact: those of the step, and
// of what was read more finely.
func contactPlaces(p audit.Pair) int {
	return max(rounding.StepPlaces(p.Step), rounding.StepPlaces(p.Forward.Value), rounding.StepPlaces(p.Backward.Value))
}

// dialText is a reading as the readout shows it, 0 to 360; with letters as well
// where a contact was read with them; a length on a rim.
func dialText(p audit.Pair, a geometry.Angle, n int) string {
	if p.Forward.Measured {
		return rounding.Lengths{Unit: p.Rim.Diameter.Unit}.Of(p.Shown(a))
	}
	a = geometry.Angle(rounding.To(a, n))
	text := rounding.Round(a, n)
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
