// Package job says where the work on one sheet stands, from the first open answer
// to the proof of a new line, and so what is the one thing to do next. It is a pure
// function of the sheet, its result and what the journal remembers: it reads no
// files, and asks no clock.
package job

import (
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/guide"
	"markaudit/audit/internal/enum"
	"markaudit/audit/sheet"
)

// Stage is where the work stands.
type Stage uint8

// Asking: the sheet lacks answers without which nothing can be read, or is wrong. Measuring: the
// plan wants readings. Undecided: all planned was read, and a line is not decided
// or something must be looked at first. Scribing: a new line, or the pointer, is to
// be set. Stopped: the check by eye, or the dividers, said that the sheet is not as the metal.
// Proving: it is said to be scribed, and is to be read anew. Outside: a line is off
// by too much, and no new line is told. Done: every line is within.
const (
	Asking Stage = iota
	Measuring
	Undecided
	Scribing
	Stopped
	Proving
	Outside
	Done
)

var stageWords = []string{"answers open", "being measured", "undecided", "to scribe", "stopped", "to prove", "outside", "done"}

func (s Stage) String() string { return enum.Word(stageWords, s) }

// What answers a question about the metal.
const (
	Yes = "yes"
	No  = "no"
)

// Said is an answer that a person gave after the readings.
type Said struct {
	Answer string // Yes or No; empty when nobody has answered
	About  string // what was asked, so that the answer holds for nothing else
	By     string // who; empty when nobody has said
	Time   string // when, as the journal has it
}

// Told is what was said after the readings. It is kept in the journal: no number
// comes from it, and without it the questions are asked again.
type Told struct {
	Eye     Said   // is the metal as the sheet says?
	Scribed Said   // is the new line scribed, or the pointer moved? No: the distances are not as they should be
	Proof   string // the name of the sheet that reads the new line; empty for none
}

// Seen is all that decides where a job stands.
type Seen struct {
	Asking   bool          // answers are open without which nothing can be read
	Faulty   bool          // something on the sheet is wrong
	Result   *audit.Result // nil where nothing can be audited
	Item     string        // what the plan still wants read, as [guide.State.Left] says it
	Cylinder string
	Stop     string // what was said of the stop last: in, out or nothing
	Told     Told
	Proven   *Standing // of the sheet that Told names as proof; nil where there is none
}

// Standing is where a job stands.
type Standing struct {
	Stage  Stage
	Faulty bool   // something on the sheet is wrong
	StopIn bool   // the stop was said to be in: nobody may turn the engine past TDC
	Eye    string // Yes, No, or empty while the check by eye is open
	Lines  Count
	Proof  string // the sheet that proves the new line; empty for none
	Proven bool   // it says that every line is within
}

// Count is how many lines there are of each verdict.
type Count struct{ All, Within, Outside, Undecided, NotRead int }

// Stand says where a job stands.
func Stand(s Seen) Standing {
	out := Standing{Faulty: s.Faulty, StopIn: s.Stop == guide.In.String(), Proof: s.Told.Proof}
	if s.Result != nil {
		out.Lines = count(*s.Result)
		switch on := &s.Result.Sheet; {
		case on.EyeCheckFailed():
			out.Eye = No
		case !Scribes(*s.Result):
		case s.Told.Eye.About == CheckOf(*s.Result):
			out.Eye = s.Told.Eye.Answer
		case s.writtenOnly():
			out.Eye = Yes
		}
	}
	out.Proven = s.Proven != nil && s.Proven.Stage == Done
	out.Stage = stage(s, out)
	return out
}

// writtenOnly reports whether the sheet says that its orders are carried out, the
// check by eye behind it, and the journal has never heard of it: somebody wrote it into
// the file.
func (s Seen) writtenOnly() bool {
	on := &s.Result.Sheet
	return on.Scribed() && on.After.EyeCheck == sheet.AsSaid && s.Told.Eye.About == "" && s.Told.Scribed.About == ""
}

func stage(s Seen, so Standing) Stage {
	scribes := s.Result != nil && Scribes(*s.Result)
	switch {
	case s.Asking || s.Faulty:
		return Asking
	case so.Eye == No && s.Result != nil && s.Result.Sheet.EyeCheckFailed():
		return Stopped
	case scribes && so.Eye == No, scribes && scribed(s, so) == No:
		return Stopped
	case scribes && scribed(s, so) == Yes && so.Proven:
		return Done
	case scribes && scribed(s, so) == Yes:
		return Proving
	case s.Result == nil || s.Item != "" || s.Cylinder != "" || so.Lines.NotRead > 0 || so.Lines.All == 0:
		return Measuring
	case scribes:
		return Scribing
	case so.Lines.Undecided > 0 || len(s.Result.Diagnosis.Ask) > 0:
		return Undecided
	case so.Lines.Outside > 0:
		return Outside
	}
	return Done
}

// scribed is what was said of the new line, once the metal was looked at; empty where
// that was said of other orders.
func scribed(s Seen, so Standing) string {
	if so.Eye == Yes && s.writtenOnly() {
		return Yes
	}
	if so.Eye != Yes || s.Told.Scribed.About != OrdersOf(*s.Result) {
		return ""
	}
	return s.Told.Scribed.Answer
}

func count(r audit.Result) Count {
	c := Count{All: len(r.Lines)}
	for _, m := range r.ByLine() {
		switch {
		case m.Offset == nil:
			c.NotRead++
		case m.Verdict == diagnosis.Within:
			c.Within++
		case m.Verdict == diagnosis.Outside:
			c.Outside++
		default:
			c.Undecided++
		}
	}
	return c
}

// Scribes reports whether a result tells anybody to scribe a line or to move the
// pointer.
func Scribes(r audit.Result) bool { return OrdersOf(r) != "" }

// OrdersOf is what a result tells to be scribed, and to which side, as a text to
// compare: an answer about other orders does not count.
func OrdersOf(r audit.Result) string {
	var out []string
	if s := r.Advice.Together; s.Worthwhile {
		out = append(out, fmt.Sprintf("all %v", s.Rotation))
	}
	for i, s := range r.Advice.Lines {
		if s.Worthwhile {
			out = append(out, fmt.Sprintf("%q %v", r.Lines[i].Name, s.Rotation))
		}
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

// CheckOf is what the check by eye asks of the metal, as a text to compare: an answer
// to another question does not count.
func CheckOf(r audit.Result) string {
	c := r.Advice.Check
	return fmt.Sprintf("from %q to %q, passes %q, %v, round %.1f", c.From, c.To, c.Passes, c.Rotation, c.Round.Millimetres())
}
