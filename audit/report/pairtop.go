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
