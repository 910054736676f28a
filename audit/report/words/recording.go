package words

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/guide"
	"markaudit/audit/inputerror"
	"markaudit/audit/report/rounding"
	"markaudit/audit/sheet"
	"markaudit/audit/sheet/readings"
	"markaudit/audit/tdc"
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
		return []string{"Every line is decided by its readings. But do not scribe or move anything yet. " + unsettled}
	}
	if r.view.Enough {
		text := "Enough: every line is decided."
		if slices.ContainsFunc(r.Result.ByLine(), AsFitted) {
			text += " The verdicts hold as fitted. Three setups, with the readout off and on again, would cover refitting too."
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
		repeats := RepeatTo(s.MiddleSD, n+1)
		if repeats != allAlike {
			repeats = "repeat to " + repeats
		}
		return text + fmt.Sprintf("%s, middles %s, TDC sure to ± %s", rounding.Count(len(s.Middles), "pair", "pairs"),
			repeats, rounding.TwoDigits(r.view.TDC))
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
			out = append(out, fmt.Sprintf("This pair has a half arc of %s, those before %s. One of its contacts is off, or the stop gave way. Read it again, or strike one with the reason.",
				rounding.Degrees(d.Value, n), rounding.Degrees(d.Others, n)))
		case guide.ContactApart:
			out = append(out, fmt.Sprintf("%s lies %s from the others of this side (%s). Look again before you turn. If it was wrong, undo it and read it again. If it stands, go on.",
				rounding.Fixed(d.Value.Degrees(), n-1), rounding.Degrees((d.Value-d.Others).Wrap().Abs(), n-1), r.Shows(d.Others, n-1)))
		case guide.MiddleApart:
			out = append(out, fmt.Sprintf("The middle of this pair lies at %s, that of those before at %s. Either the readout moved or a contact is off. If the readout moved, say bumped.",
				r.Shows(d.Value, n), r.Shows(d.Others, n)))
		case guide.ReadingApart:
			out = append(out, fmt.Sprintf("%s was read at %s before, now at %s. Come to it again.", lineBegins(d.Item), r.Shows(d.Others, n), r.Shows(d.Value, n)))
		case guide.BeyondTurn:
			out = append(out, fmt.Sprintf("%s is more than a turn. Is the decimal point where it belongs? If not, undo it. If the readout counts on, go on.", rounding.Fixed(d.Value.Degrees(), n-1)))
		case guide.DeepArc:
			out = append(out, fmt.Sprintf("The stop blocks %s each side. Twenty to thirty are enough. It serves, but a shallower one gives room from the valves. If you fit it anew, a new setup begins.", rounding.Degrees(d.Value, n-1)))
		case guide.FarOff:
			out = append(out, fmt.Sprintf("%s comes up %s, which is far. Is it this line, and is the number right? Read it again.", lineBegins(d.Item), rounding.OffBy(d.Value, 1)))
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
			text = TheLine(name) + ": " + text
		}
		if f.Hint != "" {
			text += "; " + f.Hint
		}
	}
	return "The readings are kept, but cannot be judged as they stand: " + text + ". Undo the last reading, or strike the one that is wrong. The list has its number."
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

// asked leads to an answer by what was asked.
var asked = map[guide.Question]string{
	guide.Touched:      "moved since: ",
	guide.WhereStop:    "stop ",
	guide.Where:        "turns freely: ",
	guide.WhereBTDC:    "BTDC lines ",
	guide.Valves:       "valves clear: ",
	guide.TurnBack:     "turning back: ",
	guide.NextCylinder: "readout left alone: ",
	guide.LookedAgain:  "looked again: ",
	guide.QuarterFrom:  "quarter turn ",
	guide.QuarterTo:    "quarter turn ",
	guide.FurtherOn:    "further on ",
	guide.Stroke:       "stroke ",
	guide.Rod:          "rod ",
	guide.HowDeep:      "drop ",
}

// answered names an answer by what was asked.
func answered(u guide.Undone) string {
	said := Clean(u.Text)
	switch u.Question {
	case guide.HoleEmpty, guide.LastLook:
		if said == string(guide.Yes) {
			return "stop out"
		}
		return "stop in"
	}
	return cmp.Or(asked[u.Question], "answer ") + said
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

// What the recorder says where the readout is a dial in the plug hole.

// topAgain is the closing reading of a dial.
const topAgain = "top once more"

// dialTask names what is asked for; empty with any other readout, and for a line.
func (r Recording) dialTask(step guide.Step) string {
	switch {
	case r.view.Method != sheet.AtTop:
	case step.Item == "top":
		return fmt.Sprintf("Top, reading %d", step.Number)
	case step.Item == "closing":
		return strings.ToUpper(topAgain[:1]) + topAgain[1:]
	}
	return ""
}

// topSoFar says where the dial stands at the top, and how well that repeats.
func (r Recording) topSoFar(s tdc.Setup) string {
	taken, at, repeats := TopOf(r.Audit, s)
	text := "The dial stands highest at " + at + ", by " + taken
	if s.Height.N < 2 {
		return text + ", which shows no scatter yet"
	}
	if repeats == allAlike {
		return text + ", " + allAlike
	}
	return text + " that repeat to " + repeats
}

// dialHeadline is what to do, in a few words; empty where the words of other readouts do.
func (r Recording) dialHeadline(step guide.Step) string {
	switch {
	case r.view.Method != sheet.AtTop:
	case step.Kind == guide.Take && (step.Item == "top" || step.Item == "closing"):
		return "Slowly over the top"
	case step.Question == guide.LastLook:
		return "Take the dial out. Is the hole empty?"
	case step.Question == guide.Touched:
		return "Was the dial moved since the last reading?"
	}
	return ""
}

// onRound is what to do past a line on an engine that must not be turned back.
const onRound = "do not turn back: go on round and come again"

// dialTake says what to turn to and to read.
func (r Recording) dialTake(step guide.Step) string {
	name := Clean(step.Item)
	switch step.Item {
	case "top":
		if step.OneWay {
			return fmt.Sprintf("Do not turn back. Turn the engine THE WAY IT RUNS, %s, on round until the hand begins to climb, about 20 degrees before the top. Then turn slowly over the top, and watch the hand. What is the highest that it reaches? Not where it comes to rest.", r.running())
		}
		return fmt.Sprintf("Turn the engine back about 20 degrees, then THE WAY IT RUNS, %s, slowly over the top, and watch the hand. What is the highest that it reaches? Not where it comes to rest.", r.running())
	case "closing":
		if step.OneWay {
			return fmt.Sprintf("Once more over the top: on round THE WAY IT RUNS, %s, and slowly from about 20 degrees before it. What is the highest that the hand reaches? It shows whether the dial has moved.", r.running())
		}
		return fmt.Sprintf("Once more over the top, from 20 degrees away, THE WAY IT RUNS, %s. What is the highest that the hand reaches? It shows whether the dial has moved.", r.running())
	}
	at := "line " + name + " stands at the engine pointer"
	if r.Result.Sheet.Part.MarksOn == sheet.OnEngine {
		at = "the turning line stands at " + name + " of the fixed scale"
	}
	if step.Approach == sheet.Backward {
		return fmt.Sprintf("Go past it first, with the piston well down. Then turn AGAINST the way the engine runs, the piston rising, until %s. What does the dial show, whole turns of the hand included?", at)
	}
	first, past := "", "go back twenty degrees and come again"
	switch {
	case step.OneWay:
		past = onRound
	case step.Again:
		first = "Go back by twenty degrees first. "
	}
	return fmt.Sprintf("%sTurn THE WAY IT RUNS, %s, until %s. Gone past it? Then %s. What does the dial show, whole turns of the hand included?", first, r.running(), at, past)
}

// dialQuestion asks what only a dial's recorder asks, or asks in its own words.
func (r Recording) dialQuestion(step guide.Step) string {
	switch {
	case r.view.Method != sheet.AtTop:
	case step.Question == guide.Touched:
		return "Since the last reading, was the dial moved, set to nought or taken out? Yes begins a new setup."
	case step.Question == guide.LastLook:
		return "Last step before the result: take the dial out. Look into the hole: is it empty?"
	case step.Question == guide.TurnBack:
		return "May this engine be turned backward by hand? Water pump, belt, tensioner and the maker decide. With a yes you come to the top by turning back, and the piston rises to the lines after TDC too. Without a yes everything is read turning the way it runs, once round for each reading."
	case step.Question == guide.FurtherOn:
		return fmt.Sprintf("You stand at line %s. Turn a few degrees further THE WAY IT RUNS, %s. What does the dial show now? That proves on which side of TDC the line lies.", Clean(step.Item), r.running())
	}
	return ""
}
