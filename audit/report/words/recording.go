package words

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet/readings"
	"markaudit/audit/warning"
	"markaudit/geometry"
)

// Recording says what a session shows: the terminal and the page at the engine
// say the same.
type Recording struct {
	Audit
	view guide.View
}

// NewRecording speaks for a session.
func NewRecording(v guide.View) Recording {
	var r audit.Result
	if v.Result != nil {
		r = *v.Result
	} else {
		r.Sheet = v.Sheet
	}
	return Recording{NewAudit(r, v.Next), v}
}

// Where says which setup is being taken, who reads, and where the stop is.
func (r Recording) Where() string {
	parts := []string{"setup " + Clean(r.view.Setup)}
	if r.view.Cylinder != "" {
		parts = append(parts, "cylinder "+Clean(r.view.Cylinder))
	}
	if r.view.By != "" {
		parts = append(parts, "read by "+Clean(r.view.By))
	}
	if r.view.Stop != guide.Unsaid && r.StopMatters() {
		parts = append(parts, "stop "+r.view.Stop.String())
	}
	return strings.Join(parts, ", ")
}

// decide says whether enough is enough, and what would help most where not.
func (r Recording) decide() string {
	advice := r.Advice()
	if len(advice) == 0 {
		return "Everything planned for this setup has been read."
	}
	return "This setup is complete. " + strings.Join(advice, " ")
}

// Advice says whether enough has been read for every verdict, and else what
// helps most.
func (r Recording) Advice() []string {
	if r.view.Result == nil || len(r.view.Result.ByLine()) == 0 {
		return nil
	}
	if unsettled := r.Unsettled(); r.view.Enough && unsettled != "" {
		return []string{"Every line is decided by its readings, but do not scribe or move anything yet: " + unsettled}
	}
	if r.view.Enough {
		text := "Enough: every line is decided."
		if slices.ContainsFunc(r.Result.ByLine(), AsFitted) {
			text += " The verdicts hold as fitted; three setups, with the readout off and on again, would cover refitting too."
		}
		return []string{text}
	}
	return undecidedSteps(r.Audit)
}

// Unsettled says what stands between the verdicts and any new line: what would
// explain all of them, or make them doubtful; empty for nothing.
func (r Recording) Unsettled() string {
	var out []string
	for _, w := range r.Result.Warnings {
		switch w.Code {
		case warning.DeclarationSuspect, warning.LineOrder, warning.SetupsDiffer, warning.ReadoutMoved, warning.LostMotionDiffers:
			out = append(out, Sentence(Warning(r.Audit, w)))
		}
	}
	return strings.Join(out, " ")
}

// Reading says what was read, and where, without its setup.
func Reading(row readings.Row) string {
	what := Clean(row.Item)
	switch {
	case row.Item == "stop":
		what = "pair " + Clean(row.Trial)
	case row.Item == "closing" && row.Trial == "": // of a dial
		what = topAgain
	case row.Item == "closing":
		what = "closing pair"
	case row.Item == "drop" && row.Side != "":
		return fmt.Sprintf("drop %s, %s TDC: %s", Clean(row.Trial), Clean(row.Side), Clean(row.Reading))
	case row.Item == "sweep" && row.Height != "":
		return fmt.Sprintf("sweep: %s at %s", Clean(row.Reading), Clean(row.Height))
	}
	return fmt.Sprintf("%s, %s: %s", what, Clean(row.Approach), Clean(row.Reading))
}

// Saved says that a row is kept.
func (r Recording) Saved(row readings.Row) string {
	text := fmt.Sprintf("setup %s, %s", Clean(row.Setup), Reading(row))
	if row.Struck != "" {
		text += ", struck: " + Clean(row.Struck)
	}
	if row.Note != "" {
		text += " (" + Clean(row.Note) + ")"
	}
	return text
}

// Figures says what the current setup tells of TDC so far; empty before its
// first pair.
func (r Recording) Figures() string {
	if r.view.Result == nil || !r.Result.TDC.Any() {
		return ""
	}
	for _, s := range r.Result.TDC.Setups {
		if s.Name != r.view.Setup {
			continue
		}
		if s.Height != nil {
			return r.topSoFar(s)
		}
		n := r.StepDecimals() + 1
		text := fmt.Sprintf("TDC where the readout shows %s; half arc %s; ", r.Shows(s.Reading, n), rounding.Degrees(s.HalfArc, n))
		if len(s.Middles) < 2 {
			return text + "one pair shows no scatter yet"
		}
		return text + fmt.Sprintf("%s, middles repeat to %s, TDC sure to ± %s", rounding.Count(len(s.Middles), "pair", "pairs"),
			rounding.Degrees(s.MiddleSD, n+1), rounding.TwoDigits(r.view.TDC))
	}
	return ""
}

// Lines are the lines read so far, each with its offset and its verdict.
func (r Recording) Lines() []Line {
	var out []Line
	for _, m := range r.Result.ByLine() {
		l := Line{Name: Clean(m.Name), BelongsAt: m.AtText, Allowed: r.Allowed(m.Mark), Verdict: "not read"}
		l.Early, l.Late = m.Mark.Allowed()
		if r.view.Result != nil && !r.Result.TDC.Any() {
			l.Verdict = "no TDC yet"
		}
		if m.Offset != nil {
			l.Read, l.OffBy, l.Verdict = true, Offset(m.Offset), m.Verdict.String()
			l.ComesUpAt, l.Fitted = ComesUp(m), strings.TrimPrefix(Fitted(m), ", ")
			l.Offset, l.Sure, l.Known = m.Offset.Value, m.Offset.Expanded, m.Offset.Known
			l.Decided = m.Verdict != diagnosis.Undecided
		}
		out = append(out, l)
	}
	return out
}

// Line is one line as a session shows it: its texts, and the angles to draw it.
type Line struct {
	Name, BelongsAt, ComesUpAt string
	OffBy, Verdict, Fitted     string
	Allowed                    string
	Read, Known, Decided       bool
	Offset, Sure, Early, Late  geometry.Angle
}

// Doubts says what looks odd about the latest reading, and what to do.
func (r Recording) Doubts() []string {
	var out []string
	for _, d := range r.view.Doubts {
		switch n := r.StepDecimals() + 1; d.Kind {
		case guide.ArcApart:
			out = append(out, fmt.Sprintf("This pair has a half arc of %s, those before %s: one of its contacts is off, or the stop gave way. Read it again, or strike one with the reason.",
				rounding.Degrees(d.Value, n), rounding.Degrees(d.Others, n)))
		case guide.ContactApart:
			out = append(out, fmt.Sprintf("%s lies %s from the others of this side (%s). Look again before you turn: undo it and read it again, or go on if it stands.",
				rounding.Fixed(d.Value.Degrees(), n-1), rounding.Degrees((d.Value-d.Others).Wrap().Abs(), n-1), r.Shows(d.Others, n-1)))
		case guide.MiddleApart:
			out = append(out, fmt.Sprintf("The middle of this pair lies at %s, that of those before at %s: the readout moved (say so: bumped), or a contact is off.",
				r.Shows(d.Value, n), r.Shows(d.Others, n)))
		case guide.ReadingApart:
			out = append(out, fmt.Sprintf("%s was read at %s before, now at %s: come to it again.", Clean(d.Item), r.Shows(d.Others, n), r.Shows(d.Value, n)))
		case guide.BeyondTurn:
			out = append(out, fmt.Sprintf("%s is more than a turn: is the decimal point where it belongs? If not, undo it. If the readout counts on, go on.", rounding.Fixed(d.Value.Degrees(), n-1)))
		case guide.DeepArc:
			out = append(out, fmt.Sprintf("The stop blocks %s each side; twenty to thirty are enough. It serves. A shallower one gives room from the valves: fitting it anew begins a new setup.", rounding.Degrees(d.Value, n-1)))
		case guide.FarOff:
			out = append(out, fmt.Sprintf("%s comes up %s, which is far: is it this line, and is the number right? Read it again.", Clean(d.Item), rounding.OffBy(d.Value, 1)))
		}
	}
	for _, w := range r.view.Fresh {
		out = append(out, Sentence(Warning(r.Audit, w)))
	}
	return out
}

// Trouble says why the readings cannot be judged as they stand; empty when they
// can. Every one of them is kept.
func (r Recording) Trouble() string {
	if r.view.Trouble == nil {
		return ""
	}
	text := r.view.Trouble.Error()
	var faults inputerror.List
	if errors.As(r.view.Trouble, &faults) && len(faults) > 0 {
		f := faults[0]
		text = f.Text
		if _, name, ok := strings.Cut(string(f.Path), ".marks."); ok {
			text = "line " + Clean(name) + ": " + text
		}
		if f.Hint != "" {
			text += "; " + f.Hint
		}
	}
	return "The readings are kept, but cannot be judged as they stand: " + text + ". Undo the last, or strike the one that is wrong (the list has its number)."
}

// Undo names what undo would take back; empty for nothing.
func (r Recording) Undo() string {
	u := r.view.Undo
	switch u.Kind {
	case guide.Read:
		if u.Question != guide.NoQuestion {
			return answered(u)
		}
		return shortReading(u.Row)
	case guide.Strike:
		return "strike of " + shortReading(u.Row)
	case guide.Bumped, guide.NewSetup:
		return "new setup"
	case guide.Operator:
		return "name " + Clean(u.Text)
	case guide.StopIn:
		return "stop in"
	case guide.StopOut:
		return "stop out"
	case guide.Down:
		return "piston down"
	case guide.Stuck:
		return "it does not move"
	case guide.Choose:
		return "next " + Clean(u.Text)
	case guide.Skip:
		if u.Text == "" {
			return "left open"
		}
		return "left out " + Clean(u.Text)
	case guide.Answer:
		return answered(u)
	}
	return ""
}

// answered names an answer by what was asked.
func answered(u guide.Undone) string {
	said := Clean(u.Text)
	switch u.Question {
	case guide.Touched:
		return "moved since: " + said
	case guide.WhereStop:
		return "stop " + said
	case guide.HoleEmpty, guide.LastLook:
		return map[bool]string{true: "stop out", false: "stop in"}[said == string(guide.Yes)]
	case guide.Where:
		return "turns freely: " + said
	case guide.WhereBTDC:
		return "BTDC lines " + said
	case guide.Valves:
		return "valves clear: " + said
	case guide.TurnBack:
		return "turning back: " + said
	case guide.NextCylinder:
		return "readout left alone: " + said
	case guide.LookedAgain:
		return "looked again: " + said
	case guide.QuarterFrom, guide.QuarterTo:
		return "quarter turn " + said
	case guide.FurtherOn:
		return "further on " + said
	case guide.Stroke:
		return "stroke " + said
	case guide.Rod:
		return "rod " + said
	case guide.HowDeep:
		return "drop " + said
	}
	return "answer " + said
}

// shortReading is a reading in a few words, its number first.
func shortReading(row readings.Row) string {
	number := Clean(row.Reading)
	switch row.Item {
	case "stop":
		return number + ", pair " + Clean(row.Trial) + ", " + Clean(row.Approach)
	case "closing":
		if row.Trial == "" {
			return number + ", " + topAgain
		}
		return number + ", closing, " + Clean(row.Approach)
	}
	return number + ", " + Clean(row.Item)
}
