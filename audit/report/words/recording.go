package words

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
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
	if r.view.By != "" {
		parts = append(parts, "read by "+Clean(r.view.By))
	}
	if r.view.Stop != guide.Unsaid {
		parts = append(parts, "stop "+r.view.Stop.String())
	}
	return strings.Join(parts, ", ")
}

// Task names what is asked for, in a few words.
func (r Recording) Task() string {
	step := r.view.Step
	switch step.Kind {
	case guide.Ask:
		return "A question first"
	case guide.Fit:
		return "Stop in"
	case guide.TakeOut:
		return "Stop out"
	case guide.Take:
		switch step.Item {
		case "stop":
			return fmt.Sprintf("Pair %d, %v contact", step.Number, step.Approach)
		case "closing":
			return fmt.Sprintf("Closing pair, %v contact", step.Approach)
		}
		from := ""
		if step.Approach == sheet.Backward {
			from = ", from the other side"
		}
		return fmt.Sprintf("Line %s, reading %d%s", Clean(step.Item), step.Number, from)
	}
	return "All read"
}

// Step says what to do next.
func (r Recording) Step() string {
	step := r.view.Step
	switch step.Kind {
	case guide.Ask:
		return r.question(step.Question)
	case guide.Fit:
		why := "for the contacts"
		if step.Item == "closing" {
			why = "once more, for the closing pair, which shows whether the readout has moved"
		}
		return fmt.Sprintf("Turn the engine until the piston is well down, then fit the stop and lock it, %s.", why)
	case guide.TakeOut:
		return r.ease(step.Rests) + "take the stop out before you turn past TDC."
	case guide.Take:
		if step.Item == "stop" || step.Item == "closing" {
			return r.contact(step)
		}
		return r.line(step)
	}
	return r.decide()
}

// question asks for what no reading tells.
func (r Recording) question(q guide.Question) string {
	switch q {
	case guide.Touched:
		return "Since the last reading, was the readout moved, zeroed or taken off, or the stop fitted anew for other contacts? Yes begins a new setup."
	case guide.WhereStop:
		return "Look at the plug hole: is the stop in or out?"
	case guide.WhereBTDC:
		return "Look at the metal, " + r.viewpoint() + ": on which side of the TDC line do the BTDC lines lie, clockwise or anticlockwise?"
	case guide.QuarterFrom:
		return "The stop is not in yet. " + r.readout() + ": what does it show now?"
	case guide.QuarterTo:
		return "Turn the engine about a quarter turn THE WAY IT RUNS, " + r.running() + ". What does it show now?"
	}
	return ""
}

// running is the running direction, as one looks at the marks.
func (r Recording) running() string {
	return r.Result.Sheet.Engine.Turns.String() + " " + r.viewpoint()
}

// ease says how to come off the stop from the contact at which it rests.
func (r Recording) ease(rests sheet.Approach) string {
	switch rests {
	case sheet.Forward:
		return "Ease off the stop by a few degrees AGAINST the way the engine runs, and "
	case sheet.Backward:
		return "Ease off the stop by a few degrees THE WAY the engine runs, and "
	}
	return "With the piston off the stop, "
}

// contact says which way to turn to a contact. The stop is in, so the way never
// leads through the arc that it blocks.
func (r Recording) contact(step guide.Step) string {
	way := "THE WAY IT RUNS, " + r.running()
	if step.Approach == sheet.Backward {
		way = "AGAINST the way it runs, " + r.Result.Sheet.Engine.Turns.Opposite().String() + " " + r.viewpoint()
	}
	far := ""
	switch {
	case step.Turn > 0:
		far = ", by about " + rounding.Fixed(step.Turn.Degrees(), 0) + " degrees"
	case step.Rests == step.Approach:
		far = ", after easing off by some twenty degrees"
	case step.Rests != 0:
		far = ", nearly a whole turn"
	}
	return fmt.Sprintf("Turn the engine %s%s, until the piston meets the stop. Light touch. What does the readout show?", way, far)
}

// line says how to come to a line. The stop is out.
func (r Recording) line(step guide.Step) string {
	name := Clean(step.Item)
	at := "line " + name + " stands at the engine pointer"
	if r.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		at = "the turning line stands at " + name + " of the fixed scale"
	}
	switch edge := r.Result.Sheet.Part.ReadAt; edge {
	case "leading edge", "trailing edge":
		at += " with its " + edge
	}
	if step.Approach == sheet.Backward {
		return fmt.Sprintf("Go past it first, then turn AGAINST the way the engine runs until %s. What does the readout show?", at)
	}
	far := ""
	switch n := math.Round(step.Turn.Degrees()); {
	case step.Again || n < 10:
		far = "Go back by ten degrees or more first. "
	default:
		far = "It comes in about " + rounding.Fixed(n, 0) + " degrees. "
	}
	if step.Turn == 0 && !step.Again {
		far = ""
	}
	return fmt.Sprintf("%sTurn THE WAY IT RUNS, %s, until %s; gone past it, go back ten degrees and come again. What does the readout show?", far, r.running(), at)
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
	return r.undecided()
}

// Unsettled says what stands between the verdicts and any new line: what would
// explain all of them, or make them doubtful; empty for nothing.
func (r Recording) Unsettled() string {
	var out []string
	for _, w := range r.Result.Warnings {
		switch w.Code {
		case warning.DeclarationSuspect, warning.LineOrder, warning.SetupsDiffer, warning.ReadoutMoved, warning.LostMotionDiffers:
			out = append(out, Sentence(r.Warning(w)))
		}
	}
	return strings.Join(out, " ")
}

// Saved says that a row is kept.
func (r Recording) Saved(row readings.Row) string {
	what := row.Item
	if row.Item == "stop" {
		what = "pair " + Clean(row.Trial)
	} else if row.Item == "closing" {
		what = "closing pair"
	}
	text := fmt.Sprintf("setup %s, %s, %s: %s", Clean(row.Setup), Clean(what), row.Approach, Clean(row.Reading))
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
		l := Line{Name: Clean(m.Name), BelongsAt: m.AtText, Allowed: Allowed(m.Mark), Verdict: "not read"}
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
		case guide.MiddleApart:
			out = append(out, fmt.Sprintf("The middle of this pair lies at %s, that of those before at %s: the readout moved (say so: bumped), or a contact is off.",
				r.Shows(d.Value, n), r.Shows(d.Others, n)))
		case guide.ReadingApart:
			out = append(out, fmt.Sprintf("%s was read at %s before, now at %s: come to it again.", Clean(d.Item), r.Shows(d.Others, n), r.Shows(d.Value, n)))
		case guide.BeyondTurn:
			out = append(out, fmt.Sprintf("%s is more than a turn: is the decimal point where it belongs? If not, undo it. If the readout counts on, go on.", rounding.Fixed(d.Value.Degrees(), n-1)))
		case guide.FarOff:
			out = append(out, fmt.Sprintf("%s comes up %s, which is far: is it this line, and is the number right? Read it again.", Clean(d.Item), rounding.OffBy(d.Value, 1)))
		}
	}
	for _, w := range r.view.Fresh {
		out = append(out, Sentence(r.Warning(w)))
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
