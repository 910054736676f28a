package questions

import (
	"slices"
	"strings"

	"markaudit/audit/inputerror"
	"markaudit/audit/sheet"
)

// Kind is how a question is answered.
type Kind uint8

// Choose: one of the choices; Type: a text or a number; Turn: two readings, before
// and after a quarter turn; Line: the name of a line and where it belongs.
const (
	Choose Kind = iota
	Type
	Turn
	Line
)

// Stage is what an open question keeps shut.
type Stage uint8

// Nothing, the verdicts, the scribing of a new line, or recording itself.
const (
	Nothing Stage = iota
	Judging
	Scribing
	Recording
)

// Choice is one answer of a few, or a part of one.
type Choice struct {
	Value   string // what Answer takes
	Words   string // as a person reads it
	More    string // said beside it in small letters
	Picture string // the name of its picture
}

// Question is one question as a face shows it.
type Question struct {
	Key     string // of letters, digits and hyphens, the same for as long as the sheet
	Ask     string // one sentence
	Help    string // how to find out
	Picture string // the name of a picture where the choices have none
	Kind    Kind
	Choices []Choice
	Free    bool // something else than a choice may be typed
	// Ways stand before a number, Units behind it, Sides behind those. Compose joins
	// them.
	Ways, Units, Sides []Choice
	Limit              bool   // a limit may stand behind the number, as ± 0.2 mm
	Example            string // of what can be typed
	Needed             Stage  // what stays shut while it is open
	Without            string // the same as a sentence
	Rare               bool   // it stands under "more", and may be taken off the sheet again
	Last               string // what an earlier job had here
	Now                string // what the sheet says, as it is written; empty while open
	Look               string // why it is asked again
	TurnsRound         string // readings were taken already: what a change would do to them
}

// Compose joins what was pressed and typed to one answer.
func Compose(way, text, unit, side string) string {
	return strings.Join(strings.Fields(strings.Join([]string{way, text, unit, side}, " ")), " ")
}

// item is a question with its way onto the sheet.
type item struct {
	Question
	path   inputerror.Path                                    // where the answer stands; empty for none
	mark   int                                                // the line that it asks about, from 1
	asked  string                                             // the note that counts as an answer as well
	others []inputerror.Path                                  // further keys that it fills in
	of     string                                             // words of faults that it explains while open
	take   func(i Interview, said string) (sheet.Form, error) // writes the answer
	says   func(i Interview, text string) string              // the answer in a sentence
	added  func(i Interview) string                           // the entry that it has added, in a sentence; nil where it adds none
}

func (x item) open(i Interview) bool {
	if x.Key == linesKey {
		return i.of(noteLines) == "" || i.marks() == 0
	}
	if x.asked != "" && i.of(x.asked) != "" {
		return false
	}
	return x.path == "" || i.value(x.path) == "" && len(x.listed(i)) == 0
}

// listed is an answer that the sheet holds as a list or a table.
func (x item) listed(i Interview) []string {
	if x.path == "" {
		return nil
	}
	return i.form.Items(x.path)
}

// shown is the question for a face.
func (x item) shown(i Interview) Question {
	q := x.Question
	q.Now = i.value(x.path)
	if q.Now == "" && x.asked != "" {
		q.Now = i.of(x.asked)
	}
	if items := x.listed(i); len(items) > 0 && x.Key != linesKey {
		q.Now = strings.Join(items, ", ")
	}
	q.Last = i.of(lastOf(q.Key))
	if x.three() && i.of(noteAgain) != "" {
		q.Look = i.againNow()
	}
	if len(i.sheet.Rows) == 0 && !i.sheet.Inline || q.Now == "" {
		q.TurnsRound = ""
	}
	return q
}

// three reports whether the question is one of the three that check each other.
func (x item) three() bool {
	return slices.Contains([]string{"turns", "carries", "btdc-lines"}, x.Key)
}

// explains reports whether a fault is there because the question is open.
func (x item) explains(f inputerror.Fault) bool {
	at := func(p inputerror.Path) bool {
		return p != "" && (f.Path == p || strings.HasPrefix(string(f.Path), string(p)+"."))
	}
	return at(x.path) || slices.ContainsFunc(x.others, at) || x.of != "" && strings.Contains(f.Text, x.of)
}

// say is the answer in a sentence; empty while open.
func (x item) say(i Interview) string {
	text := i.value(x.path)
	if text == "" && x.asked != "" {
		text = i.of(x.asked)
	}
	if items := x.listed(i); text == "" && len(items) > 0 {
		text = strings.Join(items, ", ")
	}
	if text == "" {
		return ""
	}
	return x.says(i, text)
}

// choose takes one of the choices, or what was typed where that is free.
func choose(path inputerror.Path, x *item) func(i Interview, said string) (sheet.Form, error) {
	return func(i Interview, said string) (sheet.Form, error) {
		if value, ok := chosen(x.Choices, said); ok {
			return i.form.Set(path, value)
		}
		if !x.Free {
			return i.form, notOne(x.Choices, said)
		}
		return i.form.Set(path, decimals(said))
	}
}

// chosen finds a choice by its value or its words, letters large or small.
func chosen(choices []Choice, said string) (string, bool) {
	for _, c := range choices {
		if strings.EqualFold(c.Value, said) || strings.EqualFold(c.Words, said) {
			return c.Value, true
		}
	}
	return "", false
}

func notOne(choices []Choice, said string) error {
	words := make([]string, len(choices))
	for i, c := range choices {
		words[i] = c.Value
	}
	last := len(words) - 1
	expected := words[last]
	if last > 0 {
		expected = strings.Join(words[:last], ", ") + " or " + expected
	}
	return refuse("found "+inputerror.Shown(said)+", expected "+expected, "")
}

// Statement is a line of the page that closes the questions.
type Statement struct {
	Key    string // of the question that it leads to
	Text   string // the answer in a sentence, or what is open
	Open   bool
	Needed Stage // what an open one keeps shut
}
