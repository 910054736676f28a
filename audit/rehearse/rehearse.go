package rehearse

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"markaudit/audit"
	"markaudit/audit/diagnosis"
	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
	"markaudit/audit/simulate"
	"markaudit/geometry"
)

// Sealed is the truth of one rehearsal. Digest is that of the sheet it belongs to.
type Sealed struct {
	Scenario string
	Seed     uint64
	Digest   string
	Story    string
	Truth    simulate.Truth
	Hands    []simulate.TrueHand `json:",omitempty"` // of a class
	Name     string              `json:",omitempty"` // of the apprentice, in a batch
	Cause    Cause               `json:",omitempty"` // none of a class
}

const (
	heading = "markaudit rehearsal: the truth. Open it with `markaudit rehearse --open` once you have written down your answers."
	width   = 76
)

// Seal writes the truth so that nobody reads it in passing. It keeps no secret
// from who wants to know.
func Seal(s Sealed) (string, error) {
	data, err := json.Marshal(s)
	if err != nil {
		return "", err
	}
	text := base64.StdEncoding.EncodeToString(data)
	var b strings.Builder
	b.WriteString(heading + "\n")
	for len(text) > 0 {
		n := min(width, len(text))
		b.WriteString(text[:n] + "\n")
		text = text[n:]
	}
	return b.String(), nil
}

// Open reads what [Seal] wrote.
func Open(text string) (Sealed, error) {
	var s Sealed
	first, rest, _ := strings.Cut(text, "\n")
	if strings.TrimSpace(first) != heading {
		return s, fmt.Errorf("found no sealed truth, expected a file that `markaudit rehearse` wrote")
	}
	data, err := base64.StdEncoding.DecodeString(strings.Join(strings.Fields(rest), ""))
	if err == nil {
		err = json.Unmarshal(data, &s)
	}
	if err != nil || len(s.Truth.Lines) == 0 {
		return Sealed{}, fmt.Errorf("the seal is broken: the file was changed or not kept whole")
	}
	return s, nil
}

// Answer is what an apprentice wrote down of one line.
type Answer struct {
	Mark    string
	Off     geometry.Angle // late is positive
	HasOff  bool
	Verdict diagnosis.Verdict

	HasVerdict bool // else it was left open
}

// blank reports whether nothing was answered of the line.
func (a Answer) blank() bool { return !a.HasOff && !a.HasVerdict }

// Line holds one line's truth, audit and answer against each other.
type Line struct {
	simulate.TrueLine
	Mark     audit.LineResult
	Held     bool // the audit's interval holds the truth
	Wrong    bool // the audit calls it within or outside, and it is not
	Answer   *Answer
	Near     bool // the answer is within the audit's ±, or a tenth of the tolerance, of the truth
	Misjudge bool // the answer says within or outside, and it is not
	Overbold bool // the answer decides what the audit leaves undecided
}

// Opened is a rehearsal with its truth.
type Opened struct {
	Sealed
	Lines    []Line
	Result   audit.Result
	Answered int
	Score    []Scored // nil where no answers were handed in
}

// SheetAnswer is what an apprentice wrote down of the sheet as a whole.
type SheetAnswer struct {
	Cause     Cause // empty: left open
	Confirm   diagnosis.ObservationKind
	Confirmed bool // else it was left open
}

func (a SheetAnswer) blank() bool { return a.Cause == "" && !a.Confirmed }

// Answers are what was handed in: of lines and the sheet, or of the hands of a
// class. Nil lists: nothing was.
type Answers struct {
	Lines []Answer
	Sheet SheetAnswer
	Hands []HandAnswer
}

// Blank reports whether nothing at all was answered.
func (a Answers) Blank() bool {
	return a.Sheet.blank() && !slices.ContainsFunc(a.Lines, func(l Answer) bool { return !l.blank() }) &&
		!slices.ContainsFunc(a.Hands, func(h HandAnswer) bool { return h.Answered[0] || h.Answered[1] || h.Advice != "" })
}

// Mark opens a rehearsal as [Compare] does, and gives points for every answer, also
// for those that were left blank.
func Mark(s Sealed, sh sheet.Sheet, answers Answers) (Opened, error) {
	o, err := Compare(s, sh, answers.Lines)
	switch {
	case err != nil:
	case answers.Hands != nil:
		for _, a := range answers.Hands {
			if a.Answered[0] || a.Answered[1] {
				o.Answered++
			}
		}
		err = o.markHands(answers.Hands)
	case answers.Lines != nil:
		for i := range o.Lines {
			o.Score = append(o.Score, o.Lines[i].mark()...)
		}
		if !answers.Sheet.blank() {
			o.Answered++
		}
		o.markSheet(answers.Sheet)
	}
	return o, err
}

// Compare opens a rehearsal. The sheet must be the one that was sealed.
func Compare(s Sealed, sh sheet.Sheet, answers []Answer) (Opened, error) {
	o := Opened{Sealed: s}
	if sh.Digest != s.Digest {
		return o, &geometry.Refusal{Text: "the sheet is not the one that this truth belongs to, or it was changed", Hint: "answers go into their own file; audit a copy of the sheet if you want to try other readings"}
	}
	r, err := audit.Run(sh)
	if err != nil {
		return o, err
	}
	o.Result = r
	known := map[string]bool{} // only looked up
	for _, t := range s.Truth.Lines {
		known[t.Name] = true
		l := Line{TrueLine: t}
		for _, m := range r.ByLine() {
			if m.Name == t.Name {
				l.Mark = m
			}
		}
		if e := l.Mark.Offset; e != nil && e.Known {
			l.Held = (e.Value - t.Offset).Abs() <= e.Expanded
		}
		l.Wrong = l.Mark.Verdict == diagnosis.Within && !t.Within() || l.Mark.Verdict == diagnosis.Outside && t.Within()
		for i := range answers {
			if answers[i].Mark == t.Name && !answers[i].blank() {
				l.judge(&answers[i])
				o.Answered++
			}
		}
		o.Lines = append(o.Lines, l)
	}
	for _, a := range answers {
		if !known[a.Mark] {
			return o, &geometry.Refusal{Text: "found an answer for " + inputerror.Visible(a.Mark) + ", no line of this name on the sheet"}
		}
	}
	return o, nil
}

// room is how far an answer may be from the truth: what the readings allow, and a
// tenth of the tolerance at least.
func (l *Line) room() geometry.Angle {
	room := l.Tolerance / 10
	if e := l.Mark.Offset; e != nil && e.Known {
		room = max(room, e.Expanded)
	}
	return room
}

func (l *Line) judge(a *Answer) {
	l.Answer = a
	l.Near = a.HasOff && (a.Off-l.Offset).Abs() <= l.room()
	l.Misjudge = a.HasVerdict && (a.Verdict == diagnosis.Within && !l.Within() || a.Verdict == diagnosis.Outside && l.Within())
	l.Overbold = a.HasVerdict && a.Verdict != diagnosis.Undecided && l.Mark.Verdict == diagnosis.Undecided
}
