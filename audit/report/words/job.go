package words

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit/advise"
	"markaudit/audit/diagnosis"
	"markaudit/audit/job"
	"markaudit/audit/report/rounding"
)

// Job says where a job stands and what comes next.
type Job struct {
	Audit
	Standing job.Standing
}

// Headline is where the job stands, in a few words.
func (j Job) Headline() string {
	c := j.Standing.Lines
	switch j.Standing.Stage {
	case job.Asking:
		if j.Standing.Faulty {
			return "Something on the sheet is wrong"
		}
		return "Answers are still open"
	case job.Measuring:
		if !j.Result.TDC.Any() && c.NotRead == c.All {
			return "To be measured"
		}
		return "Being measured"
	case job.Undecided:
		if c.Undecided == 0 {
			return "To be looked at before it is decided"
		}
		return capital(countOf(c.Undecided, c.All) + " undecided")
	case job.Scribing:
		if j.Result.Advice.Together.Worthwhile {
			return "The lines are off together"
		}
		return capital(countOf(c.Outside, c.All) + " off by too much")
	case job.Stopped:
		return "Stopped: the sheet is not as the metal"
	case job.Proving:
		return "Scribed: prove it"
	case job.Outside:
		return capital(countOf(c.Outside, c.All) + " off by too much, and nothing is to be scribed")
	}
	if j.Standing.Proven {
		return "Scribed and proven"
	}
	said := "All lines are within"
	if c.All == 1 {
		said = "The line is within"
	}
	if j.Unseen() { // no surer than the record
		said += ", to be confirmed"
	}
	return said
}

// capital is a text with a capital at its beginning.
func capital(s string) string { return strings.TrimSuffix(Sentence(s), ".") }

// countOf says how many of all lines, up to the verb: "2 of 6 lines are".
func countOf(n, all int) string {
	switch {
	case all == 1:
		return "the line is"
	case n == all && all == 2:
		return "both lines are"
	case n == all:
		return fmt.Sprintf("all %d lines are", all)
	case n == 1:
		return fmt.Sprintf("1 of %d lines is", all)
	}
	return fmt.Sprintf("%d of %d lines are", n, all)
}

// Todo is the one thing to do next.
func (j Job) Todo() string {
	if j.Standing.StopIn && j.Standing.Stage != job.Measuring {
		return "First take the stop out."
	}
	switch j.Standing.Stage {
	case job.Asking:
		if j.Standing.Faulty {
			return "Put it right, by the questions or in the file."
		}
		return "Answer the questions that are open."
	case job.Measuring:
		return "Go to the engine and read."
	case job.Undecided:
		return "See which readings would decide it, and take them."
	case job.Scribing:
		if j.Standing.Eye == job.Yes {
			return "Check with dividers, then scribe."
		}
		return "Look at the metal, and answer what you see."
	case job.Stopped:
		return "Scribe nothing. Put the sheet right."
	case job.Proving:
		return "Read the new line like any other."
	case job.Outside:
		return "See what was found."
	}
	if j.Unseen() { // no surer than the record
		return "Look at the metal: nothing confirms yet which way the engine runs."
	}
	return "Nothing is left to do."
}

// StepsNow is what to do, without what a check by eye has to come before: side and
// length of a new line are in it only once that was answered yes.
func (j Job) StepsNow() []string {
	if j.Result.Sheet.EyeCheckFailed() {
		return nil // what is on the sheet is wrong, and so is all that follows from it
	}
	if j.Standing.Eye == job.Yes {
		return j.rest()
	}
	out := FirstToRead(j.Audit)
	if j.Scribes() {
		out = append(out, directionSteps(j.Audit)...)
		if first := strings.TrimSpace(closeFirst(j.Audit)); first != "" {
			out = append(out, first)
		}
	} else {
		out = append(out, j.withoutOrders()...)
	}
	return append(out, undecidedSteps(j.Audit)...)
}

// FirstToRead is what is to be looked at or read before anything is decided.
func FirstToRead(v Audit) []string {
	out := contactSteps(v)
	for _, o := range v.Result.Diagnosis.Ask {
		out = append(out, askFirst(v, o))
	}
	return out
}

// rest is what else is to be done once the check by eye is answered.
func (j Job) rest() []string {
	out := contactSteps(j.Audit)
	for _, o := range j.Result.Diagnosis.Ask {
		out = append(out, Ask(j.Audit, o))
	}
	return append(append(out, directionSteps(j.Audit)...), undecidedSteps(j.Audit)...)
}

// AboutDividers says what the distances between lines are good for, as a check before
// scribing.
const AboutDividers = "Straight across from line to line. A distance that disagrees by more than its ± means a wrong reading or a wrong sheet: then scribe nothing."

// TwoLines and ReadNew say which of two lines of one name is which: when the new one is
// scribed, and when it is read.
const (
	TwoLines = "Then there are two lines of one name. Strike the old one through at once, and mark the new one."
	ReadNew  = "Read the new line, not the one that is struck through."
)

// Unsure says that TDC is not as sure as pairs were taken for, and what more of them
// would bring; empty where it is.
func (j Job) Unsure() string {
	u, unsure := job.UnsureTDC(j.Result)
	if !unsure {
		return ""
	}
	text := fmt.Sprintf("TDC is known to ± %s: the goal of ± %s was not reached.", rounding.TwoDigits(u.TDC), rounding.TwoDigits(u.Goal))
	if u.Pairs > 0 {
		text += fmt.Sprintf(" %s would bring about ± %s.", morePairs(j.Audit, u.Pairs), rounding.TwoDigits(u.Would))
	}
	return text
}

// withoutOrders is what is to be done on the part where nothing is told to be
// scribed or moved.
func (j Job) withoutOrders() []string {
	return slices.DeleteFunc(metalSteps(j.Audit), func(text string) bool { return text == "" })
}

// Metal is what is to be scribed or moved, a text each. It is for after the check by
// eye.
func (j Job) Metal() []string { return j.withoutOrders() }

// HasSides reports whether the whole report names a side or a length of a new line,
// given or held back.
func (j Job) HasSides() bool {
	worth := func(s advise.Scribe) bool { return s.Worthwhile }
	a := j.Result.Advice
	return slices.ContainsFunc(a.Lines, worth) || slices.ContainsFunc(a.Forced, worth) || a.Together.Worthwhile || a.TogetherHeld.Worthwhile ||
		slices.ContainsFunc(j.Result.Diagnosis.Decisions, func(d diagnosis.Decision) bool { return d.Held })
}

// EyeQuestion asks what the metal shows, without saying what the sheet makes of it.
// It is answered clockwise or anticlockwise, as one looks at the marks; Rim is what
// a tape round the rim should show, empty without a diameter.
func (j Job) EyeQuestion() (look, rim string) {
	c := j.Result.Advice.Check
	switch {
	case c.From != "":
		look = fmt.Sprintf("Leave the engine where it is and put a finger on %s. Go from it to %s, the shorter way round, %s. Which way does the finger go?", TheLine(c.From), TheLine(c.To), j.viewpoint())
	case j.Result.Sheet.Part.MarksOn.String() == "engine":
		look = fmt.Sprintf("Turn the engine the way it runs, and look, %s. The scale stands still. Which way does the turning line pass it?", j.viewpoint())
	default:
		look = fmt.Sprintf("Turn the engine the way it runs, and look, %s. The pointer stands still. Which way does %s pass it?", j.viewpoint(), TheLine(c.Passes))
	}
	if c.Round > 0 {
		rim = "Lay a tape once round the rim, over the lines. Does it show " + j.Round() + "?"
	}
	return look, rim
}

// SheetWrong says what to do when the metal is not as the sheet says.
func (j Job) SheetWrong() []string {
	out := []string{
		"Scribe nothing, and move nothing.",
		"Ask again from the metal: which way the engine runs, " + j.viewpoint() + "; whether the lines turn or the pointer does; which way the readout counts.",
	}
	if j.Result.Advice.Check.Round > 0 {
		out = append(out, "Measure the rim again, where the lines are.")
	}
	return append(out, "Put the answer right under what the sheet says. The readings stay, and the check is asked again.")
}

// Place is a line of the list of jobs: on what the lines are, and how many.
func (j Job) Place() string {
	var parts []string
	if name := j.Result.Sheet.Part.Name; name != "" {
		parts = append(parts, Clean(name))
	}
	if n := len(j.Result.Sheet.Marks); n > 0 {
		parts = append(parts, rounding.Count(n, "line", "lines"))
	}
	return strings.Join(parts, ", ")
}

// HowFar is the length and the way of an instruction in a few words, true from any
// side; Side is the same as one sees it.
func (j Job) HowFar(s advise.Scribe) (how, side string) {
	how = rounding.Degrees(s.Angle, rounding.Unsure)
	if s.HasLengths {
		how = j.Of(s.Arc)
	}
	return how + " " + j.Goes(s), s.Rotation.String() + " of the old line"
}

// SeenFrom says from where every side is seen.
func (j Job) SeenFrom() string { return j.viewpoint() }

// After asks a question about the time after scribing, and says how to find the
// answer.
func (j Job) After(q job.Question) (ask, hint string) {
	name := func(i int) string { return Clean(q.Lines[i]) }
	switch q.Asks {
	case job.Who:
		return "Who scribed, and by which sheet?", "The digest stands on the report and on the record by which it was scribed; it is filled in as the sheet is now. If readings came in between, take the one on the paper."
	case job.Dividers:
		return fmt.Sprintf("What do the dividers show now from line %s to line %s, straight across?", name(0), name(1)), "From the new line, not from the old one. What it should be is shown after the answer."
	case job.Again:
		return fmt.Sprintf("What does the readout show at line %s now?", name(0)), "Only while the readout is still on as the last setup left it. Turn the engine the way it runs until " + j.newOne(q.Lines[0]) + " lines up, and type what the readout shows. Is it off already? Leave the question open."
	case job.Light:
		return "Has the engine run, and does a timing light agree?", "It agrees if it shows line and pointer together, with the timing set to that line. Has the engine not run, or did nobody look? Leave the question open."
	}
	return "Is a witness line painted across hub, rubber and ring?", "A stroke of paint that breaks when the ring slips. Broken means that the ring has moved on its hub."
}

// newOne is a line as one looks for it: the new one, where there is an old one
// beside it.
func (j Job) newOne(name string) string {
	for i, s := range j.Result.Advice.Lines {
		if s.Worthwhile && j.Result.Lines[i].Name == name {
			return "the new line " + Clean(name)
		}
	}
	return "line " + Clean(name)
}

// AfterName is a question about the time after scribing in a few words.
func AfterName(q job.Question) string {
	switch q.Asks {
	case job.Who:
		return "Who scribed"
	case job.Dividers:
		return "Dividers from " + Clean(q.Lines[0]) + " to " + Clean(q.Lines[1])
	case job.Again:
		return Clean(q.Lines[0]) + " read again"
	case job.Light:
		return "Timing light"
	}
	return "Witness line"
}
